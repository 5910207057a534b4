"""Workbooks made to harm: they are refused before anything unfolds them or makes room for them."""

import io
import random
import struct
import tracemalloc
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
import xlsxwriter
from swardcost_api.xlsx_files import read_rows
from swardcost_api.xlsx_parts import MAX_UNPACKED_BYTES
from swardcost_model.problems import ProblemError

SHEET, STRINGS = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"
MAX_ROWS = 1000


def a_book(write: Callable[[Any, Any], object] = lambda _book, _page: None) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        page = book.add_worksheet("Items")
        page.write_row(0, 0, ["a", "b"])
        page.write_row(1, 0, ["x", 1.5])
        write(book, page)
    return out.getvalue()


def with_part(
    content: bytes, part: str, change: Callable[[bytes], bytes], packed: int = zipfile.ZIP_DEFLATED
) -> bytes:
    """The same workbook with a part changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(out, "w", packed) as target:
        for info in source.infolist():
            data = source.read(info)
            target.writestr(info.filename, change(data) if info.filename == part else data)
    return out.getvalue()


def replaced(part: str, old: bytes, new: bytes) -> bytes:
    book = a_book()
    with zipfile.ZipFile(io.BytesIO(book)) as source:
        assert old in source.read(part)
    return with_part(book, part, lambda data: data.replace(old, new, 1))


def rows_of(content: bytes) -> list[dict[str, str]]:
    return [row.cells for row in read_rows(io.BytesIO(content), "Items", ("a", "b"), (), MAX_ROWS)]


def refusal(content: bytes) -> str:
    with pytest.raises(ProblemError) as refused:
        rows_of(content)
    return refused.value.kind.slug


def a_bomb() -> bytes:
    """A third of a gigabyte of blanks in some hundred kilobytes."""
    blanks = b" " * (MAX_UNPACKED_BYTES + 1)
    return with_part(a_book(), SHEET, lambda data: data.replace(b"</worksheet>", blanks + b"</worksheet>"))


def test_a_workbook_that_unfolds_beyond_the_limit_is_refused_whatever_size_it_states() -> None:
    bomb = a_bomb()
    with zipfile.ZipFile(io.BytesIO(bomb)) as archive:
        size = archive.getinfo(SHEET).file_size
    lying = bomb.replace(struct.pack("<L", size), struct.pack("<L", 1000))
    assert lying != bomb
    tracemalloc.start()
    assert [refusal(bomb), refusal(lying)] == ["too-large", "too-large"]
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 40_000_000


@pytest.mark.parametrize(
    "content",
    [
        a_book(lambda _book, page: page.write(1_048_575, 0, "x")),
        a_book(lambda _book, page: page.write(0, 16_383, "x")),
        a_book(lambda _book, page: page.write(MAX_ROWS + 1, 0, "x")),
        replaced(SHEET, b'<row r="2"', b'<row r="1048576"'),
        replaced(SHEET, b'r="A2"', b'r="XFD1048576"'),
        replaced(SHEET, b"<worksheet", b'<!DOCTYPE w [<!ENTITY e "x">]><worksheet'),
        replaced(SHEET, b'encoding="UTF-8"', b'encoding="UTF-16"'),
        replaced(SHEET, b"</row>", b"</rows>"),
        replaced(STRINGS, b'uniqueCount="3"', b'uniqueCount="99999999999"'),
        replaced("xl/_rels/workbook.xml.rels", b"worksheets/sheet1.xml", b"../../etc/passwd"),
        with_part(a_book(), SHEET, bytes, zipfile.ZIP_LZMA),
        a_book()[:-30],
        a_book()[:300],
        b"a,b\r\nx,1.5\r\n",
        b"",
    ],
    ids=[
        "last row", "last column", "beyond the rows", "row of another number", "cell of another row",
        "document type", "encoding", "tags", "announced strings", "part outside", "packing", "no directory",
        "cut off", "csv", "empty",
    ],
)  # fmt: skip
def test_what_is_no_plain_workbook_is_refused(content: bytes) -> None:
    assert refusal(content) == "invalid-workbook"


def test_a_workbook_of_too_many_parts_is_refused() -> None:
    book = io.BytesIO(a_book())
    with zipfile.ZipFile(book, "a") as archive:
        for number in range(1000):
            archive.writestr(f"xl/media/{number}.png", b"")
    assert refusal(book.getvalue()) == "invalid-workbook"


def test_a_part_that_differs_from_its_checksum_is_refused() -> None:
    stored = with_part(a_book(), SHEET, bytes, zipfile.ZIP_STORED)
    assert rows_of(stored) == [{"a": "x", "b": "1.5"}]
    assert refusal(stored.replace(b"<v>1.5</v>", b"<v>9.5</v>")) == "invalid-workbook"


def test_formats_far_out_and_what_other_programs_leave_out_do_no_harm() -> None:
    def write(book: Any, page: Any) -> None:
        page.write_blank(1_048_575, 16_383, None, book.add_format({"bold": True}))

    assert rows_of(a_book(write)) == [{"a": "x", "b": "1.5"}]
    bare = with_part(a_book(), SHEET, lambda data: data.replace(b'r="A2" ', b"").replace(b'r="B2"', b""))
    assert rows_of(bare) == [{"a": "x", "b": "1.5"}]


def test_broken_parts_are_read_or_refused_and_never_anything_else() -> None:
    with zipfile.ZipFile(io.BytesIO(a_book(lambda _book, page: page.write_boolean(2, 0, True)))) as source:
        parts = {name: source.read(name) for name in source.namelist()}
    chance = random.Random(20260301)
    outcomes = set()
    for _ in range(400):
        broken = dict(parts)
        name = chance.choice(
            [SHEET, STRINGS, "xl/workbook.xml", "xl/styles.xml", "xl/_rels/workbook.xml.rels"]
        )
        data = bytearray(broken[name])
        for _ in range(chance.randint(1, 4)):
            data[chance.randrange(len(data))] = chance.choice(b'0129AZ<>/"& \xff')
        broken[name] = bytes(data)
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as target:
            for part, content in broken.items():
                target.writestr(part, content)
        try:
            rows_of(out.getvalue())
            outcomes.add("read")
        except ProblemError as problem:
            outcomes.add(problem.kind.slug)
    assert outcomes == {"read", "invalid-workbook"}
