"""Bars of days, readable in black and white."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, Mark, marked_axis, name_axis

_LONGEST_NAME = 36


@dataclass(frozen=True, slots=True)
class DayBar:
    """Work from the start of a day to the end of another, counted from the first day that is shown."""

    name: str
    first: int
    last: int
    critical: bool


def day_bars(
    title: str, bars: Sequence[DayBar], ticks: Sequence[Mark], opening: Mark | None, critical: str
) -> Any:
    """A bar for each task over the days; those on which the reopening rests are filled dark."""
    rows: list[dict[str, Any]] = [
        {"name": f"{n}. {one.name}", "first": one.first, "end": one.last + 1, "critical": one.critical}
        for n, one in enumerate(bars, start=1)
    ]
    names = [row["name"] for row in rows]
    x = alt.X("first:Q", title=None, axis=marked_axis(ticks), scale=alt.Scale(zero=False, nice=False))
    drawn = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_bar(stroke=LINE, strokeWidth=1)
        .encode(
            y=alt.Y("name:N", title=None, sort=None, axis=name_axis(names, _LONGEST_NAME)), x=x, x2="end:Q",
            color=alt.condition("datum.critical", alt.value(LINE), alt.value(BAND)),
        )
    )  # fmt: skip
    marks = [] if opening is None else [{"first": opening.at, "label": opening.label}]
    rule = alt.Chart(alt.InlineData(values=marks)).mark_rule(color=INK, strokeDash=[4, 3]).encode(x=x)
    subtitle = [critical, *([opening.label] if opening else [])]
    return alt.layer(drawn, rule, title=alt.Title(title, subtitle=subtitle))
