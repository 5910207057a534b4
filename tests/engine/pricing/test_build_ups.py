"""Hourly rates that are built up: elements that sum, cash within them, and steps that can be redone."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_charge import assert_steps
from pydantic import ValidationError
from swardcost_api.engine.pricing.build_ups import HourlyRate, labor_rate, machine_rate
from swardcost_api.units import in_trade_units
from swardcost_model.price_terms import LaborBuildUp, MachineBuildUp
from swardcost_model.values import minor_unit

FICA = {"name": "Social security and Medicare", "percent": "7.65", "source": "IRS Publication 15"}
INSURANCE = {"name": "Accident insurance", "per_hour": "0.85", "source": "the insurer's letter"}
TRACTOR = {
    "value": "64000", "salvage_percent": "20", "life_hours": "8000", "hours_a_year": "600",
    "money_percent_a_year": "5", "power_hp": "55", "fuel_price_per_gallon": "4.20", "repair_factor": "0.7",
}  # fmt: skip


def grade(wage: str, hours: str, name: str = "Operator", **more: Any) -> dict[str, Any]:
    return {"name": name, "people": 1, "wage": wage, "hours_a_week": hours, **more}


def labor(*grades: dict[str, Any], own: bool = False, burden: Any = (), currency: str = "USD") -> HourlyRate:
    """The rate of a crew in 2024."""
    given = {"grades": list(grades), "burden": list(burden), "year": 2024, "own_staff": own}
    return labor_rate(LaborBuildUp.model_validate(given), currency)


def machine(**changes: Any) -> HourlyRate:
    """The rate of a tractor, with changes."""
    return machine_rate(MachineBuildUp.model_validate(TRACTOR | changes), "USD")


def by_name(rate: HourlyRate) -> dict[str, tuple[str, str]]:
    """Amount and cash of each element that is not zero."""
    return {one.name: (str(one.amount), str(one.cash)) for one in rate.elements if one.amount}


def assert_rate(rate: HourlyRate) -> None:
    """Elements sum to the rate, cash is a part of each, all steps can be redone and shown."""
    assert sum(one.amount for one in rate.elements) == rate.full
    assert sum(one.cash for one in rate.elements) == rate.cash
    assert all(0 <= one.cash <= one.amount for one in rate.elements)
    assert_steps(rate.steps, minor_unit(rate.currency))
    assert [step.value for step in rate.steps if step.name == "hourly rate"] == [float(rate.full)]
    assert (rate.steps[-1].name, rate.steps[-1].value) == ("hourly rate in cash", float(rate.cash))
    for step in rate.steps:
        for value, unit in [(step.value, step.unit), *((one.value, one.unit) for one in step.inputs)]:
            for system in ("us_customary", "metric"):
                assert in_trade_units(value, unit, system, "short_ton").strip()


def test_a_crew_is_weighted_by_its_people_and_their_hours() -> None:
    found = labor(grade("30", "40", people=1), grade("20", "20", "Hand", people=3))
    assert (found.full, found.cash) == (Decimal("24.00"), Decimal("24.00"))  # (40 x 30 + 60 x 20) / 100
    assert_rate(found)


def test_own_staff_costs_cash_for_overtime_hours_and_premium_pay_with_their_burden() -> None:
    found = labor(grade("20", "50", fringe_per_hour="2"), own=True, burden=(FICA, INSURANCE))
    assert by_name(found) == {
        "Straight time": ("20.00", "4.00"),
        "Overtime pay": ("2.00", "2.00"),
        "Fringe benefits": ("2.00", "0.40"),
        FICA["name"]: ("1.683", "0.459"),  # 7.65 % of 1,100 / 50, and of 300 / 50
        INSURANCE["name"]: ("0.85", "0.17"),
    }
    assert_rate(found)


def test_premium_hours_of_own_staff_within_forty_cost_only_their_premium() -> None:
    sunday = {"hours": "8", "multiplier": "2", "rule": "Sundays at double time"}
    found = labor(grade("20", "40", premium=[sunday]), own=True)
    assert by_name(found) == {"Straight time": ("20.00", "0.00"), "Premium pay": ("4.00", "4.00")}
    assert any(step.source == "Sundays at double time" for step in found.steps)


def test_a_week_of_premium_hours_alone_has_no_plain_hours() -> None:
    found = labor(grade("20", "8", premium=[{"hours": "8", "multiplier": "1.5", "rule": "Holiday"}]))
    assert found.full == Decimal("30.00")
    assert_rate(found)


def test_a_wage_base_that_is_reached_costs_no_more() -> None:
    tax = FICA | {"bases": [{"year": 2024, "wages": "7000"}]}
    assert labor(grade("20", "40", earned_before="7000"), burden=(tax,)).full == Decimal("20.00")
    assert labor(grade("20", "40", earned_before="6600"), burden=(tax,)).full == Decimal("20.765")
    with pytest.raises(ValueError, match="expected a wage base for 2024; given are 2023"):
        labor(grade("20", "40"), burden=(FICA | {"bases": [{"year": 2023, "wages": "7000"}]},))


def test_elements_round_half_up_to_a_ten_thousandth() -> None:
    found = labor(grade("10", "45"))
    assert by_name(found) == {"Straight time": ("10.00", "10.00"), "Overtime pay": ("0.5556", "0.5556")}


@pytest.mark.parametrize("name", ["wages", "hours", "earned before", "burden", "rate of wages", "x / 2"])
def test_the_club_may_name_burden_as_it_likes(name: str) -> None:
    others = ({**INSURANCE, "name": "straight time"}, FICA | {"bases": [{"year": 2024, "wages": "168600"}]})
    assert_rate(labor(grade("20", "44"), own=True, burden=(FICA | {"name": name}, *others)))


MONEY = st.decimals(0, 150, places=2).map(str)
HOURS = st.integers(1, 14).map(lambda quarters: str(Decimal(quarters) / 4))


@st.composite
def grades(draw: st.DrawFn, name: str) -> dict[str, Any]:
    """People with or without premium hours in a week that may be short or long."""
    premium = [
        {"hours": draw(HOURS), "multiplier": draw(st.sampled_from(["1.1", "1.5", "2"])), "rule": "club rule"}
        for _ in range(draw(st.integers(0, 2)))
    ]
    return grade(
        draw(MONEY), str(draw(st.integers(8, 70))), name, premium=premium, people=draw(st.integers(1, 12)),
        fringe_per_hour=draw(MONEY), earned_before=draw(st.integers(0, 8_000).map(str)),
    )  # fmt: skip


@st.composite
def crews(draw: st.DrawFn) -> list[dict[str, Any]]:
    return [draw(grades(f"Grade {number}")) for number in range(draw(st.integers(1, 3)))]


PERCENTS = st.decimals(0, 30, places=2).map(str)
BURDENS = st.tuples(PERCENTS, PERCENTS, MONEY).map(
    lambda drawn: (
        FICA | {"percent": drawn[0]},
        FICA | {"name": "Unemployment", "percent": drawn[1], "bases": [{"year": 2024, "wages": "7000"}]},
        INSURANCE | {"per_hour": drawn[2]},
    )
)


@given(crews(), BURDENS, st.booleans(), st.sampled_from(["USD", "JPY", "KWD"]))
@settings(max_examples=60, deadline=None)
def test_elements_sum_and_cash_is_within_them(
    crew: list[dict[str, Any]], burden: Any, own: bool, currency: str
) -> None:
    found = labor(*crew, own=own, burden=burden, currency=currency)
    assert_rate(found)
    if not own:
        assert found.cash == found.full


@given(crews(), BURDENS)
@settings(max_examples=60, deadline=None)
def test_the_rate_is_what_an_independent_week_comes_to(crew: list[dict[str, Any]], burden: Any) -> None:
    """Hour by hour in floats, in one sum for the whole crew."""
    cost = hours = 0.0
    for one in crew:
        wage, week = float(one["wage"]), float(one["hours_a_week"])
        premium = [(float(p["hours"]), float(p["multiplier"])) for p in one["premium"]]
        small = sum(h * wage * (m - 1) for h, m in premium if m < 1.5)
        large = sum(h * wage * (m - 1) for h, m in premium if m >= 1.5)
        regular = (week * wage + small) / week
        wages = week * wage + small + large + max(0.5 * regular * max(week - 40, 0) - large, 0)
        percents = [float(item["percent"]) / 100 for item in burden[:2]]
        room = max(7_000 - float(one["earned_before"]), 0)
        each = wages + week * (float(one["fringe_per_hour"]) + float(burden[2]["per_hour"]))
        cost += one["people"] * (each + wages * percents[0] + min(wages, room) * percents[1])
        hours += one["people"] * week
    assert float(labor(*crew, burden=burden).full) == pytest.approx(cost / hours, abs=0.02)


@given(crews(), BURDENS, st.booleans(), st.decimals(0, 50, places=2))
@settings(max_examples=40, deadline=None)
def test_a_higher_wage_never_costs_less(
    crew: list[dict[str, Any]], burden: Any, own: bool, more: Decimal
) -> None:
    dearer = [{**crew[0], "wage": str(Decimal(crew[0]["wage"]) + more)}, *crew[1:]]
    # Each element may be rounded down by half of 0.0001 where another one takes over from it.
    least = labor(*crew, own=own, burden=burden).full - Decimal("0.0005")
    assert labor(*dearer, own=own, burden=burden).full >= least


@given(st.lists(MONEY, min_size=1, max_size=3), st.integers(1, 40))
@settings(max_examples=20, deadline=None)
def test_own_staff_within_forty_plain_hours_costs_no_cash(wages: list[str], hours: int) -> None:
    crew = [grade(wage, str(hours), f"Grade {number}") for number, wage in enumerate(wages)]
    assert labor(*crew, own=True, burden=(FICA, INSURANCE)).cash == 0


def test_an_owned_machine_costs_cash_only_to_run() -> None:
    found = machine()
    assert by_name(found) == {
        "Depreciation": ("6.40", "0.00"),  # 64,000 x 0.8 / 8,000
        "Cost of money": ("3.36", "0.00"),  # 64,000 x 0.63 x 5 % / 600
        "Fuel": ("5.94", "5.94"),  # 55 hp x 0.5 x 0.36 / 7 gal at 4.20
        "Filters, oil and grease": ("1.78", "1.78"),
        "Repair": ("5.60", "5.60"),
    }
    assert (found.full, found.cash) == (Decimal("23.08"), Decimal("13.32"))
    assert_rate(found)


def test_a_machine_without_an_engine_burns_no_fuel() -> None:
    found = machine(engine="none", power_hp="0", fuel_price_per_gallon="0")
    assert list(by_name(found)) == ["Depreciation", "Cost of money", "Repair"]
    assert_rate(found)


@given(
    st.integers(1_000, 400_000), st.integers(0, 60), st.integers(1, 15), st.integers(100, 1_500),
    st.booleans(), st.sampled_from(["diesel", "gasoline"]), st.integers(1, 300),
)  # fmt: skip
@settings(deadline=None)
def test_elements_of_any_machine_sum(
    value: int, salvage: int, years: int, year: int, on_tires: bool, engine: str, power: int
) -> None:
    tires = {"cost": str(value // 10), "wear_factor": "1.1", "life_hours": "3000", "price_index": "0.95"}
    assert_rate(
        machine(
            value=str(value), salvage_percent=str(salvage), life_hours=str(year * years), hours_a_year=str(year),
            tires=tires if on_tires else None, engine=engine, power_hp=str(power),
        )
    )  # fmt: skip


@pytest.mark.parametrize(
    "change",
    [
        {"life_hours": "500"}, {"salvage_percent": "100"},
        {"tires": {"cost": "60000", "wear_factor": "1", "life_hours": "1"}},
    ],
)  # fmt: skip
def test_a_machine_that_makes_no_sense_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="expected"):
        machine(**change)


def test_a_rate_beyond_any_club_is_refused() -> None:
    with pytest.raises(ValueError, match="hourly rate: expected less than"):
        labor(grade("900000000000", "0.1", fringe_per_hour="900000000000"))


@pytest.mark.parametrize(
    "change",
    [{"power_hp": "0"}, {"fuel_price_per_gallon": "0"}, {"engine": "none"}, {"engine": "none", "power_hp": "0"}],
)  # fmt: skip
def test_an_engine_has_power_and_fuel_and_nothing_else_has(change: dict[str, str]) -> None:
    with pytest.raises(ValidationError, match="power_hp"):
        MachineBuildUp.model_validate(TRACTOR | change)


def test_a_year_has_one_wage_base() -> None:
    twice = [{"year": 2024, "wages": "7000"}, {"year": 2024, "wages": "7100"}]
    with pytest.raises(ValidationError, match="each year once"):
        labor(grade("20", "40"), burden=(FICA | {"bases": twice},))
