"""Tasks and the links between them: their order, and the earliest and latest they can be without limits.

All places in time are numbers of working days (`WorkingDays`). A task that starts on day `s` and takes `d`
working days is finished at the end of day `s + d - 1`.

References
----------
Kelley and Walker, "Critical-Path Planning and Scheduling", Eastern Joint Computer Conference, 1959: the two passes.
Fondahl, "A Non-Computer Approach to the Critical Path Method", Stanford, 1961: links with lags between tasks.
(Both from memory.)
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from graphlib import CycleError, TopologicalSorter

from swardcost_model.schedule import LinkKind

from swardcost_api.engine.schedule.working_days import ONE_DAY, WorkingDays

Resource = tuple[str, str]
"""What a task occupies while it runs: its kind and name, such as ``("crew", "Greens")``."""
Starts = dict[int, int]
"""Number of the working day on which each task starts, by the task's key."""


class Loop(ValueError):
    """Tasks that wait for each other in a circle; `keys` names them in order, the first again at the end."""

    def __init__(self, keys: Sequence[int]) -> None:
        super().__init__("these tasks wait for each other: " + " -> ".join(map(str, keys)))
        self.keys = tuple(keys)


@dataclass(frozen=True, slots=True)
class Link:
    """A link to an earlier task, with a lag of zero or more working or calendar days."""

    predecessor: int
    kind: LinkKind = LinkKind.FINISH_TO_START
    lag_days: int = 0
    calendar_days: bool = False

    def __post_init__(self) -> None:
        if self.lag_days < 0:
            raise ValueError(f"lag: expected zero days or more; got {self.lag_days}")

    def start_of_later(self, start: int, earlier: "Task", later: "Task", days: WorkingDays) -> int:
        """The first day on which the later task may start when the earlier one starts on `start`."""
        origin = start if self.kind is LinkKind.START_TO_START else start + earlier.duration - 1
        held = self._moved(origin, 1, days)
        return held - (later.duration - 1) if self.kind is LinkKind.FINISH_TO_FINISH else held

    def start_of_earlier(self, start: int, earlier: "Task", later: "Task", days: WorkingDays) -> int:
        """The last day on which the earlier task may start when the later one starts on `start`."""
        held = start + later.duration - 1 if self.kind is LinkKind.FINISH_TO_FINISH else start
        origin = self._moved(held, -1, days)
        return origin if self.kind is LinkKind.START_TO_START else origin - (earlier.duration - 1)

    def _moved(self, number: int, direction: int, days: WorkingDays) -> int:
        away = self.lag_days + (self.kind is LinkKind.FINISH_TO_START)
        if not self.calendar_days:
            return number + direction * away
        day = days.date(number) + timedelta(days=direction * away)
        return days.on_or_after(day) if direction > 0 else days.on_or_before(day)


@dataclass(frozen=True, slots=True)
class Task:
    """Work of some whole working days, from `earliest` on.

    `invaded` are the areas on which it is invasive: two such tasks never share an area at a time, and
    `recovery_days` calendar days lie between the finish of one and the start of the next. The same days pass
    between a finish and reopening. `needs` are people or machines occupied on each working day of the task.
    """

    key: int
    duration: int
    earliest: date
    latest_finish: date | None = None
    links: tuple[Link, ...] = ()
    invaded: frozenset[str] = frozenset()
    recovery_days: int = 0
    needs: Mapping[Resource, int] | None = None

    def __post_init__(self) -> None:
        if self.duration < 1:
            raise ValueError(
                f"task {self.key}: expected a duration of one working day or more; got {self.duration}"
            )
        if self.recovery_days < 0:
            raise ValueError(
                f"task {self.key}: expected recovery of zero days or more; got {self.recovery_days}"
            )

    def finish(self, start: int) -> int:
        """Number of the last day worked."""
        return start + self.duration - 1

    def clear_on(self, start: int, days: WorkingDays) -> int:
        """First working day on which other invasive work may start on its areas."""
        return days.on_or_after(days.date(self.finish(start)) + (self.recovery_days + 1) * ONE_DAY)

    def opens_on(self, start: int, days: WorkingDays, weather_days: int = 0) -> date:
        """First calendar day after its finish, `weather_days` working days later, and its recovery."""
        return days.date(self.finish(start) + weather_days) + (self.recovery_days + 1) * ONE_DAY

    def latest_start(self, opens_on: date, days: WorkingDays, weather_days: int = 0) -> int:
        """Last start with which the course can still reopen on a date."""
        last = days.on_or_before(opens_on - (self.recovery_days + 1) * ONE_DAY)
        return last - weather_days - (self.duration - 1)


class Network:
    """Tasks in an order in which each comes after those it waits for.

    Raises `Loop` for tasks that wait for each other, `ValueError` for a link to a task that is not there.
    """

    def __init__(self, tasks: Sequence[Task], days: WorkingDays) -> None:
        self.days = days
        self.tasks: dict[int, Task] = {task.key: task for task in tasks}
        if len(self.tasks) != len(tasks):
            raise ValueError("tasks: expected a key of its own for each")
        self.followers: dict[int, list[tuple[Task, Link]]] = {key: [] for key in self.tasks}
        for task in tasks:
            for link in task.links:
                if link.predecessor not in self.tasks:
                    raise ValueError(f"task {task.key}: there is no task {link.predecessor} to wait for")
                self.followers[link.predecessor].append((task, link))
        waits_for = {task.key: [link.predecessor for link in task.links] for task in tasks}
        self.order: list[Task] = [self.tasks[key] for key in ordered(waits_for)]

    def release(self, task: Task) -> int:
        """First working day on or after the task's own earliest start."""
        return self.days.on_or_after(task.earliest)

    def lower(self, task: Task, starts: Mapping[int, int]) -> int:
        """First day that its earliest start, and its links to the tasks in `starts`, leave to a task."""
        held = [
            link.start_of_later(starts[link.predecessor], self.tasks[link.predecessor], task, self.days)
            for link in task.links
            if link.predecessor in starts
        ]
        return max([self.release(task), *held])

    def upper(
        self,
        task: Task,
        starts: Mapping[int, int],
        opens_on: date,
        weather_days: int,
        *,
        in_time: bool = True,
    ) -> int:
        """Last start that reopening, its latest finish and its links to the tasks in `starts` leave to a task.

        Without `in_time` latest finishes do not count.
        """
        held = [task.latest_start(opens_on, self.days, weather_days)]
        if in_time and task.latest_finish is not None:
            held.append(self.days.on_or_before(task.latest_finish) - (task.duration - 1))
        for follower, link in self.followers[task.key]:
            if follower.key in starts:
                held.append(link.start_of_earlier(starts[follower.key], task, follower, self.days))
        return min(held)

    def forward(self) -> Starts:
        """Earliest start of each task when people, machines and shared areas set no limit."""
        starts: Starts = {}
        for task in self.order:
            starts[task.key] = self.lower(task, starts)
        return starts

    def backward(self, opens_on: date, weather_days: int = 0, *, in_time: bool = True) -> Starts:
        """Latest start of each task with which the course still reopens on a date, without limits.

        A latest finish that cannot be kept gives a latest start before the earliest one; without `in_time`
        latest finishes do not count.
        """
        starts: Starts = {}
        for task in reversed(self.order):
            starts[task.key] = self.upper(task, starts, opens_on, weather_days, in_time=in_time)
        return starts

    def opens_on(self, starts: Mapping[int, int], weather_days: int = 0) -> date:
        """First day on which all tasks are finished and recovered."""
        return max(task.opens_on(starts[key], self.days, weather_days) for key, task in self.tasks.items())

    def days_late(self, task: Task, start: int) -> int:
        """Calendar days between the latest finish that was asked for and the finish; zero where it is kept."""
        if task.latest_finish is None:
            return 0
        return max((self.days.date(task.finish(start)) - task.latest_finish).days, 0)


def ordered(waits_for: Mapping[int, Sequence[int]]) -> list[int]:
    """Keys in an order in which each comes after those it waits for, otherwise by key. Raises `Loop`."""
    sorter = TopologicalSorter({key: waits_for[key] for key in sorted(waits_for)})
    try:
        sorter.prepare()
    except CycleError as error:
        raise Loop(error.args[1]) from None
    order: list[int] = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready())
        order += ready
        sorter.done(*ready)
    return order
