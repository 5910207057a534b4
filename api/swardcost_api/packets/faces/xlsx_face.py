"""A packet as a workbook: what it says on the first sheet, each table on its own with live formulas, and the steps."""

import io
from collections.abc import Mapping
from typing import Any

import xlsxwriter

from swardcost_api.packets.document import (
    Appendix,
    Cautions,
    Chart,
    Document,
    Figures,
    Listing,
    Paragraph,
    Part,
    Section,
    SignOff,
    Table,
)
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.packet_views import labels, mark_words
from swardcost_api.packets.faces.xlsx_cells import (
    BAND,
    GREEN,
    INDENT,
    SOFT,
    WASH,
    Styles,
    printed_lines,
    write_formula,
    write_text,
    write_value,
)
from swardcost_api.packets.faces.xlsx_charts import insert_chart
from swardcost_api.packets.faces.xlsx_formulas import Grid, sheet_names
from swardcost_api.packets.faces.xlsx_steps import StepsSheet
from swardcost_api.packets.faces.xlsx_tables import LINK, TableSheets, link_to
from swardcost_api.packets.formatter import Formatter

_WIDTHS = (46, 20, 26, 9, 40)
_LINE_HEIGHT = 13.5
_TEXT = {"num_format": "@", "text_wrap": True}
_HEADINGS: dict[int, dict[str, Any]] = {
    2: {"bold": True, "font_size": 13, "top": 2}, 3: {"bold": True, "font_size": 11}, 4: {"bold": True},
}  # fmt: skip


def xlsx_of(document: Document) -> bytes:
    """The packet as a workbook. The same packet has the same bytes."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    book.set_properties({
        "title": calm(document.title)[:200], "author": calm(document.club)[:200], "created": document.created,
    })  # fmt: skip
    book.set_calc_mode("auto")
    _Book(book, document).write()
    book.close()
    return out.getvalue()


class _Book:
    """A workbook while it is written."""

    def __init__(self, book: Any, document: Document) -> None:
        self._book = book
        self._document = document
        self._formatter = Formatter(document.locale)
        self._words = self._formatter.words
        self._labels = labels(self._words)
        self._styles = Styles(book)
        first, how = self._words.say("Packet"), self._labels["how"]
        self._first, self._how = sheet_names([first, how], [])
        tables = document.tables
        names = sheet_names([table.caption for table in tables], [self._first, self._how])
        self._grids = {table.id: Grid.of(name, table) for name, table in zip(names, tables, strict=True)}
        self._steps = StepsSheet(document, self._formatter, self._styles, self._how)
        self._row = 0

    def write(self) -> None:
        """Write every sheet."""
        page = self._book.add_worksheet(self._first)
        sheets = {table: self._book.add_worksheet(grid.sheet) for table, grid in self._grids.items()}
        self._write_front(page)
        for part in self._document.parts:
            self._write_part(page, part)
        page.print_area(0, 0, max(self._row - 1, 0), len(_WIDTHS) - 1)
        tables = TableSheets(self._document, self._formatter, self._styles, self._grids, self._steps.links)
        for table in self._document.tables:
            tables.write(sheets[table.id], table, self._labels)
        for chart in self._document.charts:
            insert_chart(self._book, sheets[chart.data.id], chart, self._grids[chart.data.id])
        if self._document.derivations:
            self._steps.write(self._book.add_worksheet(self._how), self._labels)

    def _write_front(self, page: Any) -> None:
        document = self._document
        for column, width in enumerate(_WIDTHS):
            page.set_column(column, column, width)
        page.hide_gridlines(2)
        page.set_landscape()
        page.set_margins(left=0.6, right=0.6, top=0.8, bottom=0.8)
        page.fit_to_pages(1, 0)
        page.set_footer("&L&9&A&R&9&P / &N")
        self._write_line(page, document.club, {"bold": True, "font_color": GREEN})
        self._write_line(page, document.title, {"bold": True, "font_size": 18})
        if document.subtitle:
            self._write_line(page, document.subtitle, {"font_size": 12, "font_color": SOFT})
        moment = self._words.say("Figures as of %(moment)s", moment=self._formatter.moment(document.created))
        self._write_line(page, f"{mark_words(document, self._words)} · {moment}", {"font_color": SOFT})

    def _write_part(self, page: Any, part: Part) -> None:
        match part:
            case Section():
                self._row += 1
                self._write_line(page, part.heading, _HEADINGS[part.level])
            case Paragraph():
                self._write_line(
                    page, part.text, {"bg_color": WASH, "bold": True} if part.tone == "ask" else {}
                )
            case Listing():
                for item in part.items:
                    self._write_line(page, f"• {item}", {})
            case Cautions():
                self._write_line(page, self._labels["cautions"], {"bold": True})
                for item in part.items:
                    self._write_line(page, f"• {item}", {})
            case Figures():
                self._write_figures(page, part)
            case Table():
                self._write_link(page, part)
            case Chart():
                self._write_line(page, part.alternative, {"font_color": SOFT})
                self._write_link(page, part.data)
            case SignOff():
                self._write_sign_off(page, part)
            case Appendix():
                self._write_to(page, link_to(self._how, 0), self._labels["how"])

    def _write_line(self, page: Any, text: str, look: Mapping[str, Any]) -> None:
        """A line of text over the whole width, as high as it needs to be."""
        style = self._styles.of(_TEXT, look)
        size = look.get("font_size", 10)
        lines = printed_lines(calm(text), int(sum(_WIDTHS) * 10 / size))
        page.merge_range(self._row, 0, self._row, len(_WIDTHS) - 1, "", style)
        write_text(page, self._row, 0, text, style)
        page.set_row(self._row, lines * _LINE_HEIGHT * size / 10 + 3)
        self._row += 1

    def _write_link(self, page: Any, table: Table) -> None:
        self._write_to(page, link_to(self._grids[table.id].sheet, 0), table.caption)

    def _write_to(self, page: Any, link: str, text: str) -> None:
        page.write_url(self._row, 0, link, self._styles.of(LINK), string=f"→ {calm(text)}"[:255])
        self._row += 1

    def _write_figures(self, page: Any, part: Figures) -> None:
        look: dict[str, Any] = {"bold": True, "font_size": 12} if part.large else {"align": "left"}
        rule = {"bottom": 1, "bottom_color": BAND}
        for one in part.items:
            write_text(page, self._row, 0, one.label, self._styles.of(_TEXT, rule))
            if one.same_as is not None:
                table, row, column = one.same_as
                live = "=" + self._grids[table].full_place(row, column)
                write_formula(page, self._row, 1, live, one.value, self._styles, look | rule)
            else:
                wrapped = {"text_wrap": True, "align": "left"} if isinstance(one.value, str) else {}
                write_value(page, self._row, 1, one.value, self._styles, look | rule | wrapped)
            write_text(
                page,
                self._row,
                2,
                self._formatter.unit_words(one.value),
                self._styles.of(_TEXT, rule, INDENT),
            )
            if one.why is not None:
                number = str(self._document.numbers[one.why])
                page.write_url(
                    self._row, 3, self._steps.links[one.why], self._styles.of(LINK, rule), string=number
                )
            write_text(page, self._row, 4, one.note, self._styles.of(_TEXT, rule, {"font_color": SOFT}))
            words = one.value if isinstance(one.value, str) else ""
            lines = max(
                printed_lines(calm(text), width)
                for text, width in ((one.label, 44), (words, 18), (one.note, 38))
            )
            page.set_row(self._row, max(lines * _LINE_HEIGHT, 18 if part.large else 15))
            self._row += 1

    def _write_sign_off(self, page: Any, part: SignOff) -> None:
        self._write_line(page, part.statement, {})
        under = {"bottom": 1, "valign": "bottom"}
        for at, name in enumerate(("role", "name", "signature", "date")):
            write_text(
                page,
                self._row,
                at if at < 3 else 4,
                self._labels[name],
                self._styles.of({"font_color": SOFT}),
            )
        self._row += 1
        for one in part.signatures:
            page.set_row(self._row, 30)
            write_text(page, self._row, 0, one.role, self._styles.of(_TEXT, under))
            write_text(page, self._row, 1, one.name, self._styles.of(_TEXT, under))
            for at in (2, 3):
                page.write_blank(self._row, at, None, self._styles.of(under))
            write_value(page, self._row, 4, one.on, self._styles, under)
            self._row += 1
