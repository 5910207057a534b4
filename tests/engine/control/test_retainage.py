"""Retainage: withheld, held, released."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.control.retainage import releasable, retainage_of
from swardcost_api.engine.pricing.allocation import split_exactly

DAY = date(2026, 9, 1)
MINOR = st.integers(0, 10**13)


@given(MINOR, st.decimals(0, 100, places=3))
@settings(max_examples=50)
def test_retainage_is_the_percentage_rounded_half_up_and_never_more_than_billed(
    billed: int, percent: Decimal
) -> None:
    withheld = retainage_of(billed, percent)
    assert withheld == int((Decimal(billed) * percent / 100).quantize(Decimal(1), ROUND_HALF_UP))
    assert 0 <= withheld <= billed


def test_a_bill_below_zero_has_no_retainage() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        retainage_of(-1, Decimal(10))


@given(st.lists(MINOR, min_size=1, max_size=6).filter(any), st.integers(0, 1000))
@settings(max_examples=80)
def test_shares_sum_to_the_total_and_none_is_above_its_weight(weights: list[int], part: int) -> None:
    total = sum(weights) * part // 1000
    shares = split_exactly(total, weights)
    assert sum(shares) == total
    assert all(0 <= share <= weight for share, weight in zip(shares, weights, strict=True))
    assert all(
        abs(share * sum(weights) - total * weight) < sum(weights)
        for share, weight in zip(shares, weights, strict=True)
    )


def test_the_odd_cent_goes_to_the_earlier_of_equal_shares() -> None:
    assert split_exactly(100, [5, 5, 5]) == [34, 33, 33]
    with pytest.raises(ValueError, match="weights"):
        split_exactly(1, [0, 0])


ENTRIES = st.lists(st.tuples(st.integers(0, 9), st.integers(-50, 100)), max_size=8)


@given(ENTRIES, st.integers(0, 9))
@settings(max_examples=100)
def test_a_release_of_the_most_overdraws_no_later_day_and_one_more_would(
    numbers: list[tuple[int, int]], day: int
) -> None:
    entries = [(DAY + timedelta(number), amount) for number, amount in numbers]
    on = DAY + timedelta(day)
    most = releasable(entries, on)

    def least(release: int) -> int:
        days = [on + timedelta(number) for number in range(10)]
        return min(sum(amount for when, amount in entries if when <= one) - release for one in days)

    if most:
        assert least(most) == 0
        assert least(most + 1) < 0
    else:
        assert least(0) <= 0


def test_nothing_is_released_before_it_was_withheld() -> None:
    entries = [(DAY, 1000), (DAY + timedelta(30), -400)]
    assert releasable(entries, DAY - timedelta(1)) == 0
    assert releasable(entries, DAY) == 600
    assert releasable(entries, DAY + timedelta(60)) == 600
    assert releasable([], DAY) == 0
