"""The best set and timing of a plan's projects: the most worth within the limits of every year.

Worth is a project's value, less for each year that it is later. Of several plans worth the same, the one that starts
its projects earliest in sum is taken, the first keys counting a little more. Every figure of the answer is computed
again in whole minor units by the rules of the reserve's projection, and no limit of it is broken by a single one.
"""

import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_UP, Decimal

from swardcost_api.engine.capital.candidates import Question, Starts, in_points
from swardcost_api.engine.capital.conflicts import Conflict, conflict_in
from swardcost_api.engine.capital.improving import improved, mended, polished
from swardcost_api.engine.capital.kept_limits import broken_limits, closure_days, reserve_years, spending
from swardcost_api.engine.capital.reserve import ReserveYear
from swardcost_api.engine.capital.timing_model import Effort, TimingModel

NODES = 400
"""Branches that the solver may look at for each question: unlike seconds, the same on every machine."""
SECONDS = 60.0
"""A far safety net; a plan of 40 projects and 25 years needs a few."""
GAP = 0.009
"""The share of worth by which the plan of many projects may be short of the best, as the answer then tells."""
EFFORT = Effort(NODES, SECONDS, GAP)
MOST_EXACT = 200
"""Starts to choose among up to which the best plan is looked for without a gap."""
FEW_NODES = 25
"""So many times the branches may be looked at where so few starts make each of them short."""
MOST_MOVES = 3
"""Projects moved at once to make a plan better that is not proven the best."""
LEAST_SECONDS = 1.0
"""What is left for telling a conflict, however long it took to find that there is one."""
_TOLERANCE = 0.5  # of 0.0001 point: worth is in whole ones


@dataclass(frozen=True, slots=True)
class Timing:
    """The year in which each project starts, `None` where it is not done, and what follows, year by year.

    `worth` is in points; no plan within the limits is worth more than `bound`, which is the same where that is proven
    (to about a millionth, the solver's own tolerance).
    """

    starts: Mapping[str, int | None]
    worth: Decimal
    bound: Decimal
    spending_minor: tuple[int, ...]
    closure_days: tuple[int, ...]
    reserve: tuple[ReserveYear, ...]

    @property
    def done(self) -> dict[str, int]:
        """The projects that are done, with the year in which each starts."""
        return {key: start for key, start in self.starts.items() if start is not None}

    @property
    def gap_percent(self) -> Decimal:
        """By how much of the bound the plan may be short of the best, rounded up to 0.01; 0 where it is proven."""
        if not self.bound:
            return Decimal(0)
        return ((self.bound - self.worth) * 100 / self.bound).quantize(Decimal("0.01"), ROUND_UP)


@dataclass(frozen=True, slots=True)
class NoTiming:
    """No plan keeps every limit, by this conflict; without one, none was found in the branches allowed."""

    conflict: Conflict | None


def best_timing(
    question: Question, effort: Effort = EFFORT, *, near: Starts | None = None, held: str | None = None
) -> Timing | NoTiming:
    """The plan of the most worth that keeps every limit, with each required project in it.

    `effort` bounds the search. With many starts to choose among it may end when no plan can be worth so much more as
    its gap; with few, the gap is closed. Where the best is not proven, no move of up to `MOST_MOVES` projects makes
    the answer better. Of plans worth the same, the one most like the starts it should be `near` is taken, where the
    best is proven. `held` names a project that the question holds in one year, for the words of a conflict. The same
    question gets the same answer, in whatever order its projects come, unless the seconds run out.
    """
    until = time.monotonic() + effort.seconds
    model = TimingModel(question)
    worth = model.worth()
    few = len(model.variables) <= MOST_EXACT
    asked = model.most(worth, replace(effort, nodes=effort.nodes * FEW_NODES) if few else effort)
    if asked.starts is None and not asked.gave_up:
        return NoTiming(conflict_in(question, max(until - time.monotonic(), LEAST_SECONDS), held))
    found = asked.starts
    if found is None:
        found = improved(question, mended(question, asked.almost))
    if broken_limits(question, found):
        return NoTiming(None)
    bound = min(asked.bound, sum(max(worth[n] for n in ns.values()) for ns in model.numbers.values() if ns))

    def left() -> Effort:
        return Effort(FEW_NODES * effort.nodes, max(until - time.monotonic(), 0.0))

    if few and question.worth_of(found) < bound - _TOLERANCE:
        asked = model.most(worth, left())
        found = _better(question, found, asked.starts)
        bound = min(bound, asked.bound)
    if question.worth_of(found) < bound - _TOLERANCE:
        found = polished(question, found, MOST_MOVES)
    proven = question.worth_of(found) >= bound - _TOLERANCE
    if few and proven:
        model.at_least(worth, question.worth_of(found))
        found = _better(question, found, model.most(_preferred(model, near), left()).starts)
    if near is None:
        found = improved(question, found)
    reached = question.worth_of(found)
    return timing_of(question, found, reached if proven else max(reached, math.floor(bound + _TOLERANCE)))


def _better(question: Question, found: dict[str, int], other: dict[str, int] | None) -> dict[str, int]:
    """The other placement, if there is one that is not worth less."""
    return found if other is None or question.worth_of(other) < question.worth_of(found) else other


def timing_of(question: Question, starts: Starts, bound: int) -> Timing:
    """The figures of a plan. `bound` is in ten-thousandths of a point."""
    spent = spending(question, starts)
    return Timing(
        {key: starts.get(key) for key in question.candidates},
        in_points(question.worth_of(starts)),
        in_points(bound),
        tuple(spent),
        tuple(closure_days(question, starts)),
        reserve_years(question, spent),
    )


def _preferred(model: TimingModel, near: Starts | None) -> list[int]:
    """What each start counts among plans worth the same: years that it is early, or that it is the start of another."""
    if near is not None:
        return [
            int(near[bundle.key] == start) if bundle.key in near else -1 for bundle, start in model.variables
        ]
    bundles = model.question.bundles
    rank = {bundle.key: len(bundles) - n for n, bundle in enumerate(bundles)}
    years = model.question.years
    most = years * len(bundles) ** 2
    return [(most + rank[bundle.key]) * (years - start) for bundle, start in model.variables]
