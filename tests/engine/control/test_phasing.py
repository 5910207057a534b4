"""Money by month follows the days of the work."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.phasing import days_by_month, phase, phase_like

STARTS = st.dates(date(2000, 1, 1), date(2090, 1, 1))


@given(st.integers(-(10**12), 10**12), STARTS, st.integers(0, 3000))
def test_months_sum_to_the_amount_and_days_to_the_span(amount: int, starts_on: date, days: int) -> None:
    ends_on = starts_on + timedelta(days=days)
    assert sum(phase(amount, starts_on, ends_on).values()) == amount
    assert sum(days_by_month(starts_on, ends_on).values()) == days + 1


def test_a_closure_across_two_months_is_split_by_days() -> None:
    assert days_by_month(date(2026, 9, 21), date(2026, 10, 25)) == {"2026-09": 10, "2026-10": 25}
    assert phase(35_00, date(2026, 9, 21), date(2026, 10, 25)) == {"2026-09": 10_00, "2026-10": 25_00}
    assert list(days_by_month(date(2026, 12, 31), date(2027, 1, 1))) == ["2026-12", "2027-01"]


def test_an_end_before_the_start_is_refused() -> None:
    with pytest.raises(ValueError, match="expected"):
        days_by_month(date(2026, 2, 1), date(2026, 1, 1))


def test_a_markup_follows_the_months_of_what_it_rests_on() -> None:
    sand = (300_00, date(2026, 9, 1), date(2026, 9, 30))
    crew = (100_00, date(2026, 9, 16), date(2026, 10, 15))
    assert phase_like(40_00, [sand, crew]) == {"2026-09": 35_00, "2026-10": 5_00}
    assert phase_like(40_00, []) == {}
    assert phase_like(40_00, [(0, date(2026, 9, 1), date(2026, 9, 30))]) == {}


@given(
    st.integers(-(10**12), 10**12),
    st.lists(st.tuples(st.integers(0, 10**11), STARTS, st.integers(0, 300)), min_size=1, max_size=5),
)
def test_a_markup_is_spread_whole(amount: int, others: list[tuple[int, date, int]]) -> None:
    spans = [(minor, starts_on, starts_on + timedelta(days=days)) for minor, starts_on, days in others]
    months = phase_like(amount, spans)
    assert sum(months.values()) == (amount if any(minor for minor, _, _ in others) else 0)
    assert list(months) == sorted(months)
