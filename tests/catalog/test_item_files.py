"""Items as CSV, out and in."""

import csv
import io
from typing import Any
from uuid import UUID, uuid4

import pytest
from catalog_factories import BREAKS, FULL_HEADER, HEADER, a_draft, a_vendor, exported, put, statements
from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from item_strategies import HOSTILE, items
from swardcost_api.catalog import item_files
from swardcost_api.catalog.item_files import export_edition, put_items, write_items
from swardcost_api.catalog.item_workbook import write_edition
from swardcost_api.catalog.items import all_items
from swardcost_api.catalog.service import read_edition
from swardcost_api.operations import CSV, XLSX
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.catalog import EditionExport


def upload(api: Api, edition: str, text: str | bytes) -> Any:
    return api.upload(f"/editions/{edition}/items/upload", text)


def faults_at(response: Any) -> list[str]:
    assert (response.status_code, response.json()["type"]) == (422, "/problems/bad-rows"), response.text
    return [fault["pointer"] for fault in response.json()["faults"]]


def test_hostile_text_goes_out_and_in_without_loss(api: Api) -> None:
    source, target = a_draft(api), a_draft(api, "Copy")
    for number, text in enumerate(HOSTILE):
        if text.strip():
            vendor = a_vendor(api, text)
            put(api, source, f"I{number}", description=text, note=text, vendor_id=vendor)
    file = exported(api, source)
    put_in = upload(api, target, file)
    assert put_in.status_code == 201, put_in.text
    assert put_in.json()["added"] == len(api.get("/vendors").json()["items"])
    assert exported(api, target) == file
    for row in csv.reader(io.StringIO(file.decode())):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row)


def test_an_export_is_the_whole_edition_as_json_or_csv(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, "B", unit_price=None, taxable=False)
    put(api, edition, "A", free=True, unit_price={"amount": "0", "currency": "USD"}, priced_on="2026-02-10")
    document = api.get(f"/editions/{edition}/items/export").json()
    assert document["edition"]["id"] == edition
    assert [item["code"] for item in document["items"]] == ["A", "B"]
    assert exported(api, edition).decode() == (
        FULL_HEADER
        + "A,material,Topdressing sand,short_ton,0.00,,,USD,yes,yes,standard,no,,,,2026-02-10,,,,,,,,,,,,\r\n"
        "B,material,Topdressing sand,short_ton,,,,USD,no,no,standard,no,,,,,,,,,,,,,,,,\r\n"
    )
    neither = api.get(f"/editions/{edition}/items/export", headers={"Accept": "application/pdf"})
    assert neither.status_code == 406


def test_an_upload_adds_new_codes_replaces_known_ones_and_leaves_the_rest(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, "KEPT")
    put(api, edition, "SAME", description="Sand", unit_price=None, taxable=False)
    put(api, edition, "CHANGED", note="old", account="1520", vendor_id=a_vendor(api))
    rows = (
        "SAME,material,Sand,short_ton,,USD,,no,,,,,,\n"
        "CHANGED,freight,Haul,load,450.00,USD,,yes,,,,,,\n"
        "NEW,sod,Bentgrass sod,square_foot,0.85,USD,no,true,1530-20,,quote,2026-02-10,2026-05-31,cut to order\n"
    )
    put_in = upload(api, edition, "\ufeff" + HEADER + rows)
    assert put_in.json() == {"added": 1, "replaced": 1, "unchanged": 1}
    items = {item["code"]: item for item in api.get(f"/editions/{edition}/items").json()["items"]}
    assert {code: item["version"] for code, item in items.items()} == {
        "CHANGED": 2,
        "KEPT": 1,
        "NEW": 1,
        "SAME": 1,
    }
    changed = items["CHANGED"]
    assert (changed["note"], changed["account"], changed["vendor_id"]) == ("", None, None)
    assert (changed["kind"], changed["unit"], changed["unit_price"]["amount"]) == (
        "freight",
        "load",
        "450.00",
    )


def test_bad_rows_are_all_named_and_nothing_is_changed(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, "KEPT")
    before = exported(api, edition)
    rows = (
        "OK,material,Sand,short_ton,1.00,USD,,yes,,,,,,\n"  # 2
        "a/b,sand,,ton,1.0.0,USD,maybe,,,,rumor,1/2/26,86400,\n"  # 3
        "PRICE,material,Sand,short_ton,0,USD,,yes,,,,,,\n"  # 4
        "UNIT,material,Sand,ton,1.00,CAD,,yes,,Nobody Inc,,2026-03-02,2026-03-01,\n"  # 5
        "OK,material,Sand again,short_ton,1.00,,,yes,,,,,,\n"  # 6
        "FREE,material,Sand,short_ton,,,yes,yes,,,,,,\n"  # 7
    )
    assert faults_at(upload(api, edition, HEADER + rows)) == [
        "row 3, kind", "row 3, description", "row 3, unit_price", "row 3, free", "row 3, taxable",
        "row 3, price_source", "row 3, priced_on", "row 3, valid_until", "row 3, code",
        "row 4, unit_price",
        "row 5, vendor", "row 5, unit", "row 5, currency", "row 5, valid_until",
        "row 6, code",
        "row 7, free",

    ]  # fmt: skip
    assert exported(api, edition) == before


def test_a_row_with_an_unknown_vendor_says_to_add_the_vendor_first(api: Api) -> None:
    edition = a_draft(api)
    refused = upload(api, edition, HEADER + "S,material,Sand,short_ton,1,,,yes,,Nobody Inc,,,,\n")
    fault = refused.json()["faults"][0]
    assert (fault["pointer"], fault["got"]) == ("row 2, vendor", "Nobody Inc")
    assert "add the vendor first" in fault["expected"]


def test_columns_that_files_had_before_there_were_terms_must_be_there_and_others_may(api: Api) -> None:
    edition = a_draft(api)
    columns = FULL_HEADER.strip().split(",")
    given = {"code": "S", "kind": "material", "description": "Sand", "unit": "short_ton", "taxable": "yes"}
    for column in columns:
        kept = [name for name in columns if name != column]
        row = ",".join(given.get(name, "") for name in kept)
        response = upload(api, edition, f"{','.join(kept)}\n{row}\n")
        needed = column in HEADER.strip().split(",") and column != "currency"
        assert response.status_code == (400 if needed else 201), column


def test_an_upload_without_columns_of_terms_replaces_items_whole(api: Api) -> None:
    edition = a_draft(api)
    put(
        api,
        edition,
        terms={"form": "purchase", "increment": "22"},
        tax_class="reduced",
        valid_from="2026-01-01",
    )
    row = "SAND-TD,material,Topdressing sand,short_ton,38.50,,,yes,,,,,,\n"
    assert upload(api, edition, HEADER + row).json()["replaced"] == 1
    item = api.get(f"/editions/{edition}/items/SAND-TD").json()
    assert (item["terms"], item["tax_class"], item["valid_from"]) == (None, "standard", None)


def test_usual_terms_have_columns_of_their_own_and_the_rest_is_json(api: Api) -> None:
    edition = a_draft(api)
    usual = {"form": "purchase", "increment": "22", "increment_name": "load", "minimum_order": "44",
             "minimum_charge": "250.00", "breaks": BREAKS, "lead_time_days": 14}  # fmt: skip
    delivery = {"by": "load", "load_size": "22", "charge": "145.00"}
    put(api, edition, "A", terms=usual)
    put(api, edition, "B", terms=usual | {"delivery": delivery})
    put(api, edition, "C", terms={"form": "purchase"})
    rows = {row["code"]: row for row in csv.DictReader(io.StringIO(exported(api, edition).decode()))}
    flat = (
        "increment",
        "increment_name",
        "minimum_order",
        "minimum_charge",
        "breaks_apply",
        "breaks",
        "lead_time_days",
    )
    assert [rows["A"][name] for name in flat] == [
        "22", "load", "44", "250.00", "whole_quantity", "100: 36.00; 250: 34.50", "14",
    ]  # fmt: skip
    assert [rows["B"][name] for name in flat] == [rows["A"][name] for name in flat]
    assert [rows[code]["terms"] for code in "ABC"] == [
        "", '{"form":"purchase","delivery":{"by":"load","load_size":"22","charge":"145.00"},"surcharges":[]}',
        '{"form":"purchase","surcharges":[]}',
    ]  # fmt: skip
    target = a_draft(api, "Copy")
    assert upload(api, target, exported(api, edition)).json()["added"] == 3
    assert exported(api, target) == exported(api, edition)
    for code in "ABC":
        read = [api.get(f"/editions/{one}/items/{code}").json()["terms"] for one in (edition, target)]
        assert read[0] == read[1]


def test_faults_of_terms_are_at_their_columns_and_within_the_json_at_their_place(api: Api) -> None:
    edition = a_draft(api)
    columns = [
        "code",
        "kind",
        "description",
        "unit",
        "unit_price",
        "taxable",
        *FULL_HEADER.strip().split(",")[19:27],
    ]
    rest = [name for name in HEADER.strip().split(",") if name not in columns]

    def row(code: str, *cells: str) -> str:
        values = [code, "material", "Sand", "load", "9", "yes", *cells, *([""] * (8 - len(cells)))]
        return ",".join('"' + value.replace('"', '""') + '"' for value in values) + "," * len(rest) + "\n"

    rows = [
        row("A", "0", "", "x", "", "", "100: 36"),  # 2
        row("B", "", "", "", "", "each_tier", "100 36.00"),  # 3
        row("C", "", "", "", "", "each_tier", "100: 36; 100: 34"),  # 4
        row("D", "", "", "", "", "each_tier", "100: 0", "1.5"),  # 5
        row("E", "1", "", "", "", "", "", "", '{"form":"purchase","increment":"2"}'),  # 6
        row("F", "1", "", "", "", "", "", "", '{"form":"rental","hourly":{"price":"9"}}'),  # 7
        row("G", "", "", "", "", "", "", "", '{"form":"purchase","delivery":{"by":"load","load_size":1}}'),  # 8
        row("H", "", "", "", "", "", "", "", "{"),  # 9
        row("I", "", "", "", "", "", "", "", '{"form":"purchase","delivery":{"by":"mass_distance","rate":"1",'
            '"mass_unit":"mile","distance":{"value":"3","unit":"mile"}}}'),  # 10
    ]  # fmt: skip
    assert faults_at(upload(api, edition, ",".join(columns + rest) + "\n" + "".join(rows))) == [
        "row 2, increment", "row 2, minimum_order", "row 2, breaks_apply",
        "row 3, breaks",
        "row 4, breaks",
        "row 5, lead_time_days",
        "row 6, increment",
        "row 7, increment", "row 7, terms/hourly/least_hours_a_day",
        "row 8, terms/delivery/load_size", "row 8, terms/delivery/charge",
        "row 9, terms",
        "row 10, terms/delivery/mass_unit", "row 10, terms/delivery/mass_of_one",
    ]  # fmt: skip


def test_repeating_an_upload_with_its_key_changes_nothing_more(api: Api) -> None:
    edition = a_draft(api)
    path, file = f"/editions/{edition}/items/upload", HEADER + "S,material,Sand,short_ton,1.00,,,yes,,,,,,\n"
    first = api.upload(path, file, headers={"Idempotency-Key": "spring list"})
    again = api.upload(path, file, headers={"Idempotency-Key": "spring list"})
    assert (first.json(), again.json()) == ({"added": 1, "replaced": 0, "unchanged": 0},) * 2
    assert api.upload(path, file).json() == {"added": 0, "replaced": 0, "unchanged": 1}


@settings(max_examples=40)
@given(data=st.data())
def test_any_items_go_out_and_in_without_loss(api: Api, data: st.DataObject) -> None:
    names = [f"{text} Inc" for text in HOSTILE if text.strip()][:6]
    known = {vendor["name"]: UUID(vendor["id"]) for vendor in api.get("/vendors").json()["items"]}
    vendors = {name: known.get(name) or UUID(a_vendor(api, name)) for name in names}
    edition_id = UUID(a_draft(api, f"Draft {uuid4()}"))
    codes = data.draw(
        st.lists(st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,9}", fullmatch=True), unique=True, max_size=6)
    )
    wanted = [
        data.draw(items(code, edition_id, vendors))
        for code in sorted(codes)
        if code not in ("export", "upload")
    ]
    with api.database.writing() as session:
        work = UnitOfWork(session, api.club, OPERATOR)
        edition = read_edition(work, edition_id)
        export = EditionExport(edition=edition, items=wanted, vendor_terms=[])
        file, book = write_items(export), write_edition(export)
        put_items(work, edition_id, io.BytesIO(file.encode()), CSV)
        assert all_items(work, edition_id) == wanted
        done = put_items(work, edition_id, io.BytesIO(book), XLSX)
        assert (done.added, done.replaced, done.unchanged) == (0, 0, len(wanted))
        stored = export_edition(work, edition_id)
        assert (write_items(stored), write_edition(stored)) == (file, book)


def test_an_upload_sends_as_many_statements_for_thousands_of_items_as_for_two(api: Api) -> None:
    edition = a_draft(api)
    sent_for = {}
    for count in (2, 3000):
        rows = "".join(
            f"I{count}-{n},material,Sand {n},short_ton,{n + 1}.25,USD,no,yes,,,,,,\r\n" for n in range(count)
        )
        with statements(api) as added:
            assert upload(api, edition, HEADER + rows).json()["added"] == count
        with statements(api) as replaced:
            dearer = rows.replace(".25,USD", ".75,USD")
            assert upload(api, edition, HEADER + dearer).json()["replaced"] == count
        sent_for[count] = (len(added), len(replaced))
    assert sent_for[2] == sent_for[3000]
    assert exported(api, edition).decode().count(".75,,,USD") == 3002


def test_a_file_of_more_items_than_are_taken_is_refused(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(item_files, "MAX_ITEMS", 2)
    edition = a_draft(api)
    rows = [f"I{n},material,Sand,short_ton,1.25,,,yes,,,,,,\n" for n in range(3)]
    refused = upload(api, edition, HEADER + "".join(rows))
    assert (refused.status_code, refused.json()["type"]) == (413, "/problems/too-large")
    assert api.get(f"/editions/{edition}/items").json()["items"] == []
    assert upload(api, edition, HEADER + "".join(rows[:2])).json()["added"] == 2


def test_a_file_with_thousands_of_faults_shows_the_first_hundred_and_counts_all(api: Api) -> None:
    edition = a_draft(api)
    rows = "".join(f"I{n},sand,Sand,short_ton,1.25,,,yes,,,,,,\n" for n in range(3000))
    refused = upload(api, edition, HEADER + rows)
    assert len(faults_at(refused)) == 100
    assert refused.json()["detail"].startswith("3000 faults")
