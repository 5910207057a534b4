"""A hire at a yard's rates on the days asked for, against the hire itself."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_charge import assert_steps
from swardcost_api.engine.pricing.hire import Need, days_at_work, price_hire
from swardcost_api.engine.pricing.quoted_hire import quoted_hire, rates_at
from swardcost_model.price_terms import RentalTerms
from swardcost_model.values import from_minor

MONDAY = date(2026, 9, 7)
FULL: dict[str, Any] = {
    "periods": [
        {"name": "day", "days": 1, "price": "310", "included_hours": "8", "over_hour_price": "40"},
        {"name": "week", "days": 7, "price": "1200"},
    ],
    "hourly": {"price": "55", "least_hours_a_day": "4"}, "delivery": "150", "pick_up": "140",
    "damage_waiver_percent": "12", "fuel": {"use_per_hour": "2.5", "unit": "us_gallon", "price": "4"},
}  # fmt: skip


def terms(**more: Any) -> RentalTerms:
    return RentalTerms.model_validate(FULL | more)


def need(key: str, hours: str, start: int = 0) -> Need:
    return Need(key, Decimal(hours), MONDAY + timedelta(start), MONDAY + timedelta(start + 20))


def test_the_amount_is_that_of_the_hire_and_ends_its_steps() -> None:
    needs = [need("1", "60"), need("2", "20", 3)]
    found = quoted_hire(code="LOADER", needs=needs, terms=terms(), currency="USD")
    hire = price_hire(needs, terms(), "USD")
    assert (found.amount_minor, found.cover) == (hire.total_minor, hire.cover)
    last = found.steps[-1]
    assert (last.name, last.value) == ("amount of LOADER", float(from_minor(hire.total_minor, "USD")))
    assert_steps(found.steps[-3:])


def test_rates_by_time_and_those_on_top_move_apart_and_nothing_else_does() -> None:
    found = rates_at(terms(), by_time=lambda price: price * 2, on_top=lambda price: price * 3)
    assert [(one.price, one.over_hour_price) for one in found.periods] == [(620, 80), (2400, None)]
    assert found.hourly is not None
    assert found.fuel is not None
    assert (found.hourly.price, found.delivery, found.pick_up, found.fuel.price) == (110, 450, 420, 12)
    assert (found.damage_waiver_percent, found.hourly.least_hours_a_day, found.fuel.use_per_hour) == (
        12, 4, Decimal("2.5")
    )  # fmt: skip
    assert terms() == RentalTerms.model_validate(FULL)


NEEDS = st.lists(
    st.tuples(st.integers(1, 120), st.integers(0, 25)), min_size=1, max_size=4
).map(lambda pairs: [need(str(number), str(hours), start) for number, (hours, start) in enumerate(pairs)])  # fmt: skip


@given(NEEDS, st.booleans(), st.sampled_from(["8", "10", "6.5"]))
@settings(max_examples=30)
def test_the_days_asked_for_are_those_that_the_hire_takes(
    needs: list[Need], weekends: bool, hours_a_day: str
) -> None:
    asked = terms(works_weekends=weekends, hours_a_day=hours_a_day)
    days, machines = days_at_work(needs, asked)
    hire = price_hire(needs, asked, "USD")
    assert [(one.key, one.dates) for one in days] == [(one.key, one.dates) for one in hire.needs]
    assert machines == hire.machines


@given(NEEDS, st.integers(1, 3))
@settings(max_examples=30)
def test_a_yard_that_asks_a_whole_multiple_costs_that_multiple(needs: list[Need], times: int) -> None:
    rates = terms(fuel=None, damage_waiver_percent="0")
    dearer = rates_at(rates, by_time=lambda price: price * times, on_top=lambda price: price * times)
    one, other = (
        quoted_hire(code="LOADER", needs=needs, terms=RentalTerms.model_validate(dict(found)), currency="USD")
        for found in (rates, dearer)
    )
    assert other.amount_minor == one.amount_minor * times


def test_hours_that_no_hire_can_be_looked_at_for_are_refused() -> None:
    with pytest.raises(ValueError, match="hours of 1: expected at most"):
        days_at_work([need("1", "99999999")], terms())
