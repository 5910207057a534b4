"""What is read out of the forms of a packet, held against its tables."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from babel.numbers import parse_decimal
from packet_readers import PageReader, Rows, read_csv
from swardcost_api.packets.document import Kind, Table
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice, Value, number_of
from swardcost_model.values import Money

_DIGITS = re.compile("[0-9][0-9.,\u00a0\u202f]*")
_CODED = {Kind.QUANTITY, Kind.UNIT_PRICE}


def assert_page(tables: Iterable[Table], page: PageReader, locale: str) -> None:
    """A page prints every head and every cell."""
    for table in tables:
        head, *rows = page.tables[table.id]
        assert [title.strip() for title in head] == [column.title for column in table.columns]
        for row, printed in zip(table.rows, rows, strict=True):
            for cell, text in zip(row.cells, printed, strict=True):
                assert_printed(cell.value, text, locale)


def assert_printed(value: Value | None, text: str, locale: str) -> None:
    """A value is printed in the form of its country, with its sign."""
    if value is None or isinstance(value, str | date | MonthOf):
        assert text == Formatter(locale).text(value)
        return
    found = _DIGITS.search(text)
    assert found, text
    printed = found.group().rstrip("\u00a0\u202f.,").replace("\u202f", "\u00a0")
    due = number_of(value)
    assert due is not None
    assert parse_decimal(printed, locale=locale.replace("-", "_")) == abs(due), (text, value)
    assert ("-" in text[: found.start()] or "\u2212" in text) == (due < 0), (text, value)


def assert_csv(tables: Iterable[Table], text: str) -> None:
    """CSV has every number, digit for digit."""
    read: Mapping[str, Rows] = read_csv(text)
    for table in tables:
        rows = read[table.caption][1 : 1 + len(table.rows)]
        for row, found in zip(table.rows, rows, strict=True):
            at = 0
            for column, cell in zip(table.columns, row.cells, strict=True):
                due = number_of(cell.value)
                if due is not None:
                    assert Decimal(found[at]) == due, (table.id, row.key, column.key)
                at += 2 if column.kind in _CODED else 1


def sheet_of(table: Table, sheets: Mapping[str, list[list[Any]]]) -> list[list[Any]]:
    """The rows of the sheet that a table is on, below its head."""
    return next(rows for rows in sheets.values() if rows[0][0] == table.caption)[2:]


def assert_sheets(tables: Iterable[Table], sheets: Mapping[str, list[list[Any]]]) -> None:
    """A workbook holds every number."""
    for table in tables:
        assert_cells(table, sheet_of(table, sheets))


def assert_cells(table: Table, rows: Sequence[list[Any]]) -> None:
    """The rows of a sheet hold every number of a table."""
    for row, found in zip(table.rows, rows, strict=False):
        at = 0
        for column, cell in zip(table.columns, row.cells, strict=True):
            number = number_of(cell.value)
            if number is not None:
                due = number / 100 if isinstance(cell.value, Share) else number
                assert Decimal(repr(round(found[at], 9))) == due, (table.id, row.key, column.key)
            at += 2 if column.kind is Kind.QUANTITY else 1
    assert len(rows) >= len(table.rows)


def read_back(data: dict[str, Any] | None) -> Value | None:
    """The value that JSON tells."""
    if data is None:
        return None
    match data["type"]:
        case "money":
            return Money.model_construct(amount=Decimal(data["amount"]), currency=data["currency"])
        case "unit_price":
            return UnitPrice(Decimal(data["amount"]), data["currency"], data["unit"])
        case "quantity":
            return Measured(Decimal(data["value"]), data["unit"], data["as_bought"])
        case "percent":
            return Share(Decimal(data["percent"]))
        case "month":
            return MonthOf.named(data["month"])
        case "date":
            return date.fromisoformat(data["date"])
        case "count":
            return int(data["count"])
        case _:
            return str(data["text"])
