"""Whole figures are exact on both sides of what 64 bits hold."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.risk.simulated_lines import exact_dot, exact_sum, furthest
from swardcost_api.engine.risk.whole_figures import FITS, Whole, places_of, scaled

numbers = st.integers(0, FITS) | st.integers(0, 10**6) | st.just(FITS)
many = st.lists(numbers, min_size=1, max_size=5)
signed = st.integers(-FITS, FITS) | st.integers(-(10**9), 10**9)


def whole(values: list[int]) -> Whole:
    return Whole.of(np.array(values, dtype=np.int64))


def listed(found: Whole) -> list[int]:
    """The figures, which must lie within the bounds that are told of them, as whole numbers and of the right type."""
    values = [int(one) for one in found.values]
    assert found.least <= min(values)
    assert max(values) <= found.most
    assert found.most > FITS or found.values.dtype == np.int64
    return values


@given(values=many, by=st.integers(0, FITS), then=st.integers(1, 10**20))
def test_products_beyond_64_bits_are_exact_and_divided_exactly(values: list[int], by: int, then: int) -> None:
    product = whole(values).times(by)
    exact = [one * by for one in values]
    assert listed(product) == exact
    assert listed(product.half_up(then)) == [floor(Fraction(one, then) + Fraction(1, 2)) for one in exact]
    assert listed(product.up(then)) == [ceil(Fraction(one, then)) for one in exact]
    assert listed(product.down(then)) == [one // then for one in exact]


@given(pairs=st.lists(st.tuples(numbers, st.integers(1, FITS)), min_size=1, max_size=5))
def test_division_by_a_number_for_each_trial(pairs: list[tuple[int, int]]) -> None:
    by = np.array([one for _, one in pairs], dtype=np.int64)
    found = listed(whole([one for one, _ in pairs]).half_up(by))
    assert found == [floor(Fraction(one, other) + Fraction(1, 2)) for one, other in pairs]


@given(number=numbers, divisors=st.lists(st.integers(1, FITS), min_size=2, max_size=5))
def test_one_number_for_all_trials_is_divided_by_one_of_each(number: int, divisors: list[int]) -> None:
    by, trials = np.array(divisors, dtype=np.int64), len(divisors)
    down, half_up = (
        found.int64(trials) for found in (Whole.constant(number).down(by), Whole.constant(number).half_up(by))
    )
    assert down.tolist() == [number // one for one in divisors]
    assert half_up.tolist() == [floor(Fraction(number, one) + Fraction(1, 2)) for one in divisors]


@pytest.mark.parametrize(
    ("ours", "plain"),
    [
        (lambda a, k: a.plus(k), lambda a, k: a + k), (lambda a, k: a.less(k), lambda a, k: max(a - k, 0)),
        (lambda a, k: a.at_least(k), max), (lambda a, k: a.at_most(k), min),
    ],
)  # fmt: skip
@given(values=many, other=st.integers(0, 2**65))
def test_sums_and_limits(
    ours: Callable[[Whole, int], Whole], plain: Callable[[int, int], int], values: list[int], other: int
) -> None:
    found = listed(ours(whole(values), other))
    assert found in (
        [plain(one, other) for one in values],
        [0] if all(one <= other for one in values) else None,
    )


@given(pairs=st.lists(st.tuples(signed, signed), min_size=1, max_size=8))
def test_sums_of_products_are_exact(pairs: list[tuple[int, int]]) -> None:
    first, second = (np.array(values, dtype=np.int64) for values in zip(*pairs, strict=True))
    assert exact_dot(first, second, furthest(first), furthest(second)) == sum(
        one * other for one, other in pairs
    )
    assert exact_sum(first, furthest(first)) == sum(one for one, _ in pairs)


def test_what_does_not_fit_is_refused_and_never_wraps() -> None:
    with pytest.raises(ValueError, match="fit into 64 bits"):
        whole([FITS]).plus(1).int64(1)
    assert whole([FITS]).plus(1).half_up(2).int64(2).tolist() == [2**62, 2**62]
    with pytest.raises(ValueError, match="zero or more"):
        whole([-1])
    with pytest.raises(ValueError, match="zero or more"):
        Whole.constant(-1)


def test_decimals_as_whole_numbers() -> None:
    assert (scaled(Decimal("1.50"), 1), scaled(Decimal("1E+2"), 2), scaled(Decimal("-0.25"), 2)) == (
        15,
        10_000,
        -25,
    )
    assert (places_of(Decimal("1.50")), places_of(Decimal("1E+2"))) == (1, 0)
    with pytest.raises(ValueError, match="at most 1 decimal places"):
        scaled(Decimal("1.55"), 1)
