"""Lines and bars by year, told apart by dashes and shades, so that they read in black and white."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER

_MOST_LABELS = 20
_DASHES = ([1, 0], [6, 4], [2, 3])
_STROKES = (LINE, INK, INK)
_SHADES = (BAND, PAPER)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A series: its name, and what it is in each year in whole units; a year may be missing."""

    name: str
    points: Sequence[tuple[str, float]]


def lines_by_year(title: str, unit: str, series: Sequence[Drawn]) -> Any:
    """Up to three lines, the first solid; the scale begins at zero, and zero is drawn where a line falls below it."""
    names = [one.name for one in series if one.points]
    values = _values(series)
    years = _years(series)
    lines = (
        alt.Chart(alt.InlineData(values=values))
        .mark_line(strokeWidth=2.5)
        .encode(
            x=_year_axis(years), y=_amount_axis(unit),
            stroke=alt.Stroke(
                "what:N", scale=alt.Scale(domain=names, range=list(_STROKES[: len(names)])), legend=_legend(names)
            ),
            strokeDash=alt.StrokeDash(
                "what:N", scale=alt.Scale(domain=names, range=list(_DASHES[: len(names)])), legend=_legend(names)
            ),
        )
    )  # fmt: skip
    first = [one for one in values if one["what"] == names[0]] if names else []
    dots = alt.Chart(alt.InlineData(values=first)).mark_point(
        color=LINE, filled=True, size=36, opacity=1
    ).encode(x=_year_axis(years), y=_amount_axis(unit))  # fmt: skip
    layers = alt.layer(_zero(values, unit), lines, dots, title=alt.Title(title))
    return layers.resolve_scale(stroke="independent", strokeDash="independent")


def bars_by_year(
    title: str, unit: str, series: Sequence[Drawn], limit_name: str, limits: Sequence[tuple[str, float]]
) -> Any:
    """Up to two kinds on top of each other, from zero, and a step for the limit of each year where there is one."""
    names = [one.name for one in series]
    years = _years([*series, Drawn(limit_name, limits)])
    bars = (
        alt.Chart(alt.InlineData(values=[one for one in _values(series) if one["amount"]]))
        .mark_bar(stroke=LINE, strokeWidth=1)
        .encode(
            x=_year_axis(years), y=_amount_axis(unit, stacked=True),
            fill=alt.Fill(
                "what:N", scale=alt.Scale(domain=names, range=list(_SHADES[: len(names)])), legend=_legend(names)
            ),
            order=alt.Order("place:Q"),
        )
    )  # fmt: skip
    if not limits:
        return alt.layer(bars, title=alt.Title(title))
    told = [limit_name]
    limit = (
        alt.Chart(alt.InlineData(values=_values([Drawn(limit_name, limits)])))
        .mark_line(strokeWidth=2, interpolate="step")
        .encode(
            x=_year_axis(years), y=_amount_axis(unit),
            stroke=alt.Stroke("what:N", scale=alt.Scale(domain=told, range=[INK]), legend=_legend(told)),
            strokeDash=alt.StrokeDash("what:N", scale=alt.Scale(domain=told, range=[[6, 4]]), legend=_legend(told)),
        )
    )  # fmt: skip
    layers = alt.layer(bars, limit, title=alt.Title(title))
    return layers.resolve_scale(fill="independent", stroke="independent", strokeDash="independent")


def _values(series: Sequence[Drawn]) -> list[dict[str, Any]]:
    return [
        {"year": year, "amount": amount, "what": one.name, "place": place}
        for place, one in enumerate(series)
        for year, amount in one.points
    ]


def _years(series: Sequence[Drawn]) -> list[str]:
    return sorted({year for one in series for year, _ in one.points})


def _year_axis(years: Sequence[str]) -> alt.X:
    every = -(-len(years) // _MOST_LABELS)
    shown = list(years[::every]) if every else []
    return alt.X(
        "year:O", title=None, axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=list(years)),
    )  # fmt: skip


def _amount_axis(unit: str, *, stacked: bool = False) -> alt.Y:
    return alt.Y(
        "amount:Q", title=unit, axis=alt.Axis(format="~s", tickCount=6), scale=alt.Scale(zero=True),
        stack="zero" if stacked else None,
    )  # fmt: skip


def _legend(names: Sequence[str]) -> alt.Legend | None:
    if len(names) < 1:
        return None
    return alt.Legend(
        title=None, orient="bottom", labelColor=INK, labelFontSize=12, labelLimit=0, symbolSize=300, symbolStrokeWidth=2
    )  # fmt: skip


def _zero(values: Sequence[dict[str, Any]], unit: str) -> Any:
    below = any(one["amount"] < 0 for one in values)
    data = alt.InlineData(values=[{"amount": 0}] if below else [])
    return alt.Chart(data).mark_rule(color=INK, strokeWidth=1).encode(y=alt.Y("amount:Q", title=unit))
