"""Charts as SVG: drawn from data by a grammar of graphics, without a browser."""

import json
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import altair as alt
import vl_convert

WIDTH, HEIGHT = 640, 320
_DAYS_FOR_MONTHS = 200
PAPER, INK, LINE, BAND = "#ffffff", "#1f2a24", "#20639b", "#b7c9d9"
"""White paper, dark ink, and one blue in two strengths: told apart in black and white, and by eyes that do not see red
or green."""

_CONFIG: dict[str, Any] = {
    "background": PAPER,
    "font": "sans-serif",
    "axis": {
        "labelColor": INK,
        "titleColor": INK,
        "gridColor": "#e3e6e4",
        "labelFontSize": 12,
        "titleFontSize": 12,
    },
    "title": {"color": INK, "fontSize": 15, "anchor": "start", "subtitleColor": INK},
    "view": {"stroke": None},
}


def svg_of(chart: Any) -> str:
    """The chart as an SVG document, with the service's look."""
    return _converted(vega_lite_of(chart))


def vega_lite_of(chart: Any) -> str:
    """The chart as a Vega-Lite specification in JSON, with the same look; the same chart gives the same bytes."""
    themed = chart.properties(width=WIDTH, height=HEIGHT).configure(**_CONFIG)
    return str(themed.to_json(indent=None, sort_keys=True))


def _converted(specification: str) -> str:
    return str(vl_convert.vegalite_to_svg(specification, allowed_base_urls=[]))


def name_axis(names: Sequence[str], widest: int) -> alt.Axis:
    """An axis of names, in full in the data and shortened where they stand, to so many letters of usual width.

    They are shortened here, because the drawing cuts between the halves of a character beyond 16 bits and then fails.
    """
    shorter = [shortened(name, widest) for name in names]
    expression = f"{json.dumps(shorter)}[indexof({json.dumps(list(names))}, datum.label)]"
    return alt.Axis(labelLimit=0, labelExpr=expression)


def shortened(name: str, widest: int) -> str:
    """A name cut to so many letters of usual width."""
    width = 0
    for place, character in enumerate(name):
        width += _width(character)
        if width > widest:
            return f"{name[:place]}…"
    return name


def _width(character: str) -> int:
    """How many letters of usual width a character takes; marks on the one before take none."""
    if unicodedata.category(character) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def _day_format(points: list[dict[str, Any]]) -> str:
    """Months along the axis, or days where so few pass that one month would stand there twice."""
    days = [date.fromisoformat(point["day"]) for point in points]
    return "%d %b %Y" if days and (max(days) - min(days)).days < _DAYS_FOR_MONTHS else "%b %Y"


def price_chart(title: str, subtitle: str, unit: str, points: list[dict[str, Any]]) -> str:
    """A price through time: a step at each price date, and a band from the lowest to the highest price.

    `points` have `day` (ISO), `price`, `low` and `high` (numbers; low and high may be `None`), `edition` and `label`,
    and come in the order of their days. The scale begins at zero, so that a small rise does not look like a large one.
    """
    before = [None, *(point["price"] for point in points)]
    fell = [was is not None and point["price"] < was for point, was in zip(points, before, strict=False)]
    data = alt.InlineData(values=[point | {"fell": one} for point, one in zip(points, fell, strict=True)])
    day = alt.X(
        "day:T",
        title="Price date",
        axis=alt.Axis(format=_day_format(points), labelAngle=0, tickCount=6),
        scale=alt.Scale(padding=32),
    )
    scale = alt.Scale(zero=True, nice=True)
    base = alt.Chart(data, title=alt.Title(title, subtitle=subtitle))
    ranged = base.transform_filter("isValid(datum.low) && isValid(datum.high)")
    low = alt.Y("low:Q", title=unit, scale=scale)
    band = ranged.mark_area(color=BAND, opacity=0.7, interpolate="step-after").encode(
        x=day, y=low, y2="high:Q"
    )
    # A band ends where its last price begins, and a range that stands alone has none.
    bars = ranged.mark_rule(color=BAND, strokeWidth=6).encode(x=day, y=low, y2="high:Q")
    steps = base.mark_line(color=LINE, strokeWidth=2.5, interpolate="step-after").encode(
        x=day, y=alt.Y("price:Q", title=unit, scale=scale)
    )
    dots = base.mark_point(color=LINE, filled=True, size=70, opacity=1).encode(
        x=day, y=alt.Y("price:Q", scale=scale), tooltip=["edition:N", "price:Q"]
    )
    # The line comes to a lower price from above, so that its label stands below.
    above, below = (
        base.transform_filter(which)
        .mark_text(color=INK, dy=dy, fontSize=12)
        .encode(x=day, y="price:Q", text="label:N")
        for which, dy in (("!datum.fell", -12), ("datum.fell", 16))
    )
    return svg_of(alt.layer(band, bars, steps, dots, above, below))


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on the axis, with its label."""

    at: float
    label: str


def marked_axis(ticks: Sequence[Mark]) -> alt.Axis:
    """An axis with these labels at these places and no others."""
    places, labels = [one.at for one in ticks], [one.label for one in ticks]
    expression = f"{json.dumps(labels)}[indexof({json.dumps(places)}, datum.value)]"
    return alt.Axis(values=places, labelExpr=expression, labelAngle=0, labelOverlap=True)
