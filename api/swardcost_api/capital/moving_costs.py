"""What it costs in all that projects begin in other years than dated."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_years import CountedYear, flows_by_year, reserve_of
from swardcost_api.capital.scenario_changes import with_years
from swardcost_api.engine.capital.deferral import deferral


@dataclass(frozen=True, slots=True)
class Moved:
    """A project in another year: how much dearer its work is, and the upkeep of the years between, in minor units.

    Both are below zero where it begins earlier and costs rise.
    """

    project: CountedProject
    dated: int
    begins: int
    growth_minor: int
    upkeep_minor: int


@dataclass(frozen=True, slots=True)
class CostOfMoving:
    """The projects that are moved, and what the reserve earns more with all of them moved, in minor units."""

    moved: tuple[Moved, ...]
    interest_minor: int

    @property
    def growth_minor(self) -> int:
        """By how much the work gets dearer."""
        return sum(one.growth_minor for one in self.moved)

    @property
    def upkeep_minor(self) -> int:
        """Of the years between."""
        return sum(one.upkeep_minor for one in self.moved)

    @property
    def net_minor(self) -> int:
        """Growth and upkeep less interest; below zero where moving pays."""
        return self.growth_minor + self.upkeep_minor - self.interest_minor


def cost_of_moving(base: CountedPlan, counted: CountedPlan, years: Sequence[CountedYear]) -> CostOfMoving:
    """What the projects cost that begin in another year in `counted` than in `base`, all of them together.

    Under the terms of `counted`, whose years these are. What is spent after the plan counts, and its money earns
    interest to the end of the plan, as where one project is deferred by itself. Projects without a year in either of
    them, or without a cost, are not in it.
    """
    moved = tuple(_moved(base, counted))
    if not moved:
        return CostOfMoving((), 0)
    dated = with_years(counted, {one.project.stated.id: one.dated for one in moved})
    flows = flows_by_year(dated, loans=[year.loans for year in years])
    before = sum(year.interest_minor for year in reserve_of(dated, flows))
    return CostOfMoving(moved, sum(year.reserve.interest_minor for year in years) - before)


def _moved(base: CountedPlan, counted: CountedPlan) -> Iterator[Moved]:
    for was, one in zip(base.projects, counted.projects, strict=True):
        dated, begins, upkeep = was.stated.year, one.stated.year, one.stated.upkeep_a_year
        if dated is None or begins is None or dated == begins or not one.costs_from(max(dated, begins)):
            continue
        sign = 1 if begins > dated else -1
        found = deferral(
            one.phases_minor, one.growth_percent, min(dated, begins) - counted.price_year, abs(begins - dated),
            0 if upkeep is None else counted.minor(upkeep), counted.plan.growth_percent, 0,
        )  # fmt: skip
        yield Moved(one, dated, begins, sign * found.growth_minor, sign * found.upkeep_minor)
