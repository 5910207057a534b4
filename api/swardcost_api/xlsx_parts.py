"""The parts of a workbook that are read, unpacked under limits and looked over before any library reads them.

A workbook of a few kilobytes may unfold to gigabytes, or place one cell in the last corner of a sheet, for which a
reader then makes room. Neither gets past here: parts are unpacked up to a limit, filled cells must lie within the rows
and columns that a table may have, and what is handed on is a new archive of nothing but the looked-over parts.
"""

import copy
import errno
import re
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import IO
from xml.etree import ElementTree
from xml.parsers import expat

from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

MAX_PARTS = 1000
MAX_UNPACKED_BYTES = 300 * 1024 * 1024
MAX_COLUMNS = 100
MAX_COUNT = 10_000_000
"""Entries that a list within a part may announce."""
MAX_VALUELESS = 100
"""Cells without a value that are told of."""

Place = tuple[int, int]
"""Row and column of a cell, from 1."""

_WORKBOOK, _RELATIONS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_NEEDED = ("[Content_Types].xml", "_rels/.rels", _WORKBOOK, _RELATIONS)
_SHARED = ("xl/sharedStrings.xml", "xl/styles.xml")
_RELATION_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, ElementTree.ParseError, EOFError, NotImplementedError, RuntimeError, ValueError,
)  # fmt: skip
_CHUNK = 1024 * 1024
_CELL = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")


@dataclass(frozen=True)
class Parts:
    """An archive of the parts, to be closed; the name of the sheet; and its cells that hold no value, with why."""

    archive: IO[bytes]
    sheet: str
    valueless: dict[Place, str]


def unpack_sheet(upload: IO[bytes], sheet: str | None, max_rows: int) -> Parts:
    """What is needed to read one sheet of a workbook: the one of that name, else the only one; or the first.

    Raises `invalid-workbook`, or `too-large` where it unfolds to more than is taken.
    """
    expected = "a workbook as a spreadsheet program saves it (.xlsx)"
    try:
        with zipfile.ZipFile(upload) as source:
            return _unpack(_Source(source, max_rows), sheet)
    except _UNREADABLE as error:
        raise unusable("file", expected, str(error)[:120]) from None
    except OSError as error:
        if error.errno != errno.EINVAL:  # an offset before the start of the file
            raise
        raise unusable("file", expected, "parts outside of the file") from None


def unusable(place: str, expected: str, got: str | None = None) -> ProblemError:
    """The refusal of what is no workbook of the expected form."""
    return ProblemError(
        problems.INVALID_WORKBOOK, "The workbook cannot be read; nothing was changed.",
        [Fault(pointer=place, expected=expected, got=got)],
    )  # fmt: skip


def _unpack(source: "_Source", sheet: str | None) -> Parts:
    small = {name: b"".join(source.chunks(name)) for name in _NEEDED}
    name, part = _chosen(small[_WORKBOOK], small[_RELATIONS], sheet)
    archive: IO[bytes] = tempfile.SpooledTemporaryFile(max_size=8 * _CHUNK)  # noqa: SIM115
    try:
        valueless: dict[Place, str] = {}
        with zipfile.ZipFile(archive, "w") as target:
            for one, content in small.items():
                target.writestr(one, content)
            for one in (*filter(source.has, _SHARED), part):
                with target.open(one, "w", force_zip64=True) as out:
                    for chunk in source.chunks(one, valueless):
                        out.write(chunk)
        archive.seek(0)
    except BaseException:
        archive.close()
        raise
    return Parts(archive, name, valueless)


def _chosen(workbook: bytes, relations: bytes, wanted: str | None) -> tuple[str, str]:
    """The name of the sheet to read and the part that it is in."""
    sheets = {
        one.get("name", ""): one.get(_RELATION_ID)
        for one in ElementTree.fromstring(workbook).iter()
        if _local(one.tag, "}") == "sheet"
    }
    named = [one for one in sheets if wanted is None or one.lower() == wanted.lower()]
    if not sheets or (not named and len(sheets) != 1):
        raise unusable(
            "file", f"a sheet named {wanted or 'anything'}, or a single sheet", ", ".join(sheets)[:200]
        )
    name = (named or list(sheets))[0]
    targets = {one.get("Id"): one.get("Target", "") for one in ElementTree.fromstring(relations)}
    target = targets.get(sheets[name]) or "nothing"
    return name, target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _local(name: str, separator: str) -> str:
    """A name of XML without its namespace."""
    return name.rpartition(separator)[2]


class _Source:
    """The parts of an uploaded archive, counted by what they really unfold to."""

    def __init__(self, archive: zipfile.ZipFile, max_rows: int) -> None:
        members = archive.infolist()
        if len(members) > MAX_PARTS:
            raise unusable("file", f"a workbook of at most {MAX_PARTS} parts", str(len(members)))
        self._archive = archive
        self._members = {info.filename: info for info in members}
        self._max_rows = max_rows
        self._left = MAX_UNPACKED_BYTES

    def has(self, part: str) -> bool:
        return part in self._members

    def chunks(self, part: str, valueless: dict[Place, str] | None = None) -> Iterator[bytes]:
        """The content of a part, looked over; `valueless` takes up its cells that hold no value."""
        stated = self._members.get(part)
        if stated is None:
            raise unusable("file", f"a workbook (.xlsx), which has the part {part}")
        if stated.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise unusable(part, "a part packed by deflate, or not packed at all")
        unstated = copy.copy(stated)
        unstated.file_size = MAX_UNPACKED_BYTES + 1  # read to the true end, wherever the archive says it is
        del unstated.CRC
        look, size, crc = _Look(part, self._max_rows, valueless), 0, 0
        with self._archive.open(unstated) as content:
            while chunk := content.read(_CHUNK):
                size, crc = size + len(chunk), zlib.crc32(chunk, crc)
                self._left -= len(chunk)
                if self._left < 0:
                    expected = f"A workbook may unfold to {MAX_UNPACKED_BYTES:,} bytes; this one has more."
                    raise ProblemError(problems.TOO_LARGE, expected)
                look.feed(chunk)
                yield chunk
        look.feed(b"", last=True)
        if (size, crc) != (stated.file_size, stated.CRC):
            raise unusable(part, "a part of the size and with the checksum that the archive states")


@dataclass
class _Formula:
    """A cell with a formula on the way through it, and whether its computed value has come."""

    is_text: bool
    in_value: bool = False
    has_value: bool = False


class _Look:
    """Looks a part over: plain XML, filled cells within bounds, and which of them hold no value."""

    def __init__(self, part: str, max_rows: int, valueless: dict[Place, str] | None) -> None:
        self._part, self._max_rows, self._valueless = part, max_rows, valueless
        self._row = self._column = 0
        self._kind: str | None = None
        self._formula: _Formula | None = None
        self._parser = expat.ParserCreate()
        self._parser.XmlDeclHandler = self._declaration
        self._parser.StartDoctypeDeclHandler = self._doctype
        self._parser.StartElementHandler = self._start

    def feed(self, chunk: bytes, last: bool = False) -> None:
        try:
            self._parser.Parse(chunk, last)
        except expat.ExpatError as error:
            raise unusable(self._part, "well-formed XML", str(error)) from None

    def _declaration(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() != "utf-8":
            raise unusable(self._part, "XML in UTF-8", encoding)

    def _doctype(self, *_about: object) -> None:
        raise unusable(self._part, "XML without a document type declaration")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        name = _local(name, ":") if ":" in name else name
        if name == "c":
            self._enter_cell(attributes)
        elif name == "v" or name == "is":
            self._refuse_far_cell()
            if self._kind == "e":
                self._tell("a value; the cell holds an error of its formula")
            if self._formula is not None:
                self._formula.in_value = True
        elif name == "f":
            self._refuse_far_cell()
            self._formula = _Formula(is_text=self._kind == "str")
            self._parser.CharacterDataHandler = self._text
            self._parser.EndElementHandler = self._end
        elif name == "row":
            self._row = int(attributes.get("r", self._row + 1))
            self._column = 0
        elif name not in ("t", "si", "r"):
            self._refuse_large_count(attributes)

    def _enter_cell(self, attributes: dict[str, str]) -> None:
        place = attributes.get("r")
        self._kind = attributes.get("t")
        if place is None:
            self._column += 1
            return
        match = _CELL.fullmatch(place)
        if match is None or int(match[2]) != self._row:
            raise unusable(self._part, f"cells of row {self._row}, named such as B{self._row}", place[:40])
        self._column = _number_of(match[1])

    def _refuse_far_cell(self) -> None:
        if self._column > MAX_COLUMNS or self._row > self._max_rows:
            raise unusable(
                f"row {self._row}", f"filled cells in the first {self._max_rows:,} rows and {MAX_COLUMNS} columns",
                f"one in column {self._column}",
            )  # fmt: skip

    def _refuse_large_count(self, attributes: dict[str, str]) -> None:
        """Readers make room for as many entries as are announced."""
        for name in ("count", "uniqueCount"):
            if int(attributes.get(name, 0)) > MAX_COUNT:
                raise unusable(self._part, f"lists of at most {MAX_COUNT:,} entries", attributes[name][:40])

    def _text(self, _text: str) -> None:
        if self._formula is not None and self._formula.in_value:
            self._formula.has_value = True

    def _end(self, name: str) -> None:
        name = _local(name, ":")
        if self._formula is None or name not in ("v", "c"):
            return
        self._formula.in_value = False
        if name == "c":
            if not self._formula.has_value and not self._formula.is_text:
                self._tell("a value; the cell holds a formula that no spreadsheet program has computed yet")
            self._formula = None
            self._parser.CharacterDataHandler = self._parser.EndElementHandler = None

    def _tell(self, why: str) -> None:
        if self._valueless is not None and len(self._valueless) < MAX_VALUELESS:
            self._valueless[self._row, self._column] = why


@cache
def _number_of(column: str) -> int:
    """The number of a column by its letters: A is 1, Z is 26, AA is 27."""
    number = 0
    for letter in column:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
