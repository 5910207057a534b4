"""The figures of a plan as it was decided, and its charts."""

import json
from decimal import Decimal
from typing import Any

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import money
from plan_factories import (
    PLANS,
    Document,
    a_plan,
    a_whole_plan,
    by_number,
    figures_of,
    got,
    usd,
    years_of,
)
from scenario_factories import scenario_of
from swardcost_api.operations import SVG, VEGA_LITE
from test_scenario_starts import a_decided_plan, the_same_by_hand


def as_decided(api: Api, plan: Document) -> Document:
    return got(api, f"{PLANS}/{plan['id']}/figures?basis=as_decided")


def test_the_figures_as_decided_are_those_of_a_plan_with_those_projects(api: Api) -> None:
    plan, _ = a_decided_plan(api)
    found, by_hand = as_decided(api, plan), figures_of(api, the_same_by_hand(api))
    assert found["basis"] == "as_decided"
    for name in ("opening", "spending", "interest", "closing", "capital_spending", "closure_days"):
        assert years_of(found, name) == years_of(by_hand, name)
    assert found["left_out"] == [
        "3 (Bridge): Deferred from 2031, to no year that is named. Until the survey.", "4 (Sheds): Declined.",
    ]  # fmt: skip
    assert (found["not_dated"], found["complete"]) == ([], True)
    assert (
        found["cautions"][0] == "Nothing is decided yet on these projects, which count as dated: 5 (Ponds)."
    )
    assert [one["year"] for one in found["projects"]] == [2028, 2033, None, None, 2034]
    assert years_of(scenario_of(api, plan, start="as_decided"), "closing") == years_of(found, "closing")


def test_the_figures_are_as_dated_unless_they_are_asked_for_otherwise(api: Api) -> None:
    plan, projects = a_decided_plan(api)
    found = figures_of(api, plan)
    assert (found["basis"], found["left_out"]) == ("as_dated", [])
    assert [one["year"] for one in found["projects"]] == [one["year"] for one in projects]
    assert api.get(f"{PLANS}/{plan['id']}/figures?basis=as_wished").status_code == 400


def test_assets_of_what_is_declined_are_not_renewed(api: Api) -> None:
    asset = an_asset(api, in_use_since=2015)
    plan = a_plan(api)
    project = api.created(
        f"{PLANS}/{plan['id']}/projects", {"name": "Pump", "asset_ids": [asset["id"]], "year": 2028}
    )
    api.post(f"{PLANS}/{plan['id']}/issue")
    api.post(f"/plan-projects/{project['id']}/decide", json={"decided": "declined"})
    dated, found = figures_of(api, plan), as_decided(api, plan)
    assert money(found["years"][1]["fully_funded"]) > money(dated["years"][1]["fully_funded"])
    assert found["years"][0]["fully_funded"] == dated["years"][0]["fully_funded"]


def rows_of(api: Api, plan: Document, chart: str, basis: str = "as_dated") -> list[dict[str, Any]]:
    path = f"{PLANS}/{plan['id']}/figures?chart={chart}&basis={basis}"
    assert api.get(path, headers={"Accept": SVG}).text.startswith("<svg")
    answer = api.get(path, headers={"Accept": VEGA_LITE})
    assert answer.status_code == 200, answer.text
    return [row for rows in json.loads(answer.text)["datasets"].values() for row in rows]


def test_the_spending_chart_is_by_growth_group(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    figures = figures_of(api, plan)
    rows = rows_of(api, plan, "spending")
    bars = {(row["year"], row["what"]): row["amount"] for row in rows if "order" in row}
    irrigation = by_number(figures)[1]
    for phase in irrigation["phases"]:
        assert bars[str(phase["year"]), "Pipe and pumps"] == float(money(phase["cost"]))
    for year in figures["years"]:
        drawn = sum(amount for (at, _), amount in bars.items() if at == str(year["year"]))
        assert drawn == pytest.approx(float(money(year["spending"])))
        limit = next(
            row for row in rows if row["year"] == str(year["year"]) and row["what"] == "Spending limit"
        )
        assert limit["amount"] == float(money(year["spending_limit"]))


def test_without_groups_the_spending_chart_is_of_capital_and_operating(api: Api) -> None:
    plan = a_plan(api, growth_groups=[], growth_percent="0")
    for spending, year in (("capital", 2027), ("operating", 2028)):
        api.created(
            f"{PLANS}/{plan['id']}/projects",
            {"name": spending, "cost": usd("100.00"), "year": year, "spending": spending},
        )
    assert {(row["year"], row["what"], row["amount"]) for row in rows_of(api, plan, "spending")} == {
        ("2027", "Capital", 100.0), ("2028", "Operating", 100.0),
    }  # fmt: skip


def test_of_many_groups_the_smallest_are_drawn_together(api: Api) -> None:
    groups = [{"name": f"Group {number}", "percent": "0"} for number in range(9)]
    plan = a_plan(api, growth_groups=groups, growth_percent="0")
    for number in range(9):
        body = {
            "name": f"P{number}",
            "cost": usd(f"{100 + number}.00"),
            "growth_group": f"Group {number}",
            "year": 2027,
        }
        api.created(f"{PLANS}/{plan['id']}/projects", body)
    drawn = {row["what"]: row["amount"] for row in rows_of(api, plan, "spending")}
    assert drawn == {f"Group {number}": 100.0 + number for number in range(4, 9)} | {"Others": 406.0}


def test_the_funding_chart_has_the_percentages_shown(api: Api) -> None:
    an_asset(api, in_use_since=2015)
    plan, _ = a_whole_plan(api)
    shown = {
        str(year["year"]): float(Decimal(year["percent_funded"])) for year in figures_of(api, plan)["years"]
    }
    rows = rows_of(api, plan, "funded")
    assert {row["year"]: row["percent"] for row in rows if "year" in row} == shown
    assert {"percent": 100} in rows


def test_a_plan_without_assets_and_projects_can_be_drawn(api: Api) -> None:
    plan = a_plan(api, years=1, growth_groups=[])
    assert [row for row in rows_of(api, plan, "funded") if "year" in row] == []
    assert rows_of(api, plan, "spending") == []
    assert rows_of(api, plan, "reserve", "as_decided")
    assert (
        "nothing is known of funding"
        in api.get(f"{PLANS}/{plan['id']}/figures?chart=funded", headers={"Accept": SVG}).text
    )
