"""Pricing by terms through the API: breaks, loads, hire, build-ups, currencies and visits."""

from collections.abc import Mapping
from decimal import ROUND_DOWN, Decimal
from typing import Any
from uuid import uuid4

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    line_of,
    lines_of,
    money,
    priced,
    redo_by_hand,
    stated,
    warnings_of,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from terms_factories import TIERS, WORK_DAYS, estimate_of, printed, purchase, sums_hold, usd


def test_each_tier_prices_the_part_of_the_quantity_in_it(api: Api) -> None:
    item = an_item("SAND", "40.00", terms=purchase(breaks={"apply": "each_tier", "tiers": TIERS}))
    estimate = estimate_of(api, [item], stated("SAND", "120", "short_ton"))
    assert printed(api, estimate) == [
        ("price", "50", "40.00", "2000.00"),
        ("price", "50", "38.00", "1900.00"),
        ("price", "20.00", "36.00", "720.00"),
    ]
    assert {line["resource"] for line in lines_of(api, estimate["id"])} == {1}
    assert warnings_of(estimate) == []
    redo_by_hand(api, estimate)


@pytest.mark.parametrize(
    ("quantity", "price", "amount", "saved"),
    [
        ("49", "40.00", "1960.00", "60.00"),
        ("47", "40.00", "1880.00", None),
        ("50", "38.00", "1900.00", None),
        ("99", "38.00", "3762.00", "162.00"),
        ("100", "36.00", "3600.00", None),
    ],
)
def test_a_break_for_the_whole_quantity_tells_where_more_costs_less(
    api: Api, quantity: str, price: str, amount: str, saved: str | None
) -> None:
    item = an_item("SAND", "40.00", terms=purchase(breaks={"apply": "whole_quantity", "tiers": TIERS}))
    estimate = estimate_of(api, [item], stated("SAND", quantity, "short_ton"))
    assert printed(api, estimate) == [("price", f"{quantity}.00", price, amount)]
    assert warnings_of(estimate) == [("cheaper_break", False)] * (saved is not None)
    if saved is not None:
        assert f"would cost {saved} USD less in all" in estimate["warnings"][0]["message"]


@pytest.mark.parametrize(("needed", "bought"), [("1", "44"), ("44", "44"), ("44.01", "66"), ("66", "66")])
def test_a_minimum_order_is_met_by_whole_increments(api: Api, needed: str, bought: str) -> None:
    terms = purchase(increment="22", increment_name="load", minimum_order="30")
    estimate = estimate_of(api, [an_item("SAND", "40.00", terms=terms)], stated("SAND", needed, "short_ton"))
    line = line_of(api, estimate["id"])
    assert Decimal(line["quantity"]) == Decimal(bought)
    assert money(line["amount"]) == 40 * Decimal(bought)
    assert "load" in line["rounding"]


def test_minimum_charge_delivery_and_surcharges_are_lines_of_their_own(api: Api) -> None:
    terms = purchase(
        minimum_charge="500.00",
        delivery={"by": "load", "load_size": "4", "charge": "145.00"},
        surcharges=[
            {"name": "Fuel", "percent": "6", "on": "delivery"},
            {"name": "Scale", "per_order": "12.50"},
            {"name": "Screening", "per_unit": "0.75"},
        ],
    )
    estimate = estimate_of(api, [an_item("SAND", "40.00", terms=terms)], stated("SAND", "10", "short_ton"))
    amounts = {
        (line["part"], line["description"].rpartition(": ")[2] if line["part"] == "surcharge" else ""): (
            line["amount"]["amount"]
        )
        for line in lines_of(api, estimate["id"])
    }
    assert amounts[("price", "")] == "400.00"
    assert amounts[("minimum_charge", "")] == "100.00"
    assert amounts[("delivery", "")] == "435.00"
    assert sorted(v for (part, _), v in amounts.items() if part == "surcharge") == ["12.50", "26.10", "7.50"]
    assert estimate["direct"]["amount"] == "981.10"
    redo_by_hand(api, estimate)


@pytest.mark.parametrize(("weekend", "surcharge"), [("0", None), ("25", "20.00"), ("100", "80.00")])
def test_a_weekend_surcharge_is_on_the_share_done_at_the_weekend(
    api: Api, weekend: str, surcharge: str | None
) -> None:
    terms = purchase(surcharges=[{"name": "Weekend", "percent": "20", "when": "weekend"}])
    estimate = estimate_of(
        api, [an_item("SAND", "40.00", terms=terms)],
        stated("SAND", "10", "short_ton", weekend_percent=weekend),
    )  # fmt: skip
    found = [
        line["amount"]["amount"] for line in lines_of(api, estimate["id"]) if line["part"] == "surcharge"
    ]
    assert [one for one in found if Decimal(one)] == ([] if surcharge is None else [surcharge])


@pytest.mark.parametrize(("days", "late"), [(31, False), (32, True), (0, False)])
def test_an_order_that_had_to_be_placed_before_today_is_late(api: Api, days: int, late: bool) -> None:
    item = an_item("SAND", terms=purchase(lead_time_days=days))
    estimate = estimate_of(api, [item], stated("SAND", "1", "short_ton"), as_of="2026-07-01")
    assert warnings_of(estimate) == [("late_order", False)] * late


def plain(price: Decimal) -> str:
    """A price with the six places that the service takes."""
    return f"{price.quantize(Decimal('0.000001'), ROUND_DOWN):f}"


@settings(max_examples=12)
@given(
    quantities=st.lists(st.decimals("0.01", "400", places=2), min_size=1, max_size=3),
    price=st.decimals("0.000003", "90", places=6),
    apply=st.sampled_from(["each_tier", "whole_quantity"]),
    increment=st.sampled_from([None, "0.37", "22"]),
    charge=st.decimals("0.01", "900", places=2),
)
def test_lines_and_sums_hold_whatever_the_terms(
    api: Api, quantities: list[Decimal], price: Decimal, apply: str, increment: str | None, charge: Decimal
) -> None:
    terms = purchase(
        breaks={"apply": apply, "tiers": TIERS}, increment=increment, minimum_charge=str(charge),
        delivery={"by": "load", "load_size": "7", "charge": str(charge)},
        surcharges=[
            {"name": "Fuel", "percent": "6.333", "on": "both"}, {"name": "Scale", "per_unit": "0.0149"},
            {"name": "Weekend", "percent": "20", "when": "weekend"},
        ],
    )  # fmt: skip
    bounds: Document = {"low_price": usd(plain(price / 3)), "high_price": usd(plain(price * 2))}
    item = an_item("SAND", plain(price), terms=terms, **bounds)
    resources = [stated("SAND", str(one), "short_ton", weekend_percent="33.3") for one in quantities]
    estimate_of(api, [item], *resources, markups=[{"kind": "tax", "percent": "7.25"}])


def a_machine(**more: Any) -> Document:
    terms = {
        "form": "rental", "delivery": "150.00", "pick_up": "150.00", "damage_waiver_percent": "10",
        "periods": [
            {"name": "day", "days": 1, "price": "400.00", "included_hours": "8", "over_hour_price": "50.00"},
            {"name": "week", "days": 7, "price": "1450.00", "included_hours": "40", "over_hour_price": "36.00"},
        ],
        "fuel": {"use_per_hour": "2", "unit": "us_gallon", "price": "4.00"},
    }  # fmt: skip
    return an_item("LOADER", None, kind="rental", unit="hour", terms=terms | more)


def hired(api: Api, *needs: tuple[str, Mapping[str, str]], **terms: Any) -> Document:
    project = a_project(api)
    for hours, days in needs:
        a_scope_item(api, project, LUMP, [], stated("LOADER", hours, "hour"), **days)
    estimate = priced(api, project, an_edition(api, [a_machine(**terms)]))
    sums_hold(api, estimate)
    return estimate


def test_a_hired_machine_is_charged_once_for_two_scope_items_that_share_it(api: Api) -> None:
    first = {"starts_on": "2026-09-07", "ends_on": "2026-09-08"}
    second = {"starts_on": "2026-09-09", "ends_on": "2026-09-11"}
    estimate = hired(api, ("16", first), ("24", second))
    assert {line["part"] for line in lines_of(api, estimate["id"])} == {"rental"}
    # Five days: one week at 1450, waiver 10 %, one delivery and pick-up, 40 h x 2 gallons x 4.00.
    assert estimate["direct"]["amount"] == "2215.00"
    by_item = [money(one["amount"]) for one in estimate["subtotals"]["by_scope_item"]]
    assert by_item == [Decimal("886.00"), Decimal("1329.00")]
    assert estimate["complete"] is True
    redo_by_hand(api, estimate)


def test_a_hire_for_one_need_has_a_line_for_each_charge(api: Api) -> None:
    estimate = hired(api, ("40", {"starts_on": "2026-09-07", "ends_on": "2026-09-11"}))
    found = {line["part"]: line["amount"]["amount"] for line in lines_of(api, estimate["id"])}
    assert found == {
        "rental": "1450.00", "damage_waiver": "145.00", "delivery": "150.00", "pick_up": "150.00", "fuel": "320.00",
    }  # fmt: skip


def test_hours_that_do_not_fit_between_the_days_are_pointed_out(api: Api) -> None:
    estimate = hired(api, ("40", {"starts_on": "2026-09-07", "ends_on": "2026-09-09"}))
    assert warnings_of(estimate) == [("overrun", False)]
    assert "2 working days more" in estimate["warnings"][0]["message"]


def test_a_machine_that_is_needed_for_no_hours_costs_nothing_and_leaves_no_gap(api: Api) -> None:
    estimate = hired(api, ("0", WORK_DAYS))
    assert (estimate["direct"]["amount"], estimate["complete"], estimate["warnings"]) == ("0.00", True, [])
    assert lines_of(api, estimate["id"])[0]["quantity"] == "0.00"


def test_a_few_seconds_of_a_hired_machine_are_not_rounded_away(api: Api) -> None:
    estimate = hired(api, ("0.001", WORK_DAYS))
    assert money(estimate["direct"]) >= 700


def test_waste_on_hours_of_a_hired_machine_is_in_its_derivation(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("LOADER", "38", "hour", waste_percent="5"), **WORK_DAYS)
    line = line_of(api, priced(api, project, an_edition(api, [a_machine()]))["id"])
    hours = next(step for step in line["derivation"] if step["name"] == "hours")
    assert (hours["formula"], hours["value"]) == (
        "measured x (1 + waste / 100), rounded half up to 0.01", "39.9",
    )  # fmt: skip


def labor(own_staff: bool) -> Document:
    return {
        "form": "labor", "year": 2026, "own_staff": own_staff,
        "grades": [{"name": "Operator", "people": 1, "wage": "24.00", "hours_a_week": "50"}],
        "burden": [{"name": "Payroll tax", "percent": "10", "source": "House rule"}],
    }  # fmt: skip


def test_own_staff_cost_in_cash_their_overtime_alone(api: Api) -> None:
    """40 h at 24, 10 h at 36, burden 10 %: 1452 for 50 h, of it overtime 396 (29 CFR 778.107, time and a half)."""
    items = [
        an_item("CREW", None, kind="labor", unit="hour", taxable=False, terms=labor(True)),
        an_item("TEMP", None, kind="labor", unit="hour", taxable=False, terms=labor(False)),
        an_item("SAND", "40.00"),
    ]
    estimate = estimate_of(
        api, items, stated("CREW", "100", "hour"), stated("TEMP", "100", "hour"), stated("SAND", "10", "short_ton"),
        markups=[{"kind": "tax", "percent": "7"}, {"kind": "contingency", "percent": "10"}],
    )  # fmt: skip
    crew, temp, sand = lines_of(api, estimate["id"])
    assert (crew["unit_price"]["amount"], crew["amount"]["amount"]) == ("29.04", "2904.00")
    assert crew["cash_amount"]["amount"] == "792.00"
    assert temp["cash_amount"] == temp["amount"] == usd("2904.00")
    assert sand["cash_amount"] == sand["amount"]
    assert money(estimate["cash_total"]) < money(estimate["total"])
    tax, contingency = estimate["markups"]
    assert tax["cash_amount"] == tax["amount"] == usd("28.00")
    assert contingency["cash_amount"] == usd("412.40")


def test_a_machine_of_the_club_costs_more_than_cash(api: Api) -> None:
    terms = {
        "form": "owned_machine", "value": "64000", "salvage_percent": "20", "life_hours": "8000", "hours_a_year": "600",
        "money_percent_a_year": "5", "power_hp": "55", "fuel_price_per_gallon": "4.20", "repair_factor": "0.7",
    }  # fmt: skip
    item = an_item("TRACTOR", None, kind="owned_machine", unit="hour", taxable=False, terms=terms)
    line = line_of(api, estimate_of(api, [item], stated("TRACTOR", "10", "hour"))["id"])
    assert money(line["amount"]) > money(line["cash_amount"]) >= 0
    assert money(line["amount"]) > 64, "depreciation of 6.40 an hour alone comes to that"


def test_what_the_operating_budget_pays_costs_no_further_cash(api: Api) -> None:
    items = [an_item("SEED", "90.00", in_operating_budget=True), an_item("SAND", "40.00")]
    estimate = estimate_of(
        api, items, stated("SEED", "2", "short_ton"), stated("SAND", "1", "short_ton"),
        markups=[{"kind": "tax", "percent": "10"}],
    )  # fmt: skip
    assert (estimate["total"]["amount"], estimate["cash_total"]["amount"]) == ("242.00", "44.00")


def test_lowest_and_highest_prices_bound_the_total(api: Api) -> None:
    terms = purchase(
        breaks={"apply": "each_tier", "tiers": TIERS},
        delivery={"by": "load", "load_size": "22", "charge": "10"},
    )
    item = an_item("SAND", "40.00", low_price=usd("36.00"), high_price=usd("50.00"), terms=terms)
    estimate = estimate_of(
        api, [item], stated("SAND", "60", "short_ton"), markups=[{"kind": "tax", "percent": "10"}]
    )
    totals = [estimate[name]["amount"] for name in ("low_total", "total", "high_total")]
    # 50 at 40 and 10 at 38, three loads at 10; the price at 90 % and at 125 %; tax on all.
    assert totals == ["2389.20", "2651.00", "3305.50"]
    assert [line["low_amount"]["amount"] for line in lines_of(api, estimate["id"])] == [
        "1800.00", "342.00", "30.00",
    ]  # fmt: skip


def a_vendor(api: Api, **more: Any) -> str:
    vendor: str = api.created("/vendors", {"name": f"Vendor {uuid4()}"} | more)["id"]
    return vendor


def edition_with_terms(api: Api, items: list[Document], vendor: str, **terms: Any) -> str:
    """A published edition whose vendor's terms were there before its items."""
    edition: str = api.created("/editions", {"name": f"E {uuid4()}", "price_date": "2026-01-01"})["id"]
    api.created(f"/editions/{edition}/vendor-terms", {"vendor_id": vendor, "currency": "USD"} | terms)
    for item in items:
        api.created(f"/editions/{edition}/items", item)
    published = api.post(f"/editions/{edition}/publish")
    assert published.status_code == 200, published.text
    return edition


CANADIAN = {
    "currency": "CAD",
    "exchange_rate": "0.7312",
    "rate_date": "2026-01-02",
    "rate_source": "Central bank, noon rate",
}


def test_a_price_in_the_vendors_currency_is_turned_into_the_clubs(api: Api) -> None:
    vendor = a_vendor(api)
    item = an_item("SAND", "50.00", "CAD", vendor_id=vendor)
    edition = edition_with_terms(api, [item], vendor, **CANADIAN)
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    estimate = priced(api, project, edition)
    sums_hold(api, estimate)
    line = line_of(api, estimate["id"])
    assert line["amount"] == usd("365.60")
    figures = {figure["value"] for step in line["derivation"] for figure in step["inputs"]}
    assert "0.7312" in figures
    assert any("Central bank, noon rate" in step["source"] for step in line["derivation"])


def test_own_people_paid_in_another_currency_have_their_cash_in_the_clubs(api: Api) -> None:
    vendor = a_vendor(api)
    item = an_item(
        "CREW", None, "CAD", kind="labor", unit="hour", taxable=False, vendor_id=vendor, terms=labor(True)
    ) | {"currency": "CAD"}
    edition = edition_with_terms(api, [item], vendor, **CANADIAN)
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("CREW", "100", "hour"))
    estimate = priced(api, project, edition)
    sums_hold(api, estimate)
    line = line_of(api, estimate["id"])
    share = money(line["cash_amount"]) / money(line["amount"])
    assert share == pytest.approx(Decimal(792) / Decimal(2904), abs=Decimal("0.0001"))


def mobilized(api: Api, *visits: str, mobilization: str = "300.00") -> tuple[Document, list[Document]]:
    """Two items of a vendor in a scope item for each visit: 100 and 200 of direct cost."""
    vendor = a_vendor(api)
    items = [an_item("MIX", "10.00", vendor_id=vendor), an_item("SPREAD", "20.00", vendor_id=vendor)]
    edition = edition_with_terms(api, items, vendor, mobilization=mobilization)
    project = a_project(api)
    for visit in visits:
        resources = [stated(code, "10", "short_ton", visit=visit) for code in ("MIX", "SPREAD")]
        a_scope_item(api, project, LUMP, [], *resources)
    estimate = priced(api, project, edition)
    sums_hold(api, estimate)
    return estimate, [line for line in lines_of(api, estimate["id"]) if line["part"] == "mobilization"]


def test_mobilization_is_charged_once_a_visit_and_shared_over_its_lines(api: Api) -> None:
    estimate, lines = mobilized(api, "1", "1")
    assert [line["amount"]["amount"] for line in lines] == ["50.00", "100.00", "50.00", "100.00"]
    assert estimate["direct"]["amount"] == "900.00"
    _, uneven = mobilized(api, "1", "1", mobilization="100.01")
    assert sum(money(line["amount"]) for line in uneven) == Decimal("100.01")


def test_two_visits_are_charged_twice(api: Api) -> None:
    estimate, lines = mobilized(api, "spring", "autumn")
    assert [line["amount"]["amount"] for line in lines] == ["100.00", "200.00", "100.00", "200.00"]
    assert estimate["direct"]["amount"] == "1200.00"


def test_mobilization_of_own_people_is_cash_in_full(api: Api) -> None:
    vendor = a_vendor(api)
    crew = an_item(
        "CREW", None, kind="labor", unit="hour", taxable=False, vendor_id=vendor, terms=labor(True)
    )
    edition = edition_with_terms(api, [crew], vendor, mobilization="300.00")
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("CREW", "10", "hour"))
    estimate = priced(api, project, edition)
    sums_hold(api, estimate)
    charge = line_of(api, estimate["id"], 2)
    assert (charge["part"], charge["amount"], charge["cash_amount"]) == (
        "mobilization", usd("300.00"), usd("300.00"),
    )  # fmt: skip
