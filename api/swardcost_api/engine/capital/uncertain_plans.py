"""A capital plan as its futures are drawn: ranges of lives and costs, and how they are to be drawn."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from swardcost_api.engine.capital.growth import LARGEST_PERCENT, LEAST_PERCENT
from swardcost_api.engine.capital.reserve import Flows, InterestTerms
from swardcost_api.engine.risk.ranges import Triangular

When = Literal["dated_or_failed", "failed"]
Several = Literal["each_asset", "whole_project"]
LEAST_FUTURES, MOST_FUTURES = 100, 20_000
AS_EXPECTED = 100.0
"""Percent of its cost that something costs as expected."""


@dataclass(frozen=True, slots=True)
class LivingAsset:
    """An asset as it is drawn.

    Years count from the first of the plan, which is 0: `since` is the one from which `present`, the life of what is in
    use, counts. Without `present` nobody knows when that ends; without `renewed` none of its lives is drawn. Lives are
    in years. Cost is at the prices of the price year, in minor units, none where it is not known; `cost_percent` is
    its range in percent of that. Raises `ValueError` for a range that is not about 100 percent, a life not above zero,
    or `present` without `since`.
    """

    key: str
    since: int | None = None
    present: Triangular | None = None
    renewed: Triangular | None = None
    cost_minor: int | None = None
    cost_percent: Triangular | None = None
    growth_percent: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        _about(self.key, self.cost_percent, AS_EXPECTED)
        for life in (self.present, self.renewed):
            if life is not None and not life.low > 0:
                raise ValueError(f"{self.key}: expected a life above zero; got {life}")
        if self.present is not None and self.since is None:
            raise ValueError(f"{self.key}: expected the year from which its present life counts; got none")

    @property
    def drawn(self) -> bool:
        """Whether any of its lives is."""
        return self.renewed is not None

    @property
    def lived(self) -> int:
        """How many years what is in use has lasted when the plan begins; 0 too where nobody knows."""
        return 0 if self.since is None else max(-1 - self.since, 0)

    @property
    def outlived(self) -> bool:
        """Whether what is in use is older than its longest life."""
        return self.drawn and self.present is not None and self.lived >= self.present.high


@dataclass(frozen=True, slots=True)
class DatedProject:
    """A project as it is dated and drawn: the year in which it begins, from 0, and its latest where one is stated.

    Phases are at the prices of the price year, in minor units. Without a `cost_percent` of its own a project
    `by_assets` costs what its assets turn out to cost. Raises `ValueError` without phases, for one below zero, or for
    a range that is not about 100 percent.
    """

    key: str
    begins: int
    phases_minor: tuple[int, ...]
    growth_percent: Decimal = Decimal(0)
    cost_percent: Triangular | None = None
    by_assets: bool = False
    assets: tuple[str, ...] = ()
    latest: int | None = None

    def __post_init__(self) -> None:
        _about(self.key, self.cost_percent, AS_EXPECTED)
        if not self.phases_minor or min(self.phases_minor) < 0:
            raise ValueError(f"{self.key}: expected phases of zero or more; got {self.phases_minor}")


@dataclass(frozen=True)
class UncertainPlan:
    """A plan as it is drawn.

    `flows` are those of its years; what projects cost comes on top of their spending. `since_prices` is the number of
    years from the price year to the first year. Raises `ValueError` for no years, a project that begins in none of
    them, a key given twice, or an asset that is not there.
    """

    opening_minor: int
    flows: Sequence[Flows]
    interest: InterestTerms
    floor_minor: int
    projects: Sequence[DatedProject]
    assets: Sequence[LivingAsset]
    since_prices: int = 0
    asset: Mapping[str, LivingAsset] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "asset", {one.key: one for one in self.assets})
        _each_once("project", [one.key for one in self.projects])
        _each_once("asset", [one.key for one in self.assets])
        for project in self.projects:
            _each_once(f"{project.key}: asset", project.assets)
            if not 0 <= project.begins < self.years:
                raise ValueError(f"{project.key}: expected a year of the plan; got {project.begins}")
            if missing := sorted(set(project.assets) - self.asset.keys()):
                raise ValueError(f"{project.key}: expected assets of the plan; got {missing}")

    @property
    def years(self) -> int:
        """How many years it has."""
        return len(self.flows)

    @property
    def growth_percents(self) -> set[Decimal]:
        """Every percentage by which some cost of it grows."""
        of_assets = {one.growth_percent for one in self.assets}
        return of_assets | {one.growth_percent for one in self.projects}

    @property
    def figures_drawn(self) -> int:
        """About how many numbers a future draws and prices: lives, of which short ones are many, parts and costs."""
        lives = sum(
            2 + int(self.years / one.renewed.likely) for one in self.assets if one.renewed is not None
        )
        parts = sum(len(one.phases_minor) * max(len(one.assets), 1) for one in self.projects)
        return lives + parts + len(self.assets) + len(self.projects)

    def has_cost_range(self, project: DatedProject) -> bool:
        """Whether what a project costs is drawn: by a range of its own, or of the assets that it goes by."""
        if project.cost_percent is not None or not project.by_assets:
            return project.cost_percent is not None
        return any(self.asset[key].cost_percent is not None for key in project.assets)

    def has_ranges(self, drawing: "Drawing") -> bool:
        """Whether anything may differ from future to future."""
        return (
            drawing.growth_points is not None
            or drawing.interest_points is not None
            or any(one.drawn for one in self.assets)
            or any(self.has_cost_range(one) for one in self.projects)
        )


@dataclass(frozen=True, slots=True)
class Drawing:
    """How futures are drawn: how many, from which seed, and when work is done.

    `growth_points` and `interest_points` are added to every percentage of growth, and to the interest, throughout a
    future. Raises `ValueError` for another number of futures than 100 to 20,000, or points that are not about zero.
    """

    futures: int = 1000
    seed: int = 0
    when: When = "dated_or_failed"
    several: Several = "each_asset"
    growth_points: Triangular | None = None
    interest_points: Triangular | None = None

    def __post_init__(self) -> None:
        if not LEAST_FUTURES <= self.futures <= MOST_FUTURES:
            raise ValueError(f"futures: expected from {LEAST_FUTURES} to {MOST_FUTURES}; got {self.futures}")
        _about("growth points", self.growth_points, 0.0)
        _about("interest points", self.interest_points, 0.0)

    def refuse_beyond(self, plan: UncertainPlan) -> None:
        """Raise `ValueError` where a percentage of the plan with its points leaves -50 to 100."""
        for what, percents, points in (
            ("growth", plan.growth_percents, self.growth_points),
            ("interest", {plan.interest.percent}, self.interest_points),
        ):
            low, high = (0.0, 0.0) if points is None else (points.low, points.high)
            for percent in percents:
                if not LEAST_PERCENT <= percent + Decimal(low) <= percent + Decimal(high) <= LARGEST_PERCENT:
                    raise ValueError(
                        f"{what}: expected from {LEAST_PERCENT} to {LARGEST_PERCENT} percent; got {percent} with from "
                        f"{low} to {high} points"
                    )


def _each_once(what: str, keys: Iterable[str]) -> None:
    found = sorted(keys)
    if len(set(found)) < len(found):
        raise ValueError(f"{what}: expected each key once; got {found}")


def _about(what: str, span: Triangular | None, middle: float) -> None:
    if span is not None and span.likely != middle:
        raise ValueError(f"{what}: expected a range about {middle}; got {span}")
