"""Dates before which nothing can reopen: by people and machines, by areas, and never later than what can be done."""

from collections.abc import Mapping, Sequence
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_schedules import CREW, DAY, MONDAY, a_task, after, best_by_trying_all, task_lists, weekdays_from
from swardcost_api.engine.schedule.bounds import not_before, reachable
from swardcost_api.engine.schedule.network import Network, Resource, Task
from swardcost_api.engine.schedule.placing import by_priority_rule
from swardcost_api.engine.schedule.programme import programme

DAYS = weekdays_from()
GREEN = frozenset({"green"})
WIDE = frozenset({"green", "tee"})


def bound_of(tasks: Sequence[Task], limits: Mapping[Resource, int], weather_days: int = 0) -> date:
    """The bound between the reopening by links alone and the one by the priority rule."""
    network = Network(tasks, DAYS)
    by_links = network.opens_on(network.forward(), weather_days)
    found = by_priority_rule(network, limits, network.backward(by_links, weather_days))
    on = network.opens_on(found, weather_days)
    return not_before(network, limits, by_links, on, weather_days=weather_days)


def test_person_days_over_the_people_there_are_each_working_day() -> None:
    # 9 + 8 + 3 person-days for four people are five working days: it opens on Saturday.
    tasks = [a_task(1, 3, needs={CREW: 3}), a_task(2, 4, needs={CREW: 2}), a_task(3, 3, needs={CREW: 1})]
    assert bound_of(tasks, {CREW: 4}) == MONDAY + 5 * DAY


def test_of_work_that_needs_most_of_a_crew_one_goes_at_a_time() -> None:
    # 18 person-days would fit into five days of four people, but three people are never left for a second task.
    tasks = [a_task(n, 2, needs={CREW: 3}) for n in (1, 2, 3)]
    assert bound_of(tasks, {CREW: 4}) == MONDAY + 8 * DAY


def test_work_counts_from_the_day_on_which_the_first_of_it_can_start() -> None:
    first = a_task(1, 3)
    rest = [a_task(n, 2, after(1), needs={CREW: 1}) for n in (2, 3)]
    # Three days, then four days for a crew of one: finished on Tuesday of the second week.
    assert bound_of([first, *rest], {CREW: 1}) == MONDAY + 9 * DAY


def test_the_shortest_recovery_of_the_work_follows_the_last_of_it() -> None:
    tasks = [a_task(n, 2, needs={CREW: 1}, recovery_days=days) for n, days in ((1, 10), (2, 4))]
    # Four days of work; the last of it recovers for four days at least.
    assert bound_of(tasks, {CREW: 1}) == MONDAY + 12 * DAY
    # With a day for weather the recovery ends a day later.
    assert bound_of(tasks, {CREW: 1}, weather_days=1) == MONDAY + 13 * DAY


@pytest.mark.parametrize(
    ("recovery_days", "opens"),
    [
        # Six working days one after the other, which end on Monday.
        (0, 8),
        # 2 + 7 + 2 + 7 + 2 days end on a Saturday, so on Monday, the 22nd day; then seven days of recovery.
        (7, 22 + 7),
    ],
)
def test_invasive_work_on_an_area_is_added_up_with_the_recovery_between(
    recovery_days: int, opens: int
) -> None:
    tasks = [
        a_task(n, 2, invaded=area, recovery_days=recovery_days)
        for n, area in ((1, GREEN), (2, WIDE), (3, GREEN))
    ]
    assert bound_of(tasks, {}) == MONDAY + opens * DAY


def test_work_on_an_area_is_taken_to_lie_best_within_the_weeks() -> None:
    tasks = [a_task(n, 2, invaded=GREEN, recovery_days=1) for n in (1, 2, 3, 4)]
    # Two days of work each, whether or not a weekend lies between them: 11 days, to Thursday, and one of recovery.
    assert bound_of(tasks, {}) == MONDAY + 12 * DAY
    # Monday, Thursday, Monday, Thursday: the last is finished on Friday and recovers on Saturday.
    assert programme(tasks=tasks, days=DAYS, limits={}).opens_on == MONDAY + 13 * DAY


def test_areas_that_are_not_shared_and_resources_without_a_limit_hold_nothing() -> None:
    tasks = [a_task(1, 3, invaded=GREEN, needs={CREW: 9}), a_task(2, 3, invaded=frozenset({"tee"}))]
    assert bound_of(tasks, {}) == MONDAY + 3 * DAY


def test_dates_on_which_a_task_can_be_the_last_start_with_the_bound_itself() -> None:
    network = Network([a_task(1, 1, recovery_days=2)], DAYS)
    # Done on Wednesday or Thursday, it opens on Saturday or Sunday.
    first, before = MONDAY + 4 * DAY, MONDAY + 7 * DAY
    assert reachable(network, first, before, 0) == [first, MONDAY + 5 * DAY, MONDAY + 6 * DAY]


@settings(max_examples=60)
@given(task_lists(4, most_days=2, most_links=1), st.integers(3, 4))
def test_no_schedule_of_all_there_are_reopens_before_the_bound(tasks: list[Task], people: int) -> None:
    limits = {CREW: people}
    plan = programme(tasks=tasks, days=DAYS, limits=limits)
    last = max(one.start for one in plan.placed) + 1
    assert bound_of(tasks, limits) <= best_by_trying_all(tasks, limits, DAYS, last)[0]


@settings(max_examples=150)
@given(task_lists(7), st.integers(3, 5), st.integers(0, 3))
def test_the_bound_is_never_later_than_a_reopening_proven_to_be_the_earliest(
    tasks: list[Task], people: int, weather: int
) -> None:
    limits = {CREW: people}
    network = Network(tasks, DAYS)
    plan = programme(tasks=tasks, days=DAYS, limits=limits, weather_days=weather)
    bound = bound_of(tasks, limits, weather)
    assert network.opens_on(network.forward(), weather) <= bound <= plan.opens_on
    cut_off = programme(tasks=tasks, days=DAYS, limits=limits, weather_days=weather, nodes=0, seconds=0)
    assert bound <= cut_off.bound <= plan.opens_on


@settings(max_examples=60)
@given(task_lists(12), st.integers(3, 5))
def test_more_people_never_give_a_later_bound(tasks: list[Task], people: int) -> None:
    # Held to the reopening that fewer people reach, which more people reach too.
    network = Network(tasks, DAYS)
    by_links = network.opens_on(network.forward())
    found = network.opens_on(by_priority_rule(network, {CREW: people}, network.backward(by_links)))
    bounds = [not_before(network, {CREW: n}, by_links, found) for n in (people, people + 1)]
    assert bounds[1] <= bounds[0]
