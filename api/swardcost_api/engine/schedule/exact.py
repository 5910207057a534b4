"""The schedule with the earliest reopening, by a time-indexed integer programme.

One yes-or-no variable says that a task starts on a day. Each task starts once; a link forbids pairs of starts; on
each day a crew, a machine or an invaded area is held by no more than there is. Whether a given reopening can be
reached at all is asked of the solver for earlier and earlier dates, so each model holds only starts that fit.

References
----------
Pritsker, Watters and Wolfe, "Multiproject Scheduling with Limited Resources: A Zero-One Programming Approach",
Management Science 16, 1969. Christofides, Alvarez-Valdes and Tamarit, European Journal of Operational Research 29,
1987: links day by day. (Both from memory.) Solver: HiGHS, through `scipy.optimize.milp`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from swardcost_api.engine.schedule.bounds import reachable
from swardcost_api.engine.schedule.network import Network, Starts, Task
from swardcost_api.engine.schedule.placing import Limits, pushed_early

SECONDS = 60.0
"""A far safety net for each question put to the solver: size and branches run out long before, and unlike
seconds they are the same on every machine, so that the same request gets the same answer."""
NODES = 100
"""Branches that the solver may look at for each question."""
MOST_STARTS = 500
"""Starts to choose among beyond which the solver is not asked, so that a request stays a matter of seconds."""

Row = dict[int, float]
_SOLVED, _INFEASIBLE = 0, 2  # what `milp` answers in `status`


@dataclass(frozen=True, slots=True)
class Search:
    """The best schedule found; no schedule reopens before `bound`.

    `proven` tells that none reopens earlier, keeps the latest finishes better, or then starts its tasks earlier.
    """

    starts: Starts
    bound: date
    proven: bool


def earliest_reopening(
    network: Network,
    limits: Limits,
    found: Starts,
    bound: date,
    *,
    weather_days: int = 0,
    seconds: float = SECONDS,
    nodes: int = NODES,
) -> Search:
    """The schedule that reopens first, then is least late against latest finishes, then starts earliest in sum.

    `found` is a schedule that keeps every limit; `bound` a date before which nothing can reopen. Limits: gives
    up, with the best found so far, at the first question that takes more seconds or branches than allowed.
    """
    opens_on = network.opens_on(found, weather_days)
    while bound < opens_on:
        dates = reachable(network, bound, opens_on, weather_days)
        wanted = dates[(len(dates) - 1) // 2]
        model = Model(network, limits, wanted, weather_days)
        if len(model.variables) > MOST_STARTS:
            return Search(found, bound, proven=False)
        asked = model.solve({}, seconds, nodes)
        if asked.gave_up:
            return Search(found, bound, proven=False)
        if asked.starts is None:
            bound = next(day for day in (*dates, opens_on) if day > wanted)
        else:
            found = pushed_early(network, limits, asked.starts)
            opens_on = network.opens_on(found, weather_days)
    return _best_at(network, limits, found, bound, weather_days, seconds, nodes)


def _best_at(
    network: Network,
    limits: Limits,
    found: Starts,
    bound: date,
    weather_days: int,
    seconds: float,
    nodes: int,
) -> Search:
    """Among the schedules that reopen on `bound`: the least late, and of those the one that starts earliest."""
    model = Model(network, limits, bound, weather_days)
    if len(model.variables) > MOST_STARTS:
        return Search(found, bound, proven=False)
    at_once = network.forward()
    late = {
        n: float(days) for n, (task, s) in enumerate(model.variables) if (days := network.days_late(task, s))
    }
    begun = {n: float(s - at_once[task.key]) for n, (task, s) in enumerate(model.variables)}
    for costs in (late, begun):
        least = sum(min(costs.get(n, 0.0) for n in numbers.values()) for numbers in model.numbers.values())
        if model.cost(found, costs) > least:
            asked = model.solve(costs, seconds, nodes)
            if asked.gave_up or asked.starts is None:
                return Search(found, bound, proven=False)
            found = asked.starts
        model.at_most(costs, model.cost(found, costs))
    return Search(found, bound, proven=True)


@dataclass(frozen=True, slots=True)
class Answered:
    """What the solver said: a schedule, that there is none, or that it gave up."""

    starts: Starts | None
    gave_up: bool = False


class Model:
    """The integer programme of all schedules that reopen on a date at the latest."""

    def __init__(self, network: Network, limits: Limits, opens_on: date, weather_days: int) -> None:
        self.network = network
        first = network.forward()
        last = network.backward(opens_on, weather_days, in_time=False)
        self.variables: list[tuple[Task, int]] = []
        self.numbers: dict[int, dict[int, int]] = {}
        for task in network.order:
            starts = range(first[task.key], last[task.key] + 1)
            self.numbers[task.key] = {s: len(self.variables) + n for n, s in enumerate(starts)}
            self.variables += [(task, s) for s in starts]
        self.impossible = not all(self.numbers.values())
        self.rows: list[tuple[Row, float, float]] = []
        if not self.impossible and len(self.variables) <= MOST_STARTS:
            self.rows = [
                *((dict.fromkeys(numbers.values(), 1.0), 1.0, 1.0) for numbers in self.numbers.values()),
                *self._links(),
                *self._areas(),
                *self._limits(limits),
            ]

    def cost(self, starts: Mapping[int, int], costs: Row) -> float:
        """Cost of a schedule, where each start costs so much."""
        return sum(costs.get(self.numbers[key][start], 0.0) for key, start in starts.items())

    def at_most(self, costs: Row, most: float) -> None:
        """Leave out the schedules that cost more."""
        if costs:
            self.rows.append((dict(costs), 0.0, most))

    def _links(self) -> Iterator[tuple[Row, float, float]]:
        """For each start of the earlier task: if it starts then or later, the later task starts late enough."""
        days = self.network.days
        for later in self.network.order:
            for link in later.links:
                earlier = self.network.tasks[link.predecessor]
                theirs = self.numbers[later.key]
                for start in self.numbers[earlier.key]:
                    least = link.start_of_later(start, earlier, later, days)
                    too_early = {n: 1.0 for s, n in theirs.items() if s < least}
                    if too_early:
                        then_or_later = {n: 1.0 for s, n in self.numbers[earlier.key].items() if s >= start}
                        yield then_or_later | too_early, 0.0, 1.0

    def _areas(self) -> Iterator[tuple[Row, float, float]]:
        """On each day an area is held by at most one invasive task, from its start until it has recovered."""
        for keys in self.network.shared_areas():
            holds = [
                (n, s, self.network.tasks[key].clear_on(s, self.network.days))
                for key in sorted(keys)
                for s, n in self.numbers[key].items()
            ]
            for day in sorted({s for _, s, _ in holds}):
                yield {n: 1.0 for n, s, clear in holds if s <= day < clear}, 0.0, 1.0

    def _limits(self, limits: Limits) -> Iterator[tuple[Row, float, float]]:
        """On each day no more of a resource is held than there is."""
        for resource, limit in sorted(limits.items()):
            holds = [
                (n, s, task.finish(s), need)
                for n, (task, s) in enumerate(self.variables)
                if (need := (task.needs or {}).get(resource, 0))
            ]
            for day in sorted({s for _, s, _, _ in holds}):
                row = {n: float(need) for n, s, finish, need in holds if s <= day <= finish}
                if len({self.variables[n][0].key for n in row}) > 1:
                    yield row, 0.0, float(limit)

    def solve(self, costs: Row, seconds: float, nodes: int) -> Answered:
        """The cheapest schedule, where each start costs so much."""
        if self.impossible:
            return Answered(None)
        # Loaded only when a schedule needs it: it takes longer to load than most schedules to compute.
        from scipy.optimize import Bounds, LinearConstraint, milp

        size = len(self.variables)
        constraints = LinearConstraint(
            _matrix([row for row, _, _ in self.rows], size),
            [low for _, low, _ in self.rows],
            [high for _, _, high in self.rows],
        )
        outcome = milp(
            [costs.get(n, 0.0) for n in range(size)],
            integrality=[1] * size,
            bounds=Bounds(0, 1),
            constraints=constraints,
            # With its presolve, HiGHS 1.12 now and then calls a model infeasible that is not. It also writes a line to
            # standard output then, whatever it is told, and seldom without presolve (not any more from 1.13 on); the
            # service's log is standard error. Without presolve it needs more branches and hardly more time.
            options={"time_limit": seconds, "node_limit": nodes, "mip_rel_gap": 0.0, "presolve": False},
        )
        if outcome.status == _INFEASIBLE:
            return Answered(None)
        if outcome.status != _SOLVED:
            return Answered(None, gave_up=True)
        chosen = [self.variables[n] for n in range(size) if outcome.x[n] > 0.5]
        return Answered({task.key: start for task, start in chosen})


def _matrix(rows: Sequence[Row], width: int) -> Any:
    from scipy.sparse import csr_array

    places = [(r, n, value) for r, row in enumerate(rows) for n, value in row.items()]
    data = [value for _, _, value in places]
    return csr_array((data, ([r for r, _, _ in places], [n for _, n, _ in places])), shape=(len(rows), width))
