"""How good an estimate is, through the API: its basis, the checklist, and where its prices come from."""

from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_dressed_green,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    issued,
    money,
    priced,
    stated,
)

BASIS: Document = {
    "purpose": "Decision of the finance committee on the autumn closure.",
    "scope_note": "All greens, both passes.",
    "assumptions": ["Two dry weeks"],
    "exclusions": ["Irrigation repairs"],
    "sources": ["Areas as drawn in 2025"],
    "estimate_class": 3,
    "prepared_by": "Superintendent",
    "prepared_on": "2026-03-01",
    "checked_by": "Controller",
    "checked_on": "2026-03-02",
    "confirmations": [
        {"check": "site_seen", "met": True, "note": "Walked all greens."},
        {"check": "utilities_located", "met": False, "note": ""},
        {"check": "permits", "met": None, "note": ""},
    ],
}


def write_basis(api: Api, estimate: str, body: Document, version: int | None = 1) -> Any:
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    return api.put(f"/estimates/{estimate}/basis", json=body, headers=headers)


def quality_of(api: Api, estimate: Document) -> Document:
    found: Document = api.get(f"/estimates/{estimate['id']}/quality").json()
    return found


def states_of(quality: Document) -> dict[str, str]:
    return {one["id"]: one["state"] for one in quality["checks"]}


def test_a_basis_is_empty_until_it_is_written_with_its_version(api: Api) -> None:
    estimate = a_dressed_green(api)["id"]
    empty = api.get(f"/estimates/{estimate}/basis").json()
    assert (empty["version"], empty["purpose"], empty["estimate_class"]) == (1, "", None)
    assert write_basis(api, estimate, BASIS, None).status_code == 428
    assert write_basis(api, estimate, BASIS, 2).status_code == 412
    assert api.get(f"/estimates/{estimate}/basis").json() == empty
    written = write_basis(api, estimate, BASIS)
    assert written.status_code == 200, written.text
    kept = api.get(f"/estimates/{estimate}/basis").json()
    assert kept == written.json() == BASIS | {"estimate_id": estimate, "version": 2}
    assert write_basis(api, estimate, BASIS).status_code == 412
    audit = api.get("/audit?subject=estimate_basis").json()["items"]
    assert len(audit) == 1


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"estimate_class": 6}, 400),
        ({"estimate_class": 0}, 400),
        ({"checked_by": "Superintendent"}, 400),
        ({"checked_on": "2026-02-28"}, 400),
        ({"assumptions": [""]}, 400),
        ({"confirmations": [{"check": "permits", "met": True}] * 2}, 400),
        ({"confirmations": [{"check": "weather", "met": True}]}, 400),
    ],
)
def test_a_basis_that_makes_no_sense_changes_nothing(api: Api, change: Document, status: int) -> None:
    estimate = a_dressed_green(api)["id"]
    assert write_basis(api, estimate, BASIS | change).status_code == status
    assert api.get(f"/estimates/{estimate}/basis").json()["version"] == 1


def test_a_basis_is_frozen_with_its_estimate_and_copied_to_the_revision(api: Api) -> None:
    estimate = a_dressed_green(api)
    assert write_basis(api, estimate["id"], BASIS).status_code == 200
    issued(api, estimate["id"])
    refused = write_basis(api, estimate["id"], BASIS | {"purpose": "Another"}, 2)
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    revision = api.created(f"/estimates/{estimate['id']}/revisions", {"edition_id": estimate["edition_id"]})
    copied = api.get(f"/estimates/{revision['id']}/basis").json()
    assert copied == BASIS | {"estimate_id": revision["id"], "version": 1}
    assert write_basis(api, revision["id"], BASIS | {"purpose": "Another"}).status_code == 200
    kept = api.get(f"/estimates/{estimate['id']}/basis").json()
    assert (kept["purpose"], kept["version"]) == (BASIS["purpose"], 2)


def test_the_committee_cannot_write_a_basis(api: Api) -> None:
    estimate = a_dressed_green(api)["id"]
    assert write_basis(api.as_role("committee"), estimate, BASIS).status_code == 403


def test_the_checklist_says_what_is_not_met_of_a_bare_estimate(api: Api) -> None:
    project = a_project(api)
    unknown = an_area(api, a_course(api), None)
    a_scope_item(api, project, TOPDRESSING, [unknown], by_measure("SAND", "sand_mass"))
    a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"))
    quality = quality_of(
        api, priced(api, project, an_edition(api, [an_item("SAND"), an_item("SEED", account=None)]))
    )
    states = states_of(quality)
    open_ones = {"site_seen", "utilities_located", "permits"}
    assert {name for name, state in states.items() if state == "open"} == open_ones
    assert {name for name, state in states.items() if state == "met"} == {"all_priced", "prices_current"}
    assert (quality["met"], quality["of"], quality["complete"]) == (2, 20, False)
    assert quality["band"] is None
    assert all(one["source"] and one["found"] and one["question"] for one in quality["checks"])


def test_the_checklist_of_a_careful_estimate(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    ranged: Document = {
        "low_price": {"amount": "9.00", "currency": "USD"}, "high_price": {"amount": "12.00", "currency": "USD"},
    }  # fmt: skip
    item = an_item("SAND", "10.00", price_source="contract", **ranged)
    markups = [
        {"kind": "tax", "percent": "7"},
        {"kind": "escalation", "percent": "4"},
        {"kind": "contingency", "percent": "10", "account": "1599"},
    ]
    estimate = priced(api, project, an_edition(api, [item]), *markups)
    answers = [*BASIS["confirmations"], {"check": "compared", "met": None, "note": "A contract is in place."}]
    assert write_basis(api, estimate["id"], BASIS | {"confirmations": answers}).status_code == 200
    quality = quality_of(api, estimate)
    states = states_of(quality)
    not_met = {name for name, state in states.items() if state == "not_met"}
    assert not_met == {"utilities_located"}
    not_applicable = {"permits", "compared", "all_measured"}
    assert {name for name, state in states.items() if state == "not_applicable"} == not_applicable
    assert (quality["met"], quality["of"], quality["complete"]) == (16, 17, False)
    found = {one["id"]: one["found"] for one in quality["checks"]}
    assert found["ranges"] == "1 item has a range of prices."
    assert found["contingency"] == "Contingency: 10 %."
    assert found["tax"].endswith(": 7 %.")
    assert found["prices_firm"] == "100 % do."
    band = quality["band"]
    assert band["estimate_class"] == 3
    assert money(band["low"]) < money(estimate["total"]) < money(band["high"])
    settled = [
        *[one for one in answers if one["check"] != "utilities_located"],
        {"check": "utilities_located", "met": True},
    ]
    assert write_basis(api, estimate["id"], BASIS | {"confirmations": settled}, 2).status_code == 200
    assert quality_of(api, estimate)["complete"] is True


def test_the_checklist_counts_items_and_not_their_lines(api: Api) -> None:
    project = a_project(api)
    sand, seed = stated("SAND", "10", "short_ton"), stated("SEED", "1", "short_ton")
    a_scope_item(api, project, LUMP, [], sand, sand, sand, seed)
    ranged = {"high_price": {"amount": "99.00", "currency": "USD"}}
    items = [an_item("SAND", **ranged), an_item("SEED", price_source="invoice", **ranged)]
    quality = quality_of(api, priced(api, project, an_edition(api, items)))
    found = {one["id"]: one["found"] for one in quality["checks"]}
    assert found["ranges"] == "2 items have a range of prices."
    assert found["compared"] == "Offers were compared for 0 items."
    assert found["prices_firm"] == "3.23 % do."


def found_of(quality: Document) -> dict[str, tuple[str, str]]:
    return {one["id"]: (one["state"], one["found"]) for one in quality["checks"]}


def test_the_checklist_says_yes_to_nothing_about_prices_that_are_not_there(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    quality = quality_of(api, priced(api, project, an_edition(api, [an_item("SAND", None)])))
    found = found_of(quality)
    assert found["all_priced"][0] == "not_met"
    assert found["prices_current"] == found["prices_firm"] == ("open", "Nothing is priced yet.")
    assert found["all_measured"] == ("not_applicable", "It works on no area.")
    assert found["accounts"][0] == "met"
    assert quality["price_sources"] == []


def test_the_checklist_of_an_estimate_without_work_is_open(api: Api) -> None:
    found = found_of(quality_of(api, priced(api, a_project(api), an_edition(api))))
    for name in ("all_measured", "tax", "accounts"):
        assert found[name] == ("open", "There is nothing in it yet.")
    assert found["all_priced"][0] == "not_met"
    assert found["prices_current"] == ("open", "Nothing is priced yet.")


def test_a_price_that_has_no_size_to_go_with_makes_nothing_priced(api: Api) -> None:
    project = a_project(api)
    unknown = an_area(api, a_course(api), None)
    a_scope_item(api, project, TOPDRESSING, [unknown], by_measure("SAND", "sand_mass"))
    found = found_of(quality_of(api, priced(api, project, an_edition(api, [an_item("SAND")]))))
    assert found["all_priced"] == ("not_met", "Nothing is priced yet.")
    assert found["all_measured"][0] == "not_met"


def test_an_item_that_the_edition_does_not_have_has_no_account(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], *[stated(code, "1", "short_ton") for code in ("SAND", "LOAM")])
    found = found_of(quality_of(api, priced(api, project, an_edition(api, [an_item("SAND")]))))
    assert found["accounts"] == ("not_met", "1 item has no account.")


def test_a_range_that_is_stated_for_the_simulation_counts(api: Api) -> None:
    estimate = a_dressed_green(api)
    assert found_of(quality_of(api, estimate))["ranges"] == ("not_met", "Nothing has a range.")
    figure = {
        "name": "Price of sand", "kind": "price", "items": ["SAND"],
        "range": {"shape": "triangular", "low": "90", "likely": "100", "high": "130"},
    }  # fmt: skip
    place = f"/estimates/{estimate['id']}/uncertainty"
    assert api.put(place, json={"figures": [figure]}, headers={"If-Match": '"1"'}).status_code == 200
    counted = "1 figure has a range stated for the simulation."
    assert found_of(quality_of(api, estimate))["ranges"] == ("met", counted)


def test_an_answer_does_not_overrule_what_figures_show(api: Api) -> None:
    estimate = a_dressed_green(api)
    answers = [{"check": "contingency", "met": True}, {"check": "escalation", "met": None}]
    assert write_basis(api, estimate["id"], {"confirmations": answers}).status_code == 200
    states = states_of(quality_of(api, estimate))
    assert (states["contingency"], states["escalation"]) == ("not_met", "not_applicable")


def a_priced_mix(api: Api) -> Document:
    """Prices of three sources: one stale, one that ends before the work, one with no source."""
    vendor = api.created("/vendors", {"name": "Alder Creek Sand"})["id"]
    items = [
        an_item("SAND", "30.00", vendor_id=vendor, price_source="quote", priced_on="2026-02-10"),
        an_item("SEED", "50.00", price_source="invoice", priced_on="2024-01-01"),
        an_item("LIME", "13.33", price_source="estimate", valid_until="2026-07-31"),
        an_item("LOAM", "6.67"),
    ]
    project = a_project(api)
    codes = ("SAND", "SEED", "LIME", "LOAM")
    a_scope_item(api, project, LUMP, [], *[stated(code, "1", "short_ton") for code in codes])
    a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"))
    return priced(api, project, an_edition(api, items), as_of="2026-03-01")


def test_price_sources_sum_to_the_direct_cost_the_firmest_first(api: Api) -> None:
    estimate = a_priced_mix(api)
    sources = quality_of(api, estimate)["price_sources"]
    assert [(one["price_source"], one["amount"]["amount"], one["percent"]) for one in sources] == [
        ("invoice", "100.00", "66.67"),
        ("quote", "30.00", "20.00"),
        ("estimate", "13.33", "8.89"),
        (None, "6.67", "4.45"),
    ]
    assert sum((money(one["amount"]) for one in sources), Decimal(0)) == money(estimate["direct"])


def test_old_prices_and_single_quotes_are_listed_with_what_they_cost(api: Api) -> None:
    quality = quality_of(api, a_priced_mix(api))
    stale = [(one["item"], one["amount"]["amount"], one["percent"]) for one in quality["stale"]]
    assert stale == [("SEED", "100.00", "66.67"), ("LIME", "13.33", "8.89")]
    assert "dates from 2024-01-01" in quality["stale"][0]["why"]
    assert "until 2026-07-31" in quality["stale"][1]["why"]
    (single,) = quality["single_source"]
    assert (single["item"], single["vendor"], single["priced_on"]) == (
        "SAND",
        "Alder Creek Sand",
        "2026-02-10",
    )
    assert states_of(quality)["prices_current"] == "not_met"
    assert states_of(quality)["prices_firm"] == "met"
