"""A table of a packet on a sheet of its own, with live formulas."""

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from swardcost_api.packets.document import Cell, Document, Kind, Row, Table, Weight
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.table_views import currency_of, notes_of
from swardcost_api.packets.faces.xlsx_cells import (
    BAND,
    GREEN,
    INDENT,
    INK,
    LINE,
    Styles,
    digits_of,
    printed_lines,
    write_formula,
    write_text,
    write_value,
)
from swardcost_api.packets.faces.xlsx_formulas import FIRST_ROW, Grid, formula, quoted
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.unit_names import unit_name
from swardcost_api.packets.values import Measured, UnitPrice, Value, number_of, places_of

HEAD = {"bold": True, "bottom": 2, "bottom_color": INK, "text_wrap": True, "valign": "bottom"}
CAPTION = {"bold": True, "font_size": 12, "num_format": "@"}
LINK = {"font_color": GREEN, "underline": 1, "align": "left", "indent": 1}
_LOOKS: dict[Weight, dict[str, Any]] = {
    Weight.ITEM: {"bottom": 1, "bottom_color": LINE},
    Weight.HEADING: {"bold": True},
    Weight.SUBTOTAL: {"bold": True, "bg_color": BAND, "bottom": 1, "bottom_color": LINE},
    Weight.TOTAL: {"bold": True, "top": 2, "bottom": 2, "top_color": INK, "bottom_color": INK},
}
_WORDS = {"text_wrap": True}
_LEAST, _MOST, _WHY, _NOTE = 9, 44, 8, 40
_LINE_HEIGHT, _MOST_LINES = 13.5, 25
_PAPER = 110
"""Characters that a page of paper across holds well."""


class TableSheets:
    """Writes tables of a document on their sheets."""

    def __init__(
        self, document: Document, formatter: Formatter, styles: Styles, grids: dict[str, Grid], how: Mapping[str, str]
    ) -> None:  # fmt: skip
        self._document = document
        self._formatter = formatter
        self._styles = styles
        self._grids = grids
        self._how = how
        """The place of each derivation, as a link."""
        self._titles = {one.id: one for one in document.derivations}

    def write(self, page: Any, table: Table, labels: Mapping[str, str]) -> None:
        """Write a table: caption, head, entries, notes; a column tells where each row is explained."""
        grid = self._grids[table.id]
        cited = any(cell.why for row in table.rows for cell in row.cells)
        noted = any(map(notes_of, table.rows))
        why, note = grid.width, grid.width + cited
        widths = self._write_head(page, table, grid)
        for name, at, width in ((labels["why"], why, _WHY), (labels["note"], note, _NOTE)):
            if (at == why and cited) or (name == labels["note"] and noted):
                write_text(page, 1, at, name, self._styles.of(HEAD, INDENT))
                page.set_column(at, at, width)
                widths[at] = width
        decimals = [self._places(one.kind, table, index) for index, one in enumerate(table.columns)]
        for index, row in enumerate(table.rows):
            at, notes = FIRST_ROW + index, notes_of(row)
            self._write_row(page, at, row, grid, widths, decimals, printed_lines(calm(notes), _NOTE - 1))
            if cited:
                self._write_why(page, at, why, row)
            if notes:
                write_text(page, at, note, notes, self._styles.of(_WORDS, INDENT, {"num_format": "@"}))
        for number, text in enumerate(table.notes):
            below = FIRST_ROW + len(table.rows) + 1 + number
            write_text(page, below, 0, text, self._styles.of({"italic": True, "num_format": "@"}))
        lay_out(page, table.caption, sum(widths.values()), kept=1)

    def _write_head(self, page: Any, table: Table, grid: Grid) -> dict[int, int]:
        write_text(page, 0, 0, table.caption, self._styles.of(CAPTION))
        widths, lines = {}, 2
        for index, column in enumerate(table.columns):
            currency, at = currency_of(table, index), grid.columns[index]
            title = f"{column.title}, {currency}" if currency else column.title
            align = {"align": "right"} if column.kind.numeric else INDENT if index else {}
            write_text(page, 1, at, title, self._styles.of(HEAD, align))
            longest = max((self._width(value) for value in table.values(index)), default=0)
            widths[at] = min(max(longest + 2, max(map(len, title.split()), default=0) + 2, _LEAST), _MOST)
            page.set_column(at, at, widths[at])
            lines = max(lines, len(wrap(title, widths[at] - 2)))
            if column.kind is Kind.QUANTITY:
                write_text(page, 1, at + 1, "", self._styles.of(HEAD))
                names = [self._unit(value) for value in table.values(index)]
                widths[at + 1] = max(map(len, names), default=0) + 2
                page.set_column(at + 1, at + 1, widths[at + 1])
        page.set_row(1, _LINE_HEIGHT * lines + 2)
        return widths

    def _write_row(
        self,
        page: Any,
        at: int,
        row: Row,
        grid: Grid,
        widths: Mapping[int, int],
        decimals: Sequence[int | None],
        lines: int,
    ) -> None:
        look, table = _LOOKS[row.weight], grid.table
        for index, (column, cell) in enumerate(zip(table.columns, row.cells, strict=True)):
            place, places = grid.columns[index], decimals[index]
            words = isinstance(cell.value, str)
            shown = look | (_WORDS if words else {}) | (INDENT if words and index else {})
            if cell.computed is not None:
                live = formula(cell.computed, row.key, column.key, cell.value, grid, self._grids)
                write_formula(page, at, place, live, cell.value, self._styles, shown, places)
            else:
                write_value(page, at, place, cell.value, self._styles, shown, places)
                self._explain(page, at, place, cell)
            if column.kind is Kind.QUANTITY:
                write_text(
                    page,
                    at,
                    place + 1,
                    self._unit(cell.value),
                    self._styles.of(look, INDENT, {"num_format": "@"}),
                )
            if isinstance(cell.value, str):
                lines = max(lines, printed_lines(calm(cell.value), widths[place] - 1))
        if lines > 1:
            page.set_row(at, min(lines, _MOST_LINES) * _LINE_HEIGHT)

    def _explain(self, page: Any, at: int, place: int, cell: Cell) -> None:
        """A note on a figure that is no formula: the last step that leads to it."""
        if cell.why is None:
            return
        derivation = self._titles[cell.why]
        last = derivation.steps[-1].formula if derivation.steps else ""
        text = calm(f"{self._document.numbers[cell.why]}. {derivation.title}\n{last}")[:400]
        page.write_comment(at, place, text, {"author": "", "x_scale": 2, "font_size": 9, "visible": False})

    def _write_why(self, page: Any, at: int, place: int, row: Row) -> None:
        whys = list(dict.fromkeys(cell.why for cell in row.cells if cell.why))
        look = self._styles.of(_LOOKS[row.weight], LINK if whys else {})
        if whys:
            shown = ", ".join(str(self._document.numbers[why]) for why in whys)
            page.write_url(at, place, self._how[whys[0]], look, string=shown)
        else:
            page.write_blank(at, place, None, look)

    def _places(self, kind: Kind, table: Table, index: int) -> int | None:
        """The decimals that a whole column is shown with."""
        if kind is Kind.UNIT_PRICE:
            return self._formatter.column_places(table.values(index))
        if kind is Kind.QUANTITY:
            numbers = [value.value for value in table.values(index) if isinstance(value, Measured)]
            return max(map(places_of, numbers), default=None)
        return None

    def _unit(self, value: Value | None) -> str:
        return (
            unit_name(self._formatter.words, value.unit, value.value) if isinstance(value, Measured) else ""
        )

    def _width(self, value: Value) -> int:
        number = number_of(value)
        if number is None:
            return len(value) if isinstance(value, str) else 10
        return digits_of(number) + (3 if isinstance(value, UnitPrice) else 1)


def lay_out(page: Any, caption: str, width: int, kept: int, above: int = FIRST_ROW) -> None:
    """Keep the head in sight, and on paper repeat it; one page wide, or as many as its columns need."""
    page.freeze_panes(above, kept)
    page.repeat_rows(above - 1)
    if width > _PAPER // 2:
        page.set_landscape()
    page.fit_to_pages(max(-(-width // (_PAPER * 2)), 1), 0)
    page.set_margins(left=0.6, right=0.6, top=0.8, bottom=0.8)
    page.set_header("&L&9" + calm(caption)[:100].replace("&", "&&"))
    page.set_footer("&L&9&A&R&9&P / &N")
    page.hide_gridlines(2)


def link_to(sheet: str, row: int) -> str:
    """A link to the first cell of a row, counted from 0."""
    return f"internal:{quoted(sheet)}!A{row + 1}"
