"""Earned value, forecasts, explanations and cash flow: what must hold for any figures."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.cash_flow import cash_flow, spread_rest
from swardcost_api.engine.control.earned_value import EarnedValue, earned
from swardcost_api.engine.control.explanation import LineFacts, explain
from swardcost_api.engine.control.forecast import forecast
from swardcost_api.engine.control.months import months_between
from swardcost_api.engine.control.rounding import places, share_done, whole

MONEY = st.integers(0, 10**11)
SIGNED = st.integers(-(10**11), 10**11)
SHARE = st.fractions(0, 1, max_denominator=10_000)
QUANTITY = st.decimals(0, 10**6, places=3)
MONTHS = st.integers(0, 40).map(lambda n: f"{2026 + n // 12}-{n % 12 + 1:02d}")


@st.composite
def facts(draw: st.DrawFn) -> LineFacts:
    return LineFacts(
        draw(MONEY), draw(MONEY), draw(MONEY), draw(SIGNED), draw(st.none() | QUANTITY), draw(st.none() | SHARE),
        draw(st.none() | QUANTITY), draw(SIGNED), draw(st.none() | MONEY),
    )  # fmt: skip


@given(facts())
def test_the_causes_sum_to_the_difference(line: LineFacts) -> None:
    causes = explain(line, 2)
    assert sum(cause.amount_minor for cause in causes) == line.cost_minor - line.original_minor
    assert all(cause.amount_minor for cause in causes)
    assert len({cause.reason for cause in causes}) == len(causes)


def test_more_tons_and_dearer_tons_are_told_apart() -> None:
    # 1,500 short tons at 40.50 were planned; 1,582 came and cost 41.65 each.
    planned, cost = 6_075_000, int(Decimal(1582) * Decimal("41.65") * 100)
    line = LineFacts(planned, planned, planned, cost, Decimal(1500), Fraction(1), Decimal(1582))
    quantity, price = explain(line, 2)
    assert (quantity.reason, quantity.amount_minor, quantity.units, quantity.unit_price) == (
        "quantity", 332_100, Decimal(82), Decimal("40.500000"),
    )  # fmt: skip
    assert (price.reason, price.amount_minor, price.units, price.unit_price) == (
        "price", 181_930, Decimal(1582), Decimal("1.150000"),
    )  # fmt: skip


def test_freight_beside_the_tons_is_spending() -> None:
    line = LineFacts(
        100_000, 100_000, 100_000, 107_500, Decimal(10), Fraction(1), Decimal(10), priced_minor=100_000
    )
    assert [(c.reason, c.amount_minor) for c in explain(line, 2)] == [("spending", 7_500)]


def test_half_the_work_at_half_the_cost_ahead_of_plan_is_timing_alone() -> None:
    line = LineFacts(0, 0, 100_000, 50_000, Decimal(10), Fraction(1, 2), Decimal(5))
    assert [(c.reason, c.amount_minor) for c in explain(line, 2)] == [("timing", 50_000)]


def test_money_without_quantity_is_spending_and_other_accounts_are_coding() -> None:
    line = LineFacts(80_000, 100_000, 100_000, 130_000, other_accounts_minor=25_000)
    assert [(c.reason, c.amount_minor) for c in explain(line, 2)] == [
        ("scope", 20_000), ("spending", 5_000), ("coding", 25_000),
    ]  # fmt: skip


@given(MONEY, SHARE, MONEY, MONEY)
def test_forecasts_add_what_was_spent_to_what_is_to_come(
    budget: int, done: Fraction, actual: int, planned: int
) -> None:
    value = EarnedValue(planned, earned(budget, done), actual, budget)
    as_budgeted = forecast(value, "as_budgeted")
    assert as_budgeted is not None
    assert as_budgeted.at_completion_minor == actual + budget - value.earned_minor
    at_rate = forecast(value, "current_rate")
    if value.earned_minor == 0:
        assert at_rate is None
        return
    assert at_rate is not None
    exact = actual + Fraction((budget - value.earned_minor) * actual, value.earned_minor)
    assert abs(at_rate.at_completion_minor - exact) <= Fraction(1, 2)
    # At the rate of the budget the two methods say the same.
    on_rate = EarnedValue(planned, value.earned_minor, value.earned_minor, budget)
    assert forecast(on_rate, "current_rate") == forecast(on_rate, "as_budgeted")


def test_without_a_figure_of_his_own_there_is_no_own_forecast() -> None:
    assert forecast(EarnedValue(1, 1, 1, 1), "own_figure") is None


@given(st.dictionaries(MONTHS, SIGNED), st.dictionaries(MONTHS, SIGNED), st.dictionaries(MONTHS, SIGNED))
def test_cash_flow_loses_no_month_and_no_money(
    planned: Mapping[str, int], paid: Mapping[str, int], expected: Mapping[str, int]
) -> None:
    rows = cash_flow(planned, paid, expected)
    assert sum(row.planned_minor for row in rows) == sum(planned.values())
    assert sum(row.paid_minor for row in rows) == sum(paid.values())
    assert sum(row.expected_minor for row in rows) == sum(expected.values())
    if rows:
        assert [row.month for row in rows] == months_between(rows[0].month, rows[-1].month)
        assert rows[-1].planned_so_far_minor == sum(planned.values())
        assert rows[-1].money_so_far_minor == sum(paid.values()) + sum(expected.values())


@given(SIGNED, st.dictionaries(MONTHS, MONEY), MONTHS)
def test_what_is_to_come_falls_after_the_month_and_sums_up(
    rest: int, planned: Mapping[str, int], after: str
) -> None:
    parts = spread_rest(rest, planned, after)
    assert sum(parts.values()) == rest
    assert all(month > after for month in parts)


def test_rounding_goes_away_from_zero_at_a_half() -> None:
    assert [whole(Fraction(n, 2)) for n in (-5, -3, -1, 1, 3, 5)] == [-3, -2, -1, 1, 2, 3]
    assert places(Fraction(2, 3), 3) == Decimal("0.667")
    assert share_done(Decimal(12), Decimal(10)) == 1
    with pytest.raises(ValueError, match="above zero"):
        share_done(Decimal(1), Decimal(0))
