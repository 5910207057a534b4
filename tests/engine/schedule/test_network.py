"""Tasks and links without limits: both passes, floats, loops."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_schedules import DAY, MONDAY, a_task, after, faults_in, task_lists, weekdays_from
from swardcost_api.engine.schedule.network import Link, Loop, Network, Task, ordered
from swardcost_api.engine.schedule.placing import pushed_late
from swardcost_model.schedule import LinkKind

DAYS = weekdays_from()
START, FINISH = LinkKind.START_TO_START, LinkKind.FINISH_TO_FINISH


@pytest.mark.parametrize(
    ("link", "start"),
    [
        (after(1), 3),
        (after(1, 2), 5),
        (after(1, 1, START), 1),
        (after(1, 0, FINISH), 1),
        (after(1, 4, FINISH), 5),
        # Finished on Wednesday: three calendar days later is Sunday, so work goes on on Monday.
        (after(1, 3, calendar=True), 5),
        (after(1, 1, calendar=True), 4),
        (after(1, 5, START, calendar=True), 5),
    ],
)
def test_a_link_holds_the_later_task_by_its_lag(link: Link, start: int) -> None:
    network = Network([a_task(1, 3), a_task(2, 2, link)], DAYS)
    assert network.forward() == {1: 0, 2: start}


def test_work_waits_for_its_own_earliest_start() -> None:
    late = Task(key=1, duration=1, earliest=MONDAY + 5 * DAY)
    assert Network([late, a_task(2, 1, after(1))], DAYS).forward() == {1: 5, 2: 6}


def test_the_backward_pass_leaves_room_for_recovery_and_weather() -> None:
    network = Network([a_task(1, 2, recovery_days=7), a_task(2, 2)], DAYS)
    opens_on = network.opens_on(network.forward(), weather_days=1)
    # Finished on Tuesday, a day for weather, and seven days until it has recovered.
    assert opens_on == MONDAY + 10 * DAY
    assert network.backward(opens_on, weather_days=1) == {1: 0, 2: 5}


def test_a_latest_finish_that_cannot_be_kept_gives_a_latest_start_before_the_earliest() -> None:
    network = Network([a_task(1, 5), a_task(2, 3, after(1), latest_finish=MONDAY + 7 * DAY)], DAYS)
    early = network.forward()
    late = network.backward(network.opens_on(early))
    assert (late[2] - early[2], network.days_late(network.tasks[2], early[2])) == (-2, 2)


def test_a_loop_is_refused_naming_it() -> None:
    with pytest.raises(Loop, match=r"\d -> \d -> \d -> \d") as caught:
        Network([a_task(1, 1, after(3)), a_task(2, 1, after(1)), a_task(3, 1, after(2))], DAYS)
    keys = caught.value.keys
    assert keys[0] == keys[-1]
    assert set(pairwise(keys)) == {(1, 2), (2, 3), (3, 1)}


def test_a_link_to_nothing_and_two_tasks_with_one_key_are_refused() -> None:
    with pytest.raises(ValueError, match="there is no task 7"):
        Network([a_task(1, 1, after(7))], DAYS)
    with pytest.raises(ValueError, match="a key of its own"):
        Network([a_task(1, 1), a_task(1, 1)], DAYS)


@pytest.mark.parametrize("wrong", [{"duration": 0}, {"recovery_days": -1}])
def test_a_task_of_no_days_is_refused(wrong: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        Task(**{"key": 1, "duration": 1, "earliest": MONDAY} | wrong)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="zero days or more"):
        Link(1, lag_days=-1)


def test_order_does_not_depend_on_the_order_of_asking() -> None:
    waits = {1: [3], 2: [], 3: [], 4: [1]}
    assert ordered(waits) == ordered(dict(reversed(waits.items()))) == [2, 3, 1, 4]


@given(task_lists(7))
def test_the_forward_pass_keeps_every_link_and_cannot_be_earlier(tasks: list[Task]) -> None:
    free = [a_task(t.key, t.duration, *t.links) for t in tasks]
    starts = Network(free, DAYS).forward()
    assert faults_in(starts, free, {}, DAYS) == []
    for key, start in starts.items():
        if start > 0:
            assert faults_in({**starts, key: start - 1}, free, {}, DAYS)


@given(task_lists(7), st.integers(0, 3))
def test_pushing_late_without_limits_is_the_backward_pass(tasks: list[Task], weather: int) -> None:
    free = [a_task(t.key, t.duration, *t.links, recovery_days=t.recovery_days) for t in tasks]
    network = Network(free, DAYS)
    early = network.forward()
    opens_on = network.opens_on(early, weather)
    late = network.backward(opens_on, weather)
    assert pushed_late(network, {}, early, opens_on, weather) == late
    assert all(early[key] <= late[key] for key in early)
    assert network.opens_on(late, weather) == opens_on
