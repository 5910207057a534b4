"""A plan with all that its figures rest on, read at one moment: its projects, their costs, the assets, the club."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Literal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.capital_plans import Plan, PlanProject
from swardcost_model.plan_figures import PlanGap
from swardcost_model.problems import ProblemError
from swardcost_model.values import CURRENCY_DIGITS, Money, from_minor, to_minor

from swardcost_api.access.service import read_club
from swardcost_api.capital.plan_assets import PlanAsset, assets_of_plan
from swardcost_api.capital.plan_rows import projects_of_plan, read_plan
from swardcost_api.engine.capital.deferral import phased_cost
from swardcost_api.engine.capital.growth import MOST_YEARS
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.estimates.service import NamedEstimate, named_estimates
from swardcost_api.storage.work import UnitOfWork

_BEYOND = 10**12
"""Amounts of so many whole units of a currency are not meant."""
Spending = Literal["capital", "operating"]


@dataclass(frozen=True, slots=True)
class CountedProject:
    """A project with its cost at the prices of the price year, in minor units; none where nobody knows it."""

    stated: PlanProject
    cost_minor: int | None
    basis: str
    gaps: tuple[PlanGap, ...]
    growth_percent: Decimal
    price_year: int
    spending: Spending
    spending_because: str
    spending_doubt: bool

    @property
    def label(self) -> str:
        """How it is named in words."""
        return f"{self.stated.number} ({self.stated.name})"

    @property
    def phases_minor(self) -> list[int]:
        """Its cost split over its phases at the prices of the price year; parts sum to the cost."""
        if self.cost_minor is None:
            return []
        return split_exactly(self.cost_minor, [int(one.percent.scaleb(6)) for one in self.stated.phases])

    def costs_from(self, year: int) -> list[int]:
        """The cost of each phase in the money of its year, where it begins in a year.

        Empty without a cost, and where a phase is further from the price year than costs are grown.
        """
        if year + len(self.stated.phases) - 1 - self.price_year > MOST_YEARS:
            return []
        return phased_cost(self.phases_minor, self.growth_percent, year - self.price_year)

    @property
    def last_year(self) -> int | None:
        """The year of its last phase, as dated."""
        return None if self.stated.year is None else self.stated.year + len(self.stated.phases) - 1


@dataclass(frozen=True)
class CountedPlan:
    """A plan to be counted."""

    plan: Plan
    club: Club
    assets: Sequence[PlanAsset]
    projects: Sequence[CountedProject]

    @property
    def currency(self) -> str:
        """The currency of all its money."""
        return self.plan.money.opening_reserve.currency

    @property
    def years(self) -> range:
        """Its calendar years."""
        return range(self.plan.first_year, self.plan.first_year + self.plan.years)

    @property
    def price_year(self) -> int:
        """The year of whose prices costs are."""
        return self.plan.price_year or self.plan.first_year

    @property
    def floor_minor(self) -> int:
        """What must be left at the end of every year."""
        least = self.plan.money.least_balance
        return 0 if least is None else self.minor(least)

    @cached_property
    def growth(self) -> Mapping[str | None, Decimal]:
        """Percent a year by which the costs of each group rise; of no group under `None`."""
        return growth_by_group(self.plan)

    @cached_property
    def dated(self) -> Sequence[CountedProject]:
        """The projects that have a year and a cost, by number."""
        return [one for one in self.projects if one.stated.year is not None and one.cost_minor is not None]

    def minor(self, money: Money) -> int:
        """An amount in minor units."""
        return to_minor(money.amount, money.currency)

    def money(self, minor: int) -> Money:
        """An amount of the plan. Raises `wrong-state` for one that cannot be meant."""
        if abs(minor) >= _BEYOND * 10 ** CURRENCY_DIGITS[self.currency]:
            raise ProblemError(
                problems.WRONG_STATE,
                f"The amounts of this plan grow to {_BEYOND:,} {self.currency} and beyond; look at its percentages.",
            )
        return Money.of_minor(minor, self.currency)

    def figure(self, minor: int) -> float:
        """An amount as a figure of a derivation."""
        return float(from_minor(minor, self.currency))

    def words(self, minor: int) -> str:
        """An amount in words."""
        return f"{from_minor(minor, self.currency):,f} {self.currency}"


def growth_by_group(plan: Plan) -> dict[str | None, Decimal]:
    """Percent a year by which the costs of each group rise; of no group under `None`."""
    return {None: plan.growth_percent} | {one.name: one.percent for one in plan.growth_groups}


def read_counted_plan(work: UnitOfWork, plan_id: UUID) -> CountedPlan:
    """A plan with its projects, and the assets and estimates that they name. Raises `not-found`."""
    plan = read_plan(work, plan_id)
    assets = assets_of_plan(work, plan_id)
    projects = projects_of_plan(work, plan_id)
    named = {one.estimate_id for one in projects if one.estimate_id is not None}
    estimates = named_estimates(work, named) if named else {}
    by_id = {one.id: one for one in assets}
    counted = [_counted(plan, one, by_id, estimates) for one in projects]
    return CountedPlan(plan, read_club(work), assets, counted)


def _counted(
    plan: Plan,
    project: PlanProject,
    assets: Mapping[UUID, PlanAsset],
    estimates: Mapping[UUID, NamedEstimate],
) -> CountedProject:
    cost, basis, gaps = _cost(project, assets, estimates)
    spending, because, doubt = _spending(plan, project, cost)
    return CountedProject(
        project, cost, basis, (*gaps, *_missing_scores(plan, project)), growth_by_group(plan)[project.growth_group],
        plan.price_year or plan.first_year, spending, because, doubt,
    )  # fmt: skip


def under_terms(counted: CountedPlan, plan: Plan, projects: Sequence[PlanProject]) -> CountedPlan:
    """The same plan on other terms and with its projects stated otherwise: the same projects, in the same order.

    What their costs rest on stays as it was read; only growth and spending are looked up in the terms again.
    """
    growth = growth_by_group(plan)

    def again(one: CountedProject, stated: PlanProject) -> CountedProject:
        spending, because, doubt = _spending(plan, stated, one.cost_minor)
        return replace(
            one, stated=stated, growth_percent=growth[stated.growth_group], spending=spending, spending_because=because,
            spending_doubt=doubt,
        )  # fmt: skip

    found = [again(one, stated) for one, stated in zip(counted.projects, projects, strict=True)]
    return replace(counted, plan=plan, projects=found)


def _cost(
    project: PlanProject, assets: Mapping[UUID, PlanAsset], estimates: Mapping[UUID, NamedEstimate]
) -> tuple[int | None, str, list[PlanGap]]:
    """The cost in minor units, what it rests on, and what keeps it from being known."""
    if project.cost is not None:
        return to_minor(project.cost.amount, project.cost.currency), "Stated with the project.", []
    if project.estimate_id is not None:
        found = estimates[project.estimate_id]
        if not found.complete:
            words = f"Project {project.number} ({project.name}) has no cost: estimate {found.label}, is incomplete."
            return None, "Not known.", [PlanGap(kind="project_cost", about=project.id, words=words)]
        return to_minor(found.total.amount, found.total.currency), "The total of its estimate.", []
    gaps = list(_unknown_assets(project, assets))
    if gaps:
        return None, "Not known.", gaps
    costs = [assets[one].cost for one in project.asset_ids]
    total_minor = sum(to_minor(one.amount, one.currency) for one in costs if one is not None)
    count = len(costs)
    words = "The replacement cost of its asset." if count == 1 else f"The sum of its {count} assets."
    return total_minor, words, []


def _unknown_assets(project: PlanProject, assets: Mapping[UUID, PlanAsset]) -> Iterator[PlanGap]:
    where = f"Project {project.number} ({project.name})"
    for asset_id in project.asset_ids:
        asset = assets.get(asset_id)
        if asset is None:
            words = f"{where} has no cost: an asset that it replaces is no longer there."
            yield PlanGap(kind="asset_gone", about=asset_id, words=words)
        elif asset.cost is None:
            words = f"{where} has no cost: nobody knows what asset {asset.code} ({asset.name}) costs."
            yield PlanGap(kind="project_cost", about=project.id, words=words)


def _missing_scores(plan: Plan, project: PlanProject) -> Iterator[PlanGap]:
    scored = {one.criterion for one in project.scores}
    missing = [one.name for one in plan.criteria if one.name not in scored]
    if missing:
        words = f"Project {project.number} ({project.name}) is not scored by {', '.join(missing)}."
        yield PlanGap(kind="project_score", about=project.id, words=words)


def _spending(plan: Plan, project: PlanProject, cost_minor: int | None) -> tuple[Spending, str, bool]:
    """Capital or operating, why, and whether that is a doubt."""
    if project.spending is not None:
        return project.spending, "Stated with the project.", False
    threshold = plan.capital_threshold
    if threshold is None:
        words = "Taken as capital: neither the project nor a threshold of the plan says which it is."
        return "capital", words, True
    named = f"{threshold.amount:,f} {threshold.currency}"
    if cost_minor is None:
        return (
            "capital",
            f"Taken as capital: its cost, to hold against the threshold of {named}, is not known.",
            True,
        )
    if cost_minor >= to_minor(threshold.amount, threshold.currency):
        return "capital", f"It costs at least the plan's threshold of {named}.", False
    return "operating", f"It costs less than the plan's threshold of {named}.", False
