"""One packet says the same in every face: every figure and every cell that is read out of each is the document's."""

import io
import json
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

import pypdf
import pytest
from packet_comparing import assert_csv, assert_page, assert_paper, assert_sheets
from packet_json import document_of
from packet_readers import read_page, read_paper, read_workbook
from packet_samples import sample
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Document,
    Figures,
    Kind,
    Part,
    Row,
    Table,
    Weight,
)
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.json_face import json_of
from swardcost_api.packets.faces.packet_views import packet_view
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.values import Measured, MonthOf, Value

READERS = [("en-US", False), ("fr-CA", True), ("es-MX", True), ("de-DE", True)]


@cache
def packet(locale: str, metric: bool) -> Document:
    return sample(locale, metric=metric)


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_a_page_prints_the_figures_of_the_document(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    assert_page(document, read_page(html_of(document)))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_paper_prints_every_figure_and_row_in_its_order(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    assert_paper(document, read_paper(pdf_of(document)))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_csv_has_every_figure_and_cell_digit_for_digit(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    assert_csv(document, csv_of(document))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_a_workbook_holds_every_figure_and_cell(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    assert_sheets(document, read_workbook(xlsx_of(document)))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_json_tells_the_whole_document_again(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    again = document_of(json.loads(json_of(document)))
    for one, other in zip(again.tables, document.tables, strict=True):
        assert (one.id, one.caption, one.columns, one.notes) == (
            other.id, other.caption, other.columns, other.notes,
        )  # fmt: skip
        assert one.rows == tuple(map(not_computed, other.rows))
    assert again.figures == document.figures
    assert again.derivations == document.derivations
    assert [replace(one, data=None) for one in again.charts] == [
        replace(one, data=None) for one in document.charts
    ]


def not_computed(row: Row) -> Row:
    """A row whose cells do not say how they follow from others."""
    return replace(row, cells=tuple(replace(cell, computed=None) for cell in row.cells))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_json_has_the_printed_text_of_every_value(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    formatter = Formatter(locale)
    shown: list[str] = []

    def gathered(data: dict[str, Any]) -> dict[str, Any]:
        if "shown" in data:
            shown.append(data["shown"])
        return data

    json.loads(json_of(document), object_hook=gathered)
    due = [formatter.text(one) for one in document.values() if not isinstance(one, str)]
    assert len(due) > 300
    assert sorted(shown) == sorted(due)


def without(missing: type[Part]) -> Callable[[Document], Document]:
    def less(document: Document) -> Document:
        last = next(one for one in reversed(document.parts) if isinstance(one, missing))
        return replace(document, parts=tuple(one for one in document.parts if one is not last))

    return less


def with_other(value: Value, other: Value) -> Callable[[Document], Document]:
    def put(held: Any) -> Any:
        if held == value:
            return other
        if isinstance(held, tuple):
            return tuple(map(put, held))
        if is_dataclass(held):
            return replace(held, **{one.name: put(getattr(held, one.name)) for one in fields(held)})
        return held

    return put


@pytest.mark.parametrize(
    "changed",
    [
        without(Figures),
        without(Table),
        with_other("Edition of March 2026", "Edition of May 2026"),
        with_other(date(2026, 3, 1), date(2026, 3, 2)),
        with_other(date(2026, 8, 3), date(2026, 8, 4)),
        with_other(MonthOf(2026, 8), MonthOf(2026, 9)),
        with_other(
            Measured(Decimal("412.50"), "short_ton", True), Measured(Decimal("412.51"), "short_ton", True)
        ),
        with_other("1520-03", "1520-30"),
        with_other("The price is older than ninety days.", ""),
        with_other("At least: Sod, bentgrass, rolls", "At most: Sod, bentgrass, rolls"),
    ],
)
def test_a_form_that_says_something_else_is_found(changed: Callable[[Document], Document]) -> None:
    """The comparisons themselves: what a form leaves out or says otherwise does not pass them."""
    document = replace(packet("en-US", False), parts=tuple(map(apart, packet("en-US", False).parts)))
    other = changed(document)
    for compared in (
        lambda: assert_page(document, read_page(html_of(other))),
        lambda: assert_paper(document, read_paper(pdf_of(other))),
        lambda: assert_csv(document, csv_of(other)),
        lambda: assert_sheets(document, read_workbook(xlsx_of(other))),
    ):
        with pytest.raises((AssertionError, ValueError, KeyError, StopIteration)):
            compared()


def apart(part: Part) -> Part:
    """A part that needs no other."""
    match part:
        case Figures():
            return replace(part, items=tuple(replace(one, same_as=None) for one in part.items))
        case Table():
            return replace(part, rows=tuple(map(not_computed, part.rows)))
        case Chart():
            return replace(part, data=apart(part.data))
        case _:
            return part


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


@pytest.mark.parametrize(("locale", "colon"), [("en-US", ": "), ("fr-CA", "\u202f: "), ("es-MX", ": ")])
def test_a_colon_stands_as_its_language_has_it_in_every_form(locale: str, colon: str) -> None:
    document = packet(locale, locale != "en-US")
    due = f"A, area{colon}{Formatter(locale).number(Decimal(913))}"
    assert due in "".join(read_page(html_of(document)).data)
    cells = [cell for rows in read_workbook(xlsx_of(document)).values() for row in rows for cell in row]
    assert any(str(cell).startswith(due) for cell in cells)
    assert "".join(due.split()) in read_paper(pdf_of(document))
    assert packet_view(document).labels["colon"] == colon


def numbered(count: int) -> Table:
    """A table of so many rows and their total, each with a name of its own."""
    rows = [Row(f"r{at}", (Cell(f"t{count}-{at}."), Cell(at))) for at in range(count)]
    total = Cell(sum(range(count)), computed=Rows(tuple(row.key for row in rows)))
    columns = (Column("name", "Name"), Column("count", "Count", Kind.COUNT))
    last = Row("total", (Cell(f"t{count}-total"), total), Weight.TOTAL)
    return Table(f"t{count}", f"Table of {count}", columns, (*rows, last))


def test_a_total_stands_on_the_page_of_the_row_before_it() -> None:
    tables = tuple(map(numbered, range(20, 43)))
    document = replace(sample(lines=5), parts=tables)
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf_of(document))).pages]
    for table in tables:
        (page,) = (one for one in pages if f"{table.id}-total" in one)
        assert f"{table.id}-{len(table.rows) - 2}." in page, table.id
