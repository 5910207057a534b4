"""Terms, ranges, currencies and days of items through the API: what is kept, and what is refused where."""

from typing import Any
from uuid import UUID

import pytest
from catalog_factories import BREAKS, a_draft, a_vendor, an_item, put, vendor_terms_in
from conftest import Api
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.price_terms import PurchaseTerms

RENTAL = {
    "form": "rental",
    "periods": [{"name": "week", "days": 7, "price": "1450.00", "included_hours": "40", "over_hour_price": "31.00"}],
    "hourly": {"price": "45.00", "least_hours_a_day": "4"}, "delivery": "120.00", "pick_up": "120.00",
    "damage_waiver_percent": "12", "fuel": {"use_per_hour": "2.5", "unit": "us_gallon", "price": "3.85"},
}  # fmt: skip
BY_DISTANCE = {
    "by": "mass_distance", "rate": "0.28", "mass_unit": "short_ton", "distance": {"value": "34", "unit": "mile"},
}  # fmt: skip
PURCHASE = {
    "form": "purchase", "increment": "22", "increment_name": "load", "minimum_order": "44", "breaks": BREAKS,
    "delivery": BY_DISTANCE, "surcharges": [{"name": "Fuel", "percent": "4.5", "on": "delivery"}], "lead_time_days": 14,
}  # fmt: skip
LONG = {
    "form": "purchase",
    "delivery": {"by": "zone", "zone": "🌱" * 196 + " 000", "zones": [
        {"name": "🌱" * 196 + f" {number:03}", "charge": "999999999999.999999"} for number in range(50)]},
    "surcharges": [{"name": "🌱" * 196 + f" {number:03}", "per_order": "1"} for number in range(20)],
    "breaks": {"apply": "each_tier", "tiers": [
        {"from_quantity": f"{number}.000001", "unit_price": "999999999999.999999"} for number in range(50)]},
}  # fmt: skip
"""Terms within all limits but that of a cell of a workbook, where an emoji counts twice."""


def usd(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": "USD"}


def contains(answer: Any, asked: Any) -> bool:
    """Whether an answer says all that was asked, whatever it says besides."""
    if isinstance(asked, dict):
        return all(contains(answer[name], value) for name, value in asked.items())
    if isinstance(asked, list):
        return len(answer) == len(asked) and all(map(contains, answer, asked))
    return bool(answer == asked)


@pytest.mark.parametrize(
    "fields",
    [
        {"terms": PURCHASE},
        {"terms": {"form": "purchase", "delivery": BY_DISTANCE | {"mass_of_one": {"value": "50", "unit": "pound"}}},
         "unit": "bag"},
        {"terms": {"form": "purchase", "bands": {"contract_quantity": "400", "price_over": "35.00"}}},
        {"terms": {"form": "purchase", "breaks": {"apply": "each_tier", "tiers": [
            {"from_quantity": "10", "unit_price": "0"}]}}, "unit_price": usd("0"), "free": True},
        {"kind": "rental", "unit": "hour", "unit_price": None, "terms": RENTAL},
        {"low_price": usd("30"), "high_price": usd("38.50"), "tax_class": "reduced", "in_operating_budget": True},
        {"priced_on": "2026-02-10", "valid_from": "2026-03-01", "valid_until": "2026-03-01",
         "reference": "quotes/2026-02 sand.pdf"},
    ],
)  # fmt: skip
def test_what_a_price_list_says_is_kept_and_copied_with_the_edition(api: Api, fields: dict[str, Any]) -> None:
    edition = a_draft(api)
    added = put(api, edition, **fields)
    expected = {k: v for k, v in fields.items() if not k.endswith("_price")}
    assert contains(added, expected)
    for name in ("unit_price", "low_price", "high_price"):
        price = fields.get(name) or (None if name in fields or name != "unit_price" else usd("38.50"))
        assert (added[name] is None) == (price is None)
        assert price is None or float(added[name]["amount"]) == float(price["amount"])
    copy = a_draft(api, "Copy", copy_of=edition)
    read = api.get(f"/editions/{copy}/items/SAND-TD").json()
    assert read == added | {"edition_id": copy}
    body = {k: v for k, v in added.items() if k not in {"edition_id", "code", "vendor_name", "version"}}
    edited = api.put(f"/editions/{copy}/items/SAND-TD", json=body, headers={"If-Match": '"1"'})
    assert edited.json() == read | {"version": 2}


@pytest.mark.parametrize(
    ("fields", "status", "pointers"),
    [
        ({"low_price": usd("39")}, 422, ["/low_price"]),
        ({"low_price": usd("-1")}, 422, ["/low_price"]),
        ({"high_price": usd("38.49")}, 422, ["/high_price"]),
        ({"low_price": {"amount": "1", "currency": "CAD"}}, 422, ["/low_price/currency"]),
        ({"unit_price": None, "low_price": usd("1"), "high_price": usd("2")}, 422, ["/low_price", "/high_price"]),
        ({"currency": "CAD"}, 422, ["/unit_price/currency", "/currency"]),
        ({"currency": "CAD", "unit_price": None}, 422, ["/currency"]),
        ({"unit_price": {"amount": "1", "currency": "CAD"}}, 422, ["/unit_price/currency"]),
        ({"valid_from": "2026-03-02", "valid_until": "2026-03-01"}, 422, ["/valid_until"]),
        ({"tax_class": "no spaces"}, 400, ["/tax_class"]),
        ({"terms": {"form": "purchase", "breaks": BREAKS}, "unit_price": None}, 422, ["/unit_price"]),
        ({"terms": {"form": "purchase", "bands": {"contract_quantity": "4", "price_over": "0"}}}, 422,
         ["/terms/bands/price_over"]),
        ({"terms": {"form": "purchase", "breaks": {"apply": "each_tier", "tiers": [
            {"from_quantity": "10", "unit_price": "1"}, {"from_quantity": "20", "unit_price": "0.00"}]}}}, 422,
         ["/terms/breaks/tiers/1/unit_price"]),
        ({"terms": PURCHASE, "kind": "rental"}, 422, ["/terms/form"]),
        ({"terms": PURCHASE, "kind": "labor", "unit": "hour"}, 422, ["/terms/form", "/terms/delivery/mass_of_one"]),
        ({"terms": RENTAL}, 422, ["/terms/form", "/unit", "/unit_price"]),
        ({"terms": RENTAL, "kind": "rental", "unit": "rental_week", "unit_price": None}, 422, ["/unit"]),
        ({"terms": RENTAL, "kind": "rental", "unit": "hour"}, 422, ["/unit_price"]),
        ({"terms": RENTAL | {"hourly": {"price": "0", "least_hours_a_day": "4"},
          "fuel": {"use_per_hour": "2.5", "unit": "mile", "price": "0"}},
          "kind": "rental", "unit": "hour", "unit_price": None}, 422,
         ["/terms/fuel/unit", "/terms/hourly/price", "/terms/fuel/price"]),
        ({"terms": {"form": "purchase", "delivery": BY_DISTANCE | {"mass_unit": "mile", "distance":
          {"value": "1", "unit": "hour"}, "mass_of_one": {"value": "0", "unit": "ton"}}}, "unit": "bag"}, 422,
         ["/terms/delivery/mass_unit", "/terms/delivery/distance/unit", "/terms/delivery/mass_of_one/unit",
          "/terms/delivery/mass_of_one/value"]),
        ({"terms": {"form": "purchase", "delivery": BY_DISTANCE | {"mass_of_one": {"value": "1", "unit": "pound"}}}},
         422, ["/terms/delivery/mass_of_one"]),
        ({"terms": {"form": "purchase", "delivery": BY_DISTANCE}, "unit": "bag"}, 422,
         ["/terms/delivery/mass_of_one"]),
        ({"terms": {"form": "purchase", "delivery": {"by": "load", "load_size": 22}}}, 400,
         ["/terms/delivery/load_size", "/terms/delivery/charge"]),
        ({"terms": {"form": "purchase", "increment_name": "load"}}, 400, ["/terms"]),
        ({"terms": {"form": "purchase", "brakes": BREAKS}}, 400, ["/terms/brakes"]),
        ({"terms": {"form": "barter"}}, 400, ["/terms"]),
        ({"terms": LONG}, 422, ["/terms"]),
    ],
)  # fmt: skip
def test_what_is_no_usable_price_list_is_refused_with_its_place(
    api: Api, fields: dict[str, Any], status: int, pointers: list[str]
) -> None:
    edition = a_draft(api)
    put(api, edition, "SAND-BK")
    refused = api.post(f"/editions/{edition}/items", json=an_item(**fields))
    assert refused.status_code == status, refused.text[:400]
    assert [fault["pointer"] for fault in refused.json()["faults"]] == pointers
    body = {k: v for k, v in an_item(**fields).items() if k != "code"}
    edited = api.put(f"/editions/{edition}/items/SAND-BK", json=body, headers={"If-Match": '"1"'})
    assert [fault["pointer"] for fault in edited.json()["faults"]] == pointers
    assert [i["version"] for i in api.get(f"/editions/{edition}/items").json()["items"]] == [1]


def test_a_currency_without_a_rate_is_refused_with_what_to_do(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    foreign = {"unit_price": {"amount": "52.00", "currency": "CAD"}, "vendor_id": vendor}
    refused = api.post(f"/editions/{edition}/items", json=an_item(**foreign))
    fault = refused.json()["faults"][0]
    assert (refused.status_code, fault["pointer"], fault["got"]) == (422, "/unit_price/currency", "CAD")
    assert "vendor terms in this edition with the currency CAD and an exchange rate" in fault["expected"]
    vendor_terms_in(api, edition, vendor)
    assert put(api, edition, **foreign)["currency"] == "CAD"
    assert put(api, edition, "OWN", vendor_id=vendor)["currency"] == "USD"
    other = a_vendor(api, "Briar Hill Sod Farm")
    elsewhere = api.post(f"/editions/{edition}/items", json=an_item("X", **foreign | {"vendor_id": other}))
    assert elsewhere.json()["faults"][0]["pointer"] == "/unit_price/currency"


def test_an_item_priced_by_its_rental_terms_does_not_count_as_unpriced(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, "LIFT", kind="rental", unit="hour", unit_price=None, terms=RENTAL)
    put(api, edition, "SOD", kind="sod", unit_price=None, terms={"form": "purchase", "minimum_charge": "90"})
    put(api, edition, "SAND")
    for unpriced, codes in (("true", ["SOD"]), ("false", ["LIFT", "SAND"])):
        found = api.get(f"/editions/{edition}/items?unpriced={unpriced}").json()["items"]
        assert [item["code"] for item in found] == codes


def test_pricing_reads_terms_range_and_currency_and_parses_terms_once(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, terms=PURCHASE, low_price=usd("30"), high_price=usd("45.25"), tax_class="reduced",
        valid_from="2026-03-01", reference="page 4", in_operating_budget=True)  # fmt: skip
    put(api, edition, "PLAIN")
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR)
        found = items_with_codes(work, UUID(edition), ["SAND-TD", "PLAIN"])
    sand, plain = found["SAND-TD"], found["PLAIN"]
    assert isinstance(sand.terms, PurchaseTerms)
    assert sand.terms.breaks is not None
    assert [str(tier.unit_price) for tier in sand.terms.breaks.tiers] == ["36.00", "34.50"]
    assert sand.terms is sand.terms
    assert (sand.currency, sand.low_micros, sand.high_micros) == ("USD", 30_000_000, 45_250_000)
    assert (sand.tax_class, sand.reference, sand.in_operating_budget) == ("reduced", "page 4", True)
    assert (plain.terms, plain.cash_micros, plain.low_micros, plain.tax_class) == (
        None,
        None,
        None,
        "standard",
    )
