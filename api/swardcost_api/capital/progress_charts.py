"""The chart of a reserve as it was to be and as it is to be now."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from swardcost_api.charts import INK, LINE

_MOST_LABELS = 20


def two_reserves(
    title: str,
    subtitle: Sequence[str],
    currency: str,
    names: tuple[str, str],
    years: Sequence[tuple[int, float, float]],
) -> Any:
    """Two reserve curves, the first dashed and the second solid.

    `years` are a year and what each of the two is at its end, in whole units of the currency.
    """
    lines = [
        {"year": str(year), "amount": amount, "what": name}
        for name, place in ((names[0], 1), (names[1], 2))
        for year, amount in ((one[0], one[place]) for one in years)
    ]
    every = -(-len(years) // _MOST_LABELS)
    shown = [str(one[0]) for place, one in enumerate(years) if place % every == 0]
    x = alt.X(
        "year:O", title=None, axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=[str(one[0]) for one in years]),
    )  # fmt: skip
    y = alt.Y(
        "amount:Q", title=currency, axis=alt.Axis(format=",.0f", tickCount=6), scale=alt.Scale(zero=True)
    )
    legend = alt.Legend(
        title=None, orient="bottom", labelColor=INK, labelFontSize=12, symbolSize=300, symbolStrokeWidth=2
    )
    drawn = (
        alt.Chart(alt.InlineData(values=lines))
        .mark_line(strokeWidth=2.5)
        .encode(
            x=x, y=y,
            stroke=alt.Stroke(
                "what:N", scale=alt.Scale(domain=list(names), range=[INK, LINE]), legend=legend
            ),
            strokeDash=alt.StrokeDash(
                "what:N", scale=alt.Scale(domain=list(names), range=[[6, 4], [1, 0]]), legend=legend
            ),
        )
    )  # fmt: skip
    below = any(amount < 0 for _, *amounts in years for amount in amounts)
    zero = alt.Chart(alt.InlineData(values=[{"amount": 0}] if below else [])).mark_rule(
        color=INK, strokeWidth=1
    ).encode(y=y)  # fmt: skip
    return alt.layer(zero, drawn, title=alt.Title(title, subtitle=list(subtitle)))
