"""The futures of a plan as CSV and as charts."""

from collections.abc import Callable, Sequence
from typing import Any

from swardcost_model.plan_futures import Fan, FuturesChart, FuturesShare, FuturesYear, PlanFutures
from swardcost_model.values import Money

from swardcost_api.capital.futures_charts import (
    FanDrawn,
    ShortfallDrawn,
    fan_chart,
    shortfall_chart,
)
from swardcost_api.capital.futures_told import FuturesToDraw
from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, SVG, VEGA_LITE, Face
from swardcost_api.xlsx_files import Cell

_FAN = ("mean", "p5", "p10", "p25", "p50", "p75", "p90", "p95")
_SHARES = ("below_zero", "below_floor", "first_below_floor", "below_floor_by_then")
_COLUMNS = (
    "year", "closing_in_plan", *(f"closing_{name}" for name in _FAN), "floor", "spending_in_plan",
    *(f"spending_{name}" for name in _FAN), "unplanned_mean",
    *(f"{share}_percent{end}" for share in _SHARES for end in ("", "_low", "_high")), "currency",
)  # fmt: skip
_BREAK = 95


def futures_csv(found: PlanFutures) -> str:
    """A row for each year of the plan; shares are empty where every future is the plan."""
    return write_rows(_COLUMNS, (_cells(found, year) for year in found.years))


def _cells(found: PlanFutures, year: FuturesYear) -> Sequence[Cell]:
    return (
        year.year, year.closing_in_plan.amount, *_fan(year.closing), found.floor.amount, year.spending_in_plan.amount,
        *_fan(year.spending), year.unplanned.amount,
        *(cell for name in _SHARES for cell in _share(getattr(year, name))), found.floor.currency,
    )  # fmt: skip


def _fan(fan: Fan) -> Sequence[Cell]:
    return [getattr(fan, name).amount for name in _FAN]


def _share(share: FuturesShare | None) -> Sequence[Cell]:
    return [None] * 3 if share is None else [share.percent, share.low, share.high]


def futures_chart(found: FuturesToDraw) -> Any:
    """The chart that was asked for."""
    charts: dict[FuturesChart, Callable[[PlanFutures], Any]] = {
        "balance": balance_chart, "spending": spending_chart, "shortfall": shortfall_by_year,
    }  # fmt: skip
    return charts[found.chart](found)


def balance_chart(found: PlanFutures) -> Any:
    """The fan of what is left at the end of each year, with the floor."""
    years = [
        _drawn(one.year, one.closing, one.closing_in_plan, float(found.floor.amount)) for one in found.years
    ]
    currency = found.floor.currency
    return fan_chart(found.name, _said(found), f"Reserve at the end of the year, {currency}", years)


def spending_chart(found: PlanFutures) -> Any:
    """The fan of what is spent in each year."""
    years = [_drawn(one.year, one.spending, one.spending_in_plan, None) for one in found.years]
    axis = f"Spent in the year, {found.floor.currency}"
    return fan_chart(found.name, [f"Spending in {found.futures:,} simulated futures"], axis, years)


def shortfall_by_year(found: PlanFutures) -> Any:
    """How probable it is that the reserve is below its floor; nothing is drawn where every future is the plan."""
    years = [
        ShortfallDrawn(
            one.year, float(one.below_floor.percent), float(one.below_floor.low), float(one.below_floor.high),
            float(one.below_floor_by_then.percent),
        )
        for one in found.years
        if one.below_floor is not None and one.below_floor_by_then is not None
    ]  # fmt: skip
    named = "the floor" if found.floor.amount else "zero"
    axis = f"Futures with the reserve below {named}, percent"
    return shortfall_chart(found.name, _said(found), axis, years)


def _drawn(year: int, fan: Fan, in_plan: Money, floor: float | None) -> FanDrawn:
    return FanDrawn(
        year, float(fan.p5.amount), float(fan.p25.amount), float(fan.p50.amount), float(fan.p75.amount),
        float(fan.p95.amount), float(in_plan.amount), floor,
    )  # fmt: skip


def _said(found: PlanFutures) -> Sequence[str]:
    """The first conclusion, in lines that fit above the chart."""
    lines: list[str] = [""]
    for word in found.conclusions[0].split():
        if len(lines[-1]) + len(word) > _BREAK:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


FUTURES_FACES = (
    Face(CSV, futures_csv),
    Face(SVG, lambda found: svg_of(futures_chart(found))),
    Face(VEGA_LITE, lambda found: vega_lite_of(futures_chart(found))),
)
