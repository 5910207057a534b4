"""Build-ups of hourly rates through the API: the unit price is computed, kept, explained and never stated otherwise."""

from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from catalog_factories import (
    a_draft,
    a_vendor,
    an_item,
    exported,
    put,
    upload_workbook,
    vendor_terms_in,
    workbook,
)
from conftest import Api
from swardcost_api.catalog import item_files
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.storage.work import OPERATOR, UnitOfWork

CREW = {
    "form": "labor", "year": 2026, "own_staff": True,
    "grades": [{"name": "Operator", "people": 1, "wage": "24.00", "hours_a_week": "48"},
               {"name": "Greenkeeper", "people": 2, "wage": "18.00", "hours_a_week": "40"}],
    "burden": [{"name": "Payroll tax", "percent": "7.65", "source": "IRS Publication 15"},
               {"name": "Health insurance", "per_hour": "2.10", "source": "The club's payroll"}],
}  # fmt: skip
TRACTOR = {
    "form": "owned_machine", "value": "64000", "salvage_percent": "20", "life_hours": "8000", "hours_a_year": "600",
    "money_percent_a_year": "5", "engine": "diesel", "power_hp": "55", "load": "0.5", "fuel_price_per_gallon": "3.90",
    "repair_factor": "0.7",
}  # fmt: skip


def labor(terms: dict[str, Any] = CREW, **more: Any) -> dict[str, Any]:
    return {"kind": "labor", "unit": "hour", "unit_price": None, "terms": terms, "taxable": False} | more


def machine(**more: Any) -> dict[str, Any]:
    return {
        "kind": "owned_machine",
        "unit": "hour",
        "unit_price": None,
        "terms": TRACTOR,
        "taxable": False,
    } | more


def amount(money: dict[str, str]) -> Decimal:
    return Decimal(money["amount"])


def test_the_rate_of_a_crew_is_its_week_by_the_person_hour(api: Api) -> None:
    """Redone by hand: operator 48 x 24 + 8 x 12 overtime = 1248, greenkeepers 2 x 40 x 18 = 1440; 128 hours."""
    edition = a_draft(api)
    added = put(api, edition, "CREW", **labor())
    assert (added["unit_price"], added["currency"]) == ({"amount": "24.7065", "currency": "USD"}, "USD")
    rate = api.get(f"/editions/{edition}/items/CREW/rate").json()
    elements = {one["name"]: amount(one["amount"]) for one in rate["elements"]}
    assert elements["Straight time"] == Decimal("20.25")  # (1152 + 1440) / 128
    assert elements["Overtime pay"] == Decimal("0.75")  # 96 / 128
    assert elements["Payroll tax"] == Decimal("1.6065")  # (95.47 + 2 x 55.08) / 128, each rounded to the cent
    assert elements["Health insurance"] == Decimal("2.10")
    assert rate["unit_price"] == added["unit_price"]
    assert sum(elements.values()) == amount(rate["unit_price"])
    assert sum(amount(one["cash"]) for one in rate["elements"]) == amount(rate["cash_price"])
    assert 0 < amount(rate["cash_price"]) < amount(rate["unit_price"])
    last = rate["derivation"][-1]
    assert (last["name"], Decimal(last["value"])) == ("hourly rate in cash", amount(rate["cash_price"]))
    assert all(step["formula"] and step["source"] for step in rate["derivation"])


def test_the_rate_of_an_owned_machine_is_owning_and_operating_and_cash_is_operating_alone(api: Api) -> None:
    edition = a_draft(api)
    added = put(api, edition, "TRACTOR", **machine())
    rate = api.get(f"/editions/{edition}/items/TRACTOR/rate").json()
    elements = {one["name"]: (amount(one["amount"]), amount(one["cash"])) for one in rate["elements"]}
    assert elements["Depreciation"] == (Decimal("6.40"), 0)  # 64000 x 80 % / 8000
    assert elements["Fuel"] == (Decimal("5.52"), Decimal("5.52"))  # 55 hp x 0.5 x 0.36 lb / 7 lb x 3.90
    assert sum(full for full, _ in elements.values()) == amount(added["unit_price"])
    assert sum(cash for _, cash in elements.values()) == amount(rate["cash_price"])


def test_pricing_reads_the_full_and_the_cash_price_of_a_build_up(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, "CREW", **labor())
    put(api, edition, "HIRED", **labor(CREW | {"own_staff": False}))
    put(api, edition, "TRACTOR", **machine())
    with api.database.reading() as session:
        found = items_with_codes(
            UnitOfWork(session, api.club, OPERATOR), UUID(edition), ["CREW", "HIRED", "TRACTOR"]
        )
    for code, item in found.items():
        rate = api.get(f"/editions/{edition}/items/{code}/rate").json()
        assert item.price_micros == amount(rate["unit_price"]) * 10**6
        assert item.cash_micros == amount(rate["cash_price"]) * 10**6
    assert found["HIRED"].cash_micros == found["HIRED"].price_micros


def test_a_changed_wage_changes_the_price_and_what_was_read_can_be_put_back(api: Api) -> None:
    edition = a_draft(api)
    added = put(api, edition, "CREW", **labor())
    path = f"/editions/{edition}/items/CREW"
    body = {k: v for k, v in added.items() if k not in {"edition_id", "code", "vendor_name", "version"}}
    assert api.put(path, json=body, headers={"If-Match": '"1"'}).json() == added | {"version": 2}
    grades = [CREW["grades"][0] | {"wage": "30.00"}, CREW["grades"][1]]  # type: ignore[operator]
    dearer = body | {"terms": body["terms"] | {"grades": grades}}
    refused = api.put(path, json=dearer, headers={"If-Match": '"2"'})
    assert [fault["pointer"] for fault in refused.json()["faults"]] == ["/unit_price"]
    edited = api.put(path, json=dearer | {"unit_price": None}, headers={"If-Match": '"2"'}).json()
    assert amount(edited["unit_price"]) > amount(added["unit_price"])
    assert refused.json()["faults"][0]["expected"] == (
        f"none, or {edited['unit_price']['amount']}, which the build-up comes to"
    )


def test_build_ups_are_copied_and_go_through_files_without_loss(api: Api) -> None:
    source = a_draft(api)
    put(api, source, "CREW", **labor())
    put(api, source, "TRACTOR", **machine(low_price={"amount": "10", "currency": "USD"}))
    copy, by_csv, by_workbook = a_draft(api, "C", copy_of=source), a_draft(api, "F"), a_draft(api, "W")
    assert api.upload(f"/editions/{by_csv}/items/upload", exported(api, source)).json()["added"] == 2
    assert upload_workbook(api, by_workbook, workbook(api, source)).json()["added"] == 2
    for edition in (copy, by_csv, by_workbook):
        assert exported(api, edition) == exported(api, source)
        rates = [api.get(f"/editions/{one}/items/CREW/rate").json() for one in (source, edition)]
        assert rates[0] == rates[1] | {"edition_id": source}


def test_a_file_of_more_build_ups_than_are_taken_is_refused(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, target = a_draft(api), a_draft(api, "F")
    put(api, source, "CREW", **labor())
    put(api, source, "TRACTOR", **machine())
    monkeypatch.setattr(item_files, "MAX_BUILD_UPS", 1)
    refused = api.upload(f"/editions/{target}/items/upload", exported(api, source))
    assert (refused.status_code, refused.json()["type"]) == (413, "/problems/too-large")
    assert api.get(f"/editions/{target}/items").json()["items"] == []


def test_a_build_up_is_in_the_currency_of_its_vendors_terms(api: Api) -> None:
    vendor, edition = a_vendor(api), a_draft(api)
    vendor_terms_in(api, edition, vendor)
    added = put(api, edition, "CREW", **labor(CREW | {"own_staff": False}, vendor_id=vendor, currency="CAD"))
    assert (added["currency"], added["unit_price"]["currency"]) == ("CAD", "CAD")
    assert api.get(f"/editions/{edition}/items/CREW/rate").json()["cash_price"]["currency"] == "CAD"
    refused = api.delete(f"/editions/{edition}/vendor-terms/{vendor}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")


@pytest.mark.parametrize(
    ("fields", "pointers"),
    [
        (labor(unit_price={"amount": "30.00", "currency": "USD"}), ["/unit_price"]),
        (labor(unit="work_day"), ["/unit"]),
        (labor(kind="contract"), ["/terms/form"]),
        (machine(kind="rental"), ["/terms/form"]),
        (labor(in_operating_budget=True), ["/in_operating_budget"]),
        (labor(free=True), ["/free"]),
        (labor(high_price={"amount": "1", "currency": "USD"}), ["/high_price"]),
        (labor({"form": "labor", "year": 2026, "own_staff": True, "grades": [
            {"name": "Volunteer", "people": 1, "wage": "0", "hours_a_week": "8"}]}), ["/terms"]),
        (labor(CREW | {"burden": [{"name": "Tax", "percent": "6.2", "source": "s", "bases": [
            {"year": 2024, "wages": "168600"}]}]}), ["/terms"]),
        (machine(terms=TRACTOR | {"life_hours": "100"}), ["/terms"]),
    ],
)  # fmt: skip
def test_what_is_no_build_up_of_this_item_is_refused(
    api: Api, fields: dict[str, Any], pointers: list[str]
) -> None:
    edition = a_draft(api)
    refused = api.post(f"/editions/{edition}/items", json=an_item("X", **fields))
    assert refused.status_code == 422, refused.text
    assert [fault["pointer"] for fault in refused.json()["faults"]] == pointers
    assert api.get(f"/editions/{edition}/items").json()["items"] == []


def test_faults_within_a_build_up_point_at_their_fields(api: Api) -> None:
    edition = a_draft(api)
    burden = [{"name": "Tax", "percent": "6.2"}]
    body = an_item("X", **labor(CREW | {"burden": burden, "grades": [{"name": "A", "people": "2"}]}))
    refused = api.post(f"/editions/{edition}/items", json=body)
    assert refused.status_code == 400
    pointers = [fault["pointer"] for fault in refused.json()["faults"]]
    assert pointers[:3] == ["/terms/grades/0/people", "/terms/grades/0/wage", "/terms/grades/0/hours_a_week"]
    assert "/terms/burden/0/source" in pointers
    assert len(set(zip(pointers, (f["expected"] for f in refused.json()["faults"]), strict=True))) == len(
        pointers
    )


def test_a_stated_price_has_no_build_up_to_explain(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition)
    for code in ("SAND-TD", "NONE"):
        missing = api.get(f"/editions/{edition}/items/{code}/rate")
        assert (missing.status_code, missing.json()["type"]) == (404, "/problems/not-found")
