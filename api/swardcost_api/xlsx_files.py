"""Workbooks (.xlsx, ISO/IEC 29500) as callers send and get them: tables with a header row, one a sheet.

Text is written as text and never as a formula, so that it comes back as it was typed. A decimal is written as a
number where the sixty-four bits of a cell give it back digit for digit, and as text where they would not.
"""

import io
import math
import textwrap
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from typing import IO, Any

import xlsxwriter
from python_calamine import CalamineError, CalamineWorkbook
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import plain
from xlsxwriter.utility import xl_rowcol_to_cell

from swardcost_api.csv_files import CsvRow
from swardcost_api.xlsx_parts import Parts, unpack_sheet, unusable


@dataclass(frozen=True, slots=True)
class SumAbove:
    """A formula that adds up the cells above it, from the first row below the header; `value` is what that gives."""

    value: Decimal


Cell = str | Decimal | int | bool | date | SumAbove | None

_FIRST_DAY = date(1900, 3, 1)
"""Before it, the day numbers of workbooks are off by one."""
_DIGITS = 15
"""Significant digits that a number in a cell is sure to keep."""
_COMPUTED_DIGITS = 12
_DUST = 8
"""A computed number may differ from a short one by this many units in the last place, and still be meant as it."""

_LEFT = {"align": "left", "indent": 1}
"""A little away from the numbers in the column before."""
_RIGHT = {"align": "right"}
_HEADER = {"bold": True, "bottom": 1, "bg_color": "#e8ecea", "valign": "top"}
_TEXT = {"num_format": "@", "valign": "top"}
_SUM = {"bold": True, "top": 1}
_LINE_HEIGHT, _MOST_LINES = 15, 25
"""Points of a line of text in a row, and the most lines a row can be high."""
_MANY_COLUMNS = 8
"""A table of more keeps its first column in sight."""
_WIDTH_OF_PAPER = 180
"""Characters that a sheet of paper across holds in a size that can still be read."""
_MADE_TO_FIT = 30
"""So many characters beyond whole sheets of paper are fitted in by a smaller size, rather than take one more."""
_MOST_OF_TITLE = 120
"""Characters of a title; with marks doubled it must fit the 255 of a page's header."""


def read_rows(
    upload: IO[bytes], sheet: str, columns: Sequence[str], optional: Sequence[str], max_rows: int
) -> Iterator[CsvRow]:
    """The rows below the header of a sheet with exactly these columns (in any order; `optional` ones may be absent).

    Numbers, days and truth values come as the text that a CSV file would have for them. Wholly empty rows are
    skipped. Raises `invalid-workbook`, `too-large`, or `bad-rows` for cells that hold an error or a formula without
    its value.
    """
    parts = unpack_sheet(upload, sheet, max_rows + 1)
    with parts.archive:
        try:
            with CalamineWorkbook.from_filelike(parts.archive) as workbook:
                page = workbook.get_sheet_by_name(parts.sheet)
        except CalamineError as error:
            raise unusable("file", "a workbook (.xlsx)", str(error)[:120]) from None
    if page.start is None or page.start[0] != 0:
        raise unusable("row 1", "the header " + ",".join(columns), "an empty row")
    before = [""] * page.start[1]
    rows = page.iter_rows()
    header = [str(cell).strip().lower() for cell in [*before, *next(rows)]]
    while not header[-1]:
        header.pop()
    _check_header(header, columns, optional)
    _refuse_valueless(parts, header)
    absent = dict.fromkeys((name for name in columns if name not in header), "")
    for number, row in enumerate(rows, start=2):
        cells = [*before, *(_text(cell, number) for cell in row)]
        if any(cells[len(header) :]):
            raise unusable(f"row {number}", f"{len(header)} cells, as in the header", "more")
        if any(cells):
            yield CsvRow(number, absent | dict(zip(header, cells, strict=False)), frozenset(absent))


def _check_header(header: Sequence[str], columns: Sequence[str], optional: Sequence[str]) -> None:
    missing = [name for name in columns if name not in header and name not in optional]
    unknown = [name for name in header if name not in columns]
    if missing or unknown or len(set(header)) != len(header):
        raise unusable("row 1", "the header " + ",".join(columns), ",".join(header)[:200])


def _refuse_valueless(parts: Parts, header: Sequence[str]) -> None:
    faults = [
        Fault(
            pointer=f"row {row}, {header[column - 1] if column <= len(header) else f'column {column}'}",
            expected=why,
        )
        for (row, column), why in parts.valueless.items()
    ]
    if faults:
        raise ProblemError(problems.BAD_ROWS, "Some cells hold no value; nothing was changed.", faults)


def _text(cell: Any, row: int) -> str:
    """A cell as the text that a CSV file would have for it."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        text = number_text(cell)
        if text is None:
            expected = f"numbers of at most {_DIGITS} digits; longer ones as text"
            raise ProblemError(
                problems.BAD_ROWS, "A cell cannot hold its number; nothing was changed.",
                [Fault(pointer=f"row {row}", expected=expected, got=repr(cell))],
            )  # fmt: skip
        return text
    if isinstance(cell, datetime) and cell.time() == time():
        return cell.date().isoformat()
    return str(cell)


def number_text(value: float) -> str | None:
    """The decimal that a number in a cell stands for, in plain digits; `None` where the cell cannot tell.

    A cell keeps fifteen digits. Computed numbers carry binary dust beyond them (36 x 1.0725 is kept as
    38.610000000000007); it is taken off where what is left is a short decimal. A longer number may have lost digits
    on its way into the cell.

    >>> number_text(38.610000000000007), number_text(1520.0), number_text(1234567890.123456)
    ('38.61', '1520', None)
    """
    if not math.isfinite(value):
        return None
    decimal = Decimal(repr(value)).normalize()
    if len(decimal.as_tuple().digits) <= _DIGITS:
        return plain(decimal)
    short = Decimal(f"{value:.{_COMPUTED_DIGITS}g}").normalize()
    return plain(short) if abs(float(short) - value) <= _DUST * math.ulp(value) else None


@dataclass(frozen=True)
class Column:
    """A column of a sheet to be written; money gets decimals, text is kept from turning into something else.

    In a `numeric` column what must be kept as text stands on the right as numbers do; a `wrapped` one breaks long
    text into lines. With `places` every number shows just so many decimals.
    """

    name: str
    width: int = 14
    money: bool = False
    numeric: bool = False
    wrapped: bool = False
    places: int | None = None


@dataclass(frozen=True)
class Sheet:
    """A table to be written: its header and its rows.

    `title` stands above it on paper. Of a wide table the first `kept` columns stay in sight, and the rows whose numbers
    are in `sums` (the first below the header is 1) are set apart from the others.
    """

    name: str
    columns: Sequence[Column]
    rows: Iterable[Sequence[Cell]] = field(repr=False)
    title: str = ""
    kept: int = 1
    sums: Container[int] = ()


def write_workbook(sheets: Sequence[Sheet], properties: Mapping[str, Any]) -> bytes:
    """A workbook of sheets with a frozen header row; the same sheets and properties give the same bytes.

    Rows are written to disk as they come, so memory does not grow with their number.
    """
    out = io.BytesIO()
    options = {
        "constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False,
    }  # fmt: skip
    with xlsxwriter.Workbook(out, options) as workbook:
        workbook.set_properties(dict(properties))
        formats = _Formats(workbook)
        for sheet in sheets:
            _Page(workbook, sheet, formats)
    return out.getvalue()


class _Formats:
    """The formats of a workbook's cells, each made once."""

    def __init__(self, workbook: xlsxwriter.Workbook) -> None:
        self._workbook = workbook
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def of(self, *styles: Mapping[str, Any]) -> Any:
        """The format of these styles together."""
        style = {name: value for one in styles for name, value in one.items()}
        key = tuple(sorted(style.items()))
        if key not in self._made:
            self._made[key] = self._workbook.add_format(style)
        return self._made[key]


@dataclass(frozen=True)
class _Styles:
    """How the cells of a column look."""

    text: Any
    number: Any
    decimal: Any
    day: Any


class _Page:
    """A sheet in the making, with the formats of its cells."""

    def __init__(self, workbook: xlsxwriter.Workbook, sheet: Sheet, formats: _Formats) -> None:
        self._page = workbook.add_worksheet(sheet.name)
        self._formats = formats
        self._columns = sheet.columns
        self._wrapped = [index for index, column in enumerate(sheet.columns) if column.wrapped]
        self._lay_out(sheet)
        ordinary = [self._styles(column, {}) for column in sheet.columns]
        of_sums = [self._styles(column, _SUM) for column in sheet.columns]
        self._write_header(ordinary)
        for number, row in enumerate(sheet.rows, start=1):
            styles = of_sums if number in sheet.sums else ordinary
            lines = self._lines(row)
            if lines > 1:  # programs do not all make the room by themselves
                self._page.set_row(number, lines * _LINE_HEIGHT)
            for index, cell in enumerate(row):
                if cell is not None and cell != "":
                    self._write(number, index, cell, styles[index])
                elif styles is of_sums:
                    self._page.write_blank(number, index, None, styles[index].text)

    def _styles(self, column: Column, more: Mapping[str, Any]) -> _Styles:
        side = _RIGHT if column.money or column.numeric else _LEFT
        wrap = {"text_wrap": True} if column.wrapped else {}
        decimals = "General"
        if column.places is not None:
            decimals = ("#,##0" if column.money else "0") + "." * bool(column.places) + "0" * column.places
        elif column.money:
            decimals = "#,##0.00####"
        return _Styles(
            text=self._formats.of(_TEXT, side, wrap, more),
            number=self._formats.of({"valign": "top"}, more),
            decimal=self._formats.of({"num_format": decimals, "valign": "top"}, more),
            day=self._formats.of({"num_format": "yyyy-mm-dd", "valign": "top"}, _LEFT, more),
        )

    def _write_header(self, styles: Sequence[_Styles]) -> None:
        """The names of the columns, broken into lines where they are longer than their column."""
        lines = [len(textwrap.wrap(one.name, max(one.width - 1, 1))) or 1 for one in self._columns]
        if max(lines) > 1:
            self._page.set_row(0, max(lines) * _LINE_HEIGHT)
        for index, column in enumerate(self._columns):
            of_cells = styles[index].decimal if column.money else styles[index].text
            self._page.set_column(index, index, column.width, of_cells)
            side = _RIGHT if column.money or column.numeric else _LEFT
            wrap = {"text_wrap": True} if lines[index] > 1 else {}
            self._write_text(0, index, column.name, self._formats.of(_HEADER, side, wrap))

    def _lines(self, row: Sequence[Cell]) -> int:
        """How many lines the wrapped texts of a row take, rather one too many."""
        most = 1
        for index in self._wrapped:
            text, width = row[index], self._columns[index].width
            if isinstance(text, str) and len(text) > width - 2:
                most = max(most, -(-len(text) * 9 // (width * 8)) + (len(text) > 2 * width))
        return min(most, _MOST_LINES)

    def _lay_out(self, sheet: Sheet) -> None:
        """Keep the header in sight, and of a wide table the first columns too; on paper likewise."""
        page, wide = self._page, len(self._columns) > _MANY_COLUMNS
        page.freeze_panes(1, sheet.kept if wide else 0)
        page.repeat_rows(0)
        if wide:
            page.repeat_columns(0, sheet.kept - 1)
        page.set_landscape()
        width = sum(column.width for column in self._columns) - _MADE_TO_FIT
        page.fit_to_pages(max(-(-width // _WIDTH_OF_PAPER), 1), 0)
        if sheet.title:
            page.set_header("&L" + sheet.title[:_MOST_OF_TITLE].replace("&", "&&"))
        page.set_footer("&L&A&R&P / &N")

    def _write(self, row: int, column: int, cell: Cell, styles: _Styles) -> None:
        if isinstance(cell, str):
            self._write_text(row, column, cell, styles.text)
        elif isinstance(cell, bool):
            self._write_text(row, column, "yes" if cell else "no", styles.text)
        elif isinstance(cell, int):
            self._page.write_number(row, column, cell, styles.number)
        elif isinstance(cell, Decimal):
            self._write_decimal(row, column, cell, styles)
        elif isinstance(cell, SumAbove):
            self._write_sum(row, column, cell, styles)
        elif isinstance(cell, date) and cell >= _FIRST_DAY:
            self._page.write_datetime(row, column, cell, styles.day)
        else:
            self._write_text(row, column, str(cell), styles.text)

    def _write_decimal(self, row: int, column: int, cell: Decimal, styles: _Styles) -> None:
        number = float(cell)
        kept = number_text(number)
        if kept is not None and Decimal(kept) == cell:
            self._page.write_number(row, column, number, styles.decimal)
        else:
            self._write_text(row, column, plain(cell), styles.text)

    def _write_sum(self, row: int, column: int, cell: SumAbove, styles: _Styles) -> None:
        if row == 1:
            self._write_decimal(row, column, cell.value, styles)
            return
        above = f"{xl_rowcol_to_cell(1, column)}:{xl_rowcol_to_cell(row - 1, column)}"
        self._page.write_formula(row, column, f"=SUM({above})", styles.decimal, float(cell.value))

    def _write_text(self, row: int, column: int, text: str, style: Any) -> None:
        if self._page.write_string(row, column, text, style):
            raise ValueError(f"row {row}, column {column}: a cell cannot hold {len(text)} characters")
