"""What a scenario changes of a plan, applied to the plan as it was read: nothing is kept, and nothing is solved."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from swardcost_model.capital_plans import MoneyTerms, Plan, PlanProject, YearlyIncome
from swardcost_model.plan_scenarios import (
    ContributionByAmount,
    ContributionByPercent,
    MoneyChanges,
    Scenario,
    StatedContribution,
)

from swardcost_api.capital.counted_plans import CountedPlan, under_terms
from swardcost_api.capital.decided_plans import as_decided
from swardcost_api.capital.least_contributions import own_contributions
from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.capital.least_funding import contributions


@dataclass(frozen=True)
class ChangedPlan:
    """A plan as a scenario has it before anything is solved.

    `why` says of each project that is not as dated why not; `waiting` are projects on which nothing is decided yet,
    where the scenario starts as decided.
    """

    counted: CountedPlan
    why: Mapping[UUID, str] = field(default_factory=dict)
    waiting: Sequence[str] = ()


def changed(counted: CountedPlan, scenario: Scenario) -> ChangedPlan:
    """The plan with the terms, projects and stated contributions of a scenario.

    With `best_timing` a moved project may begin in that year alone, and must; the other years are still as dated. A
    `least` contribution is not in it. Expects a scenario without faults.
    """
    why: dict[UUID, str] = {}
    waiting: Sequence[str] = ()
    if scenario.start == "as_decided":
        decided = as_decided(counted)
        counted, waiting = decided.counted, decided.waiting
        why |= decided.why
    stated = [_project(one.stated, scenario, why) for one in counted.projects]
    found = under_terms(counted, _terms(counted, scenario), stated)
    return ChangedPlan(_with_stated_contribution(found, scenario.money), why, waiting)


def with_years(counted: CountedPlan, years: Mapping[UUID, int | None]) -> CountedPlan:
    """The plan with projects in other years, none for those that are not done; others stay as they are."""
    stated = [
        one.stated.model_copy(update={"year": years[one.stated.id]}) if one.stated.id in years else one.stated
        for one in counted.projects
    ]
    return under_terms(counted, counted.plan, stated)


def with_contributions(counted: CountedPlan, by_year_minor: Sequence[int]) -> CountedPlan:
    """The plan with other contributions, one for each of its years in minor units, in place of its own."""
    kept = [one for one in counted.plan.money.incomes if one.kind != "contribution"]
    paid = [
        YearlyIncome(
            name=f"Contribution of {year}", amount=counted.money(minor), first_year=year, last_year=year
        )
        for year, minor in zip(counted.years, by_year_minor, strict=True)
        if minor
    ]
    money = counted.plan.money.model_copy(update={"incomes": [*paid, *kept]})
    return under_terms(
        counted, counted.plan.model_copy(update={"money": money}), [one.stated for one in counted.projects]
    )  # fmt: skip


def _project(project: PlanProject, scenario: Scenario, why: dict[UUID, str]) -> PlanProject:
    changes, year = scenario.projects, project.year
    moved = next((one.year for one in changes.moved if one.project_id == project.id), None)
    if project.id in changes.left_out:
        why[project.id] = "Left out in this scenario."
        return project.model_copy(update={"year": None})
    if moved is not None:
        if moved != year:
            since = "" if year is None else f" from {year}"
            why[project.id] = f"Moved{since} to {moved} in this scenario."
        update: dict[str, Any] = {"year": moved}
        if scenario.start == "best_timing":
            update |= {"earliest": moved, "latest": moved, "required": True}
        return project.model_copy(update=update)
    if changes.deferred_by and year is not None:
        later = year + changes.deferred_by
        before = why.get(project.id)
        why[project.id] = f"{before} Then " if before else ""
        why[project.id] += f"{'p' if before else 'P'}ut off from {year} to {later} in this scenario."
        return project.model_copy(update={"year": later})
    return project


def _terms(counted: CountedPlan, scenario: Scenario) -> Plan:
    plan, changes = counted.plan, scenario.money
    growth = changes.growth_points
    update: dict[str, Any] = {
        "money": _money(plan.money, changes),
        "growth_percent": plan.growth_percent + growth,
        "growth_groups": [
            one.model_copy(update={"percent": one.percent + growth}) for one in plan.growth_groups
        ],
    }
    if scenario.projects.capital_threshold is not None:
        update["capital_threshold"] = scenario.projects.capital_threshold
    return plan.model_copy(update=update)


def _money(money: MoneyTerms, changes: MoneyChanges) -> MoneyTerms:
    update: dict[str, Any] = {
        "assessments": [*money.assessments, *changes.assessments],
        "loans": [*money.loans, *changes.loans],
        "interest_percent": money.interest_percent + changes.interest_points,
    }
    if changes.least_balance is not None:
        update["least_balance"] = changes.least_balance
    if changes.spending_limit is not None:
        update["spending_limit"] = changes.spending_limit
    if changes.without_spending_limit:
        update["spending_limit"] = None
    return money.model_copy(update=update)


def _with_stated_contribution(counted: CountedPlan, changes: MoneyChanges) -> CountedPlan:
    change, own = changes.contribution, own_contributions(counted)
    match change:
        case StatedContribution():
            first = counted.minor(change.amount)
            return with_contributions(
                counted, contributions(first, change.percent_a_year, len(counted.years), 0)
            )
        case ContributionByPercent():
            return with_contributions(counted, [by_percent(one, change.percent) for one in own])
        case ContributionByAmount():
            more = counted.minor(change.amount)
            return with_contributions(counted, [max(one + more, 0) for one in own])
    return counted


def by_percent(minor: int, percent: Decimal) -> int:
    """An amount in minor units by so many percent more or less, rounded half up.

    Examples
    --------
    >>> by_percent(15_000_001, Decimal("-10"))
    13500001
    """
    return half_up(minor * (1 + Fraction(percent) / 100))
