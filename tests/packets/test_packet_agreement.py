"""One packet says the same in every face: what is read out of each is compared with the document."""

import json
from functools import cache

import pytest
from packet_comparing import assert_csv, assert_printed, assert_sheets, read_back
from packet_readers import read_page, read_paper, read_workbook
from packet_samples import sample
from swardcost_api.packets.document import Document
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.json_face import json_data, json_of
from swardcost_api.packets.faces.pdf_face import pdf_of
from swardcost_api.packets.faces.table_views import Citations, table_view
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.reader_units import in_reader_units

READERS = [("en-US", False), ("fr-CA", True), ("es-MX", True), ("de-DE", True)]


@cache
def packet(locale: str, metric: bool) -> Document:
    return in_reader_units(sample(locale, metric=metric))


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
    assert_csv(document.tables, csv_of(document))


@pytest.mark.parametrize(("locale", "metric"), READERS)
def test_a_workbook_holds_the_figures_in_its_cells(locale: str, metric: bool) -> None:
    document = packet(locale, metric)
    assert_sheets(document.tables, read_workbook(xlsx_of(document)))


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
