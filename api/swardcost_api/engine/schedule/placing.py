"""Placing tasks so that limits hold: a board of who works where, and the serial rule that fills it.

References
----------
Kelley, "The Critical-Path Method: Resources Planning and Scheduling", in Industrial Scheduling, 1963: the serial
rule. Kolisch, "Serial and parallel resource-constrained project scheduling methods revisited", European Journal of
Operational Research 90, 1996: the priority of the latest start. (Both from memory.)
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from swardcost_api.engine.schedule.network import Network, Resource, Starts, Task

Limits = Mapping[Resource, int]


@dataclass(frozen=True, slots=True)
class Blocked:
    """Why a task cannot start on a day: an invaded area, or a resource, and the tasks that hold it."""

    area: str | None
    resource: Resource | None
    held_by: tuple[int, ...]


class Board:
    """Tasks placed so far, and whether another one fits."""

    def __init__(self, network: Network, limits: Limits) -> None:
        self.network = network
        self.limits = limits
        self.starts: Starts = {}

    def place(self, task: Task, start: int) -> None:
        self.starts[task.key] = start

    def lift(self, task: Task) -> None:
        del self.starts[task.key]

    def blocked(self, task: Task, start: int) -> Blocked | None:
        """What keeps a task from starting on a day, apart from its links; `None` where it fits."""
        return self._by_area(task, start) or self._by_limit(task, start)

    def _by_area(self, task: Task, start: int) -> Blocked | None:
        if not task.invaded:
            return None
        clear = task.clear_on(start, self.network.days)
        for other, at in self._placed():
            shared = task.invaded & other.invaded
            if shared and at < clear and start < other.clear_on(at, self.network.days):
                return Blocked(min(shared), None, (other.key,))
        return None

    def _by_limit(self, task: Task, start: int) -> Blocked | None:
        for resource, need in sorted((task.needs or {}).items()):
            limit = self.limits.get(resource)
            if limit is None:
                continue
            users = [
                (other, at)
                for other, at in self._placed()
                if (other.needs or {}).get(resource)
                and at <= task.finish(start)
                and start <= other.finish(at)
            ]
            for day in range(start, start + task.duration):
                there = [other for other, at in users if at <= day <= other.finish(at)]
                if need + sum((other.needs or {})[resource] for other in there) > limit:
                    return Blocked(None, resource, tuple(sorted(other.key for other in there)))
        return None

    def _placed(self) -> Iterator[tuple[Task, int]]:
        for key, start in self.starts.items():
            yield self.network.tasks[key], start


def oversized(task: Task, limits: Limits) -> Resource | None:
    """A resource of which a task needs more than there ever is."""
    return next((r for r, need in sorted((task.needs or {}).items()) if need > limits.get(r, need)), None)


def by_priority_rule(network: Network, limits: Limits, latest: Mapping[int, int]) -> Starts:
    """A schedule that keeps every limit, by the serial rule: the task with the earliest latest start goes first.

    Each task, once all it waits for are placed, takes the first days on which it fits. Limits: no promise of
    the earliest finish; ties go to the longer task, then to the smaller key.

    Raises `ValueError` for a task that needs more than a limit, `BeyondCalendar` where days run out.
    """
    board = Board(network, limits)
    waiting = list(network.order)
    while waiting:
        ready = [t for t in waiting if all(link.predecessor in board.starts for link in t.links)]
        task = min(ready, key=lambda t: (latest[t.key], -t.duration, t.key))
        waiting.remove(task)
        over = oversized(task, limits)
        if over is not None:
            raise ValueError(f"task {task.key} needs more of {' '.join(over)} than the limit {limits[over]}")
        start = network.lower(task, board.starts)
        while board.blocked(task, start) is not None:
            network.days.date(start + task.duration)
            start += 1
        board.place(task, start)
    return board.starts


def pushed_early(network: Network, limits: Limits, starts: Starts) -> Starts:
    """The same schedule with each task moved to the earliest days that the others leave it, until none moves."""
    board = Board(network, limits)
    board.starts = dict(starts)
    moved = True
    while moved:
        moved = False
        for task in sorted(network.order, key=lambda t: (board.starts[t.key], t.key)):
            now = board.starts[task.key]
            board.lift(task)
            first = network.lower(task, board.starts)
            start = next(s for s in range(first, now + 1) if board.blocked(task, s) is None)
            board.place(task, start)
            moved = moved or start < now
    return board.starts


def pushed_late(
    network: Network, limits: Limits, starts: Starts, opens_on: date, weather_days: int = 0
) -> Starts:
    """The same schedule with each task moved to the latest days with which the course still reopens on a date.

    Tasks move one after another from the last to the first, those that wait for a task before it. Without limits
    and shared areas the outcome is that of the backward pass. A task that is later than it should be stays.
    """
    board = Board(network, limits)
    board.starts = dict(starts)
    for task in _from_the_last(network, starts):
        now = board.starts[task.key]
        board.lift(task)
        last = max(network.upper(task, board.starts, opens_on, weather_days), now)
        start = next(s for s in range(last, now - 1, -1) if s == now or board.blocked(task, s) is None)
        board.place(task, start)
    return board.starts


def _from_the_last(network: Network, starts: Starts) -> Iterator[Task]:
    waiting = list(network.order)
    while waiting:
        left = {task.key for task in waiting}
        free = [t for t in waiting if not any(f.key in left for f, _ in network.followers[t.key])]
        task = max(free, key=lambda t: (t.finish(starts[t.key]), t.key))
        waiting.remove(task)
        yield task


def room_to_slip(
    network: Network, limits: Limits, starts: Starts, opens_on: date, weather_days: int = 0
) -> Starts:
    """Working days by which each task alone may slip while all others and the reopening stay (its free float)."""
    slack: Starts = {}
    board = Board(network, limits)
    board.starts = dict(starts)
    for key, task in network.tasks.items():
        now = starts[key]
        board.lift(task)
        last = network.upper(task, board.starts, opens_on, weather_days)
        start = now
        while start < last and board.blocked(task, start + 1) is None:
            start += 1
        slack[key] = start - now
        board.place(task, now)
    return slack
