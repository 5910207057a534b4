"""What holds for all of a vendor's items in an edition, through the API."""

from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from catalog_factories import CAD, a_draft, a_published_edition, a_vendor, put, vendor_terms_in
from conftest import Api
from pydantic import ValidationError
from swardcost_api.catalog.service import vendor_terms
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.price_terms import VendorTermsFields

RATE = {"exchange_rate": "0.7312", "rate_date": "2026-02-27", "rate_source": "Central bank, noon rate"}


def test_terms_are_in_a_currency_that_books_are_kept_in() -> None:
    assert VendorTermsFields.model_validate({"currency": "CAD"}).currency == "CAD"
    with pytest.raises(ValidationError, match="currency"):
        VendorTermsFields.model_validate({"currency": "XXX"})


def test_terms_can_be_added_read_listed_edited_and_deleted(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    other = a_vendor(api, "Acorn Hire")
    added = vendor_terms_in(
        api, edition, vendor, exchange_rate="0.731200", mobilization="450", note="by truck"
    )
    vendor_terms_in(api, edition, other, currency="USD", mobilization="80.5", **dict.fromkeys(RATE, None))
    path = f"/editions/{edition}/vendor-terms/{vendor}"
    read = api.get(path)
    assert read.json() == added
    assert (added["exchange_rate"], added["mobilization"]) == ("0.731200", "450.00")
    assert (added["vendor_name"], added["version"]) == ("Alder Creek Sand and Gravel", 1)
    listed = api.get(f"/editions/{edition}/vendor-terms?limit=1")
    assert [one["vendor_name"] for one in listed.json()["items"]] == ["Acorn Hire"]
    assert [one["vendor_id"] for one in api.get(listed.links["next"]["url"]).json()["items"]] == [vendor]
    body = {"currency": "EUR", **RATE, "exchange_rate": "1.08"}
    assert api.put(path, json=body).status_code == 428
    edited = api.put(path, json=body, headers={"If-Match": read.headers["etag"]})
    assert (edited.status_code, edited.json()["currency"], edited.json()["mobilization"]) == (
        200,
        "EUR",
        "0.00",
    )
    assert api.put(path, json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    actions = [
        e["action"] for e in api.get(f"/audit?subject=vendor_terms&subject_id={vendor}").json()["items"]
    ]
    assert actions == ["delete", "change", "create"]


def test_a_vendor_has_one_set_of_terms_in_an_edition(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor)
    again = api.post(f"/editions/{edition}/vendor-terms", json={"vendor_id": vendor, "currency": "USD"})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    vendor_terms_in(api, a_draft(api, "Other"), vendor)


@pytest.mark.parametrize(
    ("fields", "status", "pointers"),
    [
        ({"currency": "CAD"}, 422, ["/exchange_rate", "/rate_date", "/rate_source"]),
        ({"currency": "CAD", **RATE, "rate_date": None}, 422, ["/rate_date"]),
        ({"currency": "USD", **RATE}, 422, ["/exchange_rate", "/rate_date", "/rate_source"]),
        ({"currency": "CAD", **RATE, "exchange_rate": "0"}, 400, ["/exchange_rate"]),
        ({"currency": "XXX", **RATE}, 400, ["/currency"]),
        ({"currency": "USD", "mobilization": "-1"}, 400, ["/mobilization"]),
        ({"currency": "USD", "vendor_id": str(uuid4())}, 422, ["/vendor_id"]),
    ],
)
def test_a_currency_needs_its_rate_and_a_rate_a_currency(
    api: Api, fields: dict[str, Any], status: int, pointers: list[str]
) -> None:
    edition, vendor = a_draft(api), a_vendor(api)
    refused = api.post(f"/editions/{edition}/vendor-terms", json={"vendor_id": vendor} | fields)
    assert (refused.status_code, [fault["pointer"] for fault in refused.json()["faults"]]) == (
        status,
        pointers,
    )
    assert api.get(f"/editions/{edition}/vendor-terms").json()["items"] == []


def test_the_currency_stays_while_items_are_priced_in_it(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor)
    path, match = f"/editions/{edition}/vendor-terms/{vendor}", {"If-Match": '"1"'}
    codes = [f"CAD-{number:02}" for number in range(12)]
    for code in codes:
        put(api, edition, code, vendor_id=vendor, unit_price=CAD)
    put(api, edition, "OWN", vendor_id=vendor)
    refused = api.put(path, json={"currency": "USD"}, headers=match)
    fault = refused.json()["faults"][0]
    assert (refused.status_code, fault["pointer"], fault["got"]) == (422, "/currency", "USD")
    assert "CAD-00, CAD-01" in fault["expected"]
    assert fault["expected"].endswith("CAD-09, 2 more")
    in_use = api.delete(path, headers=match)
    assert (in_use.status_code, in_use.json()["type"]) == (409, "/problems/in-use")
    assert "CAD-00" in in_use.json()["detail"]
    assert "OWN" not in in_use.json()["detail"]
    dearer = api.put(path, json={"currency": "CAD", **RATE, "exchange_rate": "0.75"}, headers=match)
    assert dearer.json()["exchange_rate"] == "0.75"
    for code in codes:
        assert api.delete(f"/editions/{edition}/items/{code}", headers=match).status_code == 204
    assert api.put(path, json={"currency": "USD"}, headers={"If-Match": '"2"'}).status_code == 200
    assert api.delete(path, headers={"If-Match": '"3"'}).status_code == 204
    assert api.get(f"/editions/{edition}/items/OWN").json()["unit_price"]["currency"] == "USD"


def test_terms_are_copied_with_the_edition_closed_with_it_and_deleted_with_a_draft(api: Api) -> None:
    vendor, source = a_vendor(api), a_draft(api)
    added = vendor_terms_in(api, source, vendor, mobilization="450")
    put(api, source, vendor_id=vendor, unit_price=CAD, low_price=CAD | {"amount": "50"})
    api.post(f"/editions/{source}/publish")
    path, match = f"/editions/{source}/vendor-terms", {"If-Match": '"1"'}
    refused = [
        api.put(f"{path}/{vendor}", json={"currency": "CAD", **RATE}, headers=match),
        api.delete(f"{path}/{vendor}", headers=match),
        api.post(path, json={"vendor_id": a_vendor(api, "Aspen Hire"), "currency": "USD"}),
    ]
    assert [r.json()["type"] for r in refused] == ["/problems/wrong-state"] * 3
    copy = a_draft(api, "Copy", copy_of=source)
    assert api.get(f"/editions/{copy}/vendor-terms").json()["items"] == [added | {"edition_id": copy}]
    assert api.get(f"/editions/{copy}/items/SAND-TD").json()["low_price"] == CAD | {"amount": "50.00"}
    assert api.get(f"/editions/{copy}/items/export").json()["vendor_terms"] == [added | {"edition_id": copy}]
    assert api.delete(f"/editions/{copy}", headers=match).status_code == 204
    assert api.get(f"{path}/{vendor}").json() == added


def test_a_vendor_with_terms_in_an_edition_cannot_be_deleted(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor)
    refused = api.delete(f"/vendors/{vendor}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert "Spring 2026" in refused.json()["detail"]


def test_another_club_sees_none_of_them_and_readers_change_none(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor)
    path = f"/editions/{edition}/vendor-terms"
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(path).status_code == 404
    assert stranger.get(f"{path}/{vendor}").status_code == 404
    foreign = stranger.post(
        f"/editions/{a_draft(stranger)}/vendor-terms", json={"vendor_id": vendor, "currency": "USD"}
    )
    assert (foreign.status_code, foreign.json()["faults"][0]["pointer"]) == (422, "/vendor_id")
    reader = api.as_role("committee")
    assert reader.get(f"{path}/{vendor}").status_code == 200
    assert reader.post(path, json={"vendor_id": vendor, "currency": "USD"}).status_code == 403
    assert reader.delete(f"{path}/{vendor}", headers={"If-Match": '"1"'}).status_code == 403


def test_pricing_reads_the_terms_by_vendor(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor, mobilization="450.125")
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR)
        found = vendor_terms(work, UUID(edition))
        none = vendor_terms(work, UUID(a_published_edition(api)))
    facts = found[UUID(vendor)]
    assert (facts.vendor_name, facts.currency, facts.exchange_rate) == (
        "Alder Creek Sand and Gravel",
        "CAD",
        Decimal("0.7312"),
    )
    assert facts.mobilization == Decimal("450.125")
    assert str(facts.rate_date) == "2026-02-27"
    assert none == {}
