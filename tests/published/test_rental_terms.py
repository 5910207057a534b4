"""Rental terms of common practice and published agreements; the source stands beside each check."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from swardcost_api.engine.pricing.hire import Need, price_hire
from swardcost_api.engine.pricing.rental import cheapest_rental
from swardcost_api.engine.pricing.rental_terms import PeriodRate, RentalTerms, day_week_and_four_weeks
from swardcost_model import price_terms

FIRST = date(2026, 6, 1)


def test_hours_over_a_month_are_prorated_on_its_included_hours() -> None:
    """An equipment dealer's published explanation of its rates: 6,000 a month with 176 hours; 365 hours in two
    months are 13 over, printed 34.09 an hour and 443.17 (the exact rate 34.0909 gives 443.18).

    The two months are pooled there; here each has its own hours, so all 13 fall into one month.
    """
    month = PeriodRate("month", 30, Decimal(6_000), Decimal(176))
    hours = {FIRST + timedelta(n): Decimal("6.3") for n in range(30)}
    assert sum(hours.values()) == 189
    found = cheapest_rental(hours_by_date=hours, terms=RentalTerms("USD", (month,)))
    assert found.total_minor - 600_000 == 44_318
    printed = PeriodRate("month", 30, Decimal(6_000), Decimal(176), Decimal("34.09"))
    assert cheapest_rental(hours_by_date=hours, terms=RentalTerms("USD", (printed,))).total_minor == 644_317


@pytest.mark.parametrize(("place", "hours"), [(0, 8), (1, 40), (2, 160)])
def test_one_shift_is_8_hours_a_day_40_a_week_and_160_in_four_weeks(place: int, hours: int) -> None:
    """Normal-use clause of published rental agreements (read): 8 a day, 40 a week, 160 in four weeks; excess is
    prorated against the rate."""
    rate = day_week_and_four_weeks(day=Decimal(800), week=Decimal(800), four_weeks=Decimal(800))[place]
    assert rate.included_h == hours
    assert rate.price_over == Decimal(800) / hours


def test_as_few_machines_as_needed() -> None:
    """Interval partitioning, a worked exercise of California State University, Stanislaus (CS 4440, February 2020):
    these twelve intervals, each without its end, take six rooms."""
    intervals = [
        (8, 11), (13, 15), (9, 10), (8, 10), (15, 16), (16, 19), (18, 19), (8, 10), (9, 14), (11, 16), (17, 19),
        (9, 13),
    ]  # fmt: skip
    needs = [
        Need(str(number), Decimal(8 * (end - start)), FIRST + timedelta(start), FIRST + timedelta(end - 1))
        for number, (start, end) in enumerate(intervals)
    ]
    terms = price_terms.RentalTerms.model_validate(
        {"periods": [{"name": "day", "days": 1, "price": "300"}], "works_weekends": True}
    )
    found = price_hire(needs, terms, "USD")
    assert (found.machines, found.overrun) == (6, {})
