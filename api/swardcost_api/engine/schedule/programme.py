"""The programme of the work: when each task runs, why then, how far it may slip, and when the course reopens."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from swardcost_api.engine.schedule.exact import NODES, SECONDS, earliest_reopening
from swardcost_api.engine.schedule.network import Link, Network, Resource, Starts, Task
from swardcost_api.engine.schedule.placing import (
    Board,
    Limits,
    by_priority_rule,
    pushed_early,
    pushed_late,
    room_to_slip,
)
from swardcost_api.engine.schedule.working_days import WorkingDays

Rule = Literal["no_limit_in_the_way", "proven_earliest", "best_found", "priority_rule"]


@dataclass(frozen=True, slots=True)
class Reason:
    """What keeps a task from starting a working day earlier.

    `own_start`: nothing but its own earliest start. `link`: the link given. `recovery`: invasive work on the same
    area and its recovery. `limit`: all of a resource is in use. `held_by` names the tasks it waits for.
    """

    kind: Literal["own_start", "link", "recovery", "limit"]
    held_by: tuple[int, ...] = ()
    link: Link | None = None
    area: str | None = None
    resource: Resource | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """A task in the programme; numbers are of working days, floats count working days.

    `early_start` is where its links alone would let it start, `late_start` the last start with which the course
    reopens no later, all other tasks giving way to later days as far as they can.
    """

    task: Task
    early_start: int
    start: int
    late_start: int
    free_float: int
    days_late: int
    reason: Reason

    @property
    def finish(self) -> int:
        return self.task.finish(self.start)

    @property
    def total_float(self) -> int:
        return self.late_start - self.start

    @property
    def critical(self) -> bool:
        """Whether a day lost here is a day lost to the reopening."""
        return self.total_float == 0


@dataclass(frozen=True, slots=True)
class Programme:
    """All tasks by their start, and the reopening.

    `rule` says how the days were found: every task as early as its links allow, because no limit is in the way;
    the earliest reopening, proven; the best found until the search was given up; or the priority rule, where the
    search found nothing better. No programme reopens before `bound`.
    """

    placed: tuple[Placed, ...]
    opens_on: date
    bound: date
    rule: Rule
    tidy: bool
    """Whether it is also proven that no programme with this reopening starts its tasks earlier in sum."""


def programme(
    *,
    tasks: Sequence[Task],
    days: WorkingDays,
    limits: Limits,
    weather_days: int = 0,
    seconds: float = SECONDS,
    nodes: int = NODES,
) -> Programme:
    """When each task runs, so that the course reopens as early as possible.

    Days run by number of working day; `limits` are people or machines there are each day, `weather_days` working
    days allowed for weather after all work. Reopening comes first, then latest finishes, then early starts.
    Limits: whole working days; a task once begun runs on consecutive working days.

    Raises `Loop`, `BeyondCalendar`, and `ValueError` for no tasks or one that needs more than a limit.

    References
    ----------
    See `network`, `placing` and `exact`.
    """
    if not tasks:
        raise ValueError("tasks: expected at least one")
    network = Network(tasks, days)
    early = network.forward()
    bound = network.opens_on(early, weather_days)
    starts, tidy = early, True
    rule: Rule = "no_limit_in_the_way"
    if not _fits(network, limits, early):
        latest = network.backward(bound, weather_days)
        found = pushed_early(network, limits, by_priority_rule(network, limits, latest))
        search = earliest_reopening(
            network, limits, found, bound, weather_days=weather_days, seconds=seconds, nodes=nodes
        )
        starts, bound, tidy = pushed_early(network, limits, search.starts), search.bound, search.proven
        if network.opens_on(starts, weather_days) == bound:
            rule = "proven_earliest"
        else:
            rule = "priority_rule" if starts == found else "best_found"
    opens_on = network.opens_on(starts, weather_days)
    late = pushed_late(network, limits, starts, opens_on, weather_days)
    slack = room_to_slip(network, limits, starts, opens_on, weather_days)
    placed = [
        Placed(
            task, early[key], starts[key], late[key], slack[key], network.days_late(task, starts[key]),
            reason_for(network, limits, starts, task),
        )
        for key, task in network.tasks.items()
    ]  # fmt: skip
    placed.sort(key=lambda one: (one.start, one.task.key))
    return Programme(tuple(placed), opens_on, bound, rule, tidy)


def _fits(network: Network, limits: Limits, starts: Starts) -> bool:
    """Whether every limit holds and no two invasive tasks meet."""
    board = Board(network, limits)
    for task in network.order:
        if board.blocked(task, starts[task.key]) is not None:
            return False
        board.place(task, starts[task.key])
    return True


def reason_for(network: Network, limits: Limits, starts: Starts, task: Task) -> Reason:
    """What keeps a task from starting a working day earlier in this schedule."""
    start = starts[task.key]
    for link in task.links:
        earlier = network.tasks[link.predecessor]
        if link.start_of_later(starts[link.predecessor], earlier, task, network.days) == start:
            return Reason("link", (link.predecessor,), link=link)
    if network.release(task) == start:
        return Reason("own_start")
    board = Board(network, limits)
    board.starts = {key: at for key, at in starts.items() if key != task.key}
    blocked = board.blocked(task, start - 1)
    if blocked is None:
        raise ValueError(f"task {task.key}: expected a schedule in which nothing can start earlier")
    if blocked.area is not None:
        return Reason("recovery", blocked.held_by, area=blocked.area)
    return Reason("limit", blocked.held_by, resource=blocked.resource)


def in_use(programme: Programme) -> dict[int, dict[Resource, int]]:
    """How much of each resource is in use on each working day with work, in order."""
    use: dict[int, dict[Resource, int]] = {}
    for one in programme.placed:
        for day in range(one.start, one.finish + 1):
            there = use.setdefault(day, {})
            for resource, need in (one.task.needs or {}).items():
                there[resource] = there.get(resource, 0) + need
    return dict(sorted(use.items()))


def revenue_lost(*, closed_from: date, opens_on: date, minor_by_weekday: Mapping[int, int]) -> int:
    """Revenue of the days on which the course is closed, in minor units of the currency.

    ::

        revenue lost = revenue of each closed day by its weekday, added up

    Closed from `closed_from` to the day before `opens_on`; weekdays are numbered from Monday, 0.

    References
    ----------
    Arithmetic.
    """
    days = (opens_on - closed_from).days
    weeks, rest = divmod(max(days, 0), 7)
    first = closed_from.weekday()
    return weeks * sum(minor_by_weekday.values()) + sum(
        minor_by_weekday[(first + n) % 7] for n in range(rest)
    )
