"""Items as a workbook, out and in, and the workbooks that people send."""

import io
import zipfile
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import xlsxwriter
from catalog_factories import (
    BREAKS,
    CAD,
    FULL_HEADER,
    HEADER,
    XLSX,
    a_draft,
    a_vendor,
    exported,
    put,
    upload_workbook,
    vendor_terms_in,
    workbook,
)
from conftest import Api
from hypothesis import given
from hypothesis import strategies as st
from item_strategies import HOSTILE
from python_calamine import CalamineWorkbook
from swardcost_api.xlsx_files import number_text

COLUMNS = HEADER.strip().split(",")


def made_by_hand(
    write: Callable[[Any, Any], None], sheet: str = "Items", header: Sequence[str] = COLUMNS
) -> bytes:
    """A workbook as a person makes it, with the header in the first row."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        page = book.add_worksheet(sheet)
        page.write_row(0, 0, header)
        write(book, page)
    return out.getvalue()


def row(code: Any = "SAND", price: Any = 38.5, taxable: Any = True, **more: Any) -> list[Any]:
    cells = {"code": code, "kind": "material", "description": "Sand", "unit": "short_ton", "unit_price": price,
             "taxable": taxable} | more  # fmt: skip
    return [cells.get(name) for name in COLUMNS]


def faults(response: Any) -> list[tuple[str, str | None]]:
    return [(fault["pointer"], fault.get("got")) for fault in response.json()["faults"]]


def test_a_workbook_goes_out_and_in_with_every_column(api: Api) -> None:
    source, target = a_draft(api), a_draft(api, "Copy")
    vendor = a_vendor(api)
    for edition in (source, target):
        vendor_terms_in(api, edition, vendor, mobilization="450.5")
    terms = {"form": "purchase", "increment": "22.0", "minimum_charge": "250", "breaks": BREAKS, "lead_time_days": 14,
             "delivery": {"by": "load", "load_size": "22", "charge": "145.00"}}  # fmt: skip
    put(api, source, vendor_id=vendor, unit_price=CAD, low_price=CAD | {"amount": "51.25"}, terms=terms,
        account="0015", priced_on="2026-02-10", valid_from="1899-12-31", note="=1+1", price_source="quote")  # fmt: skip
    put(api, source, "BIG", unit_price={"amount": "999999999999.999999", "currency": "USD"}, taxable=False)
    put(api, source, "NONE", unit_price=None)
    done = upload_workbook(api, target, workbook(api, source))
    assert done.json() == {"added": 3, "replaced": 0, "unchanged": 0}, done.text
    assert exported(api, target) == exported(api, source)
    assert upload_workbook(api, target, workbook(api, source)).json()["unchanged"] == 3


def test_a_workbook_has_the_items_the_vendors_terms_and_what_the_columns_mean(api: Api) -> None:
    edition, vendor = a_draft(api), a_vendor(api)
    vendor_terms_in(api, edition, vendor, mobilization="450.5")
    put(api, edition, priced_on="2026-02-10", account="0015")
    with CalamineWorkbook.from_filelike(io.BytesIO(workbook(api, edition))) as book:
        assert book.sheet_names == ["Items", "Vendors' terms", "About"]
        items, terms, about = (book.get_sheet_by_name(name).to_python() for name in book.sheet_names)
    assert items[0] == FULL_HEADER.strip().split(",")
    cells = dict(zip(items[0], items[1], strict=True))
    assert (cells["unit_price"], cells["priced_on"], cells["account"]) == (38.5, date(2026, 2, 10), "0015")
    assert terms[1][:6] == [
        "Alder Creek Sand and Gravel", "CAD", "0.7312", date(2026, 2, 27), "Central bank, noon rate", 450.5,
    ]  # fmt: skip
    assert about[1][:2] == ["edition", "Spring 2026"]
    explained = {name for cell in about for name in str(cell[0]).split(", ")}
    assert set(items[0]) - {"description", "account", "note"} <= explained


def test_the_same_edition_gives_the_same_bytes(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition)
    assert workbook(api, edition) == workbook(api, edition)


def test_text_that_looks_like_something_else_stays_text(api: Api) -> None:
    source, target = a_draft(api), a_draft(api, "Copy")
    kept = [text for text in HOSTILE if text.strip() and text != "\u2028"]
    for number, text in enumerate(kept):
        put(api, source, f"I{number:02}", description=text, note=text, reference=text)
    content = workbook(api, source)
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        assert b"<f" not in parts.read("xl/worksheets/sheet1.xml")
    with CalamineWorkbook.from_filelike(io.BytesIO(content)) as book:
        rows = book.get_sheet_by_name("Items").to_python()
    assert [line[2] for line in rows[1:]] == [text.strip() for text in kept]
    assert upload_workbook(api, target, content).status_code == 201
    assert exported(api, target) == exported(api, source)


def test_a_workbook_typed_by_hand_is_taken_with_its_numbers_days_and_truth_values(api: Api) -> None:
    edition = a_draft(api)

    def write(book: Any, page: Any) -> None:
        day = book.add_format({"num_format": "d mmm yyyy"})
        page.write_row(1, 0, row("A", 38.5, account=1520, note=12))
        page.write_row(2, 0, row("B", "38.50", "yes", priced_on="2026-02-10"))
        page.write_row(4, 0, row("C", 0, free=True))
        page.write_datetime(4, COLUMNS.index("priced_on"), date(2026, 2, 10), day)
        page.write_row(5, 0, row("D"))
        page.write_formula(5, COLUMNS.index("unit_price"), "=36*1.0725", None, 36 * 1.0725)

    put_in = upload_workbook(api, edition, made_by_hand(write, sheet="Price list"))
    assert put_in.json()["added"] == 4, put_in.text
    items = {item["code"]: item for item in api.get(f"/editions/{edition}/items").json()["items"]}
    assert {code: item["unit_price"]["amount"] for code, item in items.items()} == {
        "A": "38.50", "B": "38.50", "C": "0.00", "D": "38.61",
    }  # fmt: skip
    assert (items["A"]["account"], items["A"]["note"]) == ("1520", "12")
    assert (items["B"]["priced_on"], items["C"]["priced_on"], items["C"]["free"]) == ("2026-02-10",) * 2 + (
        True,
    )


def test_cells_that_hold_no_value_are_never_read_as_empty(api: Api) -> None:
    edition = a_draft(api)

    def write(_book: Any, page: Any) -> None:
        page.write_row(1, 0, row("A"))
        page.write_formula(1, COLUMNS.index("unit_price"), "=1/0", None, "#DIV/0!")
        page.write_row(2, 0, row("B"))
        page.write_formula(2, COLUMNS.index("unit_price"), "=A1*2", None, "")
        page.write_row(3, 0, row("C"))

    refused = upload_workbook(api, edition, made_by_hand(write))
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/bad-rows")
    assert faults(refused) == [("row 2, unit_price", None), ("row 3, unit_price", None)]
    assert api.get(f"/editions/{edition}/items").json()["items"] == []


def test_faults_of_a_workbook_have_row_and_column_and_nothing_is_changed(api: Api) -> None:
    edition = a_draft(api)

    def write(book: Any, page: Any) -> None:
        moment = book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
        page.write_row(1, 0, row("A", 38.1234567))
        page.write_row(2, 0, row("B", "=38"))
        page.write_row(3, 0, row("C", vendor="Nobody Inc"))
        page.write_row(4, 0, row("D"))
        page.write_number(4, COLUMNS.index("valid_until"), 46_000.5, moment)
        page.write_row(5, 0, row("E"))

    refused = upload_workbook(api, edition, made_by_hand(write))
    assert [pointer for pointer, _ in faults(refused)] == [
        "row 2, unit_price", "row 3, unit_price", "row 4, vendor", "row 5, valid_until",
    ]  # fmt: skip
    assert faults(refused)[3][1] == "2025-12-09 12:00:00"
    assert api.get(f"/editions/{edition}/items").json()["items"] == []


def test_a_number_with_more_digits_than_a_cell_keeps_is_refused(api: Api) -> None:
    edition = a_draft(api)
    content = made_by_hand(lambda _book, page: page.write_row(1, 0, row("A", 1234567890.123456)))
    refused = upload_workbook(api, edition, content)
    assert (refused.status_code, faults(refused)) == (422, [("row 2", "1234567890.123456")])


def test_a_sheet_without_the_right_header_is_refused(api: Api) -> None:
    edition = a_draft(api)
    books = {
        "row 1": [
            made_by_hand(lambda _b, _p: None, header=COLUMNS[1:]),
            made_by_hand(lambda _b, _p: None, header=[*COLUMNS, "colour"]),
            made_by_hand(lambda _b, _p: None, header=[*COLUMNS, "note"]),
            made_by_hand(lambda _b, _p: None, header=[]),
        ],
        "row 2": [made_by_hand(lambda _b, page: page.write_row(1, 0, [*row(), "beyond"]))],
        "file": [made_by_hand(lambda book, _p: book.add_worksheet("Other"), sheet="Sand")],
    }
    for place, contents in books.items():
        for content in contents:
            refused = upload_workbook(api, edition, content)
            assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-workbook"), place
            assert [pointer for pointer, _ in faults(refused)] == [place]
    assert upload_workbook(api, edition, made_by_hand(lambda _b, _p: None)).json()["added"] == 0


def test_each_media_type_is_read_as_what_it_says(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition)
    path = f"/editions/{edition}/items/upload"
    as_csv = api.upload(path, workbook(api, edition))
    as_workbook = upload_workbook(api, edition, exported(api, edition))
    as_neither = api.upload(path, b"{}", headers={"Content-Type": "application/json"})
    assert [r.json()["type"].rpartition("/")[2] for r in (as_csv, as_workbook, as_neither)] == [
        "invalid-csv", "invalid-workbook", "unsupported-media-type",
    ]  # fmt: skip
    assert XLSX in as_neither.json()["detail"]


@given(st.integers(0, 10**15 - 1), st.integers(0, 6))
def test_a_decimal_of_fifteen_digits_comes_back_from_a_cell_as_it_was(digits: int, places: int) -> None:
    text = f"{digits:0{places + 1}}"
    text = (
        f"{text[: len(text) - places]}.{text[len(text) - places :]}".rstrip("0").rstrip(".")
        if places
        else text
    )
    assert number_text(float(text)) == text
