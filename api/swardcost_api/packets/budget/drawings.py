"""Bars by group, the bridge from plan to cost, and money through the months: shades and dashes that read in black and
white."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER, name_axis

_MOST_LABELS = 14
_NAME_WIDTH = 26
_SHADES = (PAPER, BAND, LINE)
_DASHES = ([6, 4], [1, 0], [2, 3])
_STROKES = (INK, LINE, LINE)


@dataclass(frozen=True, slots=True)
class Series:
    """A kind of money with its amount under each name; a name may be missing."""

    name: str
    amounts: Sequence[tuple[str, Decimal]]


@dataclass(frozen=True, slots=True)
class BridgeBar:
    """A bar of a bridge, from one amount to another; a standing one begins at zero."""

    name: str
    begins: Decimal
    ends: Decimal
    label: str
    standing: bool = False


def bars_by_group(title: str, unit: str, series: Sequence[Series]) -> Any:
    """Up to three bars from zero for each name, below each other."""
    names = [name for name, _ in series[0].amounts]
    kinds = [one.name for one in series]
    return (
        alt.Chart(alt.InlineData(values=_values(series)), title=alt.Title(title))
        .mark_bar(stroke=INK, strokeWidth=0.8)
        .encode(
            x=_amounts(unit, alt.X),
            y=alt.Y("name:N", title=None, sort=names, axis=name_axis(names, _NAME_WIDTH)),
            yOffset=alt.YOffset("kind:N", sort=kinds),
            fill=alt.Fill(
                "kind:N", scale=alt.Scale(domain=kinds, range=list(_SHADES[: len(kinds)])), legend=_legend()
            ),
        )
    )  # fmt: skip


def bridge(title: str, unit: str, bars: Sequence[BridgeBar], words: tuple[str, str, str]) -> Any:
    """A bridge: `words` name the bars that stand on zero, those that add money, and those that take some away.

    It lies, so that each bar has a line of its own with its amount behind it, however long that is.
    """
    names = [one.name for one in bars]
    values = [
        {
            "name": one.name, "begins": float(one.begins), "ends": float(one.ends), "label": one.label,
            "right": float(max(one.begins, one.ends)), "kind": _kind(one, words),
        }
        for one in bars
    ]  # fmt: skip
    base = alt.Chart(alt.InlineData(values=values))
    y = alt.Y("name:N", title=None, sort=names, axis=alt.Axis(labelLimit=0))
    drawn = base.mark_bar(stroke=INK, strokeWidth=1).encode(
        y=y, x=_amounts(unit, alt.X, "begins:Q"), x2="ends:Q",
        fill=alt.Fill(
            "kind:N", scale=alt.Scale(domain=list(words), range=[BAND, INK, PAPER]), legend=_legend()
        ),
    )  # fmt: skip
    labels = base.mark_text(color=INK, align="left", dx=5, fontSize=12).encode(
        y=y, x="right:Q", text="label:N"
    )
    return alt.layer(drawn, labels, title=alt.Title(title))


def lines_by_month(title: str, unit: str, months: Sequence[str], series: Sequence[Series]) -> Any:
    """Up to three lines through months that are named in their order; the scale begins at zero."""
    kinds = [one.name for one in series]
    every = -(-len(months) // _MOST_LABELS)
    shown = list(months[::every]) if every else []
    axis = alt.Axis(values=shown, labelAngle=-45 if len(shown) > 8 else 0)
    return (
        alt.Chart(alt.InlineData(values=_values(series)), title=alt.Title(title))
        .mark_line(strokeWidth=2.5, point=alt.OverlayMarkDef(size=30, filled=True))
        .encode(
            x=alt.X("name:O", title=None, sort=list(months), scale=alt.Scale(domain=list(months)), axis=axis),
            y=_amounts(unit, alt.Y),
            stroke=alt.Stroke(
                "kind:N", scale=alt.Scale(domain=kinds, range=list(_STROKES[: len(kinds)])), legend=_legend()
            ),
            strokeDash=alt.StrokeDash(
                "kind:N", scale=alt.Scale(domain=kinds, range=list(_DASHES[: len(kinds)])), legend=_legend()
            ),
            color=alt.Color(
                "kind:N", scale=alt.Scale(domain=kinds, range=list(_STROKES[: len(kinds)])), legend=None
            ),
        )
    )  # fmt: skip


def _values(series: Sequence[Series]) -> list[dict[str, Any]]:
    return [
        {"name": name, "amount": float(amount), "kind": one.name}
        for one in series
        for name, amount in one.amounts
    ]


def _kind(bar: BridgeBar, words: tuple[str, str, str]) -> str:
    if bar.standing:
        return words[0]
    return words[1] if bar.ends >= bar.begins else words[2]


def _amounts(unit: str, channel: Any, what: str = "amount:Q") -> Any:
    return channel(
        what, title=unit, axis=alt.Axis(format="~s", tickCount=6), scale=alt.Scale(zero=True), stack=None
    )


def _legend() -> alt.Legend:
    return alt.Legend(
        title=None, orient="bottom", labelColor=INK, labelFontSize=12, labelLimit=0, symbolSize=200,
        symbolStrokeWidth=2,
    )  # fmt: skip
