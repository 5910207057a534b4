"""The items of an edition through the API, and what pricing reads of them."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from catalog_factories import a_draft, a_vendor, an_item, put, statements
from conftest import Api
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.catalog import ItemKind, PriceSource


def test_an_item_can_be_read_edited_and_deleted_by_its_code(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    added = put(
        api, edition, vendor_id=vendor, account="1520-10", price_source="quote", priced_on="2026-02-10",
        valid_until="2026-05-31", unit_price={"amount": "38.512500", "currency": "USD"},
    )  # fmt: skip
    path = f"/editions/{edition}/items/SAND-TD"
    read = api.get(path)
    assert read.json() == added
    assert (added["unit_price"]["amount"], added["vendor_name"]) == (
        "38.5125",
        "Alder Creek Sand and Gravel",
    )
    body = {k: v for k, v in an_item(unit_price=None).items() if k != "code"}
    assert api.put(path, json=body).status_code == 428
    edited = api.put(path, json=body, headers={"If-Match": read.headers["etag"]})
    assert (edited.status_code, edited.json()["version"]) == (200, 2)
    assert (edited.json()["unit_price"], edited.json()["vendor_name"]) == (None, None)
    assert api.put(path, json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    actions = [e["action"] for e in api.get("/audit?subject=item&subject_id=SAND-TD").json()["items"]]
    assert actions == ["delete", "change", "create"]


def test_codes_are_unique_within_an_edition_and_free_in_another(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition)
    again = api.post(f"/editions/{edition}/items", json=an_item())
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    put(api, edition, "sand-td")
    put(api, a_draft(api, "Summer 2026"))


@pytest.mark.parametrize("code", ["export", "upload", "A/B", "", "-A", "Ä", "A B", "A\x00"])
def test_a_code_that_no_path_could_name_is_refused(api: Api, code: str) -> None:
    refused = api.post(f"/editions/{a_draft(api)}/items", json=an_item(code))
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (400, "/code")


def test_a_path_with_any_text_for_a_code_finds_nothing(api: Api) -> None:
    edition = a_draft(api)
    for code in ("NONE", "%00", "%F0%9F%8C%B1", "a%20b", "x" * 300, "%27--"):
        assert api.get(f"/editions/{edition}/items/{code}").status_code == 404, code


def test_an_item_without_a_price_has_none_rather_than_zero(api: Api) -> None:
    edition = a_draft(api)
    assert put(api, edition, unit_price=None)["unit_price"] is None
    put(api, edition, "SAND-BK")
    path = f"/editions/{edition}/items?unpriced="
    assert [i["code"] for i in api.get(path + "true").json()["items"]] == ["SAND-TD"]
    assert [i["code"] for i in api.get(path + "false").json()["items"]] == ["SAND-BK"]


def test_a_zero_price_must_be_confirmed_as_free(api: Api) -> None:
    edition = a_draft(api)
    path, zero = f"/editions/{edition}/items", {"amount": "0.00", "currency": "USD"}
    refused = api.post(path, json=an_item(unit_price=zero))
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/unit_price")
    free = put(api, edition, unit_price=zero, free=True)
    assert (free["unit_price"], free["free"]) == (zero, True)
    for price in (None, {"amount": "0.000001", "currency": "USD"}):
        contradiction = api.post(path, json=an_item("SAND-BK", unit_price=price, free=True))
        assert contradiction.json()["faults"][0]["pointer"] == "/free"


@pytest.mark.parametrize(
    ("fields", "status", "pointer"),
    [
        ({"unit": "ton"}, 422, "/unit"),
        ({"unit": "Short Ton"}, 400, "/unit"),
        ({"unit_price": {"amount": "1.00", "currency": "CAD"}}, 422, "/unit_price/currency"),
        ({"unit_price": {"amount": "-1.00", "currency": "USD"}}, 422, "/unit_price"),
        ({"unit_price": {"amount": "1.0000001", "currency": "USD"}}, 400, "/unit_price/amount"),
        ({"vendor_id": str(uuid4())}, 422, "/vendor_id"),
        ({"priced_on": "2026-03-02", "valid_until": "2026-03-01"}, 422, "/valid_until"),
        ({"priced_on": "86400"}, 400, "/priced_on"),
        ({"kind": "sand"}, 400, "/kind"),
        ({"taxable": None}, 400, "/taxable"),
        ({"description": " "}, 400, "/description"),
        ({"price": "1"}, 400, "/price"),
    ],
)
def test_what_is_no_usable_item_is_refused_with_its_place(
    api: Api, fields: dict[str, Any], status: int, pointer: str
) -> None:
    edition = a_draft(api)
    put(api, edition, "SAND-BK")
    refused = api.post(f"/editions/{edition}/items", json=an_item(**fields))
    assert refused.status_code == status, refused.text
    assert [fault["pointer"] for fault in refused.json()["faults"]] == [pointer]
    body = {k: v for k, v in an_item(**fields).items() if k != "code"}
    edited = api.put(f"/editions/{edition}/items/SAND-BK", json=body, headers={"If-Match": '"1"'})
    assert [fault["pointer"] for fault in edited.json()["faults"]] == [pointer]
    assert [i["version"] for i in api.get(f"/editions/{edition}/items").json()["items"]] == [1]


def test_the_largest_and_the_smallest_price_are_kept_exactly(api: Api) -> None:
    edition = a_draft(api)
    for code, amount in (("BIG", "999999999999.999999"), ("SMALL", "0.000001")):
        put(api, edition, code, unit_price={"amount": amount, "currency": "USD"})
        read = api.get(f"/editions/{edition}/items/{code}").json()
        assert read["unit_price"]["amount"] == amount


def test_items_are_listed_by_code_page_by_page_and_filtered(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    codes = ["B-1", "B1", "a-1", "b-1", "B.1", "B_1"]
    for code in codes:
        put(api, edition, code)
    put(api, edition, "SOD", kind="sod", vendor_id=vendor, account="1530")
    seen, path = [], f"/editions/{edition}/items?limit=3"
    while path:
        page = api.get(path)
        seen += [item["code"] for item in page.json()["items"]]
        path = page.links["next"]["url"] if "next" in page.links else ""
    assert seen == sorted([*codes, "SOD"])
    for condition in ("kind=sod", f"vendor_id={vendor}", "account=1530"):
        found = api.get(f"/editions/{edition}/items?{condition}").json()["items"]
        assert [item["code"] for item in found] == ["SOD"], condition


def test_pricing_reads_the_items_it_asks_for_in_one_query(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    put(api, edition, vendor_id=vendor, price_source="quote", account="1520-10")
    put(api, edition, "LABOR", kind="labor", unit="hour", unit_price=None, taxable=False)
    put(api, edition, "OTHER")
    with api.database.reading() as session:
        session.connection()
        with statements(api) as sent:
            found = items_with_codes(
                UnitOfWork(session, api.club, OPERATOR), UUID(edition), ["SAND-TD", "LABOR", "NONE"]
            )
        elsewhere = items_with_codes(UnitOfWork(session, "stone-weir", OPERATOR), UUID(edition), ["LABOR"])
    assert len(sent) == 1
    assert elsewhere == {}
    assert set(found) == {"SAND-TD", "LABOR"}
    sand, labor = found["SAND-TD"], found["LABOR"]
    assert (sand.kind, sand.price_micros, sand.price_source) == (
        ItemKind.MATERIAL,
        38_500_000,
        PriceSource.QUOTE,
    )
    assert (sand.vendor_id, sand.vendor_name) == (UUID(vendor), "Alder Creek Sand and Gravel")
    assert (labor.price_micros, labor.free, labor.vendor_name) == (None, False, None)
