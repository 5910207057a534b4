"""Charts of the years of a plan: what is spent on what, and how well the reserve is funded."""

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from swardcost_api.charts import BAND, INK, LINE, PAPER, shortened

NOT_KNOWN = "Of no asset cost, life and age are known, so that nothing is known of funding."
_MOST_LABELS = 20
_MOST_KINDS = 5
_LETTERS = 36
_OTHERS = "Others"
_SHADES = (LINE, BAND, INK, PAPER, "#6f8fae", "#8a938e")
"""From one to the next dark and light by turns, so that neighbours are told apart in grey."""
_LIMIT = "Spending limit"


def spending_by_year(
    title: str,
    subtitle: Sequence[str],
    currency: str,
    years: Sequence[int],
    spent: Mapping[tuple[int, str], float],
    limits: Sequence[tuple[int, float]],
) -> Any:
    """Bars of what is spent in each year, by kind from the largest at the bottom, with the limit of each year.

    `spent` is by year and kind, `limits` by year, in whole units of the currency. Of many kinds the smallest are put
    together.
    """
    kinds = _kinds(spent)
    values: dict[tuple[int, str], float] = {}
    for (year, kind), amount in spent.items():
        shown = shortened(kind, _LETTERS) if kind in kinds else _OTHERS
        values[year, shown] = values.get((year, shown), 0.0) + amount
    domain = list(dict.fromkeys(shortened(kind, _LETTERS) for kind in kinds))
    if any(kind == _OTHERS for _, kind in values):
        domain.append(_OTHERS)
    bars = [
        {"year": str(year), "amount": amount, "what": kind, "order": domain.index(kind)}
        for (year, kind), amount in values.items()
        if amount
    ]
    x, legend = _years(years), _legend()
    y = alt.Y(
        "amount:Q", title=f"{currency} spent in the year", axis=alt.Axis(format=",.0f", tickCount=6),
        scale=alt.Scale(zero=True),
    )  # fmt: skip
    drawn = (
        alt.Chart(alt.InlineData(values=bars))
        .mark_bar(stroke=INK, strokeWidth=0.75)
        .encode(
            x=x, y=y, order=alt.Order("order:Q"),
            fill=alt.Fill(
                "what:N", scale=alt.Scale(domain=domain, range=list(_SHADES[: len(domain)])), legend=legend
            ),
        )
    )  # fmt: skip
    layers = [drawn]
    if limits:
        most = [{"year": str(year), "amount": amount, "what": _LIMIT} for year, amount in limits]
        layers.append(
            alt.Chart(alt.InlineData(values=most))
            .mark_line(strokeWidth=2, strokeDash=[6, 4])
            .encode(
                x=x, y=y,
                stroke=alt.Stroke("what:N", scale=alt.Scale(domain=[_LIMIT], range=[INK]), legend=legend),
            )
        )  # fmt: skip
    layered = alt.layer(*layers, title=alt.Title(title, subtitle=list(subtitle)))
    return layered.resolve_scale(fill="independent", stroke="independent")


def _kinds(spent: Mapping[tuple[int, str], float]) -> list[str]:
    """The kinds that are told apart, the largest first; all of them where they are few."""
    sums: dict[str, float] = {}
    for (_, kind), amount in spent.items():
        sums[kind] = sums.get(kind, 0.0) + amount
    by_size = sorted(sums, key=lambda kind: (-sums[kind], kind))
    return by_size if len(by_size) <= _MOST_KINDS + 1 else by_size[:_MOST_KINDS]


def percent_funded_by_year(
    title: str, subtitle: Sequence[str], years: Sequence[int], percents: Sequence[tuple[int, float]]
) -> Any:
    """Bars of the reserve in percent of the fully funded balance at the end of each year, with the line of 100."""
    values = [
        {"year": str(year), "percent": percent, "label": f"{percent:.0f}"} for year, percent in percents
    ]
    x = _years(years)
    y = alt.Y(
        "percent:Q", title="Percent funded, end of year", axis=alt.Axis(format=",.0f", tickCount=6),
        scale=alt.Scale(zero=True),
    )  # fmt: skip
    base = alt.Chart(alt.InlineData(values=values))
    bars = base.mark_bar(color=BAND, stroke=LINE, strokeWidth=1).encode(x=x, y=y)
    full = alt.Chart(alt.InlineData(values=[{"percent": 100}])).mark_rule(
        color=INK, strokeWidth=1.5, strokeDash=[6, 4]
    ).encode(y=y)  # fmt: skip
    size = 11 if len(years) <= _MOST_LABELS else 9
    above, below = (
        base.transform_filter(which)
        .mark_text(color=INK, fontSize=size, dy=dy)
        .encode(x=x, y=y, text="label:N")
        for which, dy in (("datum.percent >= 0", -7), ("datum.percent < 0", 10))
    )
    return alt.layer(bars, full, above, below, title=alt.Title(title, subtitle=list(subtitle)))


def _years(years: Sequence[int]) -> alt.X:
    every = -(-len(years) // _MOST_LABELS)
    shown = [str(year) for place, year in enumerate(years) if place % every == 0]
    return alt.X(
        "year:O", title=None, axis=alt.Axis(values=shown, labelAngle=-45 if len(shown) > 12 else 0),
        scale=alt.Scale(domain=[str(year) for year in years]),
    )  # fmt: skip


def _legend() -> alt.Legend:
    return alt.Legend(
        title=None, orient="bottom", columns=3, labelColor=INK, labelFontSize=12, labelLimit=0, symbolSize=200,
        symbolStrokeWidth=2,
    )  # fmt: skip
