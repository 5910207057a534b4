"""A plan in figures, as it is dated or as it was decided: by year and by project."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from pydantic import Field
from swardcost_model import plan_figures as answers
from swardcost_model.plan_figures import ChartName, FiguresBasis, PlanFigures, PlanGap

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.decided_plans import DecidedPlan, as_decided
from swardcost_api.capital.plan_steps import project_steps, score_of, year_steps
from swardcost_api.capital.plan_words import (
    METHOD,
    cautions,
    conclusions,
    listed,
    over_closure_limit,
    over_spending_limit,
)
from swardcost_api.capital.plan_years import CountedYear, counted_years, fully_funded_at
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.reserve import percent_funded
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

Basis = Annotated[
    FiguresBasis,
    Query(
        "As dated; or as decided: deferred projects in the year they were deferred to, if one is named, without what "
        "was declined. What nothing is decided on stays as dated."
    ),
]
Chart = Annotated[
    ChartName,
    Query(
        "Which chart, where one is asked for: the reserve curve, the spending by year and growth group, or the reserve "
        "in percent of the fully funded balance."
    ),
]


@dataclass(frozen=True, slots=True)
class FiguresQuestion:
    """A plan as it is dated, and what is asked of it."""

    counted: CountedPlan
    basis: FiguresBasis = "as_dated"
    chart: ChartName = "reserve"


class FiguresToDraw(PlanFigures):
    """The figures of a plan, and which chart of them was asked for."""

    chart: ChartName = Field(default="reserve", exclude=True)


def read_figures(
    work: UnitOfWork, plan_id: UUID, basis: Basis = "as_dated", chart: Chart = "reserve"
) -> FiguresQuestion:
    """A plan with all that its figures rest on. Raises `not-found`."""
    return FiguresQuestion(read_counted_plan(work, plan_id), basis, chart)


def figures_of(asked: FiguresQuestion) -> FiguresToDraw:
    """Every year and every project of a plan. Raises `wrong-state` for amounts that cannot be meant."""
    decided = as_decided(asked.counted) if asked.basis == "as_decided" else DecidedPlan(asked.counted)
    counted = decided.counted
    plan, years = counted.plan, counted_years(counted)
    before = counted.years[0] - 1
    held = fully_funded_at(counted, before, {})
    not_dated = [
        one.label for one in counted.projects if one.stated.year is None and one.stated.id not in decided.why
    ]
    gaps = list(_gaps(counted))
    opening = years[0].reserve.opening_minor
    return FiguresToDraw(
        chart=asked.chart,
        plan_id=plan.id, name=plan.name, status=plan.status, basis=asked.basis, first_year=counted.years[0],
        last_year=counted.years[-1], price_year=counted.price_year, complete=not gaps and not not_dated,
        years=[_year(counted, one) for one in years], projects=[_project(counted, one) for one in counted.projects],
        spent_over_plan=counted.money(sum(one.spending.all_minor for one in years)),
        fully_funded_at_start=None if held is None else counted.money(held),
        percent_funded_at_start=None if held is None else percent_funded(opening, held),
        not_dated=not_dated, left_out=decided.left_out, missing=gaps, conclusions=list(conclusions(counted, years)),
        cautions=[*_cautions(decided), *cautions(counted)], method=list(METHOD),
    )  # fmt: skip


def _cautions(decided: DecidedPlan) -> Iterator[str]:
    if decided.waiting:
        yield f"Nothing is decided yet on these projects, which count as dated: {listed(decided.waiting)}."
    if decided.after_plan:
        yield f"Deferred to after the last year of the plan, and so in no year of it: {listed(decided.after_plan)}."


def _gaps(counted: CountedPlan) -> Iterator[PlanGap]:
    """What is not known of projects and of assets that are replaced."""
    for project in counted.projects:
        yield from project.gaps
    for asset in counted.assets:
        if asset.replaced and asset.gap is not None:
            kind, unknown = asset.gap
            words = f"Asset {asset.code} ({asset.name}) is in no balance: nobody knows {unknown}."
            yield PlanGap(kind=kind, about=asset.id, words=words)


def _year(counted: CountedPlan, year: CountedYear) -> answers.PlanYear:
    money, reserve, whole = counted.money, year.reserve, year.fully_funded_minor
    limit = year.spending_limit_minor
    return answers.PlanYear(
        year=year.year, opening=money(reserve.opening_minor), contributions=money(year.income_of("contribution")),
        dues=money(year.income_of("dues")), initiation_fees=money(year.income_of("initiation")),
        assessments=money(year.assessments_minor), loans_drawn=money(year.loans.drawn_minor),
        interest=money(reserve.interest_minor), capital_spending=money(year.spending.capital_minor),
        operating_spending=money(year.spending.operating_minor), loan_payments=money(year.loans.payments_minor),
        closing=money(reserve.closing_minor),
        incomes=[
            answers.IncomeOfYear(
                kind=one.stated.kind, name=one.stated.name, units=one.stated.units, each=money(one.each_minor),
                amount=money(one.amount_minor),
            )
            for one in year.incomes
        ],
        spending=money(year.spending.all_minor), spending_limit=None if limit is None else money(limit),
        over_spending_limit=over_spending_limit(year), closure_days=year.spending.closure_days,
        over_closure_limit=over_closure_limit(counted, year), floor=money(counted.floor_minor),
        below_floor=reserve.closing_minor < counted.floor_minor, owed_on_loans=money(year.loans.owed_minor),
        fully_funded=None if whole is None else money(whole), percent_funded=year.percent_funded,
        derivation=steps_for(year_steps(counted, year), counted.club),
    )  # fmt: skip


def _project(counted: CountedPlan, project: CountedProject) -> answers.ProjectInFigures:
    stated, money = project.stated, counted.money
    begins = stated.year
    costs = [] if begins is None else project.costs_from(begins)
    return answers.ProjectInFigures(
        project_id=stated.id, number=stated.number, name=stated.name, year=begins, last_year=project.last_year,
        cost_at_price_year=None if project.cost_minor is None else money(project.cost_minor),
        cost_basis=project.basis, growth_group=stated.growth_group,
        growth_percent=project.growth_percent, cost=money(sum(costs)) if costs else None,
        phases=[
            answers.PhaseOfProject(
                year=None if begins is None else begins + place, cost_at_price_year=money(minor),
                cost=money(costs[place]) if costs else None, closure_days=stated.phases[place].closure_days,
            )
            for place, minor in enumerate(project.phases_minor)
        ],
        spending=project.spending, spending_because=project.spending_because,
        score=score_of(counted.plan.criteria, stated.scores),
        derivation=steps_for(project_steps(counted, project), counted.club),
    )  # fmt: skip
