"""When the course reopens in many trials, with the order of a solved programme kept.

References
----------
Artigues, Michelon and Reusser, "Insertion techniques for static and dynamic resource-constrained project scheduling",
European Journal of Operational Research 149, 2003: units of a resource handed from task to task. Kelley and Walker,
1959: the forward pass. (Both from memory.)
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from swardcost_model.schedule import LinkKind

from swardcost_api.engine.risk.sampling import Floats
from swardcost_api.engine.risk.whole_figures import Ints
from swardcost_api.engine.schedule.network import Link, Loop, Network, Starts, Task
from swardcost_api.engine.schedule.placing import Limits
from swardcost_api.engine.schedule.programme import Programme
from swardcost_api.engine.schedule.working_days import BeyondCalendar, WorkingDays

_DUST = 1e-9


class OrderNotKept(ValueError):
    """The planned order holds only for the planned durations: with it, tasks would wait for each other."""


@dataclass(frozen=True, slots=True)
class SimulatedSchedule:
    """Tasks of a programme whose order on limited people, machines and recovering areas is kept in every trial.

    A trial changes durations. Each task then starts as early as its links, its own earliest start, and the tasks that
    were planned before it on the same units or areas let it. Nobody plans anew, so the course may reopen later than
    a new plan would have it. `opens_on` is an ordinal of the date with the durations as planned.
    """

    network: Network
    weather_days: int
    opens_on: int

    @classmethod
    def of(
        cls, programme: Programme, days: WorkingDays, limits: Limits, weather_days: int
    ) -> "SimulatedSchedule":
        """The network of a programme solved with these days, limits and weather days.

        Raises `OrderNotKept` where the planned order and the tasks' own links go in a circle, which links from finish
        to finish can bring about, `ValueError` for a programme that does not keep the limits.
        """
        tasks = {one.task.key: one.task for one in programme.placed}
        starts = {one.task.key: one.start for one in programme.placed}
        handed = [*_handed_units(tasks, starts, limits), *_areas_in_turn(tasks, starts)]
        extra: dict[int, dict[Link, None]] = {}
        for key, link in handed:
            extra.setdefault(key, {})[link] = None
        try:
            network = Network(
                [replace(one, links=(*one.links, *extra.get(key, ()))) for key, one in tasks.items()], days
            )
        except Loop as error:
            raise OrderNotKept(f"the planned order cannot be kept in trials: {error}") from None
        return cls(network, weather_days, programme.opens_on.toordinal())

    def reopening(self, factors: Mapping[int, Floats], extra_days: Ints | None = None) -> Ints:
        """Ordinal of the day of reopening in each trial.

        ::

            duration = planned duration x factor, rounded up to whole working days, at least 1
            reopening = latest of the tasks' (finish + weather days + extra days, then recovery) + 1 day

        `factors` are by the task's key, one for each trial, above zero; a task without has its planned duration.
        `extra_days` are working days lost to weather on top. Without both there is one trial, as planned. Longer
        durations never reopen earlier, except through links from finish to finish: a longer task that must not
        finish before another starts earlier, and so may what waits for its start.

        Raises `ValueError` for factors of no such task, of unequal length or not above zero, `BeyondCalendar` where
        days run out.

        References
        ----------
        See the module.
        """
        trials = self._trials(factors, extra_days)
        network, calendar = self.network, _Calendar.of(self.network.days)
        lost = np.full(trials, self.weather_days, dtype=np.int64)
        if extra_days is not None:
            lost = lost + extra_days
        starts: dict[int, Ints] = {}
        ends: dict[int, Ints] = {}
        opens = np.zeros(trials, dtype=np.int64)
        for task in network.order:
            duration = _durations(task.duration, factors.get(task.key), trials)
            start = np.full(trials, network.release(task), dtype=np.int64)
            for link in task.links:
                from_start = link.kind is LinkKind.START_TO_START
                origin = (starts if from_start else ends)[link.predecessor]
                held = calendar.moved(origin, link)
                if link.kind is LinkKind.FINISH_TO_FINISH:
                    held = held - (duration - 1)
                start = np.maximum(start, held)
            starts[task.key], ends[task.key] = start, start + duration - 1
            opens = np.maximum(opens, calendar.date(ends[task.key] + lost) + task.recovery_days + 1)
        return opens

    def _trials(self, factors: Mapping[int, Floats], extra_days: Ints | None) -> int:
        unknown = sorted(factors.keys() - self.network.tasks.keys())
        if unknown:
            raise ValueError(f"factors: expected keys of scheduled tasks; got {unknown}")
        lengths = {len(one) for one in factors.values()}
        if extra_days is not None:
            lengths.add(len(extra_days))
            if np.any(extra_days < 0):
                raise ValueError("extra days: expected zero or more in each trial")
        if len(lengths) > 1:
            raise ValueError(f"factors: expected one for each trial; got lengths {sorted(lengths)}")
        for key, one in factors.items():
            if not np.all(np.isfinite(one) & (one > 0)):
                raise ValueError(f"factors of task {key}: expected finite numbers above zero")
        return lengths.pop() if lengths else 1


@dataclass(frozen=True, slots=True)
class _Calendar:
    """Working days as ordinals, looked up for many trials at once as `WorkingDays` does for one."""

    ordinals: Ints

    @classmethod
    def of(cls, days: WorkingDays) -> "_Calendar":
        return cls(np.array([day.toordinal() for day in days.days], dtype=np.int64))

    def date(self, numbers: Ints) -> Ints:
        return self.ordinals[np.maximum(self._within(numbers), 0)]

    def moved(self, numbers: Ints, link: Link) -> Ints:
        away = link.lag_days + (link.kind is LinkKind.FINISH_TO_START)
        if not link.calendar_days:
            return numbers + away
        return self._within(np.searchsorted(self.ordinals, self.date(numbers) + away, side="left"))

    def _within(self, numbers: Ints) -> Ints:
        beyond = int(np.count_nonzero(numbers >= len(self.ordinals)))
        if beyond:
            raise BeyondCalendar(
                f"in {beyond} of {len(numbers)} trials the work goes on after the last of the "
                f"{len(self.ordinals)} working days given"
            )
        return numbers


def _durations(planned: int, factor: Floats | None, trials: int) -> Ints:
    if factor is None:
        return np.full(trials, planned, dtype=np.int64)
    days = planned * factor
    return np.maximum(np.ceil(days - _DUST * np.maximum(days, 1.0)), 1).astype(np.int64)


def _handed_units(tasks: Mapping[int, Task], starts: Starts, limits: Limits) -> Iterator[tuple[int, Link]]:
    """Each task with links to those that hand it their people or machines, the last to finish first."""
    for resource, limit in sorted(limits.items()):
        unused = limit
        held: dict[int, int] = {}
        for key in sorted(tasks, key=lambda one: (starts[one], one)):
            wanted = need = (tasks[key].needs or {}).get(resource, 0)
            free = [one for one in held if tasks[one].finish(starts[one]) < starts[key]]
            for giver in sorted(free, key=lambda one: (-tasks[one].finish(starts[one]), one)):
                taken = min(wanted, held[giver])
                if taken:
                    wanted, held[giver] = wanted - taken, held[giver] - taken
                    yield key, Link(giver)
            if wanted > unused:
                raise ValueError(
                    f"task {key}: expected a programme that keeps the limit of {' '.join(resource)}"
                )
            unused -= wanted
            held[key] = need


def _areas_in_turn(tasks: Mapping[int, Task], starts: Starts) -> Iterator[tuple[int, Link]]:
    """Each invasive task with links to those planned before it on an area of its own, which recovers between."""
    turn = sorted(tasks.values(), key=lambda one: (starts[one.key], one.key))
    for n, later in enumerate(turn):
        for earlier in turn[:n]:
            if earlier.invaded & later.invaded:
                yield later.key, Link(earlier.key, lag_days=earlier.recovery_days, calendar_days=True)
