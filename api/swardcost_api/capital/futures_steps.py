"""How the figures of a plan's futures came about, step by step."""

from collections.abc import Iterator, Mapping
from decimal import Decimal

from swardcost_api.capital.drawn_plans import DrawnPlan
from swardcost_api.engine.capital.fan import FanYear, Probability, ever_below, fan_of
from swardcost_api.engine.capital.futures import Futures
from swardcost_api.engine.capital.futures_drivers import Driver
from swardcost_api.engine.capital.futures_funding import EnoughMore
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.money_working import ROUNDED

_SIMULATED = "counting the futures that were drawn"
_WILSON = "Wilson, Journal of the American Statistical Association 22 (1927): the score interval, z = 1.96"
_RANKED = "Hyndman and Fan, The American Statistician 50 (1996), definition 1"
_TRIANGULAR = "Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, volume 2, 26.9"
_SPEARMAN = "Spearman (1904); Kendall and Stuart, The Advanced Theory of Statistics, volume 2, 31.19"
_NAMES = {
    "below_zero": "closing below zero", "below_floor": "closing below the floor",
    "first_below_floor": "closing below the floor for the first time",
    "below_floor_by_then": "closing below the floor by then",
}  # fmt: skip


def plan_steps(drawn: DrawnPlan, futures: Futures, ever: Probability | None) -> Iterator[Step]:
    """What was drawn; how probable a shortfall of any year is; and the least balance of the futures.

    Without a probability where every future is the plan.
    """
    plan, drawing = drawn.uncertain, drawn.drawing
    count = Input("futures", float(futures.count), "each")
    drawn_figures = (
        Input("assets with a range of life", float(sum(one.drawn for one in plan.assets)), "each"),
        Input(
            "projects with a range of cost",
            float(sum(plan.has_cost_range(one) for one in plan.projects)),
            "each",
        ),
        Input("seed", float(drawing.seed), "each"),
    )
    yield Step(
        "futures drawn", count.value, "each",
        "in each future every life and cost is drawn from the triangle of its least, likely and most, by a stream of "
        "random numbers of its own that begins at the seed; the plan is then counted as it is without chance",
        drawn_figures, _TRIANGULAR,
    )  # fmt: skip
    if ever is not None:
        floor = Input("floor", drawn.counted.figure(plan.floor_minor), drawn.counted.currency)
        yield from _probability("closing below the floor in any year", ever, floor)
        zero = ever_below(futures.closing, 0)
        yield from _probability("closing below zero in any year", zero)
    yield from _fan(drawn, "least closing balance", fan_of(futures.closing.min(axis=0)), futures.count)


def year_steps(
    drawn: DrawnPlan, year: int, closing: FanYear, spending: FanYear, unplanned_minor: int,
    shares: Mapping[str, Probability],
) -> Iterator[Step]:  # fmt: skip
    """How probable a shortfall of a year is, and the fans of what is left and what is spent."""
    futures = drawn.drawing.futures
    for name, share in shares.items():
        yield from _probability(f"{_NAMES[name]}, {year}", share)
    yield from _fan(drawn, f"closing balance of {year}", closing, futures)
    yield from _fan(drawn, f"spending of {year}", spending, futures)
    yield Step(
        f"unplanned replacements of {year}, mean", drawn.counted.figure(unplanned_minor), drawn.counted.currency,
        f"sum over the futures of what assets cost that fail in {year} when no project replaces them any more / "
        f"futures{ROUNDED}", (Input("futures", float(futures), "each"),), _SIMULATED,
    )  # fmt: skip


def enough_steps(drawn: DrawnPlan, found: EnoughMore, at_most_percent: Decimal) -> Iterator[Step]:
    """The least amount a year that leaves a shortfall in so many futures and no more."""
    counted = drawn.counted
    allowed = Input("futures allowed below the floor", float(found.allowed), "each")
    yield Step(
        allowed.name, allowed.value, "each", "futures x share / 100, rounded down",
        (
            Input("futures", float(drawn.drawing.futures), "each"),
            Input("share", float(at_most_percent), "percent"),
        ),
        "the question",
    )  # fmt: skip
    yield Step(
        "more a year", counted.figure(found.more_minor), counted.currency,
        "for each future the least level amount, to the minor unit, that in every year besides keeps it from closing "
        "below the floor; of these the least that is not exceeded by more futures than are allowed",
        (allowed, Input("floor", counted.figure(drawn.uncertain.floor_minor), counted.currency)),
        "search by halving over the projection of the reserve in every future",
    )  # fmt: skip


def driver_steps(driver: Driver, futures: int, looked_at: int) -> Iterator[Step]:
    """A rank correlation, and when it is told."""
    yield Step(
        "rank correlation", driver.rank_correlation, "ratio",
        "correlation of the ranks of what was drawn with the ranks of the least closing balances, alike figures "
        "sharing the mean of their ranks; told where 2 x figures x P(T > |r| x sqrt((futures - 2) / (1 - r^2))) is "
        "below 0.01",
        (Input("futures", float(futures), "each"), Input("figures", float(looked_at), "each")), _SPEARMAN,
    )  # fmt: skip


def _probability(name: str, found: Probability, *inputs: Input) -> Iterator[Step]:
    counts = (
        Input("futures in which it is so", float(found.count), "each"),
        Input("futures", float(found.futures), "each"),
    )
    yield Step(
        name, 100 * found.share, "percent", "futures in which it is so / futures x 100", (*counts, *inputs), _SIMULATED
    )  # fmt: skip
    yield Step(
        f"{name}, high end of the interval", 100 * found.interval[1], "percent",
        "100 x (p + z^2 / 2n + z x sqrt(p (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n), p the share and n the number of "
        "futures; the low end with - before the root", counts, _WILSON,
    )  # fmt: skip


def _fan(drawn: DrawnPlan, name: str, fan: FanYear, futures: int) -> Iterator[Step]:
    counted = drawn.counted
    count = Input("futures", float(futures), "each")
    yield Step(
        f"{name}, mean", counted.figure(fan.mean_minor), counted.currency, f"sum over the futures / futures{ROUNDED}",
        (count,), _SIMULATED,
    )  # fmt: skip
    yield Step(
        f"{name}, P50", counted.figure(fan.percentile(50)), counted.currency,
        "of all futures in ascending order the k-th, k = percent / 100 x futures rounded up; the other percentiles "
        "alike",
        (Input("percent", 50.0, "percent"), count), _RANKED,
    )  # fmt: skip
