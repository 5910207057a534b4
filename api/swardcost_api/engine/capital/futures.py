"""Simulated futures of a capital plan: what lives and costs turn out to be, and what then is left of the reserve.

Each future draws how long every asset with a range of life lasts, what every project with a range of cost costs, and,
where asked, how much more costs grow and the reserve earns. Whatever has no range is as the plan says, so that without
any range each future is the plan itself, to the minor unit.

When the work is done:

- A project is done as dated unless an asset that it replaces fails before: then in the year of the failure. An asset
  that lasts longer leaves it where it is. With `when="failed"` a project waits for the failure, at most until its
  latest year.
- Of a project of several assets only the part of what fails is done early, by its share of the assets' replacement
  costs; with `several="whole_project"` all of it.
- An asset that fails when no project of the plan replaces it any more is replaced in that year at its own cost: an
  unplanned replacement, which the reserve pays for. What is put in its place begins a new life, as after a project.
- Nothing else moves: prerequisites, partners, spending limits and closure days do not hold back what has failed.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from swardcost_api.engine.capital.lives_drawn import life_shares, whole_years
from swardcost_api.engine.capital.uncertain_plans import (
    DatedProject,
    Drawing,
    LivingAsset,
    UncertainPlan,
)
from swardcost_api.engine.capital.whole_minor import PER_HUNDRED, Factors, Growing, Ints, times
from swardcost_api.engine.risk.ranges import Triangular
from swardcost_api.engine.risk.sampling import stream

_HUNDRED = 100 * PER_HUNDRED


@dataclass(frozen=True, slots=True)
class Futures:
    """The futures of a plan: what is left at the end of each year, and what projects and replacements cost in it.

    Arrays are years x futures, in minor units; `unplanned` is a part of `spending`. `early` counts the futures in which
    some of a project is done before it is dated, `late` those in which some is done after or not within the plan, and
    `failed` how often an asset is replaced without a project, in all futures together.
    """

    closing: Ints
    spending: Ints
    unplanned: Ints
    early: Mapping[str, int]
    late: Mapping[str, int]
    failed: Mapping[str, int]
    interest_points: Ints | None

    @property
    def count(self) -> int:
        """How many there are."""
        return int(self.closing.shape[1])


def draw_futures(plan: UncertainPlan, drawing: Drawing) -> Futures:
    """The futures of a plan.

    Every asset, project and rate has streams of its own by its key, so that adding one, or another order, leaves what
    the others draw as it is, and more futures leave the first ones as they are. Raises `AmountTooLarge` for
    amounts beyond 4 x 10^15 minor units, `ValueError` for percentages with points outside -50 to 100.
    """
    drawing.refuse_beyond(plan)
    drawn = _Drawn(plan, drawing)
    in_order = sorted(plan.projects, key=lambda one: (one.begins, one.key))
    last = {key: project.key for project in in_order for key in project.assets}
    for project in in_order:
        drawn.do(project)
        for key in project.assets:
            if last[key] == project.key:
                drawn.replace_failed(plan.asset[key])
    for asset in plan.assets:
        if asset.key not in last:
            drawn.replace_failed(asset)
    interest = points_drawn(drawing, "interest", drawing.interest_points)
    closing = closings(plan, drawn.spending, interest)
    return Futures(
        closing,
        drawn.spending,
        drawn.unplanned[: plan.years],
        drawn.early,
        drawn.late,
        drawn.failed,
        interest,
    )


def closings(plan: UncertainPlan, spending: Ints, interest_points: Ints | None, more: Ints | int = 0) -> Ints:
    """What is left at the end of each year, where projects cost `spending`: years x futures, in minor units.

    `more` comes in each year besides, an amount for each future. Future by future the same as `reserve.projected`.
    """
    doubled = plan.interest.on == "average_balance"
    factors = _interest_factors(plan, interest_points, 2 if doubled else 1)
    balance = np.full(spending.shape[1], plan.opening_minor, dtype=np.int64)
    found = np.empty_like(spending)
    for year, flows in enumerate(plan.flows):
        net = flows.net_minor + more - spending[year]
        base = 2 * balance + net if doubled else balance
        balance = balance + net + times(np.maximum(base, 0), factors)
        found[year] = balance
    return found


def points_drawn(drawing: Drawing, name: str, points: Triangular | None) -> Ints | None:
    """Points of growth or interest, in parts of 0.0001 percent, one for each future; none without a range."""
    return _percents(drawing, "points", name, points)


def project_percents(drawing: Drawing, plan: UncertainPlan, project: DatedProject) -> Ints | None:
    """What a project costs in percent of its cost, in parts of 0.0001, in each future; none without a range.

    That of its assets where it goes by them: the mean of theirs, weighted with their costs.
    """
    if project.cost_percent is not None or not project.by_assets:
        return _percents(drawing, "cost of a project", project.key, project.cost_percent)
    assets = [plan.asset[key] for key in project.assets]
    of_assets = [asset_percents(drawing, one) for one in assets]
    if all(one is None for one in of_assets):
        return None
    weights = _weights(assets)
    summed = np.zeros(drawing.futures)
    for weight, percents in zip(weights, of_assets, strict=True):
        summed += weight / sum(weights) * (_HUNDRED if percents is None else percents)
    return np.rint(summed).astype(np.int64)


def asset_percents(drawing: Drawing, asset: LivingAsset) -> Ints | None:
    """What an asset costs in percent of its cost, likewise; the same for each of its replacements in a future."""
    return _percents(drawing, "cost of an asset", asset.key, asset.cost_percent)


class _Drawn:
    """What has been spent so far, and when each asset fails next."""

    def __init__(self, plan: UncertainPlan, drawing: Drawing) -> None:
        self._plan, self._drawing = plan, drawing
        # What falls after the plan is spent in a last row, which is cut off in the end.
        rows = (plan.years + 1, drawing.futures)
        self._spending, self.unplanned = np.zeros(rows, np.int64), np.zeros(rows, np.int64)
        self._points = points_drawn(drawing, "growth", drawing.growth_points)
        self._fails: dict[str, Ints] = {}
        self._lives: dict[str, int] = {}
        self._every = np.arange(drawing.futures)
        self.early: dict[str, int] = {}
        self.late: dict[str, int] = {}
        self.failed: dict[str, int] = {}

    @property
    def spending(self) -> Ints:
        """What projects and unplanned replacements cost in each year of the plan."""
        return self._spending[: self._plan.years]

    def do(self, project: DatedProject) -> None:
        """Do a project in every future: its parts in the years in which each has to be done."""
        assets = [self._plan.asset[key] for key in project.assets]
        costs = self._costs(project)
        growing = self._growing(project)
        early = late = np.zeros(self._drawing.futures, dtype=bool)
        for before, upto, members in self._parts(assets):
            begins = self._begins(project, members)
            early, late = early | (begins < project.begins), late | (begins > project.begins)
            for phase, cost in enumerate(costs):
                year = np.minimum(begins + phase, self._plan.years)
                grown = times(cost, growing.at(year))
                spent = grown if upto == 1 else times(grown, Factors.of(upto))
                self._spending[year, self._every] += (
                    spent if before == 0 else spent - times(grown, Factors.of(before))
                )
            for asset in members:
                self._renew(asset, begins + len(costs) - 1)
        self.early[project.key], self.late[project.key] = int(early.sum()), int(late.sum())

    def replace_failed(self, asset: LivingAsset) -> None:
        """Replace an asset as often as it fails within the plan when its projects, if any, are done."""
        fails = self._failing(asset)
        if fails is None:
            return
        years, count = self._plan.years, 0
        cost = self._cost(asset.cost_minor or 0, asset_percents(self._drawing, asset))
        growing = self._growing(asset)
        while (within := fails < years).any():
            count += int(within.sum())
            year = np.minimum(fails, years)
            spent = times(cost, growing.at(year))
            self._spending[year, self._every] += spent
            self.unplanned[year, self._every] += spent
            self._renew(asset, fails)
            fails = self._fails[asset.key]
        self.failed[asset.key] = count
        del self._fails[asset.key]

    def _parts(
        self, assets: Sequence[LivingAsset]
    ) -> Iterator[tuple[Fraction, Fraction, Sequence[LivingAsset]]]:
        """The parts of a project that are done by themselves: its shares of the cost before and up to each, and assets.

        What is not drawn is done together, as dated.
        """
        drawn = [one for one in assets if one.drawn]
        if len(assets) < 2 or not drawn or self._drawing.several == "whole_project":
            yield Fraction(0), Fraction(1), assets
            return
        weights = dict(zip((one.key for one in assets), _weights(assets), strict=True))
        whole, before = sum(weights.values()), 0
        rest = [one for one in assets if not one.drawn]
        for members in ([one] for one in drawn):
            upto = before + weights[members[0].key]
            yield Fraction(before, whole), Fraction(upto, whole), members
            before = upto
        if rest:
            yield Fraction(before, whole), Fraction(1), rest

    def _begins(self, project: DatedProject, members: Sequence[LivingAsset]) -> Ints:
        """The year in which a part of a project begins in each future, from 0."""
        dated = np.full(self._drawing.futures, project.begins, dtype=np.int64)
        failing = [self._failing(one) for one in members]
        known = [one for one in failing if one is not None]
        waits = self._drawing.when == "failed" and known and len(known) == len(members)
        begins = known.pop() if waits else dated
        for one in known:
            begins = np.minimum(begins, one)
        if waits and project.latest is not None:
            begins = np.minimum(begins, max(project.latest, project.begins))
        return begins

    def _failing(self, asset: LivingAsset) -> Ints | None:
        """The year in which an asset fails next in each future, from 0; none where that is not drawn."""
        if asset.key not in self._lives:
            self._lives[asset.key] = 0
            if asset.drawn and asset.present is not None:
                assert asset.since is not None
                self._fails[asset.key] = asset.since + self._life(asset, asset.present, asset.lived)
        return self._fails.get(asset.key)

    def _renew(self, asset: LivingAsset, renewed_in: Ints) -> None:
        """Let a new life of an asset begin in a year of each future."""
        if asset.renewed is not None:
            self._lives[asset.key] += 1
            self._fails[asset.key] = renewed_in + self._life(asset, asset.renewed, 0)

    def _life(self, asset: LivingAsset, life: Triangular, lived: int) -> Ints:
        number = self._lives[asset.key]
        return whole_years(
            life, life_shares(self._drawing.seed, asset.key, number, self._drawing.futures), lived
        )

    def _costs(self, project: DatedProject) -> list[Ints]:
        percents = project_percents(self._drawing, self._plan, project)
        return [self._cost(minor, percents) for minor in project.phases_minor]

    def _cost(self, minor: int, percents: Ints | None) -> Ints:
        """A cost at the prices of the price year in each future, in minor units."""
        cost = np.full(self._drawing.futures, minor, dtype=np.int64)
        return cost if percents is None else times(cost, Factors.of_parts(percents, _HUNDRED))

    def _growing(self, one: DatedProject | LivingAsset) -> Growing:
        return Growing(one.growth_percent, self._plan.since_prices, self._points)


def _percents(drawing: Drawing, kind: str, name: str, span: Triangular | None) -> Ints | None:
    if span is None or span.low == span.high:
        return None
    shares = stream(drawing.seed, kind, name).random(drawing.futures)
    return np.rint(span.quantile(shares) * PER_HUNDRED).astype(np.int64)


def _weights(assets: Sequence[LivingAsset]) -> list[int]:
    """What the parts of a project's assets are in its cost: their costs, or alike where one is not known."""
    costs = [one.cost_minor for one in assets]
    if None in costs or not any(costs):
        return [1] * len(assets)
    return [one or 0 for one in costs]


def _interest_factors(plan: UncertainPlan, points: Ints | None, by: int) -> Factors:
    rate = Fraction(plan.interest.percent) / 100 / by
    if points is None:
        return Factors.of(rate)
    step = Fraction(1, _HUNDRED * by)
    whole = math.lcm(rate.denominator, step.denominator)
    return Factors.of_parts(int(rate * whole) + points * int(step * whole), whole)
