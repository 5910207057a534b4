"""The drawings of an estimate packet: a curve of likelihood, and swings; readable in black and white.

Labels come finished, in the language of the packet, so that the drawing formats no number and no day.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER, Mark, marked_axis, name_axis

_LONGEST_NAME = 36


@dataclass(frozen=True, slots=True)
class SwingBar:
    """A bar from the lower to the higher total, each with its label."""

    name: str
    low: float
    high: float
    low_label: str
    high_label: str


def likelihood_curve(
    titles: tuple[str, str, str],
    points: Sequence[tuple[float, float]],
    ticks: Sequence[Mark],
    marks: Sequence[Mark],
) -> Any:
    """Percent of trials not above a cost; titles of the chart and of its axes, points in ascending order."""
    title, across, upward = titles
    x = alt.X("total:Q", title=across, axis=marked_axis(ticks), scale=alt.Scale(zero=False, nice=False))
    percent = alt.Y("percent:Q", title=upward, scale=alt.Scale(domain=[0, 100]))
    curve = [{"total": total, "percent": percent} for total, percent in points]
    base = alt.Chart(alt.InlineData(values=curve))
    line = base.mark_line(color=LINE, strokeWidth=2.5).encode(x=x, y=percent)
    dots = base.mark_point(color=LINE, filled=True, size=24, opacity=1).encode(x=x, y=percent)
    placed = [
        {"total": one.at, "label": one.label, "row": 20 - 9 * (n % 2)}
        for n, one in enumerate(sorted(marks, key=lambda one: one.at))
    ]
    named = alt.Chart(alt.InlineData(values=placed))
    rules = named.mark_rule(color=INK, strokeDash=[4, 3]).encode(x=x)
    labels = [
        named.mark_text(align="left", dx=5, fontSize=12, **drawn).encode(x=x, y="row:Q", text="label:N")
        for drawn in ({"color": PAPER, "stroke": PAPER, "strokeWidth": 5}, {"color": INK})
    ]
    return alt.layer(line, dots, rules, *labels, title=alt.Title(title))


def swing_bars(title: str, note: str, across: str, bars: Sequence[SwingBar], likely: Mark) -> Any:
    """A bar for each figure between the totals at its ends, and a rule where everything is likely."""
    rows = [
        {
            "name": one.name,
            "low": one.low,
            "high": one.high,
            "low_label": one.low_label,
            "high_label": one.high_label,
        }
        for one in bars
    ]
    names = [one.name for one in bars]
    y = alt.Y("name:N", title=None, sort=None, axis=name_axis(names, _LONGEST_NAME))
    x = alt.X(
        "low:Q", title=across, axis=alt.Axis(labels=False, tickCount=5),
        scale=alt.Scale(zero=False, nice=True, padding=80),
    )  # fmt: skip
    base = alt.Chart(alt.InlineData(values=rows))
    drawn = base.mark_bar(color=BAND, stroke=LINE, strokeWidth=1).encode(y=y, x=x, x2="high:Q")
    low = base.mark_text(color=INK, align="right", dx=-4, fontSize=11).encode(
        y=y, x="low:Q", text="low_label:N"
    )
    high = base.mark_text(color=INK, align="left", dx=4, fontSize=11).encode(
        y=y, x="high:Q", text="high_label:N"
    )
    middle = (
        alt.Chart(alt.InlineData(values=[{"low": likely.at}]))
        .mark_rule(color=INK, strokeDash=[4, 3])
        .encode(x=x)
    )
    return alt.layer(drawn, middle, low, high, title=alt.Title(title, subtitle=[note, likely.label]))
