"""A percentage of an amount: half up, exact at any size."""

from decimal import ROUND_HALF_UP, Decimal, localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_amount import assert_redone
from swardcost_api.engine.pricing.percentage import checked_percent, percent_of, percent_step

PERCENTS = st.decimals(0, 1000, places=6)


@given(st.integers(0, 10**18), st.decimals(-99, 10**8, places=6))
def test_half_a_minor_unit_and_more_is_a_further_one(base: int, percent: Decimal) -> None:
    with localcontext(prec=60):
        exact = (Decimal(base) * percent / 100).quantize(Decimal(1), ROUND_HALF_UP)
    assert percent_of(base, percent) == exact


@given(st.integers(0, 10**12), PERCENTS, PERCENTS)
def test_a_higher_rate_or_base_never_gives_less(base: int, one: Decimal, other: Decimal) -> None:
    low, high = sorted((one, other))
    assert percent_of(base, low) <= percent_of(base, high)
    assert percent_of(base, low) <= percent_of(base + 1, low)


@pytest.mark.parametrize(("base", "amount"), [(1, 1), (3, 2), (-1, -1), (-3, -2), (0, 0)])
def test_halves_go_away_from_zero(base: int, amount: int) -> None:
    assert percent_of(base, Decimal(50)) == amount


@given(st.integers(0, 10**9), PERCENTS)
def test_the_step_can_be_redone(base: int, percent: Decimal) -> None:
    assert_redone((percent_step("tax", "taxable lines", base, percent, "USD", "a table"),))


@pytest.mark.parametrize("percent", ["-0.01", "NaN", "Infinity"])
def test_a_percentage_that_makes_no_sense_is_refused(percent: str) -> None:
    with pytest.raises(ValueError, match="tax: expected a percentage of zero or more; got"):
        checked_percent("tax", Decimal(percent))
