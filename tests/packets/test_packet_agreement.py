"""One packet says the same in every face: what is read out of each is compared with the document."""

import json
import re
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from babel.numbers import parse_decimal
from packet_readers import read_csv, read_page, read_paper, read_workbook
from packet_samples import sample
from swardcost_api.packets.document import Document, Kind, Table
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.json_face import json_data, json_of
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.table_views import Citations, table_view
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice, Value, number_of
from swardcost_model.values import Money

_DIGITS = re.compile("[0-9][0-9.,\u00a0\u202f]*")
READERS = [("en-US", False), ("fr-CA", True), ("es-MX", True), ("de-DE", True)]


@cache
def packet(locale: str, metric: bool) -> Document:
    return in_reader_units(sample(locale, metric=metric))


def numbers(table: Table) -> list[list[Decimal | None]]:
    return [[number_of(cell.value) for cell in row.cells] for row in table.rows]


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_a_page_prints_the_figures_of_the_document(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    page = read_page(html_of(document))
    for table in document.tables:
        head, *rows = page.tables[table.id]
        assert [title.strip() for title in head] == [column.title for column in table.columns]
        assert page.notes[table.id] == [row.note for row in table.rows if row.note]
        for row, printed in zip(table.rows, rows, strict=True):
            for cell, text in zip(row.cells, printed, strict=True):
                assert_printed(cell.value, text, locale)
    for figure in document.figures:
        if figure.label in page.figures:
            assert_printed(figure.value, page.figures[figure.label], locale)


def assert_printed(value: Value | None, text: str, locale: str) -> None:
    if value is None or isinstance(value, str | date | MonthOf):
        assert text == Formatter(locale).text(value)
        return
    found = _DIGITS.search(text)
    assert found, text
    number = found.group().rstrip("\u00a0\u202f.,").replace("\u202f", "\u00a0")
    assert parse_decimal(number, locale=locale.replace("-", "_")) == number_of(value), (text, value)


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_paper_prints_every_row_of_every_table_in_its_order(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    paper, citations = read_paper(pdf_of(document)), Citations(document)
    at = 0
    for table in document.tables:
        for row in table_view(table, Formatter(locale), citations).rows:
            texts = []
            for cell in row.cells:
                texts += [cell.text, str(cell.citation.number) if cell.citation else ""]
            line = "".join("".join([*texts, row.note]).split())
            found = paper.find(line, at)
            assert found >= 0, line
            at = found + len(line)


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_csv_has_the_figures_digit_for_digit(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    tables = read_csv(csv_of(document))
    for table in document.tables:
        rows = tables[table.caption][1 : 1 + len(table.rows)]
        coded = [column.kind in {Kind.QUANTITY, Kind.UNIT_PRICE} for column in table.columns]
        for due, row in zip(numbers(table), rows, strict=True):
            at = 0
            for number, two in zip(due, coded, strict=True):
                if number is not None:
                    assert Decimal(row[at]) == number
                at += 2 if two else 1


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_a_workbook_holds_the_figures_in_its_cells(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    sheets = read_workbook(xlsx_of(document))
    for table in document.tables:
        rows = next(rows for rows in sheets.values() if rows[0][0] == table.caption)[2:]
        assert_cells(table, rows)


def assert_cells(table: Table, rows: list[list[Any]]) -> None:
    for row, found in zip(table.rows, rows, strict=False):
        at = 0
        for column, cell in zip(table.columns, row.cells, strict=True):
            number = number_of(cell.value)
            if number is not None:
                due = number / 100 if isinstance(cell.value, Share) else number
                assert Decimal(repr(round(found[at], 9))) == due, (table.id, row.key, column.key)
            at += 2 if column.kind is Kind.QUANTITY else 1
    assert len(rows) >= len(table.rows)


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_json_has_every_value_with_its_type_and_its_printed_text(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    data = json.loads(json_of(document))
    assert data == json.loads(json.dumps(json_data(document)))
    found = {part["id"]: part for part in data["parts"] if part["kind"] == "table"}
    found |= {part["data"]["id"]: part["data"] for part in data["parts"] if part["kind"] == "chart"}
    formatter = Formatter(locale)
    for table in document.tables:
        for row, due in zip(found[table.id]["rows"], table.rows, strict=True):
            for cell, wanted in zip(row["cells"], due.cells, strict=True):
                assert read_back(cell["value"]) == wanted.value
                if cell["value"] and cell["value"]["type"] != "text":
                    assert cell["value"]["shown"] == formatter.text(wanted.value)


def read_back(data: dict[str, Any] | None) -> Value | None:
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


def test_the_same_packet_has_the_same_bytes_in_every_face() -> None:
    for face in (html_of, pdf_of, xlsx_of, csv_of, json_of):
        assert face(sample()) == face(sample())


def test_every_reference_of_a_page_leads_somewhere_and_every_id_stands_once() -> None:
    page = read_page(html_of(sample()))
    assert len(page.ids) == len(set(page.ids))
    assert set(page.targets) <= set(page.ids)
    assert sum(target.startswith("why-") for target in page.targets) > 60
    assert page.headings[0] == 1
    assert all(after <= before + 1 for before, after in zip(page.headings, page.headings[1:], strict=False))
