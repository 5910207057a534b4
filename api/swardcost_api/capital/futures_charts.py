"""Charts of the futures of a plan: fans of what is left or spent in each year, and how probable a shortfall is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER

_MOST_LABELS = 20
_PALE = "#e6edf3"


@dataclass(frozen=True, slots=True)
class FanWords:
    """What the parts of a fan are called."""

    wide: str = "9 of 10 futures"
    half: str = "Half of the futures"
    middle: str = "Middle of the futures"
    plan: str = "The plan"
    floor: str = "Floor"
    year: str = "Year"


IN_ENGLISH = FanWords()


@dataclass(frozen=True, slots=True)
class FanDrawn:
    """A year as it is drawn, in whole units of the currency; `floor` is none where none is drawn."""

    year: int
    p5: float
    p25: float
    p50: float
    p75: float
    p95: float
    in_plan: float
    floor: float | None


@dataclass(frozen=True, slots=True)
class ShortfallDrawn:
    """How probable a shortfall is in a year, with its interval, and in it or a year before, all in percent."""

    year: int
    in_year: float
    low: float
    high: float
    by_then: float


def fan_chart(
    title: str, subtitle: Sequence[str], axis: str, years: Sequence[FanDrawn], called: FanWords = IN_ENGLISH
) -> Any:
    """Bands of 9 of 10 futures and of half of them, their middle, the plan without chance, and the floor."""
    x = _years([one.year for one in years], called.year)
    y = alt.Y("low:Q", title=axis, axis=alt.Axis(format=",.0f", tickCount=6), scale=alt.Scale(zero=True))
    bands = [
        {"year": str(one.year), "low": low, "high": high, "what": what}
        for what, ends in ((called.wide, "p5 p95"), (called.half, "p25 p75"))
        for one in years
        for low, high in [tuple(getattr(one, end) for end in ends.split())]
    ]
    fill = alt.Fill(
        "what:N",
        legend=_legend("square"),
        scale=alt.Scale(domain=[called.wide, called.half], range=[_PALE, BAND]),
    )
    base = alt.Chart(alt.InlineData(values=bands))
    # A band of one year has no width, so that it is drawn as a bar.
    banded = (
        base.mark_area(stroke=LINE, strokeWidth=0.75) if len(years) > 1
        else base.mark_bar(stroke=LINE, strokeWidth=0.75, size=60)
    ).encode(x=x, y=y, y2="high:Q", fill=fill)  # fmt: skip
    lines = [
        {"year": str(one.year), "low": amount, "what": what}
        for what, name in ((called.middle, "p50"), (called.plan, "in_plan"), (called.floor, "floor"))
        for one in years
        for amount in [getattr(one, name)]
        if amount is not None
    ]
    looks = {called.middle: (LINE, [1, 0]), called.plan: (INK, [2, 3]), called.floor: (INK, [7, 4])}
    present = [one for one in looks if any(line["what"] == one for line in lines)]
    base = alt.Chart(alt.InlineData(values=lines))
    # A line through one year has no length, so that it is drawn across.
    lined = (
        base.mark_line(strokeWidth=2.25).encode(x=x) if len(years) > 1 else base.mark_rule(strokeWidth=2.25)
    )
    colors, dashes = ([looks[one][place] for one in present] for place in (0, 1))
    drawn = lined.encode(
        y=y, stroke=alt.Stroke("what:N", legend=_legend(), scale=alt.Scale(domain=present, range=colors)),
        strokeDash=alt.StrokeDash("what:N", legend=_legend(), scale=alt.Scale(domain=present, range=dashes)),
    )  # fmt: skip
    under = any(one.p5 < 0 or one.in_plan < 0 for one in years)
    zero = alt.Chart(alt.InlineData(values=[{"low": 0}] if under else [])).mark_rule(
        color=INK, strokeWidth=1
    ).encode(y=y)  # fmt: skip
    layers = alt.layer(banded, zero, drawn, title=alt.Title(title, subtitle=list(subtitle)))
    layers = layers.properties(description=_alternative(title, axis, subtitle))
    return layers.resolve_scale(fill="independent", stroke="independent", strokeDash="independent")


def shortfall_chart(title: str, subtitle: Sequence[str], axis: str, years: Sequence[ShortfallDrawn]) -> Any:
    """Bars of how probable a shortfall of each year is, with its interval, and a line of one by then."""
    in_year, by_then = "In the year", "In it or a year before"
    x = _years([one.year for one in years])
    top = max([10.0, *(max(one.high, one.by_then) for one in years)])
    y = alt.Y(
        "percent:Q", title=axis, axis=alt.Axis(format=".0f", tickCount=6),
        scale=alt.Scale(domain=[0, min(100.0, top)], nice=top < 100),
    )  # fmt: skip
    values = [
        {"year": str(one.year), "percent": one.in_year, "low": one.low, "high": one.high, "what": in_year}
        for one in years
    ]
    base = alt.Chart(alt.InlineData(values=values))
    bars = base.mark_bar(stroke=LINE, strokeWidth=1).encode(
        x=x, y=y,
        fill=alt.Fill("what:N", legend=_legend("square"), scale=alt.Scale(domain=[in_year], range=[BAND])),
    )  # fmt: skip
    ends = base.mark_rule(color=INK, strokeWidth=1.25).encode(x=x, y=alt.Y("low:Q"), y2="high:Q")
    sums = [{"year": str(one.year), "percent": one.by_then, "what": by_then} for one in years]
    line = (
        alt.Chart(alt.InlineData(values=sums))
        .mark_line(strokeWidth=2.25, point=alt.OverlayMarkDef(filled=True, fill=PAPER, stroke=LINE, size=40))
        .encode(
            x=x, y=y,
            stroke=alt.Stroke("what:N", legend=_legend(), scale=alt.Scale(domain=[by_then], range=[LINE])),
        )
    )  # fmt: skip
    layers = alt.layer(bars, ends, line, title=alt.Title(title, subtitle=list(subtitle)))
    layers = layers.properties(description=_alternative(title, axis, subtitle))
    return layers.resolve_scale(fill="independent", stroke="independent")


def _alternative(title: str, axis: str, subtitle: Sequence[str]) -> str:
    """What is drawn, for who does not see it."""
    return f"{title}. {axis}, by year. {' '.join(subtitle)}"


def _years(years: Sequence[int], title: str = IN_ENGLISH.year) -> alt.X:
    every = -(-len(years) // _MOST_LABELS)
    shown = [str(year) for place, year in enumerate(years) if place % every == 0]
    return alt.X(
        "year:O", title=title, axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=[str(year) for year in years]),
    )  # fmt: skip


def _legend(shape: str = "stroke") -> alt.Legend:
    return alt.Legend(
        title=None, symbolType=shape, orient="bottom", columns=3, labelColor=INK, labelFontSize=12, labelLimit=0,
        symbolSize=250, symbolStrokeWidth=2,
    )  # fmt: skip
