"""The chart of a plan: what is left at the end of each year, the floor, and what is spent in each year."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER

_CAPITAL, _OPERATING = "Capital spending", "Operating spending"
_MOST_LABELS = 20
_RESERVE, _FLOOR, _FUNDED = "Reserve, end of year", "Floor", "Fully funded"


@dataclass(frozen=True, slots=True)
class YearDrawn:
    """A year as it is drawn, in whole units of the currency; `funded` is none where nothing is known of assets."""

    year: int
    closing: float
    floor: float
    capital: float
    operating: float
    funded: float | None


def reserve_curve(title: str, subtitle: Sequence[str], currency: str, years: Sequence[YearDrawn]) -> Any:
    """The reserve as a line with its floor and the fully funded balance, over bars of the year's spending."""
    lines = [
        {"year": str(one.year), "amount": amount, "what": what}
        for what, amounts in (
            (_RESERVE, [one.closing for one in years]), (_FLOOR, [one.floor for one in years]),
            (_FUNDED, [one.funded for one in years]),
        )
        for one, amount in zip(years, amounts, strict=True)
        if amount is not None
    ]  # fmt: skip
    bars = [
        {"year": str(one.year), "amount": amount, "what": what}
        for one in years
        for what, amount in ((_CAPITAL, one.capital), (_OPERATING, one.operating))
        if amount
    ]
    every = -(-len(years) // _MOST_LABELS)
    shown = [str(one.year) for place, one in enumerate(years) if place % every == 0]
    x = alt.X(
        "year:O", title=None, sort=[str(one.year) for one in years],
        axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=[str(one.year) for one in years]),
    )  # fmt: skip
    y = alt.Y(
        "amount:Q", title=currency, axis=alt.Axis(format=",.0f", tickCount=6), scale=alt.Scale(zero=True)
    )
    legend = alt.Legend(
        title=None, orient="bottom", labelColor=INK, labelFontSize=12, symbolSize=300, symbolStrokeWidth=2
    )
    spent = (
        alt.Chart(alt.InlineData(values=bars))
        .mark_bar(stroke=LINE, strokeWidth=1)
        .encode(
            x=x, y=y,
            fill=alt.Fill(
                "what:N", scale=alt.Scale(domain=[_CAPITAL, _OPERATING], range=[BAND, PAPER]), legend=legend
            ),
            order=alt.Order("what:N"),
        )
    )  # fmt: skip
    present = [one for one in (_RESERVE, _FLOOR, _FUNDED) if any(line["what"] == one for line in lines)]
    dashes = {_RESERVE: [1, 0], _FLOOR: [6, 4], _FUNDED: [2, 3]}
    colors = {_RESERVE: LINE, _FLOOR: INK, _FUNDED: INK}
    drawn = (
        alt.Chart(alt.InlineData(values=lines))
        .mark_line(strokeWidth=2.5)
        .encode(
            x=x, y=y,
            stroke=alt.Stroke(
                "what:N", scale=alt.Scale(domain=present, range=[colors[one] for one in present]), legend=legend
            ),
            strokeDash=alt.StrokeDash(
                "what:N", scale=alt.Scale(domain=present, range=[dashes[one] for one in present]), legend=legend
            ),
        )
    )  # fmt: skip
    closing = [line for line in lines if line["what"] == _RESERVE]
    dots = alt.Chart(alt.InlineData(values=closing)).mark_point(
        color=LINE, filled=True, size=36, opacity=1
    ).encode(x=x, y=y)  # fmt: skip
    below = any(one.closing < 0 for one in years)
    zero = alt.Chart(alt.InlineData(values=[{"amount": 0}] if below else [])).mark_rule(
        color=INK, strokeWidth=1
    ).encode(y=y)  # fmt: skip
    layers = alt.layer(spent, zero, drawn, dots, title=alt.Title(title, subtitle=list(subtitle)))
    return layers.resolve_scale(fill="independent", stroke="independent", strokeDash="independent")
