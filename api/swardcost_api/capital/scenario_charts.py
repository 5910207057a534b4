"""The chart of scenarios: what each leaves at the end of every year, each curve named at its end."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from swardcost_api.charts import HEIGHT, INK, LINE, PAPER, shortened

_MOST_LABELS = 20
_LETTERS = 30
_LABEL_PIXELS = 15
"""From one label to the next, so that they can be read."""
_DASHES = ([1, 0], [7, 3], [2, 2], [10, 3, 2, 3], [14, 4], [4, 4], [1, 3], [12, 3, 2, 3, 2, 3])
_WIDTHS = (3.0, 2.0)
_SHAPES = (
    "circle",
    "square",
    "triangle-up",
    "diamond",
    "triangle-down",
    "cross",
    "triangle-right",
    "triangle-left",
)
_MOST_MARKS = 5


@dataclass(frozen=True, slots=True)
class CurveDrawn:
    """A scenario as it is drawn: its name, and a year, what is left at its end, and the floor, in whole units."""

    name: str
    points: Sequence[tuple[int, float, float]]


def reserve_curves(
    title: str, subtitle: Sequence[str], axis: str, curves: Sequence[CurveDrawn], floor_name: str = "Floor"
) -> Any:
    """The reserve of each scenario as a line of its own dashes and mark, with its name where it ends; the floors thin.

    The first is solid and strong. Where curves end close together their names are drawn apart, in their order.
    """
    years = sorted({year for curve in curves for year, _, _ in curve.points})
    every = -(-len(years) // _MOST_LABELS)
    shown = [str(year) for place, year in enumerate(years) if place % every == 0]
    amounts = [amount for curve in curves for _, *pair in curve.points for amount in pair]
    bottom, top = min([0.0, *amounts]), max([0.0, *amounts])
    margin = (top - bottom) * 0.04 or 1.0
    bottom, top = bottom - margin if bottom < 0 else 0.0, top + margin
    x = alt.X(
        "year:O", title=None, axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=[str(year) for year in years]),
    )  # fmt: skip
    y = alt.Y(
        "amount:Q", title=axis, axis=alt.Axis(format=",.0f", tickCount=6),
        scale=alt.Scale(domain=[bottom, top], nice=False, zero=True),
    )  # fmt: skip
    layers: list[Any] = [_zero(y)] if bottom < 0 else []
    layers += [_floor(x, y, floor, floor_name) for floor in _floors(curves)]
    layers += [_curve(x, y, place, curve) for place, curve in enumerate(curves)]
    layers += _names(x, y, curves, (top - bottom) / HEIGHT, floor_name)
    return alt.layer(*layers, title=alt.Title(title, subtitle=list(subtitle)))


def _zero(y: alt.Y) -> Any:
    return alt.Chart(alt.InlineData(values=[{"amount": 0}])).mark_rule(color=INK, strokeWidth=1).encode(y=y)


def _floors(curves: Sequence[CurveDrawn]) -> list[list[tuple[int, float]]]:
    """Each floor once, however many scenarios have it; none where nothing must be left."""
    found: dict[tuple[tuple[int, float], ...], None] = {}
    for curve in curves:
        floor = tuple((year, least) for year, _, least in curve.points)
        if any(least for _, least in floor):
            found.setdefault(floor)
    return [list(floor) for floor in found]


def _floor(x: alt.X, y: alt.Y, floor: Sequence[tuple[int, float]], name: str) -> Any:
    values = [{"year": str(year), "amount": amount, "what": name} for year, amount in floor]
    data = alt.InlineData(values=values)
    return alt.Chart(data).mark_line(color=INK, strokeWidth=1, strokeDash=[1, 1]).encode(x=x, y=y)


def _curve(x: alt.X, y: alt.Y, place: int, curve: CurveDrawn) -> Any:
    """A line, with its mark in some of the years."""
    values = [
        {"year": str(year), "amount": amount, "scenario": curve.name} for year, amount, _ in curve.points
    ]
    every = -(-len(values) // _MOST_MARKS)
    marked = [one for number, one in enumerate(values) if (number + place) % every == 0]
    line = (
        alt.Chart(alt.InlineData(values=values))
        .mark_line(
            color=_color(place), strokeWidth=_WIDTHS[min(place, 1)], strokeDash=_DASHES[place % len(_DASHES)]
        )
        .encode(x=x, y=y)
    )
    return line + alt.Chart(alt.InlineData(values=marked)).mark_point(**_mark(place)).encode(x=x, y=y)


def _color(place: int) -> str:
    return LINE if place % 2 == 0 else INK


def _mark(place: int) -> dict[str, Any]:
    """A shape of its own for each of eight curves, hollow so that curves behind it are seen."""
    return {
        "shape": _SHAPES[place % len(_SHAPES)], "size": 55, "opacity": 1, "filled": True, "fill": PAPER,
        "stroke": _color(place), "strokeWidth": 1.5,
    }  # fmt: skip


def _names(
    x: alt.X, y: alt.Y, curves: Sequence[CurveDrawn], unit_pixels: float, floor_name: str
) -> list[Any]:
    """Names and marks at the ends of curves and floors; `unit_pixels` is what a pixel of height stands for."""
    ends = [(curve.points[-1], curve.name, place) for place, curve in enumerate(curves)]
    floors = [(floor[-1], floor_name, len(curves)) for floor in _floors(curves)]
    layers = []
    for year in sorted({end[0] for end, *_ in (*ends, *floors)}):
        at_year = sorted((end[1], place, name) for end, name, place in (*ends, *floors) if end[0] == year)
        heights = spread([amount for amount, *_ in at_year], _LABEL_PIXELS * unit_pixels)
        for (_, place, name), height in zip(at_year, heights, strict=True):
            value = {"year": str(year), "amount": height, "name": shortened(name, _LETTERS)}
            base = alt.Chart(alt.InlineData(values=[value])).encode(x=x, y=y)
            of_curve = place < len(curves)
            if of_curve:
                layers.append(base.mark_point(xOffset=18, **_mark(place)))
            layers.append(
                base.mark_text(
                    align="left", dx=28 if of_curve else 12, fontSize=12, color=_color(place) if of_curve else INK,
                    fontStyle="normal" if of_curve else "italic",
                ).encode(text="name:N")
            )  # fmt: skip
    return layers


def spread(heights: Sequence[float], apart: float) -> list[float]:
    """Heights in rising order moved as little as need be so that each is so far above the one before.

    Those that would touch are set around their middle.

    Examples
    --------
    >>> spread([0.0, 1.0, 100.0], 10.0)
    [-4.5, 5.5, 100.0]
    """
    groups: list[list[float]] = []
    for height in heights:
        groups.append([height])
        while len(groups) > 1 and _bottom(groups[-1], apart) < _top(groups[-2], apart) + apart:
            last = groups.pop()
            groups[-1] += last
    return [_bottom(group, apart) + apart * place for group in groups for place in range(len(group))]


def _bottom(group: Sequence[float], apart: float) -> float:
    return sum(group) / len(group) - apart * (len(group) - 1) / 2


def _top(group: Sequence[float], apart: float) -> float:
    return sum(group) / len(group) + apart * (len(group) - 1) / 2
