"""The packets of the invented club: each says the same in every form, in a spreadsheet program and in a browser."""

import json
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from demo_played import ONCE, Played
from packet_comparing import assert_csv, assert_page, assert_paper, assert_sheets
from packet_json import document_of
from packet_readers import read_page, read_paper, read_workbook
from swardcost import Client
from swardcost_api.packets.document import Document
from test_packet_browsing import CHROMIUM, sync_api
from test_packet_workbooks import computed, edited, needs_office, without_values

pytestmark = ONCE

KINDS = ("estimate", "budget", "work_report", "capital_plan")


@dataclass(frozen=True)
class Issued:
    """A packet of the demo: its document as data, and the folder of the files that the demo wrote."""

    number: int
    document: Document
    folder: Path
    csv: str

    def file(self, ending: str) -> Path:
        return self.folder / f"packet-{self.number}.{ending}"


@pytest.fixture(scope="module", params=KINDS)
def issued(request: pytest.FixtureRequest, played: Played, address: str) -> Issued:
    with Client(address, club="heron-mere", key=played.key) as client:
        packet = next(one for one in client.packets.list() if one.kind == request.param)
        document = document_of(json.loads(client.packets.file(packet.id, "json")))
        text = client.packets.file(packet.id, "csv").decode()
    return Issued(packet.number, document, played.folder / "packets", text)


def test_the_page_prints_what_the_data_tells(issued: Issued) -> None:
    assert_page(issued.document, read_page(issued.file("html").read_text(encoding="utf-8")))
    assert sum(len(table.rows) for table in issued.document.tables) > 100
    assert issued.document.figures


def test_paper_prints_what_the_data_tells(issued: Issued) -> None:
    assert_paper(issued.document, read_paper(issued.file("pdf").read_bytes()))


def test_csv_has_what_the_data_tells(issued: Issued) -> None:
    assert_csv(issued.document, issued.csv)


@needs_office
def test_another_program_computes_what_the_data_tells_to_the_cent(issued: Issued, tmp_path: Path) -> None:
    book = edited(issued.file("xlsx").read_bytes(), without_values)
    assert_sheets(issued.document, computed(book, tmp_path))


def test_the_workbook_came_with_what_the_data_tells(issued: Issued) -> None:
    assert_sheets(issued.document, read_workbook(issued.file("xlsx").read_bytes()))


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
