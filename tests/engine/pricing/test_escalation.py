"""Escalation: by a yearly rate or by an index, never beyond what is known."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from printed_rates import assert_all_redone
from swardcost_api.engine.pricing.escalation import (
    EscalationRate,
    IndexGap,
    IndexSeries,
    YearlyRate,
    escalation_percent,
    escalation_period,
    escalation_rate,
    midpoint,
    month_of,
)

PRICED = date(2026, 1, 15)
QUARTERS = IndexSeries(
    "Heavy construction", "a statistics office, table 12",
    {"2026-01": Decimal("200.1"), "2026-04": Decimal("203.4"), "2026-07": Decimal("201.3"), "2027-01": Decimal(210)},
)  # fmt: skip
YEARLY = st.decimals(0, 30, places=3)
DAYS = st.integers(0, 4000)


def rate(basis: YearlyRate | IndexSeries, priced_on: date, work: date) -> EscalationRate:
    found = escalation_rate(basis, escalation_period(basis, priced_on, work))
    assert isinstance(found, EscalationRate)
    return found


def test_an_index_escalates_by_the_ratio_of_two_months() -> None:
    found = rate(QUARTERS, PRICED, date(2027, 1, 31))
    assert found.percent == Decimal("4.947526")  # 210 / 200.1 = 1.0494752...
    assert found.words == "2026-01 to 2027-01, Heavy construction"
    assert_all_redone(found.steps)


def test_the_index_of_a_month_between_lies_on_the_straight_line() -> None:
    found = rate(QUARTERS, PRICED, date(2026, 5, 2))
    assert found.percent == Decimal("1.299350")  # 203.4 - 2.1 / 3 = 202.7; 202.7 / 200.1
    assert [step.name for step in found.steps] == ["index of 2026-05", "escalation rate"]
    assert "straight line" in found.steps[0].source
    assert_all_redone(found.steps)


def test_a_falling_index_lowers_the_cost() -> None:
    found = rate(QUARTERS, date(2026, 4, 1), date(2026, 7, 1))
    assert found.percent == Decimal("-1.032448")
    assert_all_redone(found.steps)


@pytest.mark.parametrize(
    ("priced_on", "work", "missing"),
    [(date(2025, 12, 31), date(2026, 4, 1), "2025-12"), (PRICED, date(2027, 2, 1), "2027-02")],
)
def test_an_index_is_never_drawn_out_beyond_its_months(priced_on: date, work: date, missing: str) -> None:
    gap = escalation_rate(QUARTERS, escalation_period(QUARTERS, priced_on, work))
    assert gap == IndexGap("Heavy construction", missing, "2026-01", "2027-01")
    assert gap.words == f"Heavy construction has no index for {missing}; it runs from 2026-01 to 2027-01."


def test_work_in_the_month_of_its_price_is_not_escalated_by_an_index() -> None:
    assert rate(QUARTERS, date(2026, 3, 1), date(2026, 3, 31)).percent == 0
    assert rate(QUARTERS, date(2030, 3, 1), date(2030, 3, 31)).percent == 0


@pytest.mark.parametrize("basis", [QUARTERS, YearlyRate(Decimal(4))])
def test_work_before_its_price_is_not_escalated(basis: YearlyRate | IndexSeries) -> None:
    found = rate(basis, date(2026, 7, 1), date(2026, 2, 1))
    assert (found.percent, found.words) == (0, "not escalated, since the work does not come after the price")
    assert_all_redone(found.steps)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "at least one month"),
        ({"2026-13": Decimal(1)}, "expected a month such as 2026-03; got '2026-13'"),
        ({"2026-1": Decimal(1)}, "expected a month"),
        ({"2026-01": Decimal(0)}, "expected an index above zero; got 0"),
        ({"2026-01": Decimal("NaN")}, "expected an index above zero; got NaN"),
    ],
)
def test_an_index_that_makes_no_sense_is_refused(values: dict[str, Decimal], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        IndexSeries("An index", "nobody", values)


@pytest.mark.parametrize("percent", ["-1", "NaN"])
def test_a_yearly_rate_below_zero_is_refused(percent: str) -> None:
    with pytest.raises(ValueError, match="escalation: expected a percentage of zero or more"):
        escalation_rate(YearlyRate(Decimal(percent)), (PRICED, date(2027, 1, 1)))


def test_the_printed_rate_names_its_days() -> None:
    found = rate(YearlyRate(Decimal(4)), date(2026, 1, 1), date(2027, 1, 1))
    assert (found.percent, found.words) == (4, "2026-01-01 to 2027-01-01")


@given(YEARLY, DAYS, st.booleans())
def test_a_printed_yearly_rate_can_be_redone(percent: Decimal, days: int, compound: bool) -> None:
    assert_all_redone(rate(YearlyRate(percent, compound), PRICED, PRICED + timedelta(days)).steps)


@given(YEARLY, DAYS)
def test_compounding_costs_more_after_a_year_and_less_within_one(percent: Decimal, days: int) -> None:
    work = PRICED + timedelta(days)
    compound, simple = (escalation_percent(percent, PRICED, work, one) for one in (True, False))
    dust = Decimal("1e-20")
    assert compound >= simple - dust if days >= 365 else compound <= simple + dust


@given(YEARLY, YEARLY, DAYS, DAYS, st.booleans())
def test_more_time_or_a_higher_rate_never_costs_less(
    one: Decimal, other: Decimal, soon: int, late: int, compound: bool
) -> None:
    (low, high), (near, far) = sorted((one, other)), sorted((soon, late))
    least = escalation_percent(low, PRICED, PRICED + timedelta(near), compound)
    assert least <= escalation_percent(high, PRICED, PRICED + timedelta(near), compound)
    assert least <= escalation_percent(low, PRICED, PRICED + timedelta(far), compound)


MONTHS = st.dates(date(2020, 1, 1), date(2035, 12, 31)).map(month_of)
SERIES = st.dictionaries(MONTHS, st.decimals(1, 1000, places=3), min_size=1, max_size=12).map(
    lambda values: IndexSeries("An index", "a table", values)
)


@given(SERIES, st.dates(date(2020, 1, 1), date(2035, 12, 31)), DAYS)
def test_an_index_gives_a_rate_within_its_months_and_a_gap_beyond(
    series: IndexSeries, priced_on: date, days: int
) -> None:
    work = priced_on + timedelta(days)
    found = escalation_rate(series, escalation_period(series, priced_on, work))
    first, last = series.months[0], series.months[-1]
    if month_of(priced_on) == month_of(work):
        assert isinstance(found, EscalationRate)
        assert found.percent == 0
    elif first <= month_of(priced_on) and month_of(work) <= last:
        assert isinstance(found, EscalationRate)
        assert found.percent > -100
        low, high = min(series.values.values()), max(series.values.values())
        assert abs(found.percent) <= (high / low - 1) * 100 + Decimal("0.000001")
        assert_all_redone(found.steps)
    else:
        assert isinstance(found, IndexGap)
        assert not first <= found.month <= last


@given(SERIES, st.permutations(range(12)))
def test_the_order_of_the_months_does_not_matter(series: IndexSeries, order: list[int]) -> None:
    assume(len(series.months) > 1)
    items = list(series.values.items())
    shuffled = IndexSeries(series.name, series.source, dict(items[i] for i in order if i < len(items)))
    period = (date.fromisoformat(f"{series.months[0]}-01"), date.fromisoformat(f"{series.months[-1]}-01"))
    assert escalation_rate(shuffled, period) == escalation_rate(series, period)


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)), st.integers(0, 3000))
def test_half_of_the_work_comes_before_its_midpoint(starts_on: date, days: int) -> None:
    ends_on = starts_on + timedelta(days)
    middle = midpoint(starts_on, ends_on)
    assert 0 <= (ends_on - middle).days - (middle - starts_on).days <= 1
