"""The packets of the invented club: each says the same in every form, in a spreadsheet program and in a browser."""

import json
import shutil
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from babel.numbers import parse_decimal
from demo_played import ONCE, Played
from packet_readers import read_csv, read_page, read_paper, read_workbook
from swardcost import Client
from swardcost_api.packets.document import Kind
from test_packet_agreement import _DIGITS as DIGITS
from test_packet_browsing import CHROMIUM, sync_api
from test_packet_workbooks import computed, edited, needs_office, without_values

pytestmark = ONCE

NUMBERS = {
    "money": "amount",
    "unit_price": "amount",
    "quantity": "value",
    "percent": "percent",
    "count": "count",
}
KINDS = ("estimate", "budget", "work_report", "capital_plan")
CODED = {Kind.QUANTITY, Kind.UNIT_PRICE}


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
    def tables(self) -> list[dict[str, Any]]:
        parts = self.document["parts"]
        return [
            part if part["kind"] == "table" else part["data"]
            for part in parts
            if part["kind"] in ("table", "chart")
        ]


@pytest.fixture(scope="module", params=KINDS)
def issued(request: pytest.FixtureRequest, played: Played, address: str) -> Issued:
    with Client(address, club="heron-mere", key=played.key) as client:
        packet = next(one for one in client.packets.list() if one.kind == request.param)
        document = json.loads(client.packets.file(packet.id, "json"))["document"]
        text = client.packets.file(packet.id, "csv").decode()
    return Issued(packet.number, packet.locale, document, played.folder / "packets", text)


def number(cell: dict[str, Any]) -> Decimal | None:
    value = cell["value"]
    return None if value is None or value["type"] not in NUMBERS else Decimal(value[NUMBERS[value["type"]]])


def test_the_page_prints_the_numbers_of_the_data(issued: Issued) -> None:
    page = read_page(issued.file("html").read_text(encoding="utf-8"))
    compared = 0
    for table in issued.tables:
        for row, printed in zip(table["rows"], page.tables[table["id"]][1:], strict=True):
            for cell, text in zip(row["cells"], printed, strict=True):
                due = number(cell)
                if due is not None:
                    found = DIGITS.search(text)
                    assert found, (table["id"], row["key"], text)
                    digits = found.group().rstrip("\u00a0\u202f.,").replace("\u202f", "\u00a0")
                    assert parse_decimal(digits, locale=issued.locale.replace("-", "_")) == abs(due)
                    assert ("-" in text or "\u2212" in text) == (due < 0), text
                    compared += 1
    assert compared > 100


def test_paper_prints_what_the_data_shows(issued: Issued) -> None:
    paper = read_paper(issued.file("pdf").read_bytes())
    for table in issued.tables:
        for row in table["rows"]:
            for cell in row["cells"]:
                if cell["value"] is not None and cell["value"]["type"] == "text":
                    assert "".join(cell["value"]["text"].split()) in paper
        assert "".join(table["caption"].split()) in paper


def test_csv_has_the_numbers_of_the_data(issued: Issued) -> None:
    tables = read_csv(issued.csv)
    for table in issued.tables:
        coded = [column["kind"] in CODED for column in table["columns"]]
        for row, found in zip(table["rows"], tables[table["caption"]][1:], strict=False):
            at = 0
            for cell, two in zip(row["cells"], coded, strict=True):
                due = number(cell)
                if due is not None:
                    assert Decimal(found[at]) == due, (table["id"], row["key"])
                at += 2 if two else 1


@needs_office
def test_another_program_computes_the_numbers_of_the_data_to_the_cent(issued: Issued, tmp_path: Path) -> None:
    sheets = computed(edited(issued.file("xlsx").read_bytes(), without_values), tmp_path)
    assert_sheets(issued, sheets)


def test_the_workbook_came_with_the_numbers_of_the_data(issued: Issued) -> None:
    assert_sheets(issued, read_workbook(issued.file("xlsx").read_bytes()))


def assert_sheets(issued: Issued, sheets: dict[str, list[list[Any]]]) -> None:
    for table in issued.tables:
        rows = next(rows for rows in sheets.values() if rows[0][0] == table["caption"])[2:]
        for row, found in zip(table["rows"], rows, strict=False):
            at = 0
            for column, cell in zip(table["columns"], row["cells"], strict=True):
                due = number(cell)
                if due is not None:
                    share = cell["value"]["type"] == "percent"
                    assert Decimal(repr(round(found[at], 9))) == (due / 100 if share else due), (
                        table["id"],
                        row["key"],
                    )
                at += 2 if column["kind"] == Kind.QUANTITY else 1
        assert len(rows) >= len(table["rows"])


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
