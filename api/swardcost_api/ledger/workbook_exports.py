"""Accounting exports as workbooks (.xlsx): the sheet, header and rows as the text that the profile expects.

A cell of a workbook is a number or a day, not text. Days in the column of dates are written in the profile's form,
numbers in columns of amounts with its decimal mark, exactly; a number of more digits than a cell keeps is a fault. So a
ledger saved as a workbook and as CSV has the same rows. Nothing else is made of a cell: text that looks like a day, and
a number in the column of dates, stay what they are.
"""

import csv
import io
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, time
from itertools import islice
from typing import IO, Any

from python_calamine import CalamineError, CalamineWorkbook
from swardcost_model.ledger_profiles import DateFormat, ProfileFields

from swardcost_api.engine.control.ledger_rows import CellFault
from swardcost_api.ledger.export_files import MAX_ROW, ExportFile, ExportRow
from swardcost_api.xlsx_files import number_text
from swardcost_api.xlsx_parts import MAX_VALUELESS, Place, unpack_sheet, unusable

MAX_ROWS = 100_000
"""Rows that a sheet may have, since it is read into memory whole; longer exports come as CSV."""
_AMOUNTS = ("amount", "debit", "credit", "balance")

_CellText = Callable[[Any], str]
"""A cell as text; it raises `ValueError` where the cell cannot tell."""


def open_workbook(upload: IO[bytes], profile: ProfileFields) -> ExportFile:
    """Read as far as the header. Here or while the rows are read, what is no such file raises `invalid-workbook`."""
    parts = unpack_sheet(upload, profile.sheet, profile.header_row + MAX_ROWS)
    with parts.archive:
        try:
            with CalamineWorkbook.from_filelike(parts.archive) as workbook:
                page = workbook.get_sheet_by_name(parts.sheet)
        except CalamineError as error:
            raise unusable("file", "a workbook (.xlsx)", str(error)[:120]) from None
    if len(parts.valueless) >= MAX_VALUELESS:
        expected = (
            f"fewer than {MAX_VALUELESS} cells with an error, or with a formula that was never computed"
        )
        raise unusable("file", expected)
    # Rows come from the top of the sheet, cells from the first column in which there is one.
    rows, left = iter(page.iter_rows()), page.start[1] if page.start is not None else 0
    for _ in range(profile.header_row - 1):
        next(rows, None)
    header = [""] * left + [_text(cell) for cell in next(rows, [])]
    while header and not header[-1].strip():
        header.pop()
    if not header or page.end is None:
        expected = "the header row that the profile names"
        raise unusable(f"row {profile.header_row}", expected, "an empty row")
    sheet = _Sheet(profile, header, left, parts.valueless)
    total = page.end[0] + 1 - profile.header_row
    return ExportFile(header, sheet.read(rows), total, "row", lambda: sheet.rows_read, sheet.faults)


def sample_rows(upload: IO[bytes], most: int) -> list[list[str]]:
    """The first rows of a workbook's first sheet as text, from its top left corner; days in ISO 8601."""
    parts = unpack_sheet(upload, None, MAX_ROWS)
    with parts.archive:
        try:
            with CalamineWorkbook.from_filelike(parts.archive) as workbook:
                page = workbook.get_sheet_by_name(parts.sheet)
        except CalamineError as error:
            raise unusable("file", "a workbook (.xlsx)", str(error)[:120]) from None
    before = [""] * (page.start[1] if page.start is not None else 0)
    return [before + [_text(cell) for cell in row] for row in islice(page.iter_rows(), most)]


class _Sheet:
    """The rows below the header of a sheet, which begins some columns from the left."""

    def __init__(
        self, profile: ProfileFields, header: Sequence[str], left: int, valueless: dict[Place, str]
    ) -> None:
        self.rows_read = 0
        self.faults: dict[int, list[CellFault]] = {}
        self._profile = profile
        self._header = header
        self._left = left
        texts, mapped = _cell_texts(profile), set(_mapped(profile))
        names = [name.strip().casefold() for name in header]
        self._texts = [texts.get(name, _text) for name in names]
        self._valueless: dict[int, list[CellFault]] = defaultdict(list)
        for (row, column), why in valueless.items():
            if column <= len(names) and names[column - 1] in mapped:
                self._valueless[row].append(CellFault(header[column - 1].strip(), why, ""))

    def read(self, rows: Iterable[Sequence[Any]]) -> Iterator[ExportRow]:
        width, before = len(self._header), [""] * self._left
        for number, row in enumerate(rows, start=self._profile.header_row + 1):
            self.rows_read += 1
            wrong = list(self._valueless.get(number, ()))
            cells = before + self._cells(row[: width - self._left], wrong)
            cells += [""] * (width - len(cells))
            beyond = [_text(cell) for cell in row[width - self._left :]]
            if any(map(str.strip, beyond)):
                cells += beyond
            if wrong:
                self.faults[number] = wrong
            elif not any(map(str.strip, cells)):
                continue
            yield number, cells, self._raw(cells, number)

    def _cells(self, row: Sequence[Any], wrong: list[CellFault]) -> list[str]:
        cells = []
        for at, cell in enumerate(row, start=self._left):
            try:
                cells.append(self._texts[at](cell))
            except ValueError as error:
                wrong.append(CellFault(self._header[at].strip(), str(error), repr(cell)))
                cells.append(repr(cell))
        return cells

    def _raw(self, cells: Sequence[str], number: int) -> str:
        """The row as a CSV file of the profile would have it."""
        out = io.StringIO()
        csv.writer(out, delimiter=self._profile.delimiter, lineterminator="").writerow(cells)
        raw = out.getvalue()
        if len(raw) > MAX_ROW:
            raise unusable(f"row {number}", f"a row of at most {MAX_ROW} characters")
        if "\x00" in raw:
            raise unusable(f"row {number}", "text without null characters")
        return raw


def _mapped(profile: ProfileFields) -> Iterator[str]:
    for column in profile.columns.model_dump(exclude_none=True).values():
        yield column.casefold()


def _cell_texts(profile: ProfileFields) -> dict[str, _CellText]:
    """How the cells of mapped columns are written, by the column's name."""
    texts: dict[str, _CellText] = dict.fromkeys(_mapped(profile), _exact_text)
    columns = profile.columns.model_dump(exclude_none=True, include=set(_AMOUNTS))
    texts |= dict.fromkeys(
        (column.casefold() for column in columns.values()), _amount_text(profile.decimal_mark)
    )
    texts[profile.columns.date.casefold()] = _day_text(profile.date_format)
    return texts


def _day_text(date_format: DateFormat) -> _CellText:
    pattern = (
        date_format.replace("YYYY", "{0.year:04}").replace("MM", "{0.month:02}").replace("DD", "{0.day:02}")
    )

    def text(cell: Any) -> str:
        if isinstance(cell, date) and not (isinstance(cell, datetime) and cell.time() != time()):
            return pattern.format(cell)
        return _exact_text(cell)

    return text


def _amount_text(decimal_mark: str) -> _CellText:
    def text(cell: Any) -> str:
        if isinstance(cell, float):
            return _exact_text(cell).replace(".", decimal_mark)
        return _exact_text(cell)

    return text


def _exact_text(cell: Any) -> str:
    if isinstance(cell, float):
        exact = number_text(cell)
        if exact is None:
            raise ValueError("a number of at most 15 digits, or text")
        return exact
    return _text(cell)


def _text(cell: Any) -> str:
    """A cell that nothing depends on, or that is text already."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        return number_text(cell) or repr(cell)
    if isinstance(cell, datetime) and cell.time() == time():
        return cell.date().isoformat()
    return str(cell)
