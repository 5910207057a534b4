"""CSV files as callers send them: UTF-8 with or without a byte order mark, a header row, then rows.

Also writes CSV that a spreadsheet can open safely: a cell that would be taken for a formula is
quoted with an apostrophe on the way out, which `read_rows` takes off again.
"""

import csv
import io
import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import IO, Any

from pydantic import ValidationError
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

MAX_CELL = 100_000
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class CsvRow:
    """A row: its number in the file (the header is row 1) and its cells by column, stripped of blanks.

    Columns that the file does not have are `absent`; their cells are empty.
    """

    number: int
    cells: dict[str, str]
    absent: frozenset[str] = frozenset()


def open_text(upload: IO[bytes], encoding: str = "utf-8-sig") -> io.TextIOWrapper:
    """The upload as text; a wrong encoding shows when it is read (see `decoding_problem`)."""
    return io.TextIOWrapper(upload, encoding=encoding, newline="")


def decoding_problem(error: UnicodeDecodeError, encoding: str = "UTF-8") -> ProblemError:
    """The refusal for bytes that are not text in the expected encoding."""
    return ProblemError(
        problems.INVALID_CSV,
        f"The file is not {encoding} text: byte 0x{error.object[error.start]:02x} cannot be read.",
    )


def read_rows(upload: IO[bytes], columns: Sequence[str], optional: Sequence[str] = ()) -> Iterator[CsvRow]:
    """The rows of a CSV file with exactly these columns (in any order; `optional` ones may be absent).

    Raises `invalid-csv` for a wrong header or encoding, broken quotes, null characters, or a row with
    too many or too few cells. Wholly empty rows are skipped.
    """
    csv.field_size_limit(MAX_CELL)
    reader = csv.reader(open_text(upload), strict=True)
    try:
        header = [name.strip().lower() for name in next(reader, [])]
        _check_header(header, columns, optional)
        absent = frozenset(optional) - set(header)
        for number, cells in enumerate(reader, start=2):
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(header):
                raise _invalid(
                    f"row {number}", f"{len(header)} cells, as in the header", f"{len(cells)} cells"
                )
            if any("\x00" in cell for cell in cells):
                raise _invalid(f"row {number}", "text without null characters", None)
            named = dict.fromkeys(optional, "") | dict(zip(header, map(_read_cell, cells), strict=True))
            yield CsvRow(number, named, absent)
    except UnicodeDecodeError as error:
        raise decoding_problem(error) from None
    except csv.Error as error:
        raise _invalid(f"row {reader.line_num}", "a CSV row with balanced quotes", str(error)) from None


def _check_header(header: Sequence[str], columns: Sequence[str], optional: Sequence[str]) -> None:
    wanted = [name for name in columns if name not in optional]
    absent = [name for name in wanted if name not in header]
    unknown = [name for name in header if name not in columns and name not in optional]
    if absent or unknown or len(set(header)) != len(header):
        raise _invalid("row 1", "the header " + ",".join(columns), ",".join(header)[:200])


def _invalid(place: str, expected: str, got: str | None) -> ProblemError:
    return ProblemError(
        problems.INVALID_CSV, "The file cannot be read; nothing was changed.",
        [Fault(pointer=place, expected=expected, got=got)],
    )  # fmt: skip


def row_faults(number: int, error: ValidationError, columns: dict[str, str] | None = None) -> list[Fault]:
    """What is wrong with a row, by column; `columns` names columns that differ from the fields."""
    faults = []
    for one in error.errors(include_url=False, include_context=False):
        field = "/".join(str(part) for part in one["loc"])
        column = (columns or {}).get(field, field)
        message = one["msg"].removeprefix("Value error, ")
        faults.append(Fault(pointer=f"row {number}, {column}", expected=message, got=str(one["input"])[:120]))
    return faults


def write_rows(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A CSV file as text, with a header row; `None` becomes an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_write_cell(cell) for cell in row])
    return out.getvalue()


def write_pieces(columns: Sequence[str], rows: Iterable[Sequence[Any]], at_once: int = 1000) -> Iterator[str]:
    """The same file in pieces of so many rows, the header in the first of them."""
    remaining = iter(rows)
    piece = write_rows(columns, itertools.islice(remaining, at_once))
    while piece:
        yield piece
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerows([_write_cell(cell) for cell in row] for row in itertools.islice(remaining, at_once))
        piece = out.getvalue()


def _write_cell(cell: Any) -> Any:
    return guarded(cell) if isinstance(cell, str) else cell


def guarded(text: str) -> str:
    """A text that no spreadsheet program takes for a formula: an apostrophe before what would begin one."""
    return "'" + text if text.startswith((*_FORMULA_STARTS, "'")) else text


def _read_cell(cell: str) -> str:
    cell = cell.strip()
    if cell.startswith("'") and cell[1:2] in ("'", *_FORMULA_STARTS):
        return cell[1:]
    return cell
