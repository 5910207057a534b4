"""A date before which nothing can reopen, from what people, machines and areas can take at most.

A reopening is put to the test by the days it leaves to each task, from the earliest start that its links allow to the
latest finish. Where some tasks have to be done within days that cannot take them all, it is refuted, and so is every
earlier one.

References
----------
Klein and Scholl, "Computing lower bounds by destructive improvement: An application to resource-constrained project
scheduling", European Journal of Operational Research 112, 1999: refuting one date after another, and the capacity of
a resource. Carlier, "The one-machine sequencing problem", European Journal of Operational Research 11, 1982: earliest
start, work and tail of some tasks that are done one at a time (from memory).
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from swardcost_api.engine.schedule.network import Network, Starts, Task
from swardcost_api.engine.schedule.placing import Limits
from swardcost_api.engine.schedule.working_days import WorkingDays


@dataclass(frozen=True, slots=True)
class Load:
    """What a task takes: `work` in units of a capacity times days, of which `tail` may lie after its finish."""

    task: Task
    work: int
    tail: int = 0


@dataclass(frozen=True, slots=True)
class Capacity:
    """Something that takes so much each day; days are counted as working days or as days of the calendar."""

    each_day: int
    loads: Sequence[Load]
    by_calendar: bool = False

    def is_overfull(self, first: Starts, last: Starts, days: WorkingDays) -> bool:
        """Whether some tasks must take more than there is, when they start between their `first` and `last`."""
        spans = sorted(
            (
                (last[one.task.key] + one.task.duration - 1, first[one.task.key], one.work, one.tail)
                for one in self.loads
            ),
        )
        counted = _date_numbers(days) if self.by_calendar else _as_numbered
        for begin in {start for _, start, _, _ in spans}:
            work = longest_tail = 0
            for finish, start, more, tail in spans:
                if start >= begin:
                    work += more
                    longest_tail = max(longest_tail, tail)
                    if work - longest_tail > self.each_day * (counted(finish) - counted(begin) + 1):
                        return True
        return False


def not_before(network: Network, limits: Limits, bound: date, found: date, *, weather_days: int = 0) -> date:
    """A date before which the course cannot reopen.

    `bound` is such a date already and `found` one on which it can reopen; the answer lies between them. Limits:
    tasks are taken to be divisible, so the earliest reopening may be later.
    """
    first = network.forward()
    dates = reachable(network, bound, found, weather_days)
    capacities = [
        *_of_resources(network, limits),
        *_of_areas(network, first, network.backward(found, weather_days, in_time=False)),
    ]

    def may_be(opens_on: date) -> bool:
        last = network.backward(opens_on, weather_days, in_time=False)
        return all(first[key] <= start for key, start in last.items()) and not any(
            one.is_overfull(first, last, network.days) for one in capacities
        )

    # An earlier date leaves fewer days, so once a date may be, all later ones may.
    place = bisect_left(dates, True, key=may_be)
    return dates[place] if place < len(dates) else found


def reachable(network: Network, first: date, before: date, weather_days: int) -> list[date]:
    """Dates from `first` to the day before `before` on which some task can be the last to be recovered."""
    dates = {first}
    for task in network.tasks.values():
        start = network.days.on_or_after(task.earliest)
        while (opens_on := task.opens_on(start, network.days, weather_days)) < before:
            if opens_on > first:
                dates.add(opens_on)
            start += 1
    return sorted(dates)


def _of_resources(network: Network, limits: Limits) -> Iterator[Capacity]:
    """Of each resource its people or machines a day, and how many of the tasks that need much go side by side."""
    for resource, limit in sorted(limits.items()):
        needs = [(task, need) for task in network.order if (need := (task.needs or {}).get(resource, 0))]
        yield Capacity(limit, [Load(task, need * task.duration) for task, need in needs])
        for much in sorted({need for _, need in needs}):
            large = [Load(task, task.duration) for task, need in needs if need >= much]
            yield Capacity(limit // much, large)


def _of_areas(network: Network, first: Starts, last: Starts) -> Iterator[Capacity]:
    """Of each area one invasive task at a time with the least it can hold: working days, or days of the calendar."""
    days = network.days
    begin, end = min(first.values()), max(network.tasks[key].finish(start) for key, start in last.items())

    @cache
    def least(duration: int, recovery_days: int) -> tuple[int, int]:
        task = Task(0, duration, days.days[0], recovery_days=recovery_days)
        starts = range(begin, end - duration + 2)
        recovering = min(task.recovering_until(start, days) - task.finish(start) for start in starts)
        lasting = min((days.date(task.finish(start)) - days.date(start)).days + 1 for start in starts)
        return recovering, lasting

    for keys in network.shared_areas():
        held = [
            (task, *least(task.duration, task.recovery_days)) for task in network.order if task.key in keys
        ]
        yield Capacity(1, [Load(task, task.duration + tail, tail) for task, tail, _ in held])
        by_date = [
            Load(task, days_long + task.recovery_days, task.recovery_days) for task, _, days_long in held
        ]
        yield Capacity(1, by_date, by_calendar=True)


def _as_numbered(number: int) -> int:
    return number


def _date_numbers(days: WorkingDays) -> Callable[[int], int]:
    return lambda number: days.date(number).toordinal()
