"""The reopening in many trials: as planned with planned durations, as the forward pass says with others."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_schedules import CREW, DAY, MONDAY, a_task, after, faults_in, task_lists, weekdays_from
from swardcost_api.engine.risk.simulated_schedule import OrderNotKept, SimulatedSchedule
from swardcost_api.engine.schedule.network import Network, Task
from swardcost_api.engine.schedule.placing import Limits
from swardcost_api.engine.schedule.programme import programme
from swardcost_api.engine.schedule.working_days import BeyondCalendar
from swardcost_model.schedule import LinkKind

DAYS = weekdays_from()
FINISH_TO_FINISH, START_TO_START = LinkKind.FINISH_TO_FINISH, LinkKind.START_TO_START
GREEN = frozenset({"green"})


def simulated(tasks: Sequence[Task], limits: Limits, weather_days: int = 0) -> SimulatedSchedule:
    plan = programme(tasks=tasks, days=DAYS, limits=limits, weather_days=weather_days, seconds=0.2, nodes=50)
    return SimulatedSchedule.of(plan, DAYS, limits, weather_days)


def in_trials(tasks: Sequence[Task], limits: Limits, weather_days: int = 0) -> SimulatedSchedule:
    try:
        return simulated(tasks, limits, weather_days)
    except OrderNotKept:
        # Only links from finish to finish can make the order go in a circle.
        assert any(link.kind is FINISH_TO_FINISH for task in tasks for link in task.links)
        assume(False)
        raise


@settings(deadline=None, max_examples=80)
@given(tasks=task_lists(6), limit=st.integers(3, 5) | st.none(), weather=st.integers(0, 4))
def test_with_every_factor_one_it_reopens_as_planned(
    tasks: list[Task], limit: int | None, weather: int
) -> None:
    limits = {} if limit is None else {CREW: limit}
    schedule = in_trials(tasks, limits, weather)
    ones = {task.key: np.ones(3) for task in tasks}
    assert schedule.reopening(ones).tolist() == [schedule.opens_on] * 3
    assert schedule.reopening({}).tolist() == [schedule.opens_on]


@settings(deadline=None, max_examples=80)
@given(tasks=task_lists(6), limit=st.integers(3, 5), data=st.data())
def test_a_trial_reopens_when_the_forward_pass_says_and_keeps_every_limit(
    tasks: list[Task], limit: int, data: st.DataObject
) -> None:
    limits = {CREW: limit}
    schedule = in_trials(tasks, limits, 2)
    factors = {
        task.key: np.array(data.draw(st.lists(st.sampled_from([0.4, 1.0, 1.5, 3.0]), min_size=4, max_size=4)))
        for task in tasks
    }
    found = schedule.reopening(factors).tolist()
    for trial in range(4):
        lasting = {key: max(-int(-task.duration * factors[key][trial] // 1), 1)
                   for key, task in schedule.network.tasks.items()}  # fmt: skip
        network = Network(
            [replace(one, duration=lasting[key]) for key, one in schedule.network.tasks.items()], DAYS
        )
        starts = network.forward()
        assert found[trial] == network.opens_on(starts, 2).toordinal()
        own = [replace(task, duration=lasting[task.key]) for task in tasks]
        assert faults_in(starts, own, limits, DAYS) == []


@settings(deadline=None, max_examples=60)
@given(tasks=task_lists(6), limit=st.integers(3, 5), data=st.data())
def test_longer_durations_and_more_weather_never_reopen_earlier(
    tasks: list[Task], limit: int, data: st.DataObject
) -> None:
    assume(not any(link.kind is FINISH_TO_FINISH for task in tasks for link in task.links))
    schedule = in_trials(tasks, {CREW: limit})
    factor = st.floats(0.3, 3.0)
    short = {task.key: np.array([data.draw(factor)]) for task in tasks}
    long = {key: one * data.draw(st.floats(1.0, 2.0)) for key, one in short.items()}
    assert schedule.reopening(long)[0] >= schedule.reopening(short)[0]
    assert schedule.reopening(short, np.array([3]))[0] > schedule.reopening(short)[0]


def test_a_crew_goes_on_to_its_next_task_when_the_one_before_is_done() -> None:
    tasks = [a_task(1, 2, needs={CREW: 1}), a_task(2, 2, needs={CREW: 1})]
    schedule = simulated(tasks, {CREW: 1})
    found = schedule.reopening({1: np.array([1.0, 2.0])})
    # Four working days from Monday open it on Friday; six, on the Tuesday after the weekend.
    assert found.tolist() == [(MONDAY + 4 * DAY).toordinal(), (MONDAY + 8 * DAY).toordinal()]


def test_an_area_still_recovers_when_the_work_before_takes_longer() -> None:
    tasks = [a_task(1, 1, invaded=GREEN, recovery_days=9), a_task(2, 1, after(1), invaded=GREEN)]
    found = simulated(tasks, {}).reopening({1: np.array([1.0, 3.0])})
    # Done on Monday, or on Wednesday: nine days of recovery, the second work on the next working day.
    assert found.tolist() == [(MONDAY + 11 * DAY).toordinal(), (MONDAY + 15 * DAY).toordinal()]


def test_binary_dust_makes_no_further_day() -> None:
    found = simulated([a_task(1, 3)], {}).reopening({1: np.array([(0.1 + 0.2) / 0.3, 1.01])})
    assert found.tolist() == [(MONDAY + 3 * DAY).toordinal(), (MONDAY + 4 * DAY).toordinal()]


def test_an_order_that_goes_in_a_circle_is_refused() -> None:
    tasks = [
        a_task(2, 10),
        a_task(3, 2, after(2, kind=START_TO_START), needs={CREW: 1}),
        a_task(1, 2, after(3), needs={CREW: 1}),
        a_task(4, 1, needs={CREW: 1}, latest_finish=MONDAY),
    ]
    tasks[0] = replace(tasks[0], links=(after(4, kind=FINISH_TO_FINISH),))
    tasks[3] = replace(tasks[3], earliest=MONDAY + 7 * DAY, latest_finish=None)
    with pytest.raises(OrderNotKept, match="cannot be kept"):
        simulated(tasks, {CREW: 1})


def test_work_beyond_the_calendar_and_unusable_factors_are_refused() -> None:
    schedule = simulated([a_task(1, 3)], {})
    with pytest.raises(BeyondCalendar, match="in 1 of 2 trials"):
        schedule.reopening({1: np.array([1.0, 1000.0])})
    with pytest.raises(ValueError, match="keys of scheduled tasks"):
        schedule.reopening({7: np.ones(2)})
    with pytest.raises(ValueError, match="above zero"):
        schedule.reopening({1: np.array([0.0])})
    with pytest.raises(ValueError, match="one for each trial"):
        schedule.reopening({1: np.ones(2)}, np.zeros(3, dtype=np.int64))
