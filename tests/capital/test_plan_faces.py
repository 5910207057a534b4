"""The figures of a plan as a table, a workbook and a chart."""

import csv
import io
import json
from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import money
from plan_factories import (
    FLOWS_IN,
    FLOWS_OUT,
    PLANS,
    Document,
    a_plan,
    a_whole_plan,
    figures_of,
)
from python_calamine import CalamineWorkbook
from swardcost_api.operations import SVG, VEGA_LITE, XLSX


def face(api: Api, plan: Document, media_type: str) -> Any:
    answer = api.get(f"{PLANS}/{plan['id']}/figures", headers={"Accept": media_type})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(media_type)
    return answer


def test_the_years_are_a_table(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = figures_of(api, plan)
    rows = list(csv.DictReader(io.StringIO(face(api, plan, "text/csv").text)))
    assert [row["year"] for row in rows] == [str(year["year"]) for year in found["years"]]
    for row, year in zip(rows, found["years"], strict=True):
        for name in ("opening", *FLOWS_IN, *FLOWS_OUT, "closing", "floor", "spending_limit"):
            assert Decimal(row[name]) == money(year[name])
        assert row["over_closure_limit"] == ("yes" if year["over_closure_limit"] else "no")


def test_the_workbook_has_years_projects_phases_and_words(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = figures_of(api, plan)
    content = face(api, plan, XLSX).content
    assert content == face(api, plan, XLSX).content
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    assert book.sheet_names == ["Years", "Projects", "Phases", "About the plan"]
    years = book.get_sheet_by_name("Years").to_python()
    closing = years[0].index("closing")
    assert [Decimal(str(row[closing])) for row in years[1:]] == [
        money(year["closing"]) for year in found["years"]
    ]
    projects = book.get_sheet_by_name("Projects").to_python()
    assert [row[1] for row in projects[1:]] == ["Irrigation", "Bunkers", "Benches", "Not dated"]
    assert len(book.get_sheet_by_name("Phases").to_python()) == 6
    words = [row[1] for row in book.get_sheet_by_name("About the plan").to_python()]
    assert set(found["conclusions"]) <= set(words)


def test_a_plan_of_one_year_can_be_drawn(api: Api) -> None:
    plan = a_plan(api, years=1)
    assert face(api, plan, SVG).text.startswith("<svg")
    rows = json.loads(face(api, plan, VEGA_LITE).text)["datasets"].values()
    assert {row["year"] for found in rows for row in found if "year" in row} == {"2027"}


def test_the_chart_shows_the_reserve_the_floor_and_the_spending(api: Api) -> None:
    plan, _ = a_whole_plan(api, name="Capital plan 2027 to 2036")
    found = figures_of(api, plan)
    svg = face(api, plan, SVG).text
    assert svg.startswith("<svg")
    assert "Capital plan 2027 to 2036" in svg
    specification = json.loads(face(api, plan, VEGA_LITE).text)
    rows = [row for rows in specification["datasets"].values() for row in rows]
    drawn = {(row["year"], row["what"]): row["amount"] for row in rows if "what" in row}
    for year in found["years"]:
        at = str(year["year"])
        assert drawn[at, "Reserve, end of year"] == float(money(year["closing"]))
        assert drawn[at, "Floor"] == 200_000.0
        assert drawn.get((at, "Capital spending"), 0.0) == float(money(year["capital_spending"]))
        assert drawn.get((at, "Operating spending"), 0.0) == float(money(year["operating_spending"]))
