"""Items as CSV, out and in."""

import csv
import io
from typing import Any
from uuid import UUID

from catalog_factories import HEADER, a_draft, a_vendor, exported, put, statements
from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.catalog.item_files import put_items, write_items
from swardcost_api.catalog.items import all_items
from swardcost_api.catalog.service import read_edition
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_api.units import UNITS
from swardcost_model.catalog import EditionExport, Item, ItemKind, PriceSource
from swardcost_model.values import Money, from_micros

HOSTILE = ("=1+1", "+1", "-1", "@A1", "'", "''", "'=x", '"', '""', "a,b", 'say "12 in"', "0.25–1 mm", "é́", "🌱",
           "\u2028", "null", "0", ";", "\\", "x\u00a0y")  # fmt: skip


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
        HEADER + "A,material,Topdressing sand,short_ton,0.00,USD,yes,yes,,,,2026-02-10,,\r\n"
        "B,material,Topdressing sand,short_ton,,,no,no,,,,,,\r\n"
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


def test_only_the_currency_column_may_be_left_out(api: Api) -> None:
    edition = a_draft(api)
    columns = HEADER.strip().split(",")
    cells = dict(
        zip(
            columns,
            [*["S", "material", "Sand", "short_ton", "1.00", "USD", "", "yes"], *[""] * 6],
            strict=True,
        )
    )
    for column in columns:
        kept = [name for name in columns if name != column]
        response = upload(api, edition, f"{','.join(kept)}\n{','.join(cells[name] for name in kept)}\n")
        assert response.status_code == (201 if column == "currency" else 400), column


def test_repeating_an_upload_with_its_key_changes_nothing_more(api: Api) -> None:
    edition = a_draft(api)
    path, file = f"/editions/{edition}/items/upload", HEADER + "S,material,Sand,short_ton,1.00,,,yes,,,,,,\n"
    first = api.upload(path, file, headers={"Idempotency-Key": "spring list"})
    again = api.upload(path, file, headers={"Idempotency-Key": "spring list"})
    assert (first.json(), again.json()) == ({"added": 1, "replaced": 0, "unchanged": 0},) * 2
    assert api.upload(path, file).json() == {"added": 0, "replaced": 0, "unchanged": 1}


_TEXT = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\x7f", min_codepoint=32), max_size=30
)
_LINE = st.one_of(st.sampled_from(HOSTILE), _TEXT).map(str.strip)
_DAY = st.none() | st.dates()
_ACCOUNTS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._ /-]{0,20}", fullmatch=True).map(str.strip)


@st.composite
def _items(draw: st.DrawFn, code: str, edition: UUID, vendors: dict[str, UUID]) -> Item:
    micros = draw(st.none() | st.integers(0, 10**18 - 1))
    days = draw(st.tuples(_DAY, _DAY).map(lambda pair: sorted(pair, key=str)))
    vendor = draw(st.none() | st.sampled_from(sorted(vendors)))
    return Item(
        edition_id=edition, code=code, version=1, kind=draw(st.sampled_from(ItemKind)),
        description=draw(_LINE.filter(bool)), unit=draw(st.sampled_from(sorted(UNITS))),
        unit_price=None if micros is None else Money(amount=from_micros(micros), currency="USD"),
        free=micros == 0, taxable=draw(st.booleans()), account=draw(st.none() | _ACCOUNTS),
        vendor_id=vendors[vendor] if vendor is not None else None, vendor_name=vendor,
        price_source=draw(st.none() | st.sampled_from(PriceSource)), priced_on=days[0], valid_until=days[1],
        note=draw(_LINE),
    )  # fmt: skip


@settings(max_examples=30)
@given(data=st.data())
def test_any_items_go_out_and_in_without_loss(api: Api, data: st.DataObject) -> None:
    names = [f"{text} Inc" for text in HOSTILE if text.strip()][:6]
    known = {vendor["name"]: UUID(vendor["id"]) for vendor in api.get("/vendors").json()["items"]}
    vendors = {name: known.get(name) or UUID(a_vendor(api, name)) for name in names}
    edition_id = UUID(a_draft(api, f"Draft {len(api.get('/editions?limit=200').json()['items'])}"))
    codes = data.draw(
        st.lists(st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,9}", fullmatch=True), unique=True, max_size=6)
    )
    wanted = [
        data.draw(_items(code, edition_id, vendors))
        for code in sorted(codes)
        if code not in ("export", "upload")
    ]
    with api.database.writing() as session:
        work = UnitOfWork(session, api.club, OPERATOR)
        edition = read_edition(work, edition_id)
        file = write_items(EditionExport(edition=edition, items=wanted))
        put_items(work, edition_id, io.BytesIO(file.encode()))
        assert all_items(work, edition) == wanted
        assert write_items(EditionExport(edition=edition, items=all_items(work, edition))) == file


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
    assert exported(api, edition).decode().count(".75,USD") == 3002
