"""Searching by steps: answers are those of computing every value, wherever nothing can be missed."""

from collections.abc import Callable
from decimal import Decimal
from itertools import pairwise
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.risk.goal_seek import Reach, break_even, largest_within, smallest_within

ONE = Decimal(1)
COSTS = st.lists(st.integers(0, 12), min_size=2, max_size=60)
RISES = st.lists(st.integers(0, 40), min_size=300, max_size=300)


def by_list(costs: list[int]) -> Callable[[Decimal], int]:
    return lambda value: costs[int(value)]


def summed(rises: list[int]) -> list[int]:
    return [sum(rises[: place + 1]) for place in range(len(rises))]


def whole_loads(tons: Decimal) -> int:
    """Loads of 22 short tons at 950.00."""
    return ceil(tons / 22) * 95_000


def tiered(tons: Decimal) -> int:
    """43.50 a short ton, all of it at 41.50 from 200."""
    return int(tons * (4350 if tons < 200 else 4150))


@given(COSTS, COSTS)
def test_orders_and_crossings_are_those_of_every_value(first: list[int], second: list[int]) -> None:
    last = min(len(first), len(second)) - 1
    found = break_even(by_list(first), by_list(second), Decimal(0), Decimal(last), ONE)
    assert found.searched.every_value
    told = [
        span.cheaper for span in found.spans for _ in range(int(span.first), int(span.last) + 1)
    ]  # each value once, in order
    assert told == [
        "first" if first[i] < second[i] else "second" if first[i] > second[i] else "same"
        for i in range(last + 1)
    ]
    flips = [i for i, (one, other) in enumerate(pairwise(told)) if {one, other} == {"first", "second"}]
    assert [int(c.before.value) for c in found.crossings if c.equal is None and c.before] == flips
    assert (found.cheaper_throughout is None) == (len(set(told)) > 1)
    for crossing in found.crossings:
        for at in (crossing.before, crossing.after, *(crossing.equal or ())):
            if at is not None:
                assert (at.first_minor, at.second_minor) == (first[int(at.value)], second[int(at.value)])


@given(RISES, st.integers(0, 6000), st.integers(2, 12))
def test_one_change_of_order_is_found_with_few_samples(rises: list[int], level: int, samples: int) -> None:
    costs = summed(rises)
    found = break_even(by_list(costs), lambda _: level, Decimal(0), Decimal(299), ONE, samples=samples)
    spans = {span.cheaper: (int(span.first), int(span.last)) for span in found.spans}
    for name, places in (
        ("first", [i for i, cost in enumerate(costs) if cost < level]),
        ("same", [i for i, cost in enumerate(costs) if cost == level]),
        ("second", [i for i, cost in enumerate(costs) if cost > level]),
    ):
        assert spans.get(name) == ((places[0], places[-1]) if places else None)
    assert not found.searched.every_value


@given(RISES, st.integers(10, 289), st.integers(0, 3000), st.integers(0, 6000))
def test_a_fall_at_a_breakpoint_is_not_missed(rises: list[int], tier: int, fall: int, budget: int) -> None:
    costs = [cost - (fall if place >= tier else 0) for place, cost in enumerate(summed(rises))]
    found = largest_within(
        by_list(costs), budget, Decimal(0), Decimal(299), ONE, breakpoints=[Decimal(tier)], samples=5
    )
    within = [place for place, cost in enumerate(costs) if cost <= budget]
    check(found, costs, budget, within[-1] if within else None)
    over = [place for place in range(within[-1] if within else 0) if costs[place] > budget]
    assert [int(v) for pair in found.over_within for v in (pair[0].value, pair[1].value)] == (
        [over[0], over[-1]] if over else []
    )


@given(COSTS, st.integers(-1, 13))
def test_reach_is_that_of_every_value(costs: list[int], budget: int) -> None:
    last = Decimal(len(costs) - 1)
    within = [place for place, cost in enumerate(costs) if cost <= budget]
    largest = largest_within(by_list(costs), budget, Decimal(0), last, ONE)
    check(largest, costs, budget, within[-1] if within else None)
    smallest = smallest_within(by_list(costs), budget, Decimal(0), last, ONE)
    check(smallest, costs, budget, within[0] if within else None)
    for reach, inner in (
        (largest, range(within[-1]) if within else ()),
        (smallest, range(within[0], len(costs)) if within else ()),
    ):
        over = {place for place in inner if costs[place] > budget}
        told = [range(int(one.value), int(other.value) + 1) for one, other in reach.over_within]
        assert {place for places in told for place in places} == over
        assert reach.steady == (costs in (sorted(costs), sorted(costs, reverse=True)))


def check(found: Reach, costs: list[int], budget: int, place: int | None) -> None:
    if place is None:
        assert found.found is None
        assert found.least.cost_minor > budget
        return
    assert found.found is not None
    assert (found.found.value, found.found.cost_minor) == (place, costs[place])
    if found.next_over is not None:
        assert abs(found.next_over.value - place) == 1
        assert found.next_over.cost_minor > budget


def test_whole_loads_against_tons_cross_several_times_and_each_is_told_with_its_neighbours() -> None:
    found = break_even(
        whole_loads,
        tiered,
        Decimal(1),
        Decimal(400),
        Decimal("0.01"),
        breakpoints=[Decimal(22 * n) for n in range(1, 19)],
    )
    first = found.crossings[0]
    # One load, 950.00, is 21.84 t at 43.50 (950.04) and more than 21.83 t (949.605, printed 949.60).
    assert first.before is not None
    assert first.after is not None
    assert (first.before.value, first.after.value) == (Decimal("21.83"), Decimal("21.84"))
    assert (first.after.first_minor, first.after.second_minor) == (95_000, 95_004)
    # Above 22 t a second load is due, and the tons are cheaper again.
    second = found.crossings[1]
    assert second.before is not None
    assert second.after is not None
    assert (second.before.value, second.after.value) == (22, Decimal("22.01"))
    assert first.changes_order
    assert not found.searched.every_value
    steps = first.steps(variable="sand", unit="short_ton", currency="USD")
    assert [step.value for step in steps] == [0.4, -0.04]


def test_equal_costs_are_an_interval_and_a_touch_changes_no_order() -> None:
    costs = [9, 5, 5, 8, 5, 3]
    found = break_even(by_list(costs), lambda _: 5, Decimal(0), Decimal(5), ONE)
    intervals = [(c.equal[0].value, c.equal[1].value) for c in found.crossings if c.equal]
    assert intervals == [(1, 2), (4, 4)]
    assert [crossing.changes_order for crossing in found.crossings] == [False, True]


def test_no_crossing_says_who_is_cheaper_throughout() -> None:
    found = break_even(lambda _: 1, lambda _: 2, Decimal(0), Decimal(1000), ONE)
    assert found.crossings == ()
    assert found.cheaper_throughout == "first"
    assert "may have been missed" in found.searched.words
    assert found.searched.widest_cell == 6


def test_more_can_cost_less_so_the_budget_is_exceeded_below_the_answer() -> None:
    # 199.99 t cost 8,699.56, 200 t cost 8,300.00.
    found = largest_within(
        tiered, 840_000, Decimal(0), Decimal(500), Decimal("0.01"), breakpoints=[Decimal(200)]
    )
    assert found.found is not None
    assert found.next_over is not None
    assert (found.found.value, found.found.cost_minor) == (Decimal("202.40"), 839_960)
    assert found.next_over.value == Decimal("202.41")
    (gap,) = found.over_within
    assert (gap[0].value, gap[1].value) == (Decimal("193.11"), Decimal("199.99"))
    assert not found.steady
    assert "over the budget again at 193.11 to 199.99" in found.words


def test_a_known_breakpoint_shows_what_two_samples_alone_would_miss() -> None:
    # 860,000 is passed at 197.71 t, kept again by the lower price from 200 t, and passed for good at 207.23 t.
    bounds = (Decimal(150), Decimal(251), Decimal("0.01"))
    blind = largest_within(tiered, 860_000, *bounds, samples=2)
    assert blind.over_within == ()
    assert "may have been missed" in blind.searched.words
    found = largest_within(tiered, 860_000, *bounds, samples=2, breakpoints=[Decimal(200)])
    assert found.found is not None
    assert found.found.value == Decimal("207.22")
    assert [(one.value, other.value) for one, other in found.over_within] == [
        (Decimal("197.71"), Decimal("199.99"))
    ]


def test_nothing_within_the_budget_names_the_lowest_cost() -> None:
    found = largest_within(whole_loads, 90_000, ONE, Decimal(30), ONE)
    assert found.found is None
    assert (found.least.value, found.least.cost_minor) == (1, 95_000)


def test_answers_reproduce_on_other_bounds() -> None:
    answers = {
        largest_within(whole_loads, 500_000, Decimal(low), Decimal(high), Decimal("0.05")).found
        for low, high in ((0, 500), (3, 777), ("12.35", "110.05"))
    }
    assert len(answers) == 1


@pytest.mark.parametrize(
    ("low", "high", "resolution"),
    [
        ("0", "1", "0"),
        ("2", "1", "1"),
        ("0.5", "2", "1"),
        ("0", "1", "NaN"),
        ("0", "99999999999", "0.01"),
        ("0", "1e15", "1e5"),
    ],
)
def test_bounds_that_make_no_sense_are_refused(low: str, high: str, resolution: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        break_even(whole_loads, tiered, Decimal(low), Decimal(high), Decimal(resolution))


def test_a_cost_that_is_missing_is_not_read_as_zero() -> None:
    with pytest.raises(ValueError, match="whole minor units at 0; got None"):
        break_even(lambda _: None, tiered, Decimal(0), ONE, ONE)  # type: ignore[arg-type, return-value]
    with pytest.raises(ValueError, match="at least 2"):
        largest_within(tiered, 1, Decimal(0), ONE, ONE, samples=1)
