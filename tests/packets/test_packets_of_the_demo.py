"""The packets of the invented club: each says the same in every form, in a spreadsheet program and in a browser."""

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from demo_played import ONCE, Played
from packet_comparing import assert_csv, assert_page, assert_sheets, read_back
from packet_readers import read_page, read_paper, read_workbook
from swardcost import Client
from swardcost_api.packets.document import Cell, Column, Kind, Row, Table
from test_packet_browsing import CHROMIUM, sync_api
from test_packet_workbooks import computed, edited, needs_office, without_values

pytestmark = ONCE

KINDS = ("estimate", "budget", "work_report", "capital_plan")


@dataclass(frozen=True)
class Issued:
    """A packet of the demo: its document as data, and the folder of the files that the demo wrote."""

    number: int
    locale: str
    document: dict[str, Any]
    folder: Path
    csv: str

    def file(self, ending: str) -> Path:
        return self.folder / f"packet-{self.number}.{ending}"

    @property
    def tables(self) -> list[Table]:
        parts = self.document["parts"]
        found = [one for one in parts if one["kind"] == "table"]
        return [table_of(one) for one in [*found, *(one["data"] for one in parts if one["kind"] == "chart")]]


def table_of(data: dict[str, Any]) -> Table:
    """A table as its data tells it."""
    columns = [Column(one["key"], one["title"], Kind(one["kind"])) for one in data["columns"]]
    rows = [
        Row(one["key"], tuple(Cell(read_back(cell["value"])) for cell in one["cells"]))
        for one in data["rows"]
    ]
    return Table(data["id"], data["caption"], tuple(columns), tuple(rows))


@pytest.fixture(scope="module", params=KINDS)
def issued(request: pytest.FixtureRequest, played: Played, address: str) -> Issued:
    with Client(address, club="heron-mere", key=played.key) as client:
        packet = next(one for one in client.packets.list() if one.kind == request.param)
        document = json.loads(client.packets.file(packet.id, "json"))
        text = client.packets.file(packet.id, "csv").decode()
    return Issued(packet.number, packet.locale, document, played.folder / "packets", text)


def test_the_page_prints_what_the_data_tells(issued: Issued) -> None:
    page = read_page(issued.file("html").read_text(encoding="utf-8"))
    assert_page(issued.tables, page, issued.locale)
    assert sum(len(table.rows) for table in issued.tables) > 100


def test_paper_prints_what_the_data_tells(issued: Issued) -> None:
    paper = read_paper(issued.file("pdf").read_bytes())
    for table in issued.tables:
        assert "".join(table.caption.split()) in paper
        for text in (cell.value for row in table.rows for cell in row.cells if isinstance(cell.value, str)):
            assert "".join(text.split()) in paper


def test_csv_has_the_numbers_of_the_data(issued: Issued) -> None:
    assert_csv(issued.tables, issued.csv)


@needs_office
def test_another_program_computes_the_numbers_of_the_data_to_the_cent(issued: Issued, tmp_path: Path) -> None:
    book = edited(issued.file("xlsx").read_bytes(), without_values)
    assert_sheets(issued.tables, computed(book, tmp_path))


def test_the_workbook_came_with_the_numbers_of_the_data(issued: Issued) -> None:
    assert_sheets(issued.tables, read_workbook(issued.file("xlsx").read_bytes()))


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium")
def test_the_page_fits_a_phone_and_asks_for_nothing(issued: Issued) -> None:
    told: list[str] = []
    with sync_api.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 360, "height": 800}).new_page()
        page.on("console", lambda message: told.append(message.text))
        page.on(
            "request", lambda one: None if one.url.startswith(("file:", "data:")) else told.append(one.url)
        )
        page.goto(issued.file("html").as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert page.evaluate("document.querySelectorAll('a[href^=\"#why-\"]').length") > 20
        browser.close()
    assert told == []
