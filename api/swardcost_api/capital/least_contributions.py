"""The least contribution that keeps the reserve of a plan above its floor."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.plan_figures import ContributionOfYear, LeastContributionFigures
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.capital.counted_plans import CountedPlan, read_counted_plan
from swardcost_api.capital.plan_years import flows_by_year, incomes_of, interest_terms
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.least_funding import (
    LeastContribution,
    contributions,
    least_contribution,
)
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

_MOST_PLACES, _MOST_ZEROS = 6, 2
Rise = Annotated[
    Decimal,
    Query("How the contribution rises from year to year, in percent.", ge=-50, le=100, example="2.5"),
]


@dataclass(frozen=True, slots=True)
class ContributionQuestion:
    """A plan, and how a contribution to it is to rise."""

    counted: CountedPlan
    percent_a_year: Decimal


def read_question(work: UnitOfWork, plan_id: UUID, percent_a_year: Rise = Decimal(0)) -> ContributionQuestion:
    """The plan that is asked about. Raises `not-found`, and `invalid-request` for a percentage of too many places."""
    exponent = percent_a_year.as_tuple().exponent
    # A number such as 0E+999999999 is small and would take forever to compute with.
    if not isinstance(exponent, int) or not -_MOST_PLACES <= exponent <= _MOST_ZEROS:
        fault = Fault(
            pointer="percent_a_year", expected=f"a number with at most {_MOST_PLACES} decimal places"
        )
        raise ProblemError(problems.INVALID_REQUEST, "The query cannot be used.", [fault])
    return ContributionQuestion(read_counted_plan(work, plan_id), percent_a_year)


def least_of(asked: ContributionQuestion) -> LeastContributionFigures:
    """The least contribution, what the reserve then does, and which year asks for it."""
    counted, percent = asked.counted, asked.percent_a_year
    floor, money = counted.floor_minor, counted.money
    found = least_beside(counted, percent)
    least = found.contribution_minor
    today = own_contributions(counted)
    paid = contributions(least or 0, percent, len(counted.years), 0)
    return LeastContributionFigures(
        plan_id=counted.plan.id, percent_a_year=percent, contribution=None if least is None else money(least),
        contribution_today=money(today[0]), more_than_today=None if least is None else money(least - today[0]),
        floor=money(floor), binding_year=counted.years[found.binding] if least else None,
        first_below_without=None if found.without is None else counted.years[found.without],
        years=[
            ContributionOfYear(
                year=year, contribution=money(paid[place]), contribution_today=money(today[place]),
                closing=money(found.years[place].closing_minor), floor=money(floor),
            )
            for place, year in enumerate(counted.years)
        ],
        conclusions=list(_conclusions(asked, found, today)), cautions=list(_cautions(counted)),
        derivation=steps_for(_steps(asked, found), counted.club),
    )  # fmt: skip


def least_beside(counted: CountedPlan, percent_a_year: Decimal) -> LeastContribution:
    """The least contribution that takes the place of the plan's own, in minor units."""
    return least_contribution(
        counted.minor(counted.plan.money.opening_reserve), flows_by_year(counted, with_contributions=False),
        interest_terms(counted), counted.floor_minor, percent_a_year=percent_a_year,
    )  # fmt: skip


def own_contributions(counted: CountedPlan) -> list[int]:
    """The plan's own contributions in each year, in minor units."""
    return [
        sum(one.amount_minor for one in incomes_of(counted, year) if one.stated.kind == "contribution")
        for year in counted.years
    ]


def _conclusions(
    asked: ContributionQuestion, found: LeastContribution, today: Sequence[int]
) -> Iterator[str]:
    counted, least = asked.counted, found.contribution_minor
    floor = counted.floor_minor
    named = f"its floor of {counted.words(floor)}" if floor else "zero"
    if least is None:
        where = counted.years[found.without or 0]
        yield f"No contribution that could be meant keeps the reserve at {named}; it is below first in {where}."
        return
    if least == 0:
        yield f"No contribution is needed: the reserve stays at or above {named} in every year without one."
        return
    rise = _rise(asked.percent_a_year)
    binding = counted.years[found.binding]
    yield (
        f"{counted.words(least)} a year{rise} is the least contribution that keeps the reserve at or above {named}; "
        f"{binding} asks for it, and closes at {counted.words(found.years[found.binding].closing_minor)}."
    )
    more = least - today[0]
    if more:
        words = f"{counted.words(abs(more))} {'more' if more > 0 else 'less'} than"
        yield f"In {counted.years[0]} that is {words} the plan's own {counted.words(today[0])}."
    else:
        yield f"In {counted.years[0]} that is the plan's own contribution."
    if found.without is not None:
        yield f"Without any contribution the reserve would be below first in {counted.years[found.without]}."


def _rise(percent: Decimal) -> str:
    if percent == 0:
        return ""
    return f", {'rising' if percent > 0 else 'falling'} by {abs(percent):f} percent a year,"


def _cautions(counted: CountedPlan) -> Iterator[str]:
    left_out = [one.label for one in counted.projects if one.stated.year is None or one.cost_minor is None]
    if left_out:
        yield f"Without what these projects cost, which have no year or no cost: {'; '.join(left_out)}."


def _steps(asked: ContributionQuestion, found: LeastContribution) -> Iterator[Step]:
    """The contribution with what the year that asks for it then closes at."""
    least, counted = found.contribution_minor, asked.counted
    if not least:
        return
    binding = found.years[found.binding]
    yield Step(
        "least contribution", counted.figure(least), counted.currency,
        "the least amount, to the minor unit, with which every year closes at or above the floor; one minor unit less "
        "leaves a year below it",
        (
            Input("floor", counted.figure(counted.floor_minor), counted.currency),
            Input("rise", float(asked.percent_a_year), "percent"),
            Input(
                f"reserve at the end of {counted.years[found.binding]}", counted.figure(binding.closing_minor),
                counted.currency,
            ),
        ),
        "search by halving over the projection of the reserve",
    )  # fmt: skip
