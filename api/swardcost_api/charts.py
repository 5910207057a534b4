"""Charts as SVG: drawn from data by a grammar of graphics, without a browser."""

from typing import Any

import altair as alt
import vl_convert

WIDTH, HEIGHT = 640, 320
INK, LINE, BAND = "#1f2a24", "#20639b", "#b7c9d9"
"""Dark ink, and one blue in two strengths: told apart in black and white, and by eyes that do not see red or green."""

_CONFIG: dict[str, Any] = {
    "background": "#ffffff",
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
    themed = chart.properties(width=WIDTH, height=HEIGHT).configure(**_CONFIG)
    return _converted(themed.to_json(indent=None))


def _converted(specification: str) -> str:
    return str(vl_convert.vegalite_to_svg(specification, allowed_base_urls=[]))


def price_chart(title: str, subtitle: str, unit: str, points: list[dict[str, Any]]) -> str:
    """A price through time: a step at each price date, and a band from the lowest to the highest price.

    `points` have `day` (ISO), `price`, `low` and `high` (numbers; low and high may be `None`) and `edition`.
    The scale begins at zero, so that a small rise does not look like a large one.
    """
    data = alt.InlineData(values=points)
    day = alt.X(
        "day:T",
        title="Price date",
        axis=alt.Axis(format="%b %Y", labelAngle=0, tickCount=6),
        scale=alt.Scale(padding=32),
    )
    scale = alt.Scale(zero=True, nice=True)
    base = alt.Chart(data, title=alt.Title(title, subtitle=subtitle))
    band = (
        base.transform_filter("isValid(datum.low) && isValid(datum.high)")
        .mark_area(color=BAND, opacity=0.7, interpolate="step-after")
        .encode(x=day, y=alt.Y("low:Q", title=unit, scale=scale), y2="high:Q")
    )
    steps = base.mark_line(color=LINE, strokeWidth=2.5, interpolate="step-after").encode(
        x=day, y=alt.Y("price:Q", title=unit, scale=scale)
    )
    dots = base.mark_point(color=LINE, filled=True, size=70, opacity=1).encode(
        x=day, y=alt.Y("price:Q", scale=scale), tooltip=["edition:N", "price:Q"]
    )
    labels = base.mark_text(color=INK, dy=-12, fontSize=12).encode(x=day, y="price:Q", text="label:N")
    return svg_of(alt.layer(band, steps, dots, labels))
