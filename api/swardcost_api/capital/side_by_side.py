"""Scenarios side by side: each in figures, and how it differs from the first."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TypeVar

from swardcost_model.scenario_figures import (
    ComparedFigure,
    ComparedYear,
    FigureName,
    ScenarioFigures,
    ScenariosSideBySide,
    ScenarioTotals,
    ScenarioYear,
)
from swardcost_model.values import Money

from swardcost_api.capital import scenario_words as words
from swardcost_api.capital.plan_steps import year_steps
from swardcost_api.capital.plan_words import over_spending_limit
from swardcost_api.capital.plan_years import CountedYear
from swardcost_api.capital.scenario_totals import projects_of, total_steps, totals_of
from swardcost_api.capital.scenarios import CountedScenario, ScenariosAsked, counted_scenario
from swardcost_api.derivations import steps_for

T = TypeVar("T", Money, Decimal)
MONEY = "money"
FIGURES: tuple[tuple[FigureName, str, str], ...] = (
    ("contribution_first_year", "Contribution in the first year", MONEY),
    ("contributions", "Contributions of all years", MONEY),
    ("spending", "Spending on projects", MONEY),
    ("interest_earned", "Interest earned", MONEY),
    ("interest_paid", "Interest paid on loans", MONEY),
    ("least_balance", "Least balance at the end of a year", MONEY),
    ("closing", "Balance at the end of the last year", MONEY),
    ("owed_on_loans", "Owed on loans at the end of the last year", MONEY),
    ("percent_funded", "Funded at the end of the last year", "percent"),
    ("cost_of_moving", "Cost of moving projects", MONEY),
    ("worth", "Worth of what is done", "points"),
    ("projects_done", "Projects done within the plan", "projects"),
    ("projects_moved", "Projects moved", "projects"),
    ("projects_left_out", "Dated projects not begun", "projects"),
)
"""What is compared: its name, how it is called, and its unit."""


def side_by_side(asked: ScenariosAsked) -> ScenariosSideBySide:
    """Every scenario in figures and beside the first.

    Raises `unavailable` while others are solved, `wrong-state` for amounts that cannot be meant.
    """
    return told_side_by_side(asked, counted_scenarios(asked))


def counted_scenarios(asked: ScenariosAsked) -> list[CountedScenario]:
    """Every scenario in its order. Raises `unavailable` while others are solved."""
    return [counted_scenario(asked, one) for one in asked.question.scenarios]


def told_side_by_side(asked: ScenariosAsked, found: Sequence[CountedScenario]) -> ScenariosSideBySide:
    """Scenarios that are counted, in figures and beside the first. Raises `wrong-state` as `side_by_side`."""
    told = [_scenario(one) for one in found]
    own = asked.plans[asked.plan_id]
    return ScenariosSideBySide(
        plan_id=asked.plan_id, name=own.plan.name, scenarios=told, table=list(_table(own.currency, told)),
        years=list(_years(told)), conclusions=[words.beside_first(one, told[0]) for one in told],
        cautions=list(words.cautions_of_all(found)), method=list(words.METHOD),
    )  # fmt: skip


def _scenario(found: CountedScenario) -> ScenarioFigures:
    projects = projects_of(found) if found.possible else []
    totals = totals_of(found, projects) if found.possible else None
    return ScenarioFigures(
        name=found.scenario.name, plan_id=found.base.plan.id, plan_name=found.base.plan.name,
        start=found.scenario.start, changes=list(words.changes(found)), possible=found.possible,
        conflict=found.conflict, gap_percent=found.gap_percent, totals=totals,
        years=[_year(found, one) for one in found.years], projects=projects,
        warnings=list(words.warnings(found)) if found.possible else [],
        conclusion="" if totals is None else words.conclusion(totals, found.counted.money(found.counted.floor_minor)),
        derivation=steps_for(total_steps(found), found.counted.club) if found.possible else [],
    )  # fmt: skip


def _year(found: CountedScenario, year: CountedYear) -> ScenarioYear:
    money, reserve = found.counted.money, year.reserve
    contributions, floor = year.income_of("contribution"), found.counted.floor_minor
    return ScenarioYear(
        year=year.year, opening=money(reserve.opening_minor), contributions=money(contributions),
        other_income=money(reserve.flows.income_minor - contributions), loans_drawn=money(year.loans.drawn_minor),
        interest=money(reserve.interest_minor), spending=money(year.spending.all_minor),
        loan_payments=money(year.loans.payments_minor), closing=money(reserve.closing_minor), floor=money(floor),
        below_floor=reserve.closing_minor < floor, over_spending_limit=over_spending_limit(year),
        percent_funded=year.percent_funded,
        derivation=steps_for(year_steps(found.counted, year), found.counted.club),
    )  # fmt: skip


def _table(currency: str, told: Sequence[ScenarioFigures]) -> Iterator[ComparedFigure]:
    for name, label, unit in FIGURES:
        values = [None if one.totals is None else _value(one.totals, name) for one in told]
        yield ComparedFigure(
            figure=name, label=label, unit=currency if unit == MONEY else unit, values=values,
            differences=_from_first(values),
        )  # fmt: skip


def _value(totals: ScenarioTotals, name: FigureName) -> Decimal | None:
    value: Money | Decimal | int | None = getattr(totals, name)
    if isinstance(value, Money):
        return value.amount
    return Decimal(value) if isinstance(value, int) else value


def _years(told: Sequence[ScenarioFigures]) -> Iterator[ComparedYear]:
    by_year = [{year.year: year.closing for year in one.years} for one in told]
    for year in sorted({year for years in by_year for year in years}):
        closing = [years.get(year) for years in by_year]
        yield ComparedYear(year=year, closing=closing, differences=_from_first(closing))


def _from_first(values: Sequence[T | None]) -> list[T | None]:
    first = values[0]
    return [None if value is None or first is None else value - first for value in values]
