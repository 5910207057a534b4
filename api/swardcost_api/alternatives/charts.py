"""Bars of alternatives side by side."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER, name_axis

_LONGEST_LABEL = 31
_TOTAL, _CASH = "Total", "Cash"


@dataclass(frozen=True, slots=True)
class Bar:
    """An alternative: its total, the cash in it, and the tenth and ninetieth percentile where it was simulated."""

    label: str
    total: float
    cash: float
    p10: float | None = None
    p90: float | None = None


def comparison_bars(title: str, subtitle: str, currency: str, bars: Sequence[Bar]) -> Any:
    """Two bars for each alternative, from zero, in the order given; a line from P10 to P90 where they are known."""
    rows: list[dict[str, Any]] = [
        {"alternative": bar.label, "counts": counts, "amount": amount, "words": f"{amount:,.0f}"}
        for bar in bars
        for counts, amount in ((_TOTAL, bar.total), (_CASH, bar.cash))
    ]
    ranges = [
        {"alternative": bar.label, "counts": _TOTAL, "p10": bar.p10, "p90": bar.p90}
        for bar in bars
        if bar.p10 is not None and bar.p90 is not None
    ]
    order = [bar.label for bar in bars]
    alternative = alt.Y("alternative:N", title=None, sort=order, axis=name_axis(order, _LONGEST_LABEL))
    lanes = alt.YOffset("counts:N", sort=[_TOTAL, _CASH])
    farthest = max((max(bar.total, bar.cash, bar.p90 or 0.0) for bar in bars), default=0.0)
    scale = alt.Scale(zero=True, nice=True, domain=[0, farthest * 1.12 or 1.0])
    x = alt.X("amount:Q", title=currency, scale=scale, axis=alt.Axis(format=",.0f", tickCount=6))
    base = alt.Chart(alt.InlineData(values=rows))
    drawn = base.mark_bar(stroke=LINE, strokeWidth=1).encode(
        y=alternative,
        yOffset=lanes,
        x=x,
        color=alt.Color(
            "counts:N",
            scale=alt.Scale(domain=[_TOTAL, _CASH], range=[BAND, LINE]),
            legend=alt.Legend(title=None, orient="top-right", labelColor=INK, labelFontSize=12),
        ),
    )
    # Inside the bar, so that the line of a simulated range does not lie on its amount.
    inside: list[tuple[str, str]] = [(_TOTAL, INK), (_CASH, PAPER)]
    amounts = [
        base.transform_filter(f"datum.counts == '{counts}' && datum.amount >= {farthest * 0.15!r}")
        .mark_text(color=color, align="left", dx=6, fontSize=12)
        .encode(y=alternative, yOffset=lanes, x=alt.datum(0), text="words:N")
        for counts, color in inside
    ]
    beside: Literal["left"] = "left"
    short = (
        base.transform_filter(f"datum.amount < {farthest * 0.15!r}")
        .mark_text(color=INK, align=beside, dx=6, fontSize=12)
        .encode(y=alternative, yOffset=lanes, x=x, text="words:N")
    )
    spread = alt.Chart(alt.InlineData(values=ranges))
    lines = spread.mark_rule(color=INK, strokeWidth=2).encode(
        y=alternative, yOffset=lanes, x=alt.X("p10:Q", scale=scale), x2="p90:Q"
    )
    ends = [
        spread.mark_tick(color=INK, thickness=2, size=12).encode(
            y=alternative, yOffset=lanes, x=alt.X(f"{end}:Q", scale=scale)
        )
        for end in ("p10", "p90")
    ]
    return alt.layer(drawn, *amounts, short, lines, *ends, title=alt.Title(title, subtitle=subtitle))
