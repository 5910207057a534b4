"""The futures of a plan: what is asked, what of it cannot be drawn, and the drawing."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from uuid import UUID

from swardcost_model import problems
from swardcost_model.plan_futures import MOST_FUTURES, FuturesQuestion, PointsRange
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.capital.counted_plans import CountedPlan, read_counted_plan
from swardcost_api.capital.decided_plans import DecidedPlan, as_decided
from swardcost_api.capital.drawn_plans import DrawnPlan
from swardcost_api.capital.futures_told import FuturesToDraw, ToldFutures
from swardcost_api.engine.capital.futures import draw_futures
from swardcost_api.engine.capital.futures_drivers import drivers_of
from swardcost_api.engine.capital.futures_funding import enough_more
from swardcost_api.engine.capital.growth import LARGEST_PERCENT, LEAST_PERCENT
from swardcost_api.engine.capital.whole_minor import AmountTooLarge
from swardcost_api.storage.work import UnitOfWork

MOST_DRAWN = 20_000_000
"""Numbers that are drawn at most for an answer, so that it comes within seconds."""
_REFUSED = "The futures of this plan cannot be drawn like that."
_TOO_LARGE = "The amounts of this plan grow beyond what can be counted; look at its percentages."


@dataclass(frozen=True)
class FuturesAsked:
    """A plan, read at one moment, and how its futures are to be drawn."""

    counted: CountedPlan
    question: FuturesQuestion

    @cached_property
    def decided(self) -> DecidedPlan:
        """The plan as dated or as decided, whichever is asked for."""
        if self.question.basis == "as_decided":
            return as_decided(self.counted)
        return DecidedPlan(self.counted)

    @cached_property
    def drawn(self) -> DrawnPlan:
        """The plan as it is drawn."""
        return DrawnPlan(self.decided.counted, self.question)


def read_futures_question(work: UnitOfWork, plan_id: UUID, data: FuturesQuestion) -> FuturesAsked:
    """What the futures rest on. Raises `not-found`."""
    return FuturesAsked(read_counted_plan(work, plan_id), data)


def futures_of(asked: FuturesAsked) -> FuturesToDraw:
    """The futures of a plan; reads nothing.

    Raises `invalid-values` for points beyond what a percentage may be, or more futures than can be drawn in time;
    `wrong-state` for amounts that cannot be meant.
    """
    drawn = asked.drawn
    if faults := [*_faults(drawn)]:
        raise ProblemError(problems.INVALID_VALUES, _REFUSED, faults)
    plan, drawing, percent = drawn.uncertain, drawn.drawing, asked.question.at_most_percent
    try:
        futures = draw_futures(plan, drawing)
        enough = None if percent is None else enough_more(plan, futures, percent)
    except AmountTooLarge as error:
        raise ProblemError(problems.WRONG_STATE, _TOO_LARGE) from error
    return ToldFutures(drawn, asked.decided, futures, drivers_of(plan, drawing, futures), enough).answer()


def most_futures(asked: FuturesAsked) -> int:
    """How many futures of a plan can be drawn in time."""
    return min(MOST_DRAWN // max(asked.drawn.uncertain.figures_drawn, 1), MOST_FUTURES)


def _faults(drawn: DrawnPlan) -> Iterator[Fault]:
    question, plan = drawn.asked, drawn.uncertain
    yield from _beyond("/growth_points", plan.growth_percents, question.growth_points)
    yield from _beyond("/interest_points", {plan.interest.percent}, question.interest_points)
    most = MOST_DRAWN // max(plan.figures_drawn, 1)
    if question.futures > most:
        expected = f"at most {most} futures of a plan with so many assets and projects"
        yield Fault(pointer="/futures", expected=expected, got=str(question.futures))


def _beyond(pointer: str, percents: set[Decimal], points: PointsRange | None) -> Iterator[Fault]:
    if points is None or not percents:
        return
    for name, stated, most in (
        ("lower", points.lower, min(percents) - LEAST_PERCENT),
        ("upper", points.upper, LARGEST_PERCENT - max(percents)),
    ):
        if stated > most:
            bounds = f"from {LEAST_PERCENT} to {LARGEST_PERCENT}"
            expected = f"at most {most:f}, so that every percentage is {bounds}"
            yield Fault(pointer=f"{pointer}/{name}", expected=expected, got=f"{stated:f}")
