"""Rental: the cheapest cover, found exactly, with every day and hour accounted for."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_rates import assert_all_redone
from scipy.optimize import Bounds, LinearConstraint, milp
from swardcost_api.engine.pricing.rental import RentalCost, cheapest_rental, least_time_charges
from swardcost_api.engine.pricing.rental_terms import (
    Fuel,
    HourRate,
    PeriodRate,
    Rate,
    RentalTerms,
    day_week_and_four_weeks,
)

MONDAY = date(2026, 3, 2)
USUAL = day_week_and_four_weeks(day=Decimal(300), week=Decimal(1000), four_weeks=Decimal(2600))


def rented(hours: Sequence[float | None], rates: Sequence[Rate] = USUAL, **terms: object) -> RentalCost:
    """The hire for days in a row from a Monday; `None` is a day on which the machine is not needed."""
    needed = {MONDAY + timedelta(n): Decimal(str(used)) for n, used in enumerate(hours) if used is not None}
    return cheapest_rental(hours_by_date=needed, terms=RentalTerms("USD", tuple(rates), **terms))  # type: ignore[arg-type]


def test_the_week_rate_is_taken_when_four_days_cost_more() -> None:
    assert (rented([8] * 3).cover, rented([8] * 3).total_minor) == ("3 days", 90_000)
    assert (rented([8] * 4).cover, rented([8] * 4).total_minor) == ("1 week", 100_000)


def test_the_cover_mixes_periods() -> None:
    found = rented([8] * 5 + [0, 0] + [8] * 2)
    assert (found.cover, found.total_minor) == ("1 week + 2 days", 160_000)
    assert rented([5] * 30).cover == "1 four-week period + 2 days"


def test_days_paid_for_and_not_worked_are_idle() -> None:
    found = rented([8, 8, None, None, 8])
    assert (found.cover, found.rented_days, found.working_days, found.idle_days) == ("1 week", 7, 3, 4)
    assert found.charges[0].last == MONDAY + timedelta(6)


def test_hours_over_the_included_ones_are_charged_within_their_period() -> None:
    found = rented([10] * 5)
    assert found.cover == "1 week"
    assert found.time_charge_minor == 100_000 + 10 * 2_500
    assert [step.name for step in found.steps][:3] == [
        "price of an hour over in a week",
        f"charge for hours over from {MONDAY}",
        "time charge",
    ]


def test_many_hours_over_can_make_the_longer_period_cheaper() -> None:
    rates = (PeriodRate("day", 1, Decimal(100), Decimal(4), Decimal(60)), PeriodRate("week", 7, Decimal(450)))
    assert rented([4, 4], rates).cover == "2 days"
    assert rented([10, 10], rates).cover == "1 week"


def test_a_short_use_is_hired_by_the_hour_and_not_below_its_least_hours() -> None:
    rates: tuple[Rate, ...] = (*USUAL, HourRate(Decimal(50), Decimal(2)))
    assert (rented([3.5], rates).cover, rented([3.5], rates).total_minor) == ("3.5 hours", 17_500)
    assert rented([0.5], rates).total_minor == 10_000
    assert rented([8], rates).cover == "1 day"


def test_what_comes_on_top_is_itemised_and_sums() -> None:
    found = rented(
        [8] * 4, delivery=Decimal(120), pick_up=Decimal("95.50"), damage_waiver_percent=Decimal("12.5"),
        fuel=Fuel(Decimal("2.4"), "us_gallon", Decimal("3.899")),
    )  # fmt: skip
    assert (found.damage_waiver_minor, found.delivery_minor, found.pick_up_minor) == (12_500, 12_000, 9_550)
    assert found.fuel_minor == 29_944
    assert found.total_minor == 100_000 + 12_500 + 12_000 + 9_550 + 29_944


HOURS = st.lists(st.one_of(st.none(), st.integers(0, 24)), max_size=45).map(lambda days: [8, *days, 8])
PRICES = st.decimals(0, 5_000, places=2)


@st.composite
def rate_cards(draw: st.DrawFn) -> tuple[Rate, ...]:
    """Any rates of the usual periods, metered or not, by the hour or not."""
    rates: list[Rate] = [
        PeriodRate(
            name, days, draw(PRICES),
            draw(st.one_of(st.none(), st.decimals(1, 8 * days, places=1))),
            draw(st.one_of(st.none(), st.decimals(0, 200, places=2))),
        )
        for name, days in (("day", 1), ("week", 7), ("four-week period", 28))
    ]  # fmt: skip
    chosen = draw(st.lists(st.sampled_from(rates), min_size=1, unique_by=lambda rate: rate.name))
    by_hour = draw(st.booleans())
    return (
        (*chosen, HourRate(draw(PRICES), draw(st.decimals("0.5", 8, places=1)))) if by_hour else tuple(chosen)
    )


@given(HOURS, rate_cards())
@settings(max_examples=60, deadline=None)
def test_no_cover_is_cheaper_by_an_integer_programme(
    hours: list[int | None], rates: tuple[Rate, ...]
) -> None:
    """Start a period on a day or do not: as many end on a day as start on it; scipy.optimize.milp."""
    days = len(hours)
    choices = [(start, rate) for start in range(days) for rate in rates]
    flow = np.zeros((days, len(choices)))
    costs = []
    for column, (start, rate) in enumerate(choices):
        end = min(start + rate.days, days)
        used = Decimal(sum(one or 0 for one in hours[start:end]))
        costs.append(rate.charge_minor(used, "USD"))
        flow[start, column] += 1
        if end < days:
            flow[end, column] -= 1
    starts = np.array([1.0] + [0.0] * (days - 1))
    solved = milp(
        np.array(costs, dtype=float), integrality=np.ones(len(choices)), bounds=Bounds(0, 1),
        constraints=LinearConstraint(flow, starts, starts), options={"mip_rel_gap": 0},
    )  # fmt: skip
    assert solved.success
    assert rented(hours, rates).time_charge_minor == round(solved.fun)


@given(HOURS, rate_cards(), st.integers(0, 40), st.integers(0, 24))
@settings(max_examples=60, deadline=None)
def test_another_day_at_the_end_never_costs_less(
    hours: list[int | None], rates: tuple[Rate, ...], gap: int, used: int
) -> None:
    longer = [*hours, *[None] * gap, used]
    assert rented(longer, rates).total_minor >= rented(hours, rates).total_minor


@given(HOURS, rate_cards(), st.decimals(0, 30, places=2), PRICES)
@settings(max_examples=40, deadline=None)
def test_charges_sum_cover_every_date_and_can_be_redone(
    hours: list[int | None], rates: tuple[Rate, ...], waiver: Decimal, delivery: Decimal
) -> None:
    found = rented(hours, rates, damage_waiver_percent=waiver, delivery=delivery)
    assert sum(charge.amount_minor for charge in found.charges) == found.time_charge_minor
    assert found.total_minor == found.time_charge_minor + found.damage_waiver_minor + found.delivery_minor
    paid = {charge.first + timedelta(n) for charge in found.charges for n in range(charge.rate.days)}
    assert {MONDAY + timedelta(n) for n in range(len(hours))} <= paid
    assert len(paid) == found.rented_days == found.working_days + found.idle_days
    assert_all_redone(found.steps)


@given(HOURS, rate_cards(), st.decimals(0, 30, places=2), PRICES)
@settings(max_examples=40, deadline=None)
def test_the_cost_alone_is_that_of_the_hire_from_any_day_on(
    hours: list[int | None], rates: tuple[Rate, ...], waiver: Decimal, delivery: Decimal
) -> None:
    fuel = Fuel(Decimal("2.35"), "us_gallon", Decimal("4.199"))
    terms = RentalTerms("USD", rates, delivery, Decimal("7.25"), waiver, fuel)
    used = [Decimal(one or 0) for one in hours]
    for start, amount in enumerate(least_time_charges(used, terms)):
        found = cheapest_rental(
            hours_by_date={MONDAY + timedelta(n): used[n] for n in range(start, len(used))}, terms=terms
        )
        assert amount == found.time_charge_minor
        assert terms.total_minor(amount, sum(used[start:], Decimal(0))) == found.total_minor


def test_a_price_finer_than_the_minor_unit_counts_as_it_is_printed() -> None:
    found = rented([8] * 3, (PeriodRate("day", 1, Decimal("10.005")),), delivery=Decimal("10.005"))
    assert found.total_minor == 3_003 + 1_001
    assert_all_redone(found.steps)


@pytest.mark.parametrize(
    ("hours", "rates"),
    [
        ([], USUAL), ([25], USUAL), ([-1], USUAL), ([float("nan")], USUAL), ([8], ()), ([8], (*USUAL, USUAL[0])),
        ([8] + [None] * 1_100 + [8], USUAL), ([8], (PeriodRate("day", 0, Decimal(1)),)),
        ([8], (PeriodRate("day", 1, Decimal(-1)),)), ([8], (PeriodRate("day", 1, Decimal("inf")),)),
        ([8], (PeriodRate("day", 1, Decimal(10) ** 12),)), ([8], (PeriodRate("day", 1, Decimal(1), Decimal(0)),)),
        ([8], (HourRate(Decimal(1), Decimal(0)),)), ([8], (HourRate(Decimal(1), Decimal("1e30")),)),
    ],
)  # fmt: skip
def test_a_hire_that_makes_no_sense_is_refused(hours: list[float | None], rates: tuple[Rate, ...]) -> None:
    with pytest.raises(ValueError, match="expected"):
        rented(hours, rates)


def test_a_currency_that_is_not_known_is_refused() -> None:
    with pytest.raises(ValueError, match="currency: expected"):
        cheapest_rental(hours_by_date={MONDAY: Decimal(8)}, terms=RentalTerms("XXX", USUAL))
