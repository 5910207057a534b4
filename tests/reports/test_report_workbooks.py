"""Reports as a committee prints them and as a controller adds them up."""

import csv
import io
import re
import zipfile
from typing import Any

from conftest import Api
from estimate_factories import LUMP, a_project, a_scope_item, an_edition, an_item, budget_of, priced, stated
from python_calamine import CalamineWorkbook
from xlsxwriter.utility import xl_col_to_name

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Document = dict[str, Any]


def a_budget(api: Api, unit: str = "square_foot", quantity: str = "900") -> Document:
    """One line, Sod, at 0.60 each."""
    project = a_project(api, name="Tees & banks", starts_on="2026-09-01", ends_on="2026-10-31")
    a_scope_item(api, project, LUMP, [], stated("SOD", quantity, unit), name="Sod")
    items = [an_item("SOD", "0.60", unit=unit, taxable=False)]
    budget: Document = budget_of(api, priced(api, project, an_edition(api, items)))
    return budget


def an_order(api: Api, budget: Document, quantity: str, unit: str, price: str) -> str:
    line = {
        "number": 1, "budget_line_id": budget["lines"][0]["id"], "description": "Sod", "quantity": quantity,
        "unit": unit, "unit_price": price, "expected_month": "2026-10",
    }  # fmt: skip
    order: str = api.created(
        "/commitments",
        {"number": "K-1", "kind": "contract", "vendor": "Long Meadow Sod Farm", "budget_id": budget["id"],
         "title": "Sod", "signed_on": "2026-08-20", "lines": [line]},
    )["id"]  # fmt: skip
    return order


def face(api: Api, budget: Document, report: str, kind: str) -> bytes:
    path = f"/budgets/{budget['id']}/{report}"
    response = api.get(path, params={"through": "2026-09"}, headers={"Accept": kind})
    assert response.status_code == 200, response.text
    return response.content


def part(book: bytes, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        return archive.read(f"xl/{name}").decode()


def test_a_line_keeps_its_name_on_every_sheet_of_paper_below_the_budget_and_month(api: Api) -> None:
    budget = a_budget(api)
    book = face(api, budget, "forecast", XLSX)
    xml = part(book, "worksheets/sheet1.xml")
    assert '<pane xSplit="2" ySplit="1"' in xml
    assert "$A:$B" in part(book, "workbook.xml")
    (header,) = re.findall("<oddHeader>(.*)</oddHeader>", xml)
    # An ampersand is a mark in headers on paper, so that one to be printed is doubled.
    assert header.startswith("&amp;LForecast through 2026-09: Tees &amp;&amp; banks")
    assert 'orientation="landscape"' in xml


def test_ratios_have_their_places_and_money_the_cents_of_its_currency(api: Api) -> None:
    budget = a_budget(api)
    book = face(api, budget, "forecast", XLSX)
    names = next(csv.reader(io.StringIO(face(api, budget, "forecast", "text/csv").decode())))
    styles, sheet = part(book, "styles.xml"), part(book, "worksheets/sheet1.xml")
    codes = dict(re.findall('numFmtId="([0-9]+)" formatCode="([^"]+)"', styles)) | {"4": "#,##0.00"}
    cell_styles = re.search("<cellXfs.*?</cellXfs>", styles)
    assert cell_styles is not None
    ids = re.findall(r'<xf numFmtId="(\d+)"', cell_styles[0])

    def code(name: str) -> str:
        """The number format of a column's cell in the first row."""
        cell = re.search(rf'<c r="{xl_col_to_name(names.index(name))}2" s="(\d+)"', sheet)
        assert cell is not None, name
        return codes[ids[int(cell[1])]]

    assert [code(name) for name in ("budget", "at_completion", "variance_at_completion")] == ["#,##0.00"] * 3
    assert (code("schedule_index"), code("percent_done")) == ("0.000", "0.0")


def test_sums_are_bold_and_only_they(api: Api) -> None:
    book = face(api, a_budget(api), "standing", XLSX)
    xml, styles = part(book, "worksheets/sheet1.xml"), part(book, "styles.xml")
    fonts = re.findall(r"<font>(.*?)</font>", styles)
    bold = {at for at, font in enumerate(fonts) if "<b/>" in font}
    cell_styles = re.search(r"<cellXfs.*?</cellXfs>", styles)
    assert cell_styles is not None
    font_of = [int(font) for font in re.findall(r'<xf [^>]*fontId="(\d+)"', cell_styles[0])]
    rows = re.findall(r'<row r="(\d+)".*?</row>', xml)
    by_row = {
        number: {font_of[int(style)] in bold for style in re.findall(r'<c r="[A-Z]+\d+" s="(\d+)"', row)}
        for number, row in ((one, re.search(rf'<row r="{one}".*?</row>', xml)[0]) for one in rows)  # type: ignore[index]
    }
    assert by_row == {"1": {True}, "2": {False}, "3": {True}, "4": {True}}


def test_a_csv_says_yes_and_no_and_has_cents_where_nothing_is(api: Api) -> None:
    budget = a_budget(api)
    table = list(csv.DictReader(io.StringIO(face(api, budget, "explanation", "text/csv").decode())))
    assert [row["unplanned"] for row in table] == ["no", ""]
    assert table[0]["coding"] == "0.00"
    standing = list(csv.DictReader(io.StringIO(face(api, budget, "standing", "text/csv").decode())))
    assert [row["unplanned"] for row in standing] == ["no", "", ""]


def test_headings_are_words_and_as_wide_as_they_need(api: Api) -> None:
    book = face(api, a_budget(api), "forecast", XLSX)
    head = CalamineWorkbook.from_filelike(io.BytesIO(book)).get_sheet_by_index(0).to_python()[0]
    assert not [name for name in head if "_" in name]
    widths: dict[int, float] = {}
    sheet = part(book, "worksheets/sheet1.xml")
    for first, last, width in re.findall(r'<col min="(\d+)" max="(\d+)" width="([\d.]+)"', sheet):
        widths |= dict.fromkeys(range(int(first), int(last) + 1), float(width))
    for at, name in enumerate(head, start=1):
        assert widths[at] > max(map(len, name.split())), name


def test_square_feet_are_said_as_a_reader_says_them(api: Api) -> None:
    budget = a_budget(api)
    order = an_order(api, budget, "900", "square_foot", "0.60")
    ticket = {"line_number": 1, "quantity": "500.123456", "unit": "square_foot"}
    api.created(
        f"/commitments/{order}/receipts", {"ticket": "T", "received_on": "2026-09-10", "lines": [ticket]}
    )
    report = api.get(f"/budgets/{budget['id']}/explanation", params={"through": "2026-09"}).json()
    # 540.00 over 61 days, 30 of them in September: 265.57, which is 442.62 of the 900 square feet.
    assert report["lines"][0]["words"] == "57.51 more square feet than planned: 34.50"


def test_a_lump_sum_billed_in_parts_is_not_fewer_lump_sums(api: Api) -> None:
    budget = a_budget(api, "lump_sum", "1")
    order = an_order(api, budget, "1", "lump_sum", "0.80")
    line = {"line_number": 1, "description": "First part", "amount": "0.50"}
    api.created(
        f"/commitments/{order}/invoices", {"number": "A", "invoiced_on": "2026-09-10", "lines": [line]}
    )
    report = api.get(f"/budgets/{budget['id']}/explanation", params={"through": "2026-09"}).json()
    assert report["lines"][0]["words"] == "more was spent that no quantity explains: 0.20"
