"""Charts of a simulation: how likely a total is not passed, and which figures swing it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import Any, Literal

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER, name_axis

Align = Literal["left", "right"]
MOST_BARS = 15
MOST_DOTS = 20
_LONGEST_LABEL = 36


@dataclass(frozen=True, slots=True)
class Mark:
    """A total that is marked in the curve, with its name, such as ``P80``."""

    name: str
    total: float


@dataclass(frozen=True, slots=True)
class Swing:
    """Total at the low and at the high end of one figure."""

    figure: str
    at_low: float
    at_high: float


def cost_curve(
    title: str,
    subtitle: str,
    currency: str,
    points: Sequence[tuple[float, float]],
    marks: Sequence[Mark],
) -> Any:
    """Percent of trials not above a total cost; `points` are total and percent, in ascending order."""
    curve = [{"total": total, "percent": percent} for total, percent in points]
    marked = [
        # Each rule ends at its name and the next is higher, so that neither names nor rules lie on names.
        {"total": one.total, "label": f"{one.name} {one.total:,.0f}", "row": 97 - 8 * (len(marks) - 1 - n)}
        for n, one in enumerate(sorted(marks, key=lambda one: (one.total, one.name)))
    ]
    values = [point["total"] for point in curve] + [one.total for one in marks]
    left_part = min(values) + (max(values) - min(values)) / 4 if values else 0.0
    x = alt.X(
        "total:Q",
        title=f"Total cost, {currency}",
        scale=alt.Scale(zero=False, nice=True),
        axis=alt.Axis(format=",.0f", tickCount=6),
    )
    percent = alt.Y("percent:Q", title="Trials not above, %", scale=alt.Scale(domain=[0, 100]))
    base = alt.Chart(alt.InlineData(values=curve))
    line = base.mark_line(color=LINE, strokeWidth=2.5, interpolate="step-after").encode(x=x, y=percent)
    few = alt.Chart(alt.InlineData(values=curve if len(curve) <= MOST_DOTS else []))
    dots = few.mark_point(color=LINE, filled=True, size=14, opacity=1).encode(x=x, y=percent)
    named = alt.Chart(alt.InlineData(values=marked))
    rules = named.mark_rule(color=INK, strokeDash=[4, 3]).encode(x=x, y=alt.Y("row:Q"), y2=alt.datum(0))
    on_sides: list[tuple[str, Align, int]] = [("<=", "left", 5), (">", "right", -5)]
    sides = [
        named.transform_filter(f"datum.total {sign} {left_part!r}")
        .mark_text(color=INK, align=align, dx=dx, fontSize=12)
        .encode(x=x, y="row:Q", text="label:N")
        for sign, align, dx in on_sides
    ]
    return alt.layer(line, dots, rules, *sides, title=alt.Title(title, subtitle=subtitle))


def reopening_curve(
    title: str, subtitle: str, points: Sequence[tuple[str, float]], marks: Sequence[tuple[str, str]]
) -> Any:
    """Percent of trials that have reopened by a day; `points` are ISO day and percent, `marks` name and ISO day."""
    curve = [{"day": day, "percent": percent} for day, percent in points]
    ordered = sorted(marks, key=lambda one: one[1])
    dates = ", ".join(f"{name} {day}" for name, day in ordered)
    # Names alone, low, where the curve has passed already; each a row below the one before.
    marked = [
        {"day": day, "label": ", ".join(name for name, _ in of_day), "row": 34 - 8 * n}
        for n, (day, of_day) in enumerate(groupby(ordered, key=lambda one: one[1]))
    ]
    days = sorted(str(one["day"]) for one in [*curve, *marked])
    first, last = date.fromisoformat(days[0]), date.fromisoformat(days[-1])
    span = (last - first).days
    ends = [
        (first - timedelta(days=1 + span // 20)).isoformat(),
        (last + timedelta(days=1 + span // 3)).isoformat(),
    ]
    x = alt.X(
        "day:T", title="Open again on", scale=alt.Scale(domain=ends),
        axis=alt.Axis(format="%d %b %Y", labelAngle=0, tickCount=6),
    )  # fmt: skip
    percent = alt.Y("percent:Q", title="Trials open again, %", scale=alt.Scale(domain=[0, 100]))
    base = alt.Chart(alt.InlineData(values=curve))
    line = base.mark_line(color=LINE, strokeWidth=2.5, interpolate="step-after").encode(x=x, y=percent)
    dots = base.mark_point(color=LINE, filled=True, size=30, opacity=1).encode(x=x, y=percent)
    named = alt.Chart(alt.InlineData(values=marked))
    rules = named.mark_rule(color=INK, strokeDash=[4, 3]).encode(x=x)
    labels = [
        named.mark_text(align="left", dx=5, fontSize=12, **drawn).encode(x=x, y="row:Q", text="label:N")
        for drawn in ({"color": PAPER, "stroke": PAPER, "strokeWidth": 5}, {"color": INK})
    ]
    return alt.layer(line, dots, rules, *labels, title=alt.Title(title, subtitle=[subtitle, dates]))


def swing_chart(title: str, subtitle: str, currency: str, likely: float, swings: Sequence[Swing]) -> Any:
    """A bar for each figure from the total at its low to the total at its high end, the widest first."""
    widest = sorted(swings, key=lambda one: (-abs(one.at_high - one.at_low), one.figure))
    rows: list[dict[str, Any]] = [
        {
            "figure": one.figure,
            "low": min(one.at_low, one.at_high),
            "high": max(one.at_low, one.at_high),
            "low_label": f"{min(one.at_low, one.at_high):,.0f}",
            "high_label": f"{max(one.at_low, one.at_high):,.0f}",
        }
        for one in widest[:MOST_BARS]
    ]
    left_out = len(widest) - len(rows)
    note = [f"{subtitle}; the axis does not begin at zero"]
    note += [f"{left_out} more with narrower bars are not shown"] if left_out else []
    names = [row["figure"] for row in rows]
    figure = alt.Y("figure:N", title=None, sort=None, axis=name_axis(names, _LONGEST_LABEL))
    x = alt.X(
        "low:Q",
        title=f"Total, {currency}",
        scale=alt.Scale(zero=False, nice=True, padding=70),
        axis=alt.Axis(format=",.0f", tickCount=5),
    )
    base = alt.Chart(alt.InlineData(values=rows))
    bars = base.mark_bar(color=BAND, stroke=LINE, strokeWidth=1).encode(y=figure, x=x, x2="high:Q")
    at_ends: list[tuple[str, Align, int]] = [("low", "right", -4), ("high", "left", 4)]
    ends = [
        base.mark_text(color=INK, align=align, dx=dx, fontSize=11).encode(y=figure, x=f"{end}:Q", text=f"{end}_label:N")
        for end, align, dx in at_ends
    ]  # fmt: skip
    middle = (
        alt.Chart(alt.InlineData(values=[{"low": likely}]))
        .mark_rule(color=INK, strokeDash=[4, 3])
        .encode(x=x)
    )
    return alt.layer(bars, middle, *ends, title=alt.Title(title, subtitle=note))
