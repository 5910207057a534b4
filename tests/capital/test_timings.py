"""The best timing of a plan through the API, held against its limits and against the plan dated as it says."""

from decimal import Decimal
from itertools import product
from typing import Any

from conftest import Api
from estimate_factories import Document, money
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, changed, figures_of, got, usd

CRITERIA = [{"name": "Safety", "weight": "1"}]


def scored(api: Api, plan: Document, cost: str, score: str, **more: Any) -> Document:
    return a_plan_project(api, plan, cost, scores=[{"criterion": "Safety", "score": score}], **more)


def best_of(api: Api, plan: Document, **asked: str) -> Document:
    answer = api.post(f"{PLANS}/{plan['id']}/best-timing", json=asked)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def starts_of(found: Document) -> dict[str, int | None]:
    return {one["name"]: one["year"] for one in found["projects"]}


def a_tight_plan(api: Api, **more: Any) -> Document:
    """Four years with 100,000 a year to spend on projects, and a reserve that may not fall below zero."""
    income = {"name": "Contribution", "amount": usd("90000.00")}
    return a_plan(
        api,
        {"opening_reserve": usd("100000.00"), "incomes": [income], "spending_limit": usd("100000.00")},
        years=4, growth_percent="0", growth_groups=[], criteria=CRITERIA, **more,
    )  # fmt: skip


def test_limits_are_kept_and_the_worth_is_that_of_brute_force(api: Api) -> None:
    plan = a_tight_plan(api)
    made = [("90000.00", "9"), ("60000.00", "5"), ("70000.00", "8"), ("100000.00", "4")]
    for cost, score in made:
        scored(api, plan, cost, score)
    found = best_of(api, plan, late_percent="10")
    assert (found["possible"], found["conflict"], Decimal(found["gap_percent"])) == (True, "", 0)
    best = Decimal(0)
    for starts in product([None, 0, 1, 2, 3], repeat=4):
        spent = [Decimal(0)] * 4
        for start, (cost, _) in zip(starts, made, strict=True):
            if start is not None:
                spent[start] += Decimal(cost)
        balance = Decimal(100_000)
        keeps = True
        for year in spent:
            balance += Decimal(90_000) - year
            keeps = keeps and year <= 100_000 and balance >= 0
        if keeps:
            worth = sum(
                Decimal(score) * (1 - Decimal("0.1")) ** start
                for start, (_, score) in zip(starts, made, strict=True)
                if start is not None
            )
            best = max(best, worth)
    assert abs(Decimal(found["worth"]) - best) < Decimal("0.001")
    for year in found["years"]:
        assert money(year["spending"]) <= money(year["spending_limit"])
        assert money(year["closing"]) >= money(year["floor"])


def test_the_plan_dated_so_has_the_years_that_the_timing_told(api: Api) -> None:
    plan = a_tight_plan(api, closure_days_a_year=10)
    projects = [
        scored(api, plan, "80000.00", "9", phases=[{"percent": "100", "closure_days": 8}]),
        scored(api, plan, "50000.00", "7", phases=[{"percent": "60", "closure_days": 4}, {"percent": "40"}]),
        scored(api, plan, "30000.00", "3"),
    ]
    found = best_of(api, plan)
    for one, project in zip(found["projects"], projects, strict=True):
        if one["year"] is not None:
            changed(api, PROJECTS, got(api, f"{PROJECTS}/{project['id']}"), year=one["year"])
    dated = figures_of(api, plan)
    for told, year in zip(found["years"], dated["years"], strict=True):
        for name in ("spending", "closing", "floor", "closure_days"):
            assert told[name] == year[name]
        assert not year["over_spending_limit"]
        assert not year["over_closure_limit"]


def test_prerequisites_partners_and_windows_are_kept_and_a_move_is_explained(api: Api) -> None:
    plan = a_tight_plan(api)
    first = scored(api, plan, "60000.00", "2", name="Wells", year=2027)
    scored(
        api, plan, "40000.00", "9", name="Pumps", year=2027,
        prerequisites=[{"project_id": first["id"], "years_before": 1}],
    )  # fmt: skip
    scored(api, plan, "20000.00", "5", name="Path", together_with="Hole 4")
    scored(api, plan, "30000.00", "5", name="Bridge", together_with="Hole 4", earliest=2029)
    found = best_of(api, plan)
    starts = starts_of(found)
    assert starts == {"Wells": 2027, "Pumps": 2028, "Path": 2029, "Bridge": 2029}
    why = {one["name"]: one["why"] for one in found["projects"]}
    assert why["Wells"] == ""
    assert "Wells" in why["Pumps"]


def test_what_cannot_be_kept_together_is_named(api: Api) -> None:
    plan = a_tight_plan(api)
    scored(api, plan, "90000.00", "5", name="Pump station", required=True, latest=2027)
    scored(api, plan, "80000.00", "5", name="Bridge", required=True, latest=2027)
    found = best_of(api, plan)
    assert (found["possible"], found["worth"], found["years"]) == (False, None, [])
    assert "Pump station" in found["conflict"]
    assert "Bridge" in found["conflict"]
    assert all(one["year"] is None for one in found["projects"])


def test_projects_without_cost_or_score_are_named_and_left_out(api: Api) -> None:
    plan = a_tight_plan(api)
    scored(api, plan, "10000.00", "5")
    bare = a_plan_project(api, plan, "10000.00", name="Not scored")
    scored(
        api, plan, "10000.00", "5", name="Waits", prerequisites=[{"project_id": bare["id"], "years_before": 0}]
    )  # fmt: skip
    found = best_of(api, plan)
    assert len(found["projects"]) == 1
    assert len(found["not_placed"]) == 2
    assert "Not scored" in found["not_placed"][0]
    assert "Waits" in found["not_placed"][1]


def test_a_plan_without_projects_and_without_criteria(api: Api) -> None:
    plan = a_plan(api)
    assert best_of(api, plan)["projects"] == []
    a_plan_project(api, plan, "1000.00", name="One")
    found = best_of(api, plan)
    assert starts_of(found) == {"One": 2027}
    assert any("no criteria" in caution for caution in found["cautions"])
    committee, other = api.as_role("committee"), api.of_new_club("stone-weir")
    assert committee.post(f"{PLANS}/{plan['id']}/best-timing", json={}).status_code == 200
    assert other.post(f"{PLANS}/{plan['id']}/best-timing", json={}).status_code == 404
    assert api.post(f"{PLANS}/{plan['id']}/best-timing", json={"late_percent": "101"}).status_code == 400
