"""Rounding many amounts at once: each is the one that exact fractions give, halves among them."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.capital.growth import grown, half_up
from swardcost_api.engine.capital.whole_minor import AmountTooLarge, Factors, Growing, times

AMOUNTS = st.lists(st.integers(-(10**12), 10**12), min_size=1, max_size=30)
WHOLES = st.sampled_from([2, 20, 200, 2_000, 40_000, 3, 7, 1_000_000])


@given(AMOUNTS, st.integers(-3000, 3000), WHOLES)
def test_a_common_factor_rounds_as_fractions_do(amounts: list[int], parts: int, whole: int) -> None:
    one = Fraction(parts, whole)
    expected = [half_up(amount * one) for amount in amounts]
    assert times(np.array(amounts), Factors.of(one)).tolist() == expected


@given(st.data(), AMOUNTS, WHOLES)
def test_factors_of_each_future_round_as_fractions_do(
    data: st.DataObject, amounts: list[int], whole: int
) -> None:
    size = len(amounts)
    parts = data.draw(st.lists(st.integers(0, 3000), min_size=size, max_size=size))
    expected = [half_up(Fraction(amount * part, whole)) for amount, part in zip(amounts, parts, strict=True)]
    assert times(np.array(amounts), Factors.of_parts(np.array(parts), whole)).tolist() == expected


def test_halves_that_binary_figures_miss_go_up() -> None:
    # 0.145 and 1.005 lie below and above their nearest binary figures; each product is a half exactly.
    amounts = np.array([100 * number for number in range(1, 2_000, 2)])
    for factor in (Fraction(145, 1000), Fraction(1005, 1000), Fraction(2675, 1000)):
        exact = [half_up(int(amount) * factor) for amount in amounts]
        assert times(amounts, Factors.of(factor)).tolist() == exact
        assert all((2 * int(amount) * factor).denominator == 1 for amount in amounts)


@given(st.integers(0, 10**10), st.decimals(-20, 20, places=3), st.integers(-30, 30), st.integers(0, 39))
def test_growth_is_that_of_a_single_cost(minor: int, percent: Decimal, since: int, place: int) -> None:
    found = times(np.array([minor]), Growing(percent, since).at(np.array([place])))
    assert found.tolist() == [grown(minor, percent, since + place)]


@given(
    st.integers(0, 10**9), st.decimals(-9, 9, places=3), st.integers(-10, 10), st.integers(-50_000, 50_000)
)
def test_growth_with_points_is_that_of_the_sum(minor: int, percent: Decimal, since: int, points: int) -> None:
    growing = Growing(percent, since, np.array([points]))
    found = times(np.array([minor]), growing.at(np.array([7])))
    assert found.tolist() == [grown(minor, percent + Decimal(points) / 10_000, since + 7)]


def test_large_costs_grown_for_long_are_rounded_exactly() -> None:
    """At this size the power in binary figures is wrong by up to a tenth of a minor unit."""
    source = np.random.default_rng(4)
    minor, points = source.integers(10**12, 10**13, 2000), source.integers(-20_000, 20_000, 2000)
    found = times(minor, Growing(Decimal("3.7"), 9, points).at(np.full(2000, 30)))
    expected = [
        grown(int(one), Decimal("3.7") + Decimal(int(more)) / 10_000, 39)
        for one, more in zip(minor, points, strict=True)
    ]
    assert found.tolist() == expected


def test_products_beyond_what_can_be_rounded_are_refused() -> None:
    limit = np.array([4 * 10**15])
    assert times(limit, Factors.of(Fraction(1))).tolist() == limit.tolist()
    with pytest.raises(AmountTooLarge, match="one grows beyond"):
        times(limit + 1, Factors.of(Fraction(1)))
    with pytest.raises(AmountTooLarge, match="one grows beyond"):
        times(-limit, Factors.of(Fraction(2)))
