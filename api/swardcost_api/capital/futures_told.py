"""What is told of the futures of a plan: probabilities, fans, drivers, and what would be enough."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from uuid import UUID

import numpy as np
from pydantic import Field
from swardcost_model import plan_futures as answers
from swardcost_model.plan_futures import FuturesChart, PlanFutures

from swardcost_api.capital.decided_plans import DecidedPlan
from swardcost_api.capital.drawn_plans import DrawnPlan
from swardcost_api.capital.futures_steps import driver_steps, enough_steps, plan_steps, year_steps
from swardcost_api.capital.futures_words import METHOD, cautions, conclusions, driver_words
from swardcost_api.capital.plan_years import CountedYear, counted_years
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.fan import (
    FAN_PERCENTS,
    FanYear,
    Probability,
    below,
    ever_below,
    fan_of,
    fans,
    first_below,
    lowest_year,
)
from swardcost_api.engine.capital.futures import Futures
from swardcost_api.engine.capital.futures_drivers import Driver, Drivers
from swardcost_api.engine.capital.futures_funding import EnoughMore
from swardcost_api.engine.control.rounding import places


class FuturesToDraw(PlanFutures):
    """The futures of a plan, and which chart of them was asked for."""

    chart: FuturesChart = Field(default="balance", exclude=True)


@dataclass(frozen=True)
class ToldFutures:
    """Futures that were drawn of a plan as dated or decided, what decides them, and what would be enough."""

    drawn: DrawnPlan
    decided: DecidedPlan
    futures: Futures
    drivers: Drivers
    enough: EnoughMore | None

    @property
    def alike(self) -> bool:
        """Whether every future is the plan, since nothing has a range."""
        return not self.drawn.uncertain.has_ranges(self.drawn.drawing)

    def answer(self) -> FuturesToDraw:
        """All that is told. Raises `wrong-state` for amounts that cannot be meant."""
        drawn, closing = self.drawn, self.futures.closing
        counted, asked, plan = drawn.counted, drawn.asked, drawn.uncertain
        ever, of_years = ever_below(closing, plan.floor_minor), fans(closing)
        told = FuturesToDraw(
            chart=asked.chart, plan_id=counted.plan.id, name=counted.plan.name, basis=asked.basis,
            first_year=counted.years[0], last_year=counted.years[-1], futures=asked.futures, seed=asked.seed,
            when=asked.when, several=asked.several, drawn=self._drawn(), all_alike=self.alike,
            floor=counted.money(plan.floor_minor), below_zero=self._share(ever_below(closing, 0)),
            below_floor=self._share(ever), years=list(self._years(counted_years(counted), of_years)),
            least_closing=self._fan(fan_of(closing.min(axis=0))), lowest_years=list(self._lowest(of_years)),
            drivers=[self._driver(one) for one in self.drivers.told], projects=list(self._projects()),
            unplanned=self._unplanned(), enough=self._enough(), left_out=list(self._left_out()), conclusions=[],
            cautions=[], method=list(METHOD),
            derivation=steps_for(plan_steps(drawn, self.futures, None if self.alike else ever), counted.club),
        )  # fmt: skip
        said = {
            "conclusions": list(conclusions(told)),
            "cautions": list(cautions(drawn, self.decided, told, self.drivers)),
        }
        return told.model_copy(update=said)

    def _drawn(self) -> answers.DrawnFigures:
        plan, drawing = self.drawn.uncertain, self.drawn.drawing
        return answers.DrawnFigures(
            lives=sum(one.drawn for one in plan.assets),
            asset_costs=sum(one.drawn and one.cost_percent is not None for one in plan.assets),
            project_costs=sum(plan.has_cost_range(one) for one in plan.projects),
            growth=drawing.growth_points is not None, interest=drawing.interest_points is not None,
        )  # fmt: skip

    def _years(
        self, years: Sequence[CountedYear], closing: Sequence[FanYear]
    ) -> Iterator[answers.FuturesYear]:
        futures, money = self.futures, self.drawn.counted.money
        floor, spending = self.drawn.uncertain.floor_minor, fans(futures.spending)
        zero, under = below(futures.closing, 0), below(futures.closing, floor)
        first = first_below(futures.closing, floor)
        by_then = np.cumsum([one.count for one in first])
        for place, year in enumerate(years):
            unplanned = fan_of(futures.unplanned[place]).mean_minor
            shares = {
                "below_zero": zero[place], "below_floor": under[place], "first_below_floor": first[place],
                "below_floor_by_then": Probability(int(by_then[place]), futures.count),
            }  # fmt: skip
            steps = year_steps(
                self.drawn, year.year, closing[place], spending[place], unplanned,
                {} if self.alike else shares,
            )  # fmt: skip
            yield answers.FuturesYear(
                year=year.year, closing_in_plan=money(year.reserve.closing_minor), closing=self._fan(closing[place]),
                spending_in_plan=money(year.spending.all_minor), spending=self._fan(spending[place]),
                unplanned=money(unplanned), **{name: self._share(one) for name, one in shares.items()},
                derivation=steps_for(steps, self.drawn.counted.club),
            )  # fmt: skip

    def _lowest(self, closing: Sequence[FanYear]) -> Iterator[answers.LowestYear]:
        for percent in FAN_PERCENTS:
            place = lowest_year(closing, percent)
            yield answers.LowestYear(
                percent=percent, year=self.drawn.counted.years[place],
                closing=self.drawn.counted.money(closing[place].percentile(percent)),
            )  # fmt: skip

    def _driver(self, one: Driver) -> answers.FuturesDriver:
        about: UUID | None = None
        name = f"{one.kind}"
        if one.kind in ("life", "asset_cost"):
            asset = self.drawn.assets[one.key]
            about, name = asset.id, f"{asset.code} ({asset.name})"
        elif one.kind == "project_cost":
            project = self.drawn.projects[one.key]
            about, name = project.stated.id, project.label
        steps = driver_steps(one, self.futures.count, self.drivers.looked_at)
        return answers.FuturesDriver(
            kind=one.kind, about=about, name=name, rank_correlation=places(Fraction(one.rank_correlation), 4),
            words=driver_words(one, name), derivation=steps_for(steps, self.drawn.counted.club),
        )  # fmt: skip

    def _projects(self) -> Iterator[answers.ProjectInFutures]:
        for key, one in self.drawn.projects.items():
            assert one.stated.year is not None
            yield answers.ProjectInFutures(
                project_id=one.stated.id, number=one.stated.number, name=one.stated.name, year=one.stated.year,
                early=self._share(Probability(self.futures.early[key], self.futures.count)),
                late=self._share(Probability(self.futures.late[key], self.futures.count)),
            )  # fmt: skip

    def _unplanned(self) -> list[answers.AssetInFutures]:
        failed = {key: count for key, count in self.futures.failed.items() if count}
        return [
            answers.AssetInFutures(
                asset_id=asset.id, code=key, name=asset.name, cost=asset.cost,
                replacements=places(Fraction(failed[key], self.futures.count), 2),
            )
            for key in sorted(failed, key=lambda key: (-failed[key], key))
            for asset in [self.drawn.assets[key]]
        ]  # fmt: skip

    def _enough(self) -> answers.EnoughMore | None:
        found, percent, counted = self.enough, self.drawn.asked.at_most_percent, self.drawn.counted
        if found is None or percent is None:
            return None
        return answers.EnoughMore(
            at_most_percent=percent, more_a_year=counted.money(found.more_minor),
            below_floor=self._share(found.with_it),
            derivation=steps_for(enough_steps(self.drawn, found, percent), counted.club),
        )  # fmt: skip

    def _left_out(self) -> Iterator[str]:
        yield from self.decided.left_out
        for one in self.drawn.counted.projects:
            if one.stated.year is None and one.stated.id not in self.decided.why:
                yield one.label

    def _share(self, probability: Probability) -> answers.FuturesShare | None:
        """A probability in percent, to 0.01; none where every future is the plan."""
        if self.alike:
            return None
        low, high = probability.interval
        return answers.FuturesShare(
            futures=probability.count, percent=places(Fraction(100 * probability.count, probability.futures), 2),
            low=places(Fraction(100 * low), 2), high=places(Fraction(100 * high), 2),
        )  # fmt: skip

    def _fan(self, fan: FanYear) -> answers.Fan:
        money = self.drawn.counted.money
        percentiles = {f"p{percent}": money(fan.percentile(percent)) for percent in FAN_PERCENTS}
        return answers.Fan(mean=money(fan.mean_minor), **percentiles)
