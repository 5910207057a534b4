"""Which lives, costs and rates decide how low a reserve falls: their rank correlation with each future's least
balance."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from swardcost_api.engine.capital.futures import (
    Futures,
    asset_percents,
    points_drawn,
    project_percents,
)
from swardcost_api.engine.capital.lives_drawn import life_shares
from swardcost_api.engine.capital.uncertain_plans import Drawing, UncertainPlan
from swardcost_api.engine.capital.whole_minor import Floats, Ints
from swardcost_api.engine.risk.ranks import centred_ranks, correlation_of

DrawnKind = Literal["life", "asset_cost", "project_cost", "growth", "interest"]
MOST_DRIVERS = 10
CHANCE = 0.01
"""Probability that anything at all is told where nothing decides."""


@dataclass(frozen=True, slots=True)
class Driver:
    """What is drawn, by kind and the key of its asset or project, and its rank correlation with the least balance.

    From -1 to 1; above zero where more of it leaves more: a longer life, more interest.
    """

    kind: DrawnKind
    key: str
    rank_correlation: float


@dataclass(frozen=True, slots=True)
class Drivers:
    """The strongest first, at most ten of those that are significant; and how many figures were looked at."""

    told: tuple[Driver, ...]
    significant: int
    looked_at: int


def drivers_of(plan: UncertainPlan, drawing: Drawing, futures: Futures) -> Drivers:
    """What decides how low the reserve falls.

    Spearman's rank correlation of each figure that was drawn with the least closing balance of the futures. Told are
    those that chance would hardly show: with n futures and m figures, where 2 m P(T > |r| sqrt((n - 2) / (1 - r^2))) is
    below 0.01 for Student's T with n - 2 degrees of freedom.

    References
    ----------
    Kendall and Stuart, The Advanced Theory of Statistics, volume 2, 31.19 (T of a rank correlation); Bonferroni's
    inequality for many figures.
    """
    least = centred_ranks(futures.closing.min(axis=0))
    found, looked_at = [], 0
    for kind, key, values in _drawn(plan, drawing):
        looked_at += 1
        correlation = correlation_of(centred_ranks(values), least)
        if correlation is not None:
            found.append(Driver(kind, key, correlation))
    told = [one for one in found if _by_chance(one.rank_correlation, futures.count) * len(found) < CHANCE]
    told.sort(key=lambda one: (-abs(one.rank_correlation), one.kind, one.key))
    return Drivers(tuple(told[:MOST_DRIVERS]), len(told), looked_at)


def _drawn(plan: UncertainPlan, drawing: Drawing) -> Iterator[tuple[DrawnKind, str, Floats]]:
    """Every figure that differs from future to future, drawn again; of lives those of what is in use."""
    for asset in plan.assets:
        if asset.drawn and asset.present is not None and not asset.outlived:
            # A life rises with its share, so that both have the same ranks.
            yield "life", asset.key, life_shares(drawing.seed, asset.key, 0, drawing.futures)
        yield from _unless_fixed("asset_cost", asset.key, asset_percents(drawing, asset))
    for project in plan.projects:
        yield from _unless_fixed("project_cost", project.key, project_percents(drawing, plan, project))
    yield from _unless_fixed("growth", "", points_drawn(drawing, "growth", drawing.growth_points))
    yield from _unless_fixed("interest", "", points_drawn(drawing, "interest", drawing.interest_points))


def _unless_fixed(
    kind: DrawnKind, key: str, percents: Ints | None
) -> Iterator[tuple[DrawnKind, str, Floats]]:
    if percents is not None:
        yield kind, key, percents.astype(np.float64)


def _by_chance(correlation: float, futures: int) -> float:
    """How probable so strong a rank correlation is where there is none."""
    from scipy import stats

    if abs(correlation) >= 1:
        return 0.0
    score = abs(correlation) * math.sqrt((futures - 2) / (1 - correlation * correlation))
    return 2 * float(stats.t.sf(score, futures - 2))
