"""Charts of a simulation hold the figures given, and are the same bytes each time."""

import json
from typing import Any
from xml.etree import ElementTree

import altair as alt
from swardcost_api.charts import svg_of, vega_lite_of
from swardcost_api.risk.charts import (
    MOST_BARS,
    Mark,
    Swing,
    cost_curve,
    reopening_curve,
    swing_chart,
)

POINTS = [(78_000.5, 10.0), (88_000.0, 50.0), (93_000.0, 80.0), (104_000.0, 100.0)]
MARKS = [Mark("Estimate", 87_534.55), Mark("P50", 88_000.0), Mark("P80", 93_000.0)]


def a_curve() -> Any:
    return cost_curve("Total cost", "Seed 7, 4 trials, USD", "USD", POINTS, MARKS)


def swings(count: int) -> Any:
    given = [Swing(f"Figure {n}", 100.0 + n, 100.0 - n) for n in range(count)]
    return swing_chart("What swings the total", "Seed 7", "USD", 100.0, given)


def first_layer(specification: dict[str, Any]) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = specification["datasets"][specification["layer"][0]["data"]["name"]]
    return rows


def written(chart: Any) -> str:
    return " ".join(ElementTree.fromstring(svg_of(chart)).itertext())


def test_the_curve_holds_its_figures_and_names_its_marks() -> None:
    specification = json.loads(vega_lite_of(a_curve()))
    alt.LayerChart.from_dict(specification, validate=True)
    line = first_layer(specification)
    assert [(point["total"], point["percent"]) for point in line] == POINTS
    text = written(a_curve())
    assert all(label in text for label in ("Estimate 87,535", "P50 88,000", "P80 93,000", "Total cost, USD"))


def test_the_same_figures_give_the_same_bytes() -> None:
    assert vega_lite_of(a_curve()) == vega_lite_of(a_curve())
    assert svg_of(swings(3)) == svg_of(swings(3))


def test_swings_are_drawn_widest_first_and_what_is_not_shown_is_counted() -> None:
    specification = json.loads(vega_lite_of(swings(18)))
    alt.LayerChart.from_dict(specification, validate=True)
    rows = first_layer(specification)
    assert [row["figure"] for row in rows] == [f"Figure {n}" for n in range(17, 17 - MOST_BARS, -1)]
    assert (rows[0]["low"], rows[0]["high"]) == (83.0, 117.0)
    assert "3 more with narrower bars are not shown" in written(swings(18))


def test_one_value_alone_and_figures_without_swing_are_drawn() -> None:
    assert "P50 100" in written(cost_curve("Total", "One", "USD", [(100.0, 100.0)], [Mark("P50", 100.0)]))
    assert "Figure 0" in written(swings(1))


def test_the_reopening_holds_its_days_and_names_the_plan() -> None:
    points = [("2026-10-01", 40.0), ("2026-10-05", 100.0)]
    marks = [("Planned", "2026-10-01"), ("P80", "2026-10-05")]
    chart = reopening_curve("When", "Seed 7", points, marks)
    specification = json.loads(vega_lite_of(chart))
    alt.LayerChart.from_dict(specification, validate=True)
    assert [(row["day"], row["percent"]) for row in first_layer(specification)] == points
    text = written(chart)
    assert "Planned 2026-10-01" in text
    assert "P80 2026-10-05" in text
    assert "P80 2026-10-05" in written(reopening_curve("When", "One", [points[1]], [marks[1]]))


def test_long_names_of_any_characters_are_shortened_where_they_stand_and_whole_in_the_data() -> None:
    names = ["\U0001f33f" * 200, "\U0001f33f" * 199 + "b", "e\u0301" * 100, "Price of sand"]
    chart = swing_chart("Swings", "Seed 7", "USD", 100.0, [Swing(name, 90.0, 110.0) for name in names])
    rows = first_layer(json.loads(vega_lite_of(chart)))
    assert {row["figure"] for row in rows} == set(names)
    text = written(chart)
    assert "Price of sand" in text
    assert text.count("\U0001f33f" * 18 + "…") == 2
    assert "e\u0301" * 36 + "…" in text
    assert "\U0001f33f" * 19 not in text
