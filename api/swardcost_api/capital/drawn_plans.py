"""A counted plan as its futures are drawn: its assets with their ranges of life, its projects with their ranges of
cost."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from swardcost_model.plan_futures import FuturesQuestion, PointsRange

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject
from swardcost_api.capital.plan_assets import PlanAsset
from swardcost_api.capital.plan_years import flows_by_year, interest_terms
from swardcost_api.engine.capital.uncertain_plans import (
    AS_EXPECTED,
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.risk.ranges import Triangular


@dataclass(frozen=True)
class DrawnPlan:
    """A plan as it is drawn, with what its keys stand for: an asset's code, a project's number."""

    counted: CountedPlan
    asked: FuturesQuestion

    @cached_property
    def assets(self) -> Mapping[str, PlanAsset]:
        """The assets by their codes."""
        return {one.code: one for one in self.counted.assets}

    @cached_property
    def projects(self) -> Mapping[str, CountedProject]:
        """The projects that begin within the plan, by their numbers; without a cost they still renew their assets."""
        return {
            str(one.stated.number): one
            for one in self.counted.projects
            if one.stated.year is not None and one.stated.year in self.counted.years
        }

    @cached_property
    def uncertain(self) -> UncertainPlan:
        """What is drawn."""
        counted = self.counted
        return UncertainPlan(
            counted.minor(counted.plan.money.opening_reserve),
            [replace(one, spending_minor=0) for one in flows_by_year(counted)], interest_terms(counted),
            counted.floor_minor, [self._project(key, one) for key, one in self.projects.items()],
            [self._asset(one) for one in self.assets.values()], counted.years[0] - counted.price_year,
        )  # fmt: skip

    @cached_property
    def drawing(self) -> Drawing:
        """How it is drawn."""
        asked = self.asked
        return Drawing(
            asked.futures, asked.seed, asked.when, asked.several, _points(asked.growth_points),
            _points(asked.interest_points),
        )  # fmt: skip

    def _asset(self, asset: PlanAsset) -> LivingAsset:
        counted = self.counted
        renewed, since = _life(asset) if asset.replaced else None, _since(asset)
        return LivingAsset(
            asset.code, None if since is None else since - counted.years[0], _present(asset) if renewed else None,
            renewed, None if asset.cost is None else counted.minor(asset.cost), _percent_range(asset.cost_range),
            counted.growth.get(asset.growth_group, counted.plan.growth_percent),
        )  # fmt: skip

    def _project(self, key: str, project: CountedProject) -> DatedProject:
        stated, first = project.stated, self.counted.years[0]
        assert stated.year is not None
        codes = {one.id: one.code for one in self.counted.assets}
        return DatedProject(
            key, stated.year - first, tuple(project.phases_minor or [0] * len(stated.phases)), project.growth_percent,
            _percent_range(stated.cost_range), by_assets=stated.cost is None and stated.estimate_id is None,
            assets=tuple(codes[one] for one in stated.asset_ids if one in codes),
            latest=None if stated.latest is None else stated.latest - first,
        )  # fmt: skip


def _since(asset: PlanAsset) -> int | None:
    """The year from which the life of what is in use counts: of a judgement, else in which it was put in use.

    None where nobody knows either.
    """
    if asset.years_left is not None and asset.judged_in is not None:
        return asset.judged_in
    return asset.in_use_since


def _present(asset: PlanAsset) -> Triangular | None:
    """How long what is in use lasts from that year; years that somebody judged vary in the proportion of the life.

    None where nobody knows, or where no year was left.
    """
    life = _life(asset)
    if life is None or asset.due_in is None:
        return None
    if asset.years_left is None or asset.judged_in is None:
        return life
    left = float(asset.years_left)
    if not left:
        return None
    return Triangular(left * life.low / life.likely, left, left * life.high / life.likely)


def _life(asset: PlanAsset) -> Triangular | None:
    """The range of life of an asset; none where it has no width."""
    if asset.life_years is None or asset.life_range is None:
        return None
    low, high = asset.life_range
    return Triangular(float(low), float(asset.life_years), float(high)) if low < high else None


def _percent_range(percents: tuple[Decimal, Decimal] | None) -> Triangular | None:
    if percents is None or percents[0] == percents[1]:
        return None
    return Triangular(float(percents[0]), AS_EXPECTED, float(percents[1]))


def _points(points: PointsRange | None) -> Triangular | None:
    if points is None or points.lower == points.upper == 0:
        return None
    return Triangular(-float(points.lower), 0.0, float(points.upper))
