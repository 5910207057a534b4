"""Limits, recovery, the search for the earliest reopening, and what is said about it."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_schedules import (
    CREW,
    DAY,
    MONDAY,
    a_task,
    after,
    best_by_trying_all,
    faults_in,
    task_lists,
    weekdays_from,
    worth_of,
)
from swardcost_api.engine.schedule.network import Link, Network, Task
from swardcost_api.engine.schedule.placing import by_priority_rule, pushed_early
from swardcost_api.engine.schedule.programme import Programme, in_use, programme, revenue_lost
from swardcost_api.engine.schedule.working_days import BeyondCalendar

DAYS = weekdays_from()
GREEN = frozenset({"green"})


def starts_of(plan: Programme) -> dict[int, int]:
    return {one.task.key: one.start for one in plan.placed}


def test_without_limits_every_task_starts_as_early_as_its_links_allow() -> None:
    plan = programme(tasks=[a_task(1, 2), a_task(2, 3, after(1)), a_task(3, 1)], days=DAYS, limits={})
    assert (starts_of(plan), plan.rule, plan.tidy) == ({1: 0, 2: 2, 3: 0}, "no_limit_in_the_way", True)
    assert [(p.task.key, p.total_float, p.free_float, p.critical) for p in plan.placed] == [
        (1, 0, 0, True), (3, 4, 4, False), (2, 0, 0, True),
    ]  # fmt: skip


def test_a_crew_is_never_in_two_places_and_the_answer_says_who_holds_it() -> None:
    tasks = [a_task(1, 3, needs={CREW: 3}), a_task(2, 2, needs={CREW: 2}), a_task(3, 1, needs={CREW: 1})]
    plan = programme(tasks=tasks, days=DAYS, limits={CREW: 4})
    # Five days of work for a crew that can do one of the two at a time: it opens on Saturday.
    assert plan.opens_on == MONDAY + 5 * DAY
    assert plan.rule == "proven_earliest"
    held = next(one for one in plan.placed if one.start > 0)
    assert (held.reason.kind, held.reason.resource) == ("limit", CREW)
    assert max(use.get(CREW, 0) for use in in_use(plan).values()) <= 4


def test_a_schedule_that_can_be_is_never_called_impossible_and_nothing_is_printed(
    capfd: pytest.CaptureFixture[str],
) -> None:
    # With its presolve, HiGHS 1.12 called the reopening on October 3 impossible, and wrote to standard output.
    def task(key: int, duration: int, people: int, *links: Link, **more: object) -> Task:
        return a_task(key, duration, *links, needs={CREW: people}, **more)

    plan = programme(
        tasks=[
            task(0, 2, 2),
            task(1, 3, 1, after(0, 1)),
            task(2, 1, 2, after(1), invaded=frozenset({"a"}), recovery_days=3),
            task(3, 3, 1, after(1, 1), after(2), invaded=frozenset({"b"})),
            task(4, 1, 2, invaded=frozenset({"c"})),
            task(5, 3, 3, after(0, 2)),
            task(6, 3, 3, invaded=frozenset({"b"}), recovery_days=7),
        ],
        days=DAYS,
        limits={CREW: 3},
    )
    assert (plan.opens_on, plan.bound, plan.rule) == (date(2026, 10, 3), date(2026, 10, 3), "proven_earliest")
    assert capfd.readouterr().out == ""


def test_invasive_work_waits_until_the_area_has_recovered_from_the_work_before() -> None:
    tasks = [a_task(1, 1, invaded=GREEN, recovery_days=9), a_task(2, 1, invaded=GREEN), a_task(3, 1)]
    plan = programme(tasks=tasks, days=DAYS, limits={})
    # The work that leaves no recovery behind goes first.
    assert starts_of(plan) == {1: 1, 2: 0, 3: 0}
    assert plan.opens_on == MONDAY + 11 * DAY
    reason = next(one.reason for one in plan.placed if one.task.key == 1)
    assert (reason.kind, reason.area, reason.held_by) == ("recovery", "green", (2,))


def test_a_linked_order_makes_the_second_invasive_work_wait_for_the_recovery() -> None:
    tasks = [a_task(1, 1, invaded=GREEN, recovery_days=9), a_task(2, 1, after(1), invaded=GREEN)]
    plan = programme(tasks=tasks, days=DAYS, limits={})
    assert DAYS.date(starts_of(plan)[2]) == MONDAY + 10 * DAY
    assert [one.critical for one in plan.placed] == [True, True]


def test_reopening_first_then_latest_finishes_then_early_starts() -> None:
    soon = MONDAY + DAY
    tasks = [a_task(1, 2, needs={CREW: 1}), a_task(2, 2, needs={CREW: 1}, latest_finish=soon)]
    plan = programme(tasks=tasks, days=DAYS, limits={CREW: 1})
    assert (starts_of(plan), [one.days_late for one in plan.placed]) == ({2: 0, 1: 2}, [0, 0])


def test_a_search_that_is_given_up_answers_by_the_named_rule_with_its_gap() -> None:
    # The rule starts the long work, which can wait least by the links alone; recovery then makes the course wait.
    tasks = [
        a_task(1, 4, needs={CREW: 1}),
        *(a_task(n, 1, needs={CREW: 1}, recovery_days=2) for n in range(2, 7)),
        a_task(7, 3, needs={CREW: 2}),
    ]
    limits = {CREW: 2}
    given_up = programme(tasks=tasks, days=DAYS, limits=limits, seconds=0.0, nodes=0)
    full = programme(tasks=tasks, days=DAYS, limits=limits)
    assert full.rule == "proven_earliest"
    assert given_up.rule == "priority_rule"
    assert not given_up.tidy
    assert given_up.bound <= full.opens_on <= given_up.opens_on
    assert faults_in(starts_of(given_up), tasks, limits, DAYS) == []


def test_a_task_that_needs_more_than_there_is_and_no_tasks_at_all_are_refused() -> None:
    with pytest.raises(ValueError, match="needs more of crew Greens than the limit 2"):
        programme(tasks=[a_task(1, 1, needs={CREW: 3})], days=DAYS, limits={CREW: 2})
    with pytest.raises(ValueError, match="at least one"):
        programme(tasks=[], days=DAYS, limits={})


def test_work_beyond_the_last_working_day_is_refused() -> None:
    tasks = [a_task(n, 4, needs={CREW: 1}) for n in range(1, 5)]
    with pytest.raises(BeyondCalendar):
        programme(tasks=tasks, days=weekdays_from(weeks=2), limits={CREW: 1})


@settings(max_examples=40)
@given(task_lists(4, most_days=2, most_links=1), st.integers(3, 4))
def test_the_programme_is_the_best_of_all_there_are(tasks: list[Task], people: int) -> None:
    limits = {CREW: people}
    plan = programme(tasks=tasks, days=DAYS, limits=limits, weather_days=0)
    starts = starts_of(plan)
    if plan.rule == "no_limit_in_the_way":
        assert starts == Network(tasks, DAYS).forward()
    assert worth_of(Network(tasks, DAYS), starts) == best_by_trying_all(
        tasks, limits, DAYS, max(starts.values()) + 1
    )


@settings(max_examples=60)
@given(task_lists(8), st.integers(3, 5), st.integers(0, 3))
def test_every_programme_keeps_its_rules(tasks: list[Task], people: int, weather: int) -> None:
    limits = {CREW: people}
    network = Network(tasks, DAYS)
    plan = programme(tasks=tasks, days=DAYS, limits=limits, weather_days=weather)
    starts, early = starts_of(plan), network.forward()
    assert faults_in(starts, tasks, limits, DAYS) == []
    assert all(early[key] <= start for key, start in starts.items())
    assert (
        network.opens_on(early, weather) <= plan.bound <= plan.opens_on == network.opens_on(starts, weather)
    )
    late = {one.task.key: one.late_start for one in plan.placed}
    assert faults_in(late, tasks, limits, DAYS) == []
    assert network.opens_on(late, weather) == plan.opens_on
    for one in plan.placed:
        slipped = {**starts, one.task.key: one.start + one.free_float}
        assert faults_in(slipped, tasks, limits, DAYS) == []
        assert one.free_float >= 0
        assert network.opens_on(slipped, weather) == plan.opens_on
    assert plan == programme(tasks=tasks, days=DAYS, limits=limits, weather_days=weather)


@settings(max_examples=60)
@given(task_lists(8), st.integers(3, 5))
def test_the_priority_rule_keeps_every_limit_and_the_search_is_never_worse(
    tasks: list[Task], people: int
) -> None:
    limits = {CREW: people}
    network = Network(tasks, DAYS)
    early = network.forward()
    ruled = by_priority_rule(network, limits, network.backward(network.opens_on(early)))
    assert faults_in(ruled, tasks, limits, DAYS) == []
    tidy = pushed_early(network, limits, ruled)
    assert faults_in(tidy, tasks, limits, DAYS) == []
    assert all(tidy[key] <= ruled[key] for key in ruled)
    assert programme(tasks=tasks, days=DAYS, limits=limits).opens_on <= network.opens_on(tidy)


@given(st.lists(st.integers(0, 9999), min_size=7, max_size=7), st.integers(0, 6), st.integers(-3, 60))
def test_revenue_lost_is_that_of_each_closed_day(revenue: list[int], start: int, length: int) -> None:
    first = MONDAY + start * DAY
    by_weekday = dict(enumerate(revenue))
    lost = revenue_lost(closed_from=first, opens_on=first + length * DAY, minor_by_weekday=by_weekday)
    assert lost == sum(revenue[(first + timedelta(days=n)).weekday()] for n in range(length))


def test_revenue_lost_counts_the_first_day_and_not_the_day_of_reopening() -> None:
    by_weekday = dict.fromkeys(range(5), 100) | {5: 300, 6: 200}
    lost = revenue_lost(
        closed_from=date(2026, 9, 18), opens_on=date(2026, 9, 21), minor_by_weekday=by_weekday
    )
    assert lost == 100 + 300 + 200
