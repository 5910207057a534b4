"""The integer programme of all ways to place the projects of a plan.

One yes-or-no variable says that what starts together starts in a year; of each bundle one at most does.

Money is compared in floating numbers, so each answer is checked with whole minor units. One that breaks a limit is
cut off, by as few of its starts as break it by themselves, and the solver is asked again. The programme itself is
never narrower than the exact limits: its floors are lower by what rounding the interest may come to. What it proves
of the best therefore holds.

References
----------
Solver: HiGHS, through `scipy.optimize.milp`.
"""

import math
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate
from typing import Any

from swardcost_api.engine.capital.candidates import WORTH_PARTS, Bundle, Question, Starts
from swardcost_api.engine.capital.cover_rows import cover_of
from swardcost_api.engine.capital.digit_rows import digit_rows
from swardcost_api.engine.capital.kept_limits import Broken, broken_of_years
from swardcost_api.engine.capital.reserve_rows import Columns, Row, Rows, floor_sums, reserve_rows

MOST_CUTS = 200
"""Answers that the exact check may send back before the solver is given up."""

_SOLVED, _INFEASIBLE = 0, 2  # what `milp` answers in `status`


@dataclass(frozen=True, slots=True)
class Effort:
    """How long the solver may look: branches, seconds as a far safety net, and the gap, a share, that is enough."""

    nodes: int
    seconds: float
    gap: float = 0.0


@dataclass(frozen=True, slots=True)
class Answered:
    """Starts that keep every limit, if some were found, and what no others can go beyond.

    `gave_up` tells that the solver stopped before it had proven its answer to the gap. `almost` are then the last
    starts that it found, if they break a limit.
    """

    starts: dict[str, int] | None
    bound: float = math.inf
    gave_up: bool = False
    almost: Mapping[str, int] = field(default_factory=dict)


class TimingModel:
    """All placements of a question's projects, as rows of a matrix."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.variables: list[tuple[Bundle, int]] = []
        self.numbers: dict[str, dict[int, int]] = {}
        for bundle in question.bundles:
            self.numbers[bundle.key] = {s: len(self.variables) + n for n, s in enumerate(bundle.starts)}
            self.variables += [(bundle, start) for start in bundle.starts]
        self.lows, self.highs = [0.0] * len(self.variables), [1.0] * len(self.variables)
        self.whole = [1] * len(self.variables)
        self.costs = [bundle.costs_from(start) for bundle, start in self.variables]
        self.unit = max((minor for cost in self.costs for minor in cost.values()), default=1) or 1
        self.impossible = any(bundle.required and not bundle.starts for bundle in question.bundles)
        self.told: set[tuple[str, int | None]] = set()
        self.rows: Rows = [
            *self._one_start(),
            *self._order(),
            *self._spending(),
            *self._closure_days(),
        ]
        if question.limits.reserve is not None:
            columns = Columns(self.lows, self.highs, self.whole)
            self.rows += reserve_rows(question.limits.reserve, self.costs, columns, self.unit)

    def worth(self) -> list[int]:
        """What each variable is worth, in ten-thousandths of a point."""
        return [self.question.worth_of_bundle(bundle, start) for bundle, start in self.variables]

    def at_least(self, figures: list[int], least: int) -> None:
        """Leave out the placements whose whole-numbered figures sum to less."""
        scale = max(figures, default=1) or 1
        row = {n: figure / scale for n, figure in enumerate(figures) if figure}
        self.rows.append((row, (least - 0.5) / scale, math.inf))

    def most(self, figures: list[int], effort: Effort) -> Answered:
        """The placement of the largest sum of figures, in `WORTH_PARTS`, that keeps every limit exactly."""
        if self.impossible:
            return Answered(None)
        if not self.variables:
            return self._nothing_to_place()
        until = time.monotonic() + effort.seconds
        bound, almost = math.inf, dict[str, int]()
        for cuts in range(MOST_CUTS):
            left = until - time.monotonic()
            if left <= 0:
                break
            # A question that takes too long after all takes half of the time, and the others find some.
            outcome = self._solved(figures, replace(effort, seconds=left / 2 if cuts else left))
            if outcome.status == _INFEASIBLE:
                return Answered(None)
            if outcome.mip_dual_bound is not None:
                bound = min(bound, -outcome.mip_dual_bound * WORTH_PARTS)
            if outcome.x is None:
                break
            starts = self._starts(outcome.x)
            broken = list(broken_of_years(self.question, starts))
            if not broken:
                return Answered(starts, bound, outcome.status != _SOLVED)
            almost = starts
            for one in broken:
                self._cut_off(starts, one)
        return Answered(None, bound, gave_up=True, almost=almost)

    def _nothing_to_place(self) -> Answered:
        return Answered(None if any(broken_of_years(self.question, {})) else {}, 0.0)

    def _solved(self, figures: list[int], effort: Effort) -> Any:
        # Loaded only when a plan needs it: it takes longer to load than most plans to compute.
        from scipy.optimize import Bounds, LinearConstraint, milp

        size = len(self.whole)
        objective = [-figure / WORTH_PARTS for figure in figures] + [0.0] * (size - len(figures))
        constraints = LinearConstraint(
            _sparse([row for row, _, _ in self.rows], size),
            [low for _, low, _ in self.rows],
            [high for _, _, high in self.rows],
        )
        return milp(
            objective,
            integrality=self.whole,
            bounds=Bounds(self.lows, self.highs),
            constraints=constraints,
            # As for schedules, without presolve, with which HiGHS 1.12 now and then calls infeasible what is not.
            options={
                "time_limit": effort.seconds,
                "node_limit": effort.nodes,
                "mip_rel_gap": effort.gap,
                "presolve": False,
            },
        )

    def _starts(self, values: Any) -> dict[str, int]:
        """The years in which a solution's projects start."""
        return {
            one.key: start
            for n, (bundle, start) in enumerate(self.variables)
            if values[n] > 0.5
            for one in bundle.members
        }

    def _cut_off(self, starts: Starts, broken: Broken) -> None:
        """Forbid what breaks a limit, and from then on tell that limit to the minor unit, as far as that can be."""
        cover = cover_of(self.question, starts, broken)
        row = {self.numbers[key][start]: 1.0 for key, start in sorted(cover.starts)}
        self.rows.append((row, -math.inf, float(cover.most)))
        told = (broken.family, broken.year)
        sums = None if told in self.told else self._sums(broken)
        self.told.add(told)
        if sums is not None:
            columns = Columns(self.lows, self.highs, self.whole)
            self.rows += digit_rows(*sums, self._most_within(*sums), columns)

    def _sums(self, broken: Broken) -> tuple[dict[int, int], int] | None:
        """A limit of money as whole amounts by variable, and the most that they may sum to."""
        year, limits = broken.year, self.question.limits
        assert year is not None
        if broken.family == "floor" and limits.reserve is not None:
            return floor_sums(limits.reserve, self.costs, year)
        most = limits.spending_minor[year]
        if broken.family != "spending" or most is None:
            return None
        return {n: cost[year] for n, cost in enumerate(self.costs) if cost.get(year)}, most

    def _most_within(self, amounts: dict[int, int], most: int) -> int:
        """How many bundles at most have an amount in a sum within a limit."""
        least: dict[str, int] = {}
        for n, amount in amounts.items():
            key = self.variables[n][0].key
            least[key] = min(amount, least.get(key, amount))
        return sum(total <= most for total in accumulate(sorted(least.values())))

    def _one_start(self) -> Iterator[tuple[Row, float, float]]:
        """What starts together starts in one year or not at all; what is required has to."""
        for bundle in self.question.bundles:
            row = dict.fromkeys(self.numbers[bundle.key].values(), 1.0)
            if row:
                yield row, float(bundle.required), 1.0

    def _order(self) -> Iterator[tuple[Row, float, float]]:
        """By no year has the later project started unless the earlier had, so many years before."""
        for later in self.question.candidates.values():
            mine = self.numbers[self.question.bundle_of[later.key].key]
            for link in later.after:
                theirs = self.numbers[self.question.bundle_of[link.key].key]
                if mine is theirs:
                    if link.years:
                        yield dict.fromkeys(mine.values(), 1.0), 0.0, 0.0
                    continue
                for year in mine:
                    started = {n: 1.0 for start, n in mine.items() if start <= year}
                    before = {n: -1.0 for start, n in theirs.items() if start <= year - link.years}
                    yield started | before, -math.inf, 0.0

    def _spending(self) -> Iterator[tuple[Row, float, float]]:
        for year, most in enumerate(self.question.limits.spending_minor):
            row = {n: cost[year] / self.unit for n, cost in enumerate(self.costs) if cost.get(year)}
            if most is not None and row:
                yield row, -math.inf, most / self.unit

    def _closure_days(self) -> Iterator[tuple[Row, float, float]]:
        closed = [bundle.closure_days_from(start) for bundle, start in self.variables]
        for year, most in enumerate(self.question.limits.closure_days):
            row = {n: float(days[year]) for n, days in enumerate(closed) if days.get(year)}
            if most is not None and row:
                yield row, -math.inf, float(most)


def _sparse(rows: Sequence[Row], width: int) -> Any:
    from scipy.sparse import csr_array

    places = [(r, n, value) for r, row in enumerate(rows) for n, value in row.items()]
    data = [value for _, _, value in places]
    return csr_array((data, ([r for r, _, _ in places], [n for _, n, _ in places])), shape=(len(rows), width))
