"""What it costs in all that projects begin in other years than dated."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.deferrals import InterestKept, deferral_in, interest_kept
from swardcost_api.capital.plan_years import CountedYear, flows_by_year
from swardcost_api.capital.scenario_changes import with_years


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
    """The projects that are moved, and what the reserve earns with all of them moved, all else as dated."""

    moved: tuple[Moved, ...]
    interest: InterestKept

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
        return self.growth_minor + self.upkeep_minor - self.interest.kept_minor


def cost_of_moving(base: CountedPlan, counted: CountedPlan, years: Sequence[CountedYear]) -> CostOfMoving:
    """What the projects cost that begin in another year in `counted` than in `base`, all of them together.

    Under the terms of `counted`, whose years these are, and beside all other projects as dated, so that one project
    costs what deferring it costs. What is spent after the plan counts, and its money earns interest to the end of the
    plan. Projects without a year in either of them, or without a cost, are not in it.
    """
    moved = tuple(_moved(base, counted))
    if not moved:
        return CostOfMoving((), InterestKept(0, 0))
    dated = with_years(counted, {one.stated.id: one.stated.year for one in base.projects})
    begun = with_years(dated, {one.project.stated.id: one.begins for one in moved})
    loans = [year.loans for year in years]
    as_dated, as_begun = (flows_by_year(one, loans=loans) for one in (dated, begun))
    return CostOfMoving(moved, interest_kept(counted, as_dated, as_begun))


def _moved(base: CountedPlan, counted: CountedPlan) -> Iterator[Moved]:
    for was, one in zip(base.projects, counted.projects, strict=True):
        dated, begins = was.stated.year, one.stated.year
        if dated is None or begins is None or dated == begins or not one.costs_from(max(dated, begins)):
            continue
        sign = 1 if begins > dated else -1
        found = deferral_in(counted, one, min(dated, begins), abs(begins - dated), 0)
        yield Moved(one, dated, begins, sign * found.growth_minor, sign * found.upkeep_minor)
