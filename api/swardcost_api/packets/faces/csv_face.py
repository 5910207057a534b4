"""A packet as CSV (RFC 4180): its figures and tables one below the other, digits plain, text never a formula."""

import csv
import io
from collections.abc import Iterator

from swardcost_api.csv_files import guarded
from swardcost_api.packets.document import Chart, Column, Document, Figures, Kind, Table
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.packet_views import mark_words
from swardcost_api.packets.faces.table_views import currency_of, notes_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import Share, Value, number_of

_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"
"""The byte order mark, by which spreadsheet programs tell UTF-8."""
_CODED = {Kind.QUANTITY, Kind.UNIT_PRICE}
"""Columns whose unit takes a column of its own."""


def csv_of(document: Document) -> str:
    """The packet as CSV. Tables are parted by an empty row; each has its caption, its head and its entries.

    Where a figure or an entry has a note, a last column tells the notes; those of a table stand below it.
    """
    formatter = Formatter(document.locale)
    out = io.StringIO()
    out.write(_MARK)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_text(document.title), _text(document.club), mark_words(document, formatter.words)])
    for part in document.parts:
        match part:
            case Figures():
                writer.writerow([])
                noted = any(one.note for one in part.items)
                for one in part.items:
                    unit = "%" if isinstance(one.value, Share) else formatter.unit_words(one.value)
                    note = [_text(one.note)] if noted else []
                    writer.writerow([_text(one.label), _plain(one.value), _text(unit), *note])
            case Table():
                writer.writerows(_rows(part, formatter))
            case Chart():
                writer.writerows(_rows(part.data, formatter))
    return out.getvalue()


def _rows(table: Table, formatter: Formatter) -> Iterator[list[str]]:
    yield []
    yield [_text(table.caption)]
    noted = any(map(notes_of, table.rows))
    head = []
    for index, column in enumerate(table.columns):
        head += [_text(title) for title in _titles(column, currency_of(table, index), formatter)]
    yield [*head, formatter.words.say("Note")] if noted else head
    for row in table.rows:
        cells = []
        for column, cell in zip(table.columns, row.cells, strict=True):
            cells.append(_plain(cell.value))
            if column.kind in _CODED:
                cells.append(_text(formatter.unit_words(cell.value)))
        yield [*cells, _text(notes_of(row))] if noted else cells
    for note in table.notes:
        yield [_text(note)]


def _titles(column: Column, currency: str | None, formatter: Formatter) -> list[str]:
    if column.kind in _CODED:
        return [column.title, formatter.words.say("Unit")]
    if column.kind is Kind.PERCENT:
        return [f"{column.title}, %"]
    return [f"{column.title}, {currency}" if currency else column.title]


def _plain(value: Value | None) -> str:
    """Digits with a point and without groups, days and months as ISO 8601 writes them."""
    if value is None:
        return ""
    number = number_of(value)
    if number is not None:
        return format(number, "f")
    return _text(str(value))


def _text(text: str) -> str:
    return guarded(calm(text))
