"""What is read out of the forms of a packet, held against its document: every figure and every cell of every table."""

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from babel.numbers import parse_decimal
from packet_readers import PageReader, csv_blocks
from swardcost_api.csv_files import guarded
from swardcost_api.packets.document import Cell, Chart, Document, Figures, Kind, Row, Table
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.table_views import Citations, table_view
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import MonthOf, Share, Value, number_of

_DIGITS = re.compile("[0-9][0-9.,\u00a0\u202f]*")
_CODED = {Kind.QUANTITY, Kind.UNIT_PRICE}

Sheets = Mapping[str, list[list[Any]]]


def told(document: Document) -> Iterator[Figures | Table]:
    """Figures and tables in the order in which they are read, those of charts among them."""
    for part in document.parts:
        match part:
            case Figures() | Table():
                yield part
            case Chart():
                yield part.data


def assert_page(document: Document, page: PageReader) -> None:
    """A page prints every head, cell, note and figure, each in its place and in full."""
    for table in document.tables:
        head, *rows = page.tables[table.id]
        assert [title.strip() for title in head] == [calm(column.title) for column in table.columns]
        assert page.notes[table.id] == [calm(row.note) for row in table.rows if row.note]
        for row, printed in zip(table.rows, rows, strict=True):
            for cell, text in zip(row.cells, printed, strict=True):
                assert_printed(cell.value, text, document.locale)
    assert page.remarks == [calm(note) for part in told(document) for note in _remarks(part) if note]
    assert [label for label, _ in page.figures] == [calm(one.label) for one in document.figures]
    for figure, (_, text) in zip(document.figures, page.figures, strict=True):
        assert_printed(figure.value, text, document.locale)
        assert _joined(text) == _joined(calm(Formatter(document.locale).text(figure.value)))


def _remarks(part: Figures | Table) -> Iterator[str]:
    """What is noted of figures, or of the cells of each row and then of the row, and last of the table."""
    if isinstance(part, Figures):
        yield from (figure.note for figure in part.items)
    else:
        for row in part.rows:
            yield from (cell.note for cell in row.cells)
            yield row.note
        yield from part.notes


def assert_printed(value: Value | None, text: str, locale: str) -> None:
    """A value is printed in the form of its country, with its sign."""
    if value is None or isinstance(value, str | date | MonthOf):
        assert text == calm(Formatter(locale).text(value))
        return
    found = _DIGITS.search(text)
    assert found, text
    printed = found.group().rstrip("\u00a0\u202f.,").replace("\u202f", "\u00a0")
    due = number_of(value)
    assert due is not None
    assert parse_decimal(printed, locale=locale.replace("-", "_")) == abs(due), (text, value)
    assert ("-" in text[: found.start()] or "\u2212" in text) == (due < 0), (text, value)


def assert_paper(document: Document, paper: str) -> None:
    """Paper prints every figure and every row of every table in their order, with numbers of steps and notes."""
    citations, formatter, at = Citations(document), Formatter(document.locale), 0
    for part in told(document):
        if isinstance(part, Figures):
            lines = [
                [one.label, formatter.text(one.value), _number(document, one.why), one.note]
                for one in part.items
            ]
        else:
            lines = []
            for row in table_view(part, formatter, citations).rows:
                numbers = [str(one.citation.number) if one.citation else "" for one in row.cells]
                cells = [[one.text, number, one.note] for one, number in zip(row.cells, numbers, strict=True)]
                lines.append([*(text for cell in cells for text in cell), row.note])
            lines += [[note] for note in part.notes]
        for texts in lines:
            line = _joined(calm("".join(texts)))
            found = paper.find(line, at)
            assert found >= 0, line
            at = found + len(line)


def _number(document: Document, why: str | None) -> str:
    return "" if why is None else str(document.numbers[why])


def _joined(text: str) -> str:
    return "".join(text.split())


def assert_csv(document: Document, text: str) -> None:
    """CSV has every figure and cell with its notes: digit for digit, days and months as ISO 8601 writes them, text."""
    _, *blocks = csv_blocks(text)
    formatter = Formatter(document.locale)
    for part, block in zip(told(document), blocks, strict=True):
        if isinstance(part, Figures):
            noted = any(figure.note for figure in part.items)
            for figure, found in zip(part.items, block, strict=True):
                unit = "%" if isinstance(figure.value, Share) else formatter.unit_words(figure.value)
                note = [_text(figure.note)] * noted
                assert found == [_text(figure.label), _plain(figure.value), unit, *note]
            continue
        (caption,), head, *rows = block
        assert caption == _text(part.caption)
        assert rows[len(part.rows) :] == [[_text(note)] for note in part.notes]
        noted = any(map(_notes, part.rows))
        for row, found in zip(part.rows, rows, strict=False):
            due = []
            for column, cell in zip(part.columns, row.cells, strict=True):
                due.append(_plain(cell.value))
                if column.kind in _CODED:
                    due.append(formatter.unit_words(cell.value))
            assert found == due + [_text(_notes(row))] * noted, (part.id, row.key)
        heads = [
            title
            for one in part.columns
            for title in ([one.title] if one.kind not in _CODED else [one.title, ""])
        ]
        heads += [formatter.words.say("Note")] * noted
        assert len(head) == len(heads)
        assert all(found.startswith(_text(title)) for title, found in zip(heads, head, strict=True))


def _notes(row: Row) -> str:
    """What is said of a row, and then of its cells."""
    return " ".join(note for note in (row.note, *(cell.note for cell in row.cells)) if note)


def _plain(value: Value | None) -> str:
    number = number_of(value)
    if number is not None:
        return format(number, "f")
    return "" if value is None else _text(str(value))


def _text(text: str) -> str:
    return guarded(calm(text))


def sheet_of(table: Table, sheets: Sheets) -> list[list[Any]]:
    """The rows of the sheet that a table is on, below its head."""
    return next(rows for rows in sheets.values() if rows[0][0] == calm(table.caption))[2:]


def assert_sheets(document: Document, sheets: Sheets) -> None:
    """A workbook holds every figure on its first sheet, and every cell and note of each table on a sheet of its own."""
    first, *others = sheets.values()
    formatter = Formatter(document.locale)
    _assert_first_sheet(document, formatter, first)
    for table, rows in zip(document.tables, others, strict=False):
        assert rows[0][0] == calm(table.caption)
        at = 0
        for index, column in enumerate(table.columns):
            assert rows[1][at].startswith(calm(column.title))
            for row, found in zip(table.rows, rows[2:], strict=False):
                where = (table.id, row.key, column.key)
                assert_cell(row.cells[index], found[at], where)
                if column.kind is Kind.QUANTITY:
                    assert found[at + 1] == formatter.unit_words(row.cells[index].value), where
            at += 2 if column.kind is Kind.QUANTITY else 1
        if any(map(_notes, table.rows)):
            at = rows[1].index(formatter.words.say("Note"), at)
            noted = [row[at] for row in rows[2 : len(table.rows) + 2]]
            assert noted == [calm(_notes(row)) for row in table.rows], table.id
        assert [row[0] for row in rows[len(table.rows) + 3 :]] == [calm(note) for note in table.notes]
    assert len(others) == len(document.tables) + bool(document.derivations)


def _assert_first_sheet(document: Document, formatter: Formatter, rows: list[list[Any]]) -> None:
    at = 0
    for figure in document.figures:
        at = next(place for place in range(at, len(rows)) if rows[place][0] == calm(figure.label))
        _, found, unit, number, note = rows[at][:5]
        assert_cell(Cell(figure.value), found, figure.label)
        assert unit == formatter.unit_words(figure.value)
        assert (number, note) == (_number(document, figure.why), calm(figure.note))
        at += 1


def assert_cell(cell: Cell, found: Any, where: Any) -> None:
    """What a workbook holds is the value of a cell: a number, a day, the first of a month, or text."""
    number = number_of(cell.value)
    if number is not None:
        due = number / 100 if isinstance(cell.value, Share) else number
        assert Decimal(repr(round(found, 9))) == due, where
    elif isinstance(cell.value, date | MonthOf):
        day = cell.value if isinstance(cell.value, date) else date(cell.value.year, cell.value.month, 1)
        assert (found.date() if isinstance(found, datetime) else found) == day, where
    else:
        assert found == calm(cell.value or ""), where
