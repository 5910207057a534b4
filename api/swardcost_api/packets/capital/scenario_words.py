"""What a scenario changes of a plan, in the language of the packet, and why one is not possible."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from uuid import UUID

from swardcost_model.plan_scenarios import (
    ContributionByAmount,
    ContributionByPercent,
    ContributionChange,
    LeastContribution,
    MoneyChanges,
    Scenario,
    StatedContribution,
)
from swardcost_model.scenario_figures import ScenarioFigures
from swardcost_model.values import Money

from swardcost_api.capital.service import ScenariosAsked
from swardcost_api.packets.capital.telling import Telling
from swardcost_api.packets.values import Share


def changes_of(telling: Telling, asked: ScenariosAsked, name: str) -> Iterator[str]:
    """What the scenario of a name starts from and changes, a sentence each."""
    scenario = next(one for one in asked.question.scenarios if one.name == name)
    say, plan = telling.say, asked.base_of(scenario)
    if plan.plan.id != asked.plan_id:
        yield say("Of another plan, %(plan)s.", plan=plan.plan.name)
    yield {
        "as_dated": lambda: say("Projects as dated."),
        "as_decided": lambda: say("Projects as decided."),
        "best_timing": lambda: say("Projects where they are worth most within all limits."),
    }[scenario.start]()
    labels = {one.stated.id: telling.label(one.stated) for one in plan.projects}
    yield from _projects(telling, scenario, labels)
    yield from _money(telling, scenario.money)


def _projects(telling: Telling, scenario: Scenario, labels: Mapping[UUID, str]) -> Iterator[str]:
    say, projects = telling.say, scenario.projects
    if projects.left_out:
        names = telling.listed(labels[one] for one in projects.left_out)
        yield say("Left out: %(projects)s.", projects=names)
    if projects.deferred_by:
        yield (
            telling.counted(
                "Every dated project a year later, but those that are moved by themselves.",
                "Every dated project %(number)s years later, but those that are moved by themselves.",
                projects.deferred_by,
            )
            if projects.moved
            else telling.counted(
                "Every dated project a year later.",
                "Every dated project %(number)s years later.",
                projects.deferred_by,
            )
        )
    if projects.moved:
        names = telling.listed(
            say("%(project)s to %(year)s", project=labels[one.project_id], year=one.year)
            for one in projects.moved
        )
        yield say("Moved: %(projects)s.", projects=names)
    if projects.capital_threshold is not None:
        yield say("Projects are capital from %(amount)s.", amount=telling.shown(projects.capital_threshold))


def _money(telling: Telling, money: MoneyChanges) -> Iterator[str]:
    say, shown = telling.say, telling.shown
    if money.contribution is not None:
        yield _contribution(telling, money.contribution)
    for asked in money.assessments:
        told = {"name": asked.name, "amount": shown(asked.amount), "year": asked.year}
        yield say("%(name)s: %(amount)s assessed in %(year)s.", **told)
    for loan in money.loans:
        told = {
            "name": loan.name, "amount": shown(loan.principal), "year": loan.drawn_in,
            "percent": shown(Share(loan.annual_percent)),
        }  # fmt: skip
        yield telling.counted(
            "%(name)s: %(amount)s borrowed in %(year)s at %(percent)s for a year.",
            "%(name)s: %(amount)s borrowed in %(year)s at %(percent)s for %(number)s years.", loan.years, **told,
        )  # fmt: skip
    yield from _rates(telling, money)
    if money.least_balance is not None:
        yield say("The floor of the reserve is %(amount)s.", amount=shown(money.least_balance))
    if money.spending_limit is not None:
        yield say(
            "At most %(amount)s a year is spent, in the first year's money.",
            amount=shown(money.spending_limit),
        )
    if money.without_spending_limit:
        yield say("There is no limit of spending.")


def _rates(telling: Telling, money: MoneyChanges) -> Iterator[str]:
    say = telling.say
    growth, interest = (_digits(telling, abs(one)) for one in (money.growth_points, money.interest_points))
    if money.growth_points > 0:
        yield say("Costs grow faster, percentage points a year: %(points)s.", points=growth)
    elif money.growth_points < 0:
        yield say("Costs grow slower, percentage points a year: %(points)s.", points=growth)
    if money.interest_points > 0:
        yield say("The reserve earns more, percentage points a year: %(points)s.", points=interest)
    elif money.interest_points < 0:
        yield say("The reserve earns less, percentage points a year: %(points)s.", points=interest)


def _contribution(telling: Telling, change: ContributionChange) -> str:
    say = telling.say
    match change:
        case LeastContribution():
            return say("The least contribution that keeps the floor, in place of the plan's own.") + _rise(
                telling, change.percent_a_year
            )
        case StatedContribution():
            amount = telling.shown(change.amount)
            return say(
                "A contribution of %(amount)s a year, in place of the plan's own.", amount=amount
            ) + _rise(telling, change.percent_a_year)
        case ContributionByPercent():
            percent = telling.shown(Share(abs(change.percent)))
            if change.percent < 0:
                return say("The contribution of every year %(percent)s less.", percent=percent)
            return say("The contribution of every year %(percent)s more.", percent=percent)
        case ContributionByAmount():
            money = change.amount
            amount = telling.shown(Money.model_construct(amount=abs(money.amount), currency=money.currency))
            if money.amount < 0:
                return say("The contribution of every year %(amount)s less.", amount=amount)
            return say("The contribution of every year %(amount)s more.", amount=amount)


def _rise(telling: Telling, percent: Decimal) -> str:
    if not percent:
        return ""
    shown = telling.shown(Share(abs(percent)))
    if percent < 0:
        return " " + telling.say("It falls by %(percent)s a year.", percent=shown)
    return " " + telling.say("It rises by %(percent)s a year.", percent=shown)


def _digits(telling: Telling, number: Decimal) -> str:
    return telling.writing.format.number(number)


def not_possible(telling: Telling, one: ScenarioFigures) -> str:
    """Why a scenario has no figures."""
    if one.start == "best_timing":
        return telling.say("Not possible: no timing of the projects keeps every limit.")
    return telling.say("Not possible: no contribution that could be meant keeps the reserve at its floor.")
