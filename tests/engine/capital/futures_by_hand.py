"""One future of a plan at a time, by plain fractions and whole numbers: the second opinion; and plans to try it on."""

import math
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from swardcost_api.engine.capital.futures import (
    asset_percents,
    points_drawn,
    project_percents,
)
from swardcost_api.engine.capital.lives_drawn import life_shares
from swardcost_api.engine.capital.reserve import Flows, InterestTerms, projected
from swardcost_api.engine.capital.uncertain_plans import (
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.risk.ranges import Triangular

SURELY_THREE = Triangular(2.1, 2.5, 2.9)
"""A range of lives that all are due after three years, part years counted up."""


def rounded(exact: Fraction) -> int:
    """The nearest whole number, a half up."""
    return math.floor(exact + Fraction(1, 2))


def plan_of(
    projects: list[DatedProject], assets: list[LivingAsset], years: int = 10, income: int = 0, floor: int = 0
) -> UncertainPlan:
    """A plan of a million without interest and growth."""
    return UncertainPlan(
        1_000_000, [Flows(income) for _ in range(years)], InterestTerms(), floor, projects, assets
    )


def without_ranges(plan: UncertainPlan) -> UncertainPlan:
    """The same plan where lives and costs are as expected."""
    return replace(
        plan,
        projects=[replace(one, cost_percent=None) for one in plan.projects],
        assets=[replace(one, present=None, renewed=None, cost_percent=None) for one in plan.assets],
    )


def as_dated(plan: UncertainPlan) -> tuple[list[int], list[int]]:
    """What a plan spends, and what is left, in each year, if all comes as it is dated; in minor units."""
    spent = [0] * plan.years
    for one in plan.projects:
        for phase, minor in enumerate(one.phases_minor):
            if one.begins + phase < plan.years:
                growth = (1 + Fraction(one.growth_percent) / 100) ** (one.begins + phase + plan.since_prices)
                spent[one.begins + phase] += rounded(minor * growth)
    return spent, _left(plan, spent, plan.interest.percent)


def _left(plan: UncertainPlan, spent: list[int], percent: Decimal) -> list[int]:
    flows = [
        replace(one, spending_minor=one.spending_minor + minor)
        for one, minor in zip(plan.flows, spent, strict=True)
    ]
    years = projected(plan.opening_minor, flows, replace(plan.interest, percent=percent))
    return [year.closing_minor for year in years]


@dataclass
class FutureByHand:
    """The future `number` of a drawing."""

    plan: UncertainPlan
    drawing: Drawing
    number: int

    def __post_init__(self) -> None:
        self.spent = [0] * self.plan.years
        self.lives: dict[str, int] = {}
        self.fails: dict[str, int] = {}
        for asset in self.plan.assets:
            if asset.present is not None and asset.renewed is not None:
                self.fails[asset.key] = asset.since + self._life(asset, asset.present, -1 - asset.since)
        for project in sorted(self.plan.projects, key=lambda one: (one.begins, one.key)):
            self._do(project)
        for asset in self.plan.assets:
            cost = self._drawn(asset.cost_minor or 0, asset_percents(self.drawing, asset))
            while (fails := self.fails.get(asset.key, self.plan.years)) < self.plan.years:
                self.spent[fails] += self._grown(cost, asset.growth_percent, fails)
                self._renew(asset, fails)

    @property
    def left(self) -> list[int]:
        points = points_drawn(self.drawing, "interest", self.drawing.interest_points)
        more = Decimal(0) if points is None else Decimal(int(points[self.number])) / 10_000
        return _left(self.plan, self.spent, self.plan.interest.percent + more)

    def _do(self, project: DatedProject) -> None:
        assets = [self.plan.asset[key] for key in project.assets]
        known = all(one.cost_minor is not None for one in assets) and any(one.cost_minor for one in assets)
        weights = [one.cost_minor or 0 if known else 1 for one in assets]
        drawn = [one for one in assets if one.renewed is not None]
        if self.drawing.several == "whole_project" or len(assets) < 2 or not drawn:
            parts = [(Fraction(0), Fraction(1), assets)]
        else:
            rest = [one for one in assets if one.renewed is None]
            parts, before = [], Fraction(0)
            for members in [*([one] for one in drawn), *([rest] if rest else [])]:
                share = sum(weights[assets.index(one)] for one in members)
                parts.append((before, before + Fraction(share, sum(weights)), members))
                before = parts[-1][1]
        percents = project_percents(self.drawing, self.plan, project)
        costs = [self._drawn(minor, percents) for minor in project.phases_minor]
        for before, upto, members in parts:
            begins = self._begins(project, members)
            for phase, cost in enumerate(costs):
                year = begins + phase
                if year < self.plan.years:
                    whole = self._grown(cost, project.growth_percent, year)
                    self.spent[year] += rounded(whole * upto) - rounded(whole * before)
            for asset in members:
                self._renew(asset, begins + len(costs) - 1)

    def _begins(self, project: DatedProject, members: list[LivingAsset]) -> int:
        fails = [self.fails[one.key] for one in members if one.key in self.fails]
        if self.drawing.when == "failed" and fails and len(fails) == len(members):
            latest = math.inf if project.latest is None else max(project.latest, project.begins)
            return int(min(*fails, latest)) if len(fails) > 1 else int(min(fails[0], latest))
        return min([project.begins, *fails])

    def _renew(self, asset: LivingAsset, year: int) -> None:
        if asset.renewed is not None:
            self.lives[asset.key] = self.lives.get(asset.key, 0) + 1
            self.fails[asset.key] = year + self._life(asset, asset.renewed, 0)

    def _life(self, asset: LivingAsset, life: Triangular, lived: int) -> int:
        """Whole years: the shares of lives by halving the share of those that are shorter."""
        share = float(
            life_shares(self.drawing.seed, asset.key, self.lives.get(asset.key, 0), self.drawing.futures)[
                self.number
            ]
        )
        lived = max(lived, 0)
        if lived >= life.high:
            return lived + 1
        wanted = _shorter(life, lived) + (1 - _shorter(life, lived)) * share
        low, high = max(life.low, lived), life.high
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if _shorter(life, middle) < wanted else (low, middle)
        return max(math.ceil(high), lived + 1)

    def _drawn(self, minor: int, percents: object) -> int:
        return minor if percents is None else rounded(Fraction(minor * int(percents[self.number]), 1_000_000))  # type: ignore[index]

    def _grown(self, minor: int, percent: Decimal, year: int) -> int:
        points = points_drawn(self.drawing, "growth", self.drawing.growth_points)
        more = Fraction(0) if points is None else Fraction(int(points[self.number]), 10_000)
        return rounded(minor * (1 + (Fraction(percent) + more) / 100) ** (year + self.plan.since_prices))


def _shorter(life: Triangular, years: float) -> float:
    """The share of lives that are at most so many years: the area of the triangle up to there."""
    if years <= life.low:
        return 0.0
    if years >= life.high:
        return 1.0
    top = 2 / (life.high - life.low)
    if years <= life.likely:
        return (years - life.low) * top * (years - life.low) / (life.likely - life.low) / 2
    return 1 - (life.high - years) * top * (life.high - years) / (life.high - life.likely) / 2


MINOR = st.one_of(st.integers(0, 50), st.integers(0, 10**8), st.integers(0, 10**11))
PERCENTS = st.decimals(-5, 12, places=2)


@st.composite
def lives(draw: st.DrawFn) -> Triangular:
    """Ranges of lives with some width."""
    low = draw(st.floats(0.5, 8))
    likely = low + draw(st.floats(0, 6))
    return Triangular(low, likely, likely + draw(st.floats(0.25, 6)))


@st.composite
def costs(draw: st.DrawFn) -> Triangular:
    """Ranges about 100 percent."""
    return Triangular(draw(st.floats(40, 100)), 100.0, draw(st.floats(100, 220)))


@st.composite
def _assets(draw: st.DrawFn, key: str) -> LivingAsset:
    renewed = draw(st.none() | lives())
    return LivingAsset(
        key, draw(st.integers(-15, 1)), None if renewed is None else draw(st.none() | st.just(renewed) | lives()),
        renewed, draw(st.none() | MINOR), draw(st.none() | costs()), draw(PERCENTS),
    )  # fmt: skip


@st.composite
def uncertain_plans(draw: st.DrawFn) -> UncertainPlan:
    """Plans of a few years, assets and projects, with and without ranges."""
    years = draw(st.integers(1, 10))
    assets = [draw(_assets(f"asset {place}")) for place in range(draw(st.integers(0, 4)))]
    keys = st.lists(st.sampled_from([one.key for one in assets]), unique=True) if assets else st.just([])
    projects = [
        DatedProject(
            f"project {place}", draw(st.integers(0, years - 1)),
            tuple(draw(st.lists(MINOR, min_size=1, max_size=3))), draw(PERCENTS), draw(st.none() | costs()),
            draw(st.booleans()), tuple(draw(keys)), draw(st.none() | st.integers(0, years)),
        )
        for place in range(draw(st.integers(0, 4)))
    ]  # fmt: skip
    flows = st.builds(Flows, MINOR, MINOR, MINOR, MINOR)
    interest = InterestTerms(draw(PERCENTS), draw(st.sampled_from(["opening_balance", "average_balance"])))  # type: ignore[arg-type]
    return UncertainPlan(
        draw(st.integers(-(10**9), 10**11)), draw(st.lists(flows, min_size=years, max_size=years)), interest,
        draw(MINOR), projects, assets, draw(st.integers(-9, 9)),
    )  # fmt: skip


@st.composite
def drawings(draw: st.DrawFn) -> Drawing:
    """Drawings of few futures, by either rule, with and without points of growth and interest."""
    points = st.none() | st.builds(
        lambda low, high: Triangular(-low, 0.0, high), st.floats(0, 3), st.floats(0, 3)
    )
    return Drawing(
        draw(st.integers(100, 130)), draw(st.integers(0, 10**6)), draw(st.sampled_from(["dated_or_failed", "failed"])),  # type: ignore[arg-type]
        draw(st.sampled_from(["each_asset", "whole_project"])), draw(points), draw(points),  # type: ignore[arg-type]
    )  # fmt: skip
