"""Bars of alternatives begin at zero, hold the figures given, and are the same bytes each time."""

import json
from dataclasses import replace
from xml.etree import ElementTree

import altair as alt
from swardcost_api.alternatives.charts import Bar, comparison_bars
from swardcost_api.charts import svg_of, vega_lite_of

BARS = [
    Bar("Own crew", 83_640.25, 61_200.0, 81_000.0, 96_000.0),
    Bar("Contractor", 97_500.0, 97_500.0),
    Bar("Half of it", 60_500.0, 1_200.0),
]


def test_bars_hold_their_figures_and_begin_at_zero() -> None:
    specification = json.loads(vega_lite_of(comparison_bars("Ways", "As estimated", "USD", BARS)))
    alt.LayerChart.from_dict(specification, validate=True)
    layer = specification["layer"][0]
    rows = specification["datasets"][layer["data"]["name"]]
    assert [(row["alternative"], row["counts"], row["amount"]) for row in rows] == [
        (bar.label, counts, amount)
        for bar in BARS
        for counts, amount in (("Total", bar.total), ("Cash", bar.cash))
    ]
    scale = layer["encoding"]["x"]["scale"]
    assert scale["domain"][0] == 0
    assert scale["domain"][1] > 97_500


def test_amounts_and_ranges_are_drawn_and_the_bytes_are_the_same() -> None:
    drawn = svg_of(comparison_bars("Ways", "As estimated", "USD", BARS))
    text = " ".join(ElementTree.fromstring(drawn).itertext())
    assert all(word in text for word in ("83,640", "61,200", "1,200", "Contractor", "Total", "Cash"))
    assert drawn == svg_of(comparison_bars("Ways", "As estimated", "USD", BARS))
    marked = [replace(bar, p10=None, p90=None) for bar in BARS]
    assert svg_of(comparison_bars("Ways", "As estimated", "USD", marked)) != drawn


def test_alternatives_that_cost_nothing_are_drawn() -> None:
    drawn = svg_of(comparison_bars("Ways", "As estimated", "USD", [Bar("A", 0.0, 0.0), Bar("B", 0.0, 0.0)]))
    assert "NaN" not in drawn


def test_long_labels_of_any_characters_are_drawn() -> None:
    labels = ["\U0001f33f" * 200, 'Contractor\'s "way" \\ and more of it, in so many words']
    drawn = svg_of(comparison_bars("Ways", "As estimated", "USD", [Bar(one, 9.0, 5.0) for one in labels]))
    text = " ".join(ElementTree.fromstring(drawn).itertext())
    assert "\U0001f33f" * 15 + "…" in text
    assert 'Contractor\'s "way" \\ and more o…' in text
