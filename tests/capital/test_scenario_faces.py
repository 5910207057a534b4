"""Scenarios as a table, a workbook and a chart."""

import csv
import io
import json
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from conftest import Api
from estimate_factories import money
from hypothesis import given
from hypothesis import strategies as st
from plan_factories import Document, a_plan, a_plan_project, a_whole_plan, usd
from python_calamine import CalamineWorkbook
from scenario_factories import asked, side_by_side
from swardcost_api.capital.scenario_charts import spread
from swardcost_api.operations import CSV, SVG, VEGA_LITE, XLSX

SCENARIOS: list[Document] = [
    {"name": "As dated"},
    {"name": "=Least contribution", "money": {"contribution": {"kind": "least", "percent_a_year": "2.5"}}},
    {"name": "Two years later", "projects": {"deferred_by": 2}},
]


def face(api: Api, plan: Document, media_type: str, *scenarios: Document) -> Any:
    answer = asked(api, plan, *(scenarios or SCENARIOS), accept=media_type)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(media_type)
    return answer


def test_every_year_of_every_scenario_is_a_row(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = side_by_side(api, plan, *SCENARIOS)
    rows = list(csv.DictReader(io.StringIO(face(api, plan, CSV).text)))
    assert [(row["year"], row["scenario"].lstrip("'")) for row in rows] == [
        (str(year), one["name"]) for year in range(2027, 2037) for one in SCENARIOS
    ]
    for place, row in enumerate(rows):
        year = found["scenarios"][place % 3]["years"][place // 3]
        for name in ("opening", "contributions", "interest", "spending", "closing", "floor"):
            assert Decimal(row[name]) == money(year[name])
        assert row["over_spending_limit"] == ("yes" if year["over_spending_limit"] else "no")


def test_the_workbook_has_figures_balances_years_projects_and_words(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = side_by_side(api, plan, *SCENARIOS)
    content = face(api, plan, XLSX).content
    assert content == face(api, plan, XLSX).content
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    assert book.sheet_names == ["Summary", "Balances", "Years", "Projects", "About the scenarios"]
    summary = book.get_sheet_by_name("Summary").to_python()
    assert summary[0] == [
        "figure", "unit", "As dated", "=Least contribution", "Two years later", "=Least contribution, difference",
        "Two years later, difference",
    ]  # fmt: skip
    closing = next(row for row in summary if row[0] == "Balance at the end of the last year")
    told = next(row for row in found["table"] if row["figure"] == "closing")
    assert [Decimal(str(cell)) for cell in closing[2:]] == [
        Decimal(one) for one in [*told["values"], *told["differences"][1:]]
    ]
    balances = book.get_sheet_by_name("Balances").to_python()
    assert [Decimal(str(cell)) for cell in balances[10][1:4]] == [
        money(one["years"][9]["closing"]) for one in found["scenarios"]
    ]
    assert len(book.get_sheet_by_name("Years").to_python()) == 31
    projects = book.get_sheet_by_name("Projects").to_python()
    assert projects[1][1:] == ["Irrigation", "2029", "2029", "2029", "2031"]
    assert projects[4][1:] == ["Not dated", "not dated", "not dated", "not dated", "not dated"]
    words = [row[2] for row in book.get_sheet_by_name("About the scenarios").to_python()]
    assert set(found["conclusions"]) <= set(words)


def drawn(api: Api, plan: Document, *scenarios: Document) -> list[dict[str, Any]]:
    specification = json.loads(face(api, plan, VEGA_LITE, *scenarios).text)
    return [row for rows in specification["datasets"].values() for row in rows]


def test_the_chart_has_every_curve_and_its_name(api: Api) -> None:
    plan, _ = a_whole_plan(api, name="Plan <A>")
    found = side_by_side(api, plan, *SCENARIOS)
    svg = face(api, plan, SVG).text
    assert svg.startswith("<svg")
    for one in SCENARIOS:
        assert one["name"] in svg
    rows = drawn(api, plan)
    for one in found["scenarios"]:
        curve = {row["year"]: row["amount"] for row in rows if row.get("scenario") == one["name"]}
        assert curve == {str(year["year"]): float(money(year["closing"])) for year in one["years"]}
    assert {row["amount"] for row in rows if row.get("what") == "Floor"} == {200_000.0}
    assert [row["name"] for row in rows if "name" in row].count("As dated") == 1


def test_curves_that_end_together_have_their_names_apart(api: Api) -> None:
    plan = a_plan(api)
    rows = drawn(api, plan, *({"name": f"S{number}"} for number in range(8)))
    heights = sorted(row["amount"] for row in rows if "name" in row)
    assert len(heights) == 8
    apart = {round(after - before, 6) for before, after in pairwise(heights)}
    assert len(apart) == 1
    assert min(apart) > 20_000  # 15 of 320 pixels of a scale to 520,000


def test_a_single_year_and_what_is_not_possible_can_be_drawn(api: Api) -> None:
    plan = a_plan(api, years=1, criteria=[])
    project = a_plan_project(api, plan, "900000.00", year=2027)
    impossible = {
        "name": "Not to be", "start": "best_timing",
        "projects": {"moved": [{"project_id": project["id"], "year": 2027}]},
    }  # fmt: skip
    assert "Not possible: Not to be" in face(api, plan, SVG, {"name": "As dated"}, impossible).text
    assert "Not possible: Not to be" in face(api, plan, SVG, impossible).text
    rows = list(csv.reader(io.StringIO(face(api, plan, CSV, impossible).text)))
    assert len(rows) == 1
    assert face(api, plan, XLSX, impossible).content.startswith(b"PK")


def test_another_form_is_refused(api: Api) -> None:
    assert asked(api, a_plan(api), {}, accept="application/pdf").status_code == 406


@given(st.lists(st.floats(-1e6, 1e6), max_size=8).map(sorted), st.floats(1, 1e5))
def test_heights_are_spread_apart_in_their_order(heights: list[float], apart: float) -> None:
    found = spread(heights, apart)
    assert len(found) == len(heights)
    for before, after in pairwise(found):
        assert after - before >= apart * (1 - 1e-6) - 1e-6
    if all(after - before >= apart for before, after in pairwise(heights)):
        assert found == pytest.approx(heights)
    assert sum(found) == pytest.approx(sum(heights), abs=1e-3)


def test_the_floor_may_differ(api: Api) -> None:
    rows = drawn(
        api, a_plan(api, {"least_balance": usd("1000.00")}), {}, {"money": {"least_balance": usd("2000.00")}}
    )
    assert {row["amount"] for row in rows if row.get("what") == "Floor"} == {1_000.0, 2_000.0}
