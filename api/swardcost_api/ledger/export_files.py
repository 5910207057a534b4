"""Accounting exports as text: encoding, lines above the header, the header, then rows; never whole in memory."""

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import IO, Literal

from swardcost_model import problems
from swardcost_model.ledger_profiles import Encoding, ProfileFields
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.csv_files import MAX_CELL, open_text
from swardcost_api.engine.control.ledger_rows import CellFault

MAX_ROW = 100_000
"""Characters that one row may have, so that a file without line ends cannot fill the memory."""

_CODECS: dict[Encoding, str] = {"utf-8": "utf-8-sig", "macintosh": "mac-roman"}
_MARKS: dict[bytes, Encoding] = {
    b"\xef\xbb\xbf": "utf-8",
    b"\xff\xfe": "utf-16",
    b"\xfe\xff": "utf-16",
}


ExportRow = tuple[int, list[str], str]
"""A row: its number as a spreadsheet counts, its cells, and its text as it stands in the file."""


@dataclass(frozen=True, slots=True)
class ExportFile:
    """An export opened for reading: its header, its rows one after another, and how much of it has been read."""

    header: list[str]
    rows: Iterator[ExportRow]
    total: int
    unit: Literal["byte", "row"]
    read_so_far: Callable[[], int]
    """In the same unit as the total; some rows ahead of those that were given out."""
    faults: dict[int, list[CellFault]] = field(default_factory=dict)
    """What cells of rows given out cannot be told as text, by the row's number."""


def open_export(upload: IO[bytes], profile: ProfileFields) -> ExportFile:
    """Read as far as the header. Here or while the rows are read, what is no such file raises `invalid-csv`."""
    size = upload.seek(0, 2)
    upload.seek(0)
    _check_byte_order_mark(upload, profile.encoding)
    rows = _rows(upload, profile)
    for _number, header, _raw in rows:
        # What reads the text closes the upload when it has come to the end.
        return ExportFile(header, rows, size, "byte", lambda: size if upload.closed else upload.tell())
    raise unreadable(f"line {profile.header_row}", "the header row that the profile names", "nothing")


def unreadable(place: str, expected: str, got: str | None) -> ProblemError:
    """The refusal of a file that cannot be read as the profile says."""
    fault = Fault(pointer=place, expected=expected, got=got)
    return ProblemError(problems.INVALID_CSV, "The file cannot be read; nothing was changed.", [fault])


def _rows(upload: IO[bytes], profile: ProfileFields) -> Iterator[ExportRow]:
    csv.field_size_limit(MAX_CELL)
    held: list[str] = []
    lines = _lines(upload, profile.encoding, held)
    above = profile.header_row - 1
    for _ in range(above):
        next(lines, None)
        held.clear()
    reader = csv.reader(lines, delimiter=profile.delimiter, strict=True)
    try:
        for number, cells in enumerate(reader, start=profile.header_row):
            if any(map(str.strip, cells)):
                raw = held[0] if len(held) == 1 else "".join(held)
                yield number, cells, raw.rstrip("\r\n")
            elif number == profile.header_row:
                return
            held.clear()
    except csv.Error as error:
        raise unreadable(
            f"line {above + reader.line_num}", "a CSV row with balanced quotes", str(error)
        ) from None


def _lines(upload: IO[bytes], encoding: Encoding, held: list[str]) -> Iterator[str]:
    """The lines of the file; those of the row being read are kept in `held`, which the reader of rows empties."""
    readline = open_text(upload, _CODECS.get(encoding, encoding)).readline
    number = size = 0
    try:
        while line := readline(MAX_ROW + 1):
            number += 1
            size = size + len(line) if held else len(line)
            if size > MAX_ROW:
                raise unreadable(f"line {number}", f"a row of at most {MAX_ROW} characters", None)
            if "\x00" in line:
                raise unreadable(f"line {number}", f"{encoding} text without null characters", None)
            held.append(line)
            yield line
    except UnicodeError as error:
        # Text is decoded some lines ahead of those that are read; the bytes before the fault tell where it is.
        raise unreadable(f"after line {number}", f"{encoding} text", _undecodable(error)) from None


def _undecodable(error: UnicodeError) -> str:
    if isinstance(error, UnicodeDecodeError):
        before = error.object[max(0, error.start - 30) : error.start].decode(error.encoding, "replace")
        return f"byte 0x{error.object[error.start]:02x} after {before!r}"
    return str(error)


def _check_byte_order_mark(upload: IO[bytes], encoding: Encoding) -> None:
    start = upload.read(3)
    upload.seek(0)
    for mark, marked in _MARKS.items():
        if start.startswith(mark) and encoding != marked:
            raise unreadable("line 1", f"{encoding} text", f"the byte order mark of {marked}")
