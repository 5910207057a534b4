"""Pricing a scope through the API: quantities, amounts, markups, and what is missing."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    SODDING,
    TOPDRESSING,
    a_course,
    a_dressed_green,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    line_of,
    lines_of,
    money,
    priced,
    redo_by_hand,
    stated,
    warnings_of,
)

SAND = by_measure("SAND", "sand_mass")


def a_lump(api: Api, item: dict[str, Any], *resources: dict[str, Any], **terms: Any) -> dict[str, Any]:
    """One scope item on no area, priced with an edition of one item."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], *resources)
    return priced(api, project, an_edition(api, [item]), **terms)


def test_a_line_says_what_is_bought_from_whom_and_why(api: Api) -> None:
    vendor = api.created("/vendors", {"name": "Alder Creek Sand"})["id"]
    item = an_item(
        "SAND", vendor_id=vendor, price_source="quote", priced_on="2026-02-10", valid_until="2027-05-31"
    )
    project, green = a_project(api), an_area(api, a_course(api), "6000")
    a_scope_item(api, project, TOPDRESSING, [green], SAND | {"waste_percent": "5"}, name="Dress")
    estimate = priced(api, project, an_edition(api, [item]), as_of="2026-03-01")
    line = line_of(api, estimate["id"])
    assert (line["quantity"], line["unit"], line["unit_price"]["amount"]) == ("6.56", "short_ton", "38.50")
    assert line["amount"] == {"amount": "252.56", "currency": "USD"}
    assert (line["scope_item"], line["vendor"], line["account"]) == ("Dress", "Alder Creek Sand", "1520-10")
    *_, conversion, quantity, amount = line["derivation"]
    assert (conversion["formula"], conversion["value"]) == ("sand mass / one short ton", "6.25")
    assert quantity["formula"] == "measured x (1 + waste / 100), rounded half up to 0.01"
    assert amount["value"] == "252.56"
    assert amount["source"] == "quote, Alder Creek Sand, of 2026-02-10, valid until 2027-05-31"
    assert estimate["complete"] is True
    assert estimate["warnings"] == []
    redo_by_hand(api, estimate)


def test_every_step_of_a_line_takes_up_where_the_one_before_ended(api: Api) -> None:
    estimate = a_dressed_green(api)
    steps = line_of(api, estimate["id"])["derivation"]
    known = {"unit price": "38.5", "one short ton": "907.18474"}
    for step in steps:
        for figure in step["inputs"]:
            assert known.setdefault(figure["name"], figure["value"]) == figure["value"]
        known[step["name"]] = step["value"]
    assert known["amount"] == "240.63"


def test_markups_stand_on_their_own_lines_in_their_order(api: Api) -> None:
    project = a_project(api, starts_on="2026-12-01", ends_on="2027-01-31")
    a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), stated("CREW", "10", "hour"))
    items = [an_item("SAND", "10"), an_item("CREW", "50", unit="hour", taxable=False, account="1510")]
    markups = [
        {"kind": "contingency", "percent": "10", "account": "1599"},
        {"kind": "escalation", "percent": "4"},
        {"kind": "overhead", "percent": "3"},
        {"kind": "tax", "percent": "7.25"},
    ]
    estimate = priced(api, project, an_edition(api, items, price_date="2026-01-01"), *markups)
    found = {
        m["kind"]: (m["base"]["amount"], m["percent"], m["amount"]["amount"]) for m in estimate["markups"]
    }
    assert list(found) == ["tax", "overhead", "escalation", "contingency"]
    assert found["tax"] == ("1000.00", "7.250000", "72.50")
    assert found["overhead"] == ("1500.00", "3.000000", "45.00")
    base, percent, amount = found["escalation"]
    assert base == "1617.50"
    days = (date(2026, 12, 31) - date(2026, 1, 1)).days
    assert float(percent) == pytest.approx((1.04 ** (days / 365) - 1) * 100, abs=1e-6)
    assert Decimal(amount) == round(Decimal(base) * Decimal(percent) / 100, 2)
    assert found["contingency"][0] == str(Decimal(base) + Decimal(amount))
    redo_by_hand(api, estimate)


def test_the_printed_escalation_gives_the_printed_amount_of_a_large_programme(api: Api) -> None:
    project = a_project(api, starts_on="2029-03-01", ends_on="2029-11-17")
    a_scope_item(api, project, LUMP, [], stated("WORK", "9999999", "each"))
    edition = an_edition(api, [an_item("WORK", "7777.77", unit="each")])
    for compounding in ("yearly", "simple"):
        markup = {"kind": "escalation", "percent": "3.7", "compounding": compounding}
        redo_by_hand(api, priced(api, project, edition, markup))


def test_work_before_the_price_date_is_not_escalated(api: Api) -> None:
    project = a_project(api, starts_on="2025-03-01", ends_on="2025-04-01")
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    estimate = priced(
        api, project, an_edition(api, [an_item("SAND")]), {"kind": "escalation", "percent": "4"}
    )
    assert money(estimate["markups"][0]["amount"]) == 0


def test_loads_and_pallets_are_bought_whole_once_for_all_areas(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    areas = [an_area(api, course, size, hole=hole) for hole, size in ((1, "460"), (2, "460"), (10, "430"))]
    a_scope_item(api, project, SODDING, areas, by_measure("SOD", "pallets"))
    edition = an_edition(api, [an_item("SOD", "100", kind="sod", unit="pallet")])
    estimate = priced(api, project, edition)
    line = line_of(api, estimate["id"])
    assert (line["quantity"], line["amount"]["amount"]) == ("3", "300.00")
    assert [share["amount"]["amount"] for share in line["shares"]] == ["102.22", "102.22", "95.56"]
    by_hole = [(one["key"], one["amount"]["amount"]) for one in estimate["subtotals"]["by_hole"]]
    assert by_hole == [("1", "102.22"), ("2", "102.22"), ("10", "95.56")]
    redo_by_hand(api, estimate)


def test_waste_on_whole_units_is_added_before_they_are_rounded_up(api: Api) -> None:
    estimate = a_lump(
        api, an_item("BAG", "8", unit="bag"), stated("BAG", "40", "bag", waste_percent="5"),
        stated("BAG", "41", "bag", waste_percent="5"),
    )  # fmt: skip
    assert [line["quantity"] for line in lines_of(api, estimate["id"])] == ["42", "44"]


@pytest.mark.parametrize(
    ("value", "unit", "sold_in", "quantity"),
    [
        ("0.125", "short_ton", "short_ton", "0.13"),
        ("2.005", "long_ton", "long_ton", "2.01"),
        ("1", "metric_ton", "short_ton", "1.10"),
        ("100", "square_foot", "acre", "0.0023"),
        ("0.00001", "acre", "acre", "0.0001"),
        ("0.001", "hour", "hour", "0.01"),
        ("1", "minute", "hour", "0.02"),
        ("0.2", "rental_week", "rental_week", "1"),
        ("0.000001", "load", "load", "1"),
        ("0", "hour", "hour", "0.00"),
    ],
)
def test_what_is_needed_at_all_is_never_rounded_away(
    api: Api, value: str, unit: str, sold_in: str, quantity: str
) -> None:
    estimate = a_lump(api, an_item("ITEM", "10", unit=sold_in), stated("ITEM", value, unit))
    assert lines_of(api, estimate["id"])[0]["quantity"] == quantity
    redo_by_hand(api, estimate)


def test_a_free_item_costs_nothing_and_leaves_no_gap(api: Api) -> None:
    estimate = a_lump(api, an_item("MULCH", "0", free=True), stated("MULCH", "5", "short_ton"))
    assert (estimate["total"]["amount"], estimate["complete"], estimate["warnings"]) == ("0.00", True, [])
    assert lines_of(api, estimate["id"])[0]["amount"]["amount"] == "0.00"


def test_nothing_that_is_missing_is_read_as_zero(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    unknown = an_area(api, course, None, name="Green 12")
    resources = [SAND, by_measure("GONE", "area"), by_measure("SOON", "area")]
    a_scope_item(api, project, TOPDRESSING, [unknown], *resources)
    a_scope_item(api, project, TOPDRESSING, [an_area(api, course), unknown], *resources)
    edition = an_edition(api, [an_item("SAND"), an_item("SOON", None, unit="square_foot")])
    estimate = priced(api, project, edition)
    unmeasured, measured = lines_of(api, estimate["id"])[:3], lines_of(api, estimate["id"])[3:]
    assert {(line["quantity"], line["amount"], line["rounding"]) for line in unmeasured} == {
        (None, None, "not measured")
    }
    assert [line["amount"] is None for line in measured] == [False, True, True]
    assert [line["quantity"] for line in measured] == ["6.25", "557.42", "6000.00"]
    gaps = warnings_of(estimate)
    assert gaps.count(("missing_size", True)) == 2
    assert gaps.count(("missing_item", True)) == 2
    assert gaps.count(("unpriced", True)) == 2
    assert estimate["complete"] is False
    assert "Green 12 has no size" in estimate["warnings"][0]["message"]
    redo_by_hand(api, estimate)


def test_an_area_of_no_size_at_all_is_a_gap_and_not_zero(api: Api) -> None:
    project = a_project(api)
    for size in ("0", "0.000001"):
        a_scope_item(api, project, TOPDRESSING, [an_area(api, a_course(api), size)], SAND)
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    nothing, speck = lines_of(api, estimate["id"])
    assert nothing["amount"] is None
    assert speck["quantity"] == "0.01", "nothing above zero is bought as zero"
    assert warnings_of(estimate) == [("missing_size", True)]
    assert estimate["complete"] is False


def test_work_that_names_no_items_is_a_gap(api: Api) -> None:
    project, edition = a_project(api), an_edition(api)
    empty = priced(api, project, edition)
    assert (empty["total"]["amount"], empty["complete"]) == ("0.00", False)
    assert warnings_of(empty) == [("nothing_priced", True)]
    item = a_scope_item(api, project, LUMP, [], name="Fell the dead pines")
    estimate = priced(api, project, edition)
    assert warnings_of(estimate) == [("nothing_priced", True)]
    assert estimate["warnings"][0]["scope_item_id"] == item["id"]
    assert "Fell the dead pines" in estimate["warnings"][0]["message"]
    redo_by_hand(api, estimate)


@pytest.mark.parametrize(
    ("dates", "as_of", "doubt"),
    [
        ({"valid_until": "2026-09-01"}, "2026-03-01", None),
        ({"valid_until": "2026-03-01"}, "2026-03-01", "not_valid_at_work"),
        ({"valid_from": "2026-08-02"}, "2026-03-01", "not_valid_at_work"),
        ({"valid_until": "2026-03-01"}, "2026-03-02", "stale"),
        ({"priced_on": "2025-03-01"}, "2026-03-01", None),
        ({"priced_on": "2025-03-01"}, "2026-03-02", "stale"),
        ({"priced_on": "2020-01-01", "valid_until": "2026-12-31"}, "2026-03-01", "stale"),
        ({}, "2099-01-01", None),
    ],
)
def test_old_prices_are_doubted_and_leave_no_gap(
    api: Api, dates: dict[str, str], as_of: str, doubt: str | None
) -> None:
    estimate = a_lump(api, an_item("SAND", **dates), stated("SAND", "1", "short_ton"), as_of=as_of)
    assert warnings_of(estimate) == ([] if doubt is None else [(doubt, False)])
    assert (estimate["complete"], estimate["as_of"]) == (True, as_of)


def test_money_without_an_account_is_pointed_out(api: Api) -> None:
    estimate = a_lump(
        api, an_item("SAND", account=None), stated("SAND", "1", "short_ton"),
        markups=[{"kind": "contingency", "percent": "5"}],
    )  # fmt: skip
    assert warnings_of(estimate) == [("no_account", False), ("no_account", False)]
    assert [one["key"] for one in estimate["subtotals"]["by_account"]] == [None]


def test_only_a_published_edition_prices(api: Api) -> None:
    project = a_project(api)
    draft = an_edition(api, [an_item("SAND")], publish=False)
    refused = api.post(f"/projects/{project}/estimates", json={"name": "E", "edition_id": draft})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    for unknown in (str(uuid4()), an_edition(api.of_new_club("stone-weir"))):
        refused = api.post(f"/projects/{project}/estimates", json={"name": "E", "edition_id": unknown})
        assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/edition_id")
    assert api.get("/estimates").json()["items"] == []


def test_a_measure_that_cannot_be_bought_in_the_items_unit_is_refused_whole(api: Api) -> None:
    project, green = a_project(api), an_area(api, a_course(api))
    a_scope_item(api, project, TOPDRESSING, [green], SAND)
    a_scope_item(api, project, TOPDRESSING, [green], SAND, by_measure("SOD", "sand_mass"))
    edition = an_edition(api, [an_item("SAND"), an_item("SOD", unit="pallet")])
    refused = api.post(f"/projects/{project}/estimates", json={"name": "E", "edition_id": edition})
    fault = refused.json()["faults"][0]
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/invalid-values")
    assert (fault["pointer"], fault["got"]) == ("scope item 2, /resources/1", "SOD")
    assert "sand_mass (kilogram), not pallet" in fault["expected"]
    assert api.get("/estimates").json()["items"] == []
    assert api.get("/audit?subject=estimate").json()["items"] == []


@pytest.mark.parametrize(
    ("price", "value", "waste", "currency"),
    [
        ("999999999999.999999", "999999999999.999999", "1000", "USD"),
        ("999999999999", "999999999999", "1000", "KWD"),
        ("1", "999999999999", "1000", "JPY"),
        ("1", "999999999999.999", "0", "USD"),
        ("10", "100000000000", "0", "USD"),
    ],
)
def test_amounts_that_no_club_could_pay_are_refused(
    api: Api, price: str, value: str, waste: str, currency: str
) -> None:
    club = api.of_new_club("stone-weir", currency)
    project = a_project(club)
    a_scope_item(club, project, LUMP, [], stated("BIG", value, "hour", waste_percent=waste))
    edition = an_edition(club, [an_item("BIG", price, currency, unit="hour")])
    refused = club.post(f"/projects/{project}/estimates", json={"name": "E", "edition_id": edition})
    assert refused.status_code == 422, refused.text
    assert refused.json()["faults"][0]["pointer"] == "scope item 1, /resources/0"


def test_a_total_that_no_answer_could_hold_is_refused(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], *[stated("BIG", "1", "each")] * 2)
    edition = an_edition(api, [an_item("BIG", "500000000000", unit="each")])
    body = {"name": "E", "edition_id": edition}
    assert api.post(f"/projects/{project}/estimates", json=body).status_code == 422
    a_scope_item(api, project, LUMP, [], *[stated("BIG", "1", "each")] * 98)
    assert api.post(f"/projects/{project}/estimates", json=body).status_code == 422


def test_an_escalation_that_cannot_be_meant_is_refused(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    for price_date in ("1900-01-01", "1800-01-01"):
        edition = an_edition(api, [an_item("SAND")], price_date=price_date)
        body = {"name": "E", "edition_id": edition, "markups": [{"kind": "escalation", "percent": "1000"}]}
        refused = api.post(f"/projects/{project}/estimates", json=body)
        assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/markups")


@pytest.mark.parametrize(
    ("terms", "pointer"),
    [
        ({"name": " "}, "/name"),
        ({"edition_id": "spring"}, "/edition_id"),
        ({"as_of": "2026-13-01"}, "/as_of"),
        ({"markups": [{"kind": "profit", "percent": "5"}]}, "/markups/0/kind"),
        ({"markups": [{"kind": "tax", "percent": "-5"}]}, "/markups/0/percent"),
        ({"markups": [{"kind": "tax", "percent": "1000.01"}]}, "/markups/0/percent"),
        ({"markups": [{"kind": "tax", "percent": "NaN"}]}, "/markups/0/percent"),
        ({"markups": [{"kind": "tax", "percent": 5}]}, "/markups/0/percent"),
        ({"markups": [{"kind": "tax", "percent": "5"}] * 2}, ""),
        ({"markups": [{"kind": "tax", "percent": "5", "account": "=1+1"}]}, "/markups/0/account"),
        ({"discount": "5"}, "/discount"),
    ],
)
def test_terms_that_make_no_sense_are_refused_with_their_place(
    api: Api, terms: dict[str, Any], pointer: str
) -> None:
    project, edition = a_project(api), an_edition(api)
    refused = api.post(f"/projects/{project}/estimates", json={"name": "E", "edition_id": edition} | terms)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (400, pointer)
    assert api.get("/estimates").json()["items"] == []


@pytest.mark.parametrize(
    ("currency", "price", "amount", "tax", "total"),
    [("JPY", "1234.5", "4136", "414", "4550"), ("KWD", "1.2345", "4.136", "0.414", "4.550")],
)
def test_currencies_keep_their_own_decimals(
    api: Api, currency: str, price: str, amount: str, tax: str, total: str
) -> None:
    club = api.of_new_club("stone-weir", currency)
    project = a_project(club)
    a_scope_item(club, project, LUMP, [], stated("SAND", "3.35", "metric_ton"))
    edition = an_edition(club, [an_item("SAND", price, currency, unit="metric_ton")])
    estimate = priced(club, project, edition, {"kind": "tax", "percent": "10"})
    assert lines_of(club, estimate["id"])[0]["amount"] == {"amount": amount, "currency": currency}
    assert estimate["markups"][0]["amount"] == {"amount": tax, "currency": currency}
    assert estimate["total"] == {"amount": total, "currency": currency}
    redo_by_hand(club, estimate)


def test_headings_are_sorted_as_a_reader_expects(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    areas = [
        an_area(api, course, hole=hole, kind=kind)
        for hole, kind in ((10, "tee"), (2, "green"), (None, "tee"))
    ]
    a_scope_item(api, project, TOPDRESSING, areas, SAND, by_measure("LAST", "sand_mass"), name="²")
    a_scope_item(api, project, TOPDRESSING, areas[:1], by_measure("SUB", "sand_mass"), name="10")
    items = [
        an_item("SAND", account="1520"),
        an_item("SUB", account="1520-2"),
        an_item("LAST", account="900"),
    ]
    subtotals = priced(api, project, an_edition(api, items))["subtotals"]
    keys = {name: [one["key"] for one in subtotals[name]] for name in subtotals}
    assert keys["by_hole"] == ["2", "10", None]
    assert keys["by_account"] == ["1520", "1520-2", "900"]
    assert [one["label"] for one in subtotals["by_scope_item"]] == ["²", "10"]
    assert keys["by_area_kind"] == ["green", "tee"]


def test_cautions_of_all_methods_are_in_the_estimate_once(api: Api) -> None:
    project, green = a_project(api), an_area(api, a_course(api))
    for work in (TOPDRESSING, TOPDRESSING, SODDING):
        a_scope_item(api, project, work, [green], stated("SAND", "1", "short_ton"))
    cautions = priced(api, project, an_edition(api, [an_item("SAND")]))["cautions"]
    assert len(cautions) == len(set(cautions)) > 3


def test_holes_of_two_courses_are_told_apart(api: Api) -> None:
    project, areas = a_project(api), []
    for name in ("Lower", "Upper"):
        course = api.created("/courses", {"name": name})["id"]
        areas.append(an_area(api, course, "6000", hole=1))
    item = an_item("SAND-TD", "40.00")
    a_scope_item(api, project, TOPDRESSING, areas, by_measure("SAND-TD", "sand_mass"))
    by_hole = priced(api, project, an_edition(api, [item]))["subtotals"]["by_hole"]
    assert [one["key"] for one in by_hole] == ["Lower: 1", "Upper: 1"]
    assert by_hole[0]["amount"] == by_hole[1]["amount"]
