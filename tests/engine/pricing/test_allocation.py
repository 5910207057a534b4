"""Splitting money: parts always sum to the whole."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.pricing.allocation import split_by_weights

WEIGHTS = st.lists(st.floats(0, 1e9, allow_nan=False), min_size=1, max_size=60)


@given(st.integers(-(10**15), 10**15), WEIGHTS)
def test_parts_sum_to_the_whole(total: int, weights: list[float]) -> None:
    assert sum(split_by_weights(total, weights)) == total


@given(st.integers(0, 10**12), WEIGHTS)
def test_no_part_is_more_than_one_unit_from_its_fair_share(total: int, weights: list[float]) -> None:
    whole = sum(weights) or len(weights)
    fair = [total * (w if sum(weights) else 1) / whole for w in weights]
    for part, share in zip(split_by_weights(total, weights), fair, strict=True):
        assert abs(part - share) <= 1 + total * 1e-11


def test_a_hundred_in_three_gives_the_odd_cent_to_the_first() -> None:
    assert split_by_weights(100, [1, 1, 1]) == [34, 33, 33]
    assert split_by_weights(-100, [1, 1, 1]) == [-34, -33, -33]
    assert split_by_weights(7, [0, 0]) == [4, 3]


@pytest.mark.parametrize("weights", [[], [-1.0], [float("nan")], [float("inf")]])
def test_weights_that_make_no_sense_are_refused(weights: list[float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        split_by_weights(1, weights)
