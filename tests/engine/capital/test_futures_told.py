"""What futures say: fans, probabilities, what more would be enough, and what decides how low the reserve falls."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from futures_by_hand import SURELY_THREE, drawings, plan_of, rounded, uncertain_plans
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.capital.fan import (
    FAN_PERCENTS,
    Probability,
    below,
    ever_below,
    fan_of,
    fans,
    first_below,
    lowest_year,
)
from swardcost_api.engine.capital.futures import closings, draw_futures
from swardcost_api.engine.capital.futures_drivers import drivers_of
from swardcost_api.engine.capital.futures_funding import enough_more, least_more
from swardcost_api.engine.capital.uncertain_plans import (
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.risk.ranges import Triangular

AMOUNTS = st.lists(st.integers(-4 * 10**15, 4 * 10**15), min_size=1, max_size=60)


@given(AMOUNTS)
def test_a_percentile_is_the_least_amount_that_so_many_do_not_exceed(amounts: list[int]) -> None:
    found = fan_of(np.array(amounts))
    for percent in FAN_PERCENTS:
        enough = [
            one for one in amounts if 100 * sum(other <= one for other in amounts) >= percent * len(amounts)
        ]
        assert found.percentile(percent) == min(enough)
    mean = Fraction(sum(amounts), len(amounts))
    assert found.mean_minor == (rounded(mean) if mean >= 0 else -rounded(-mean))


@given(
    st.lists(st.lists(st.integers(-9, 9), min_size=7, max_size=7), min_size=1, max_size=9), st.integers(-9, 9)
)
def test_first_shortfalls_sum_to_those_of_any_year(years: list[list[int]], floor: int) -> None:
    amounts = np.array(years)
    ever, firsts = ever_below(amounts, floor), first_below(amounts, floor)
    by_future = zip(*years, strict=True)
    assert sum(one.count for one in firsts) == ever.count == sum(min(one) < floor for one in by_future)
    for place, (year, first) in enumerate(zip(below(amounts, floor), firsts, strict=True)):
        assert year.count == sum(one < floor for one in years[place])
        before = [any(one[other] < floor for one in years[:place]) for other in range(7)]
        assert first.count == sum(
            one < floor and not was for one, was in zip(years[place], before, strict=True)
        )


@given(st.integers(1, 10**6), st.data())
def test_an_interval_holds_its_share_and_narrows_with_more_futures(futures: int, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, futures))
    low, high = Probability(count, futures).interval
    assert 0 <= low <= count / futures <= high <= 1
    wider = Probability(count * 4, futures * 4).interval
    assert wider[1] - wider[0] < high - low
    mirrored = Probability(futures - count, futures).interval
    assert mirrored == pytest.approx((1 - high, 1 - low))


def test_the_lowest_year_of_a_percentile_is_the_first_of_several() -> None:
    assert lowest_year(fans(np.array([[5, 6], [1, 9], [1, 8]])), 5) == 1
    assert lowest_year(fans(np.array([[5, 6], [1, 9], [1, 8]])), 95) == 0


@given(uncertain_plans(), drawings())
def test_what_is_enough_for_a_future_is_enough_and_one_less_is_not(
    plan: UncertainPlan, drawing: Drawing
) -> None:
    futures = draw_futures(plan, drawing)
    more = least_more(plan, futures)

    def lowest(extra: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
        return closings(plan, futures.spending, futures.interest_points, extra).min(axis=0)

    assert (lowest(more) >= plan.floor_minor).all()
    assert ((lowest(more - 1) < plan.floor_minor) | (more == 0)).all()
    assert ((more == 0) == (futures.closing.min(axis=0) >= plan.floor_minor)).all()


def test_futures_that_need_nothing_more_are_left_beside_those_that_do() -> None:
    project = DatedProject("a", 1, (990_000,), cost_percent=Triangular(90, 100, 140))
    plan = plan_of([project], [], 3)
    futures = draw_futures(plan, Drawing())
    short = np.maximum(-futures.closing.min(axis=0), 0)
    assert 0 < (short == 0).sum() < futures.count
    # Without interest, half of what is short at the end of the second year must come in each of two years.
    assert (least_more(plan, futures) == -(-short // 2)).all()
    assert enough_more(plan, futures, Decimal(99)).more_minor == 0


@given(uncertain_plans(), drawings(), st.decimals(0, 99, places=1))
def test_what_is_enough_keeps_the_share_and_one_less_does_not(
    plan: UncertainPlan, drawing: Drawing, percent: Decimal
) -> None:
    futures = draw_futures(plan, drawing)
    found = enough_more(plan, futures, percent)
    assert found.with_it.count <= found.allowed <= percent * futures.count / 100
    if found.more_minor:
        less = closings(plan, futures.spending, futures.interest_points, found.more_minor - 1)
        assert ever_below(less, plan.floor_minor).count > found.allowed
    else:
        assert ever_below(futures.closing, plan.floor_minor).count == found.with_it.count


@pytest.mark.parametrize("percent", [Decimal(-1), Decimal(100)])
def test_no_share_outside_zero_to_a_hundred_is_kept(percent: Decimal) -> None:
    plan = plan_of([], [])
    with pytest.raises(ValueError, match="below 100 percent"):
        enough_more(plan, draw_futures(plan, Drawing()), percent)


@pytest.mark.parametrize(("count", "futures"), [(-1, 3), (4, 3), (0, 0)])
def test_a_count_outside_its_futures_is_refused(count: int, futures: int) -> None:
    with pytest.raises(ValueError, match="within the futures"):
        Probability(count, futures)


def test_what_decides_is_told_with_its_direction_and_what_does_not_is_left_out() -> None:
    projects = [
        DatedProject("large", 3, (900_000,), cost_percent=Triangular(60, 100, 160)),
        DatedProject("small", 3, (20,), cost_percent=Triangular(60, 100, 160)),
        DatedProject("fixed", 3, (100_000,)),
    ]
    pump = LivingAsset("pump", -1, Triangular(2, 6, 30), Triangular(50, 60, 70), 400_000)
    plan, drawing = (
        plan_of(projects, [pump], 12, income=20_000),
        Drawing(interest_points=Triangular(-1, 0, 1)),
    )
    found = drivers_of(plan, drawing, draw_futures(plan, drawing))
    assert {(one.kind, one.key) for one in found.told} == {("life", "pump"), ("project_cost", "large")}
    assert [one.rank_correlation > 0 for one in found.told] == [one.kind == "life" for one in found.told]
    assert (found.looked_at, found.significant) == (4, 2)


def test_nothing_decides_where_nothing_differs() -> None:
    plan = plan_of([DatedProject("a", 1, (5,))], [])
    found = drivers_of(plan, Drawing(), draw_futures(plan, Drawing()))
    assert (found.told, found.looked_at) == ((), 0)
    # Lives that all end in one year are looked at, and the reserve is the same in every future.
    plan = plan_of([], [LivingAsset("pump", -1, SURELY_THREE, SURELY_THREE, 7)])
    found = drivers_of(plan, Drawing(), draw_futures(plan, Drawing()))
    assert (found.told, found.looked_at) == ((), 1)


@pytest.mark.parametrize("seed", range(5))
def test_figures_that_touch_no_balance_are_hardly_ever_told(seed: int) -> None:
    """Forty projects that cost nothing have ranges that decide nothing."""
    idle = [DatedProject(f"{n}", 3, (0,), cost_percent=Triangular(60, 100, 160)) for n in range(40)]
    plan = plan_of([*idle, replace(idle[0], key="one", phases_minor=(700_000,))], [])
    drawing = Drawing(400, seed)
    found = drivers_of(plan, drawing, draw_futures(plan, drawing))
    assert [one.key for one in found.told] == ["one"]
    assert found.told[0].rank_correlation == pytest.approx(-1)


def test_at_most_ten_are_told_the_strongest_first() -> None:
    many = [DatedProject(f"{n}", 0, (10_000,), cost_percent=Triangular(60, 100, 160)) for n in range(14)]
    plan, drawing = plan_of(many, []), Drawing(5000)
    found = drivers_of(plan, drawing, draw_futures(plan, drawing))
    assert (len(found.told), found.significant) == (10, 14)
    sizes = [abs(one.rank_correlation) for one in found.told]
    assert sizes == sorted(sizes, reverse=True)
