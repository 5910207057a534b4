"""The best timing answers why, and its years are taken into a draft in one act, or nothing is."""

from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from estimate_factories import Document, money
from plan_factories import PLANS, PROJECTS, a_plan_project, changed, figures_of, got
from scenario_factories import issued
from swardcost_api.capital import timings
from test_timings import a_tight_plan, best_of, scored, starts_of


def take(api: Api, plan: Document, **asked: str) -> Any:
    return api.post(f"{PLANS}/{plan['id']}/take-timing", json=asked)


def taken(api: Api, plan: Document, **asked: str) -> Document:
    answer = take(api, plan, **asked)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def a_plan_to_time(api: Api) -> tuple[Document, list[Document]]:
    """Three projects of which one is in no year that it may keep, one undated, and one that cannot be considered."""
    plan = a_tight_plan(api, closure_days_a_year=10)
    return plan, [
        scored(api, plan, "80000.00", "9", name="Pumps", year=2027, phases=[{"percent": "100", "closure_days": 8}]),
        scored(
            api, plan, "50000.00", "7", name="Drains", year=2027,
            phases=[{"percent": "60", "closure_days": 4}, {"percent": "40"}],
        ),
        scored(api, plan, "30000.00", "3", name="Path"),
        a_plan_project(api, plan, "5000.00", name="Not scored", year=2029),
    ]  # fmt: skip


def steps_of(told: Document) -> dict[str, Document]:
    return {step["name"]: step for step in told["derivation"]}


def value(step: Document) -> Decimal:
    return Decimal(step["value"])


def test_every_figure_of_a_timing_has_its_steps(api: Api) -> None:
    plan, _ = a_plan_to_time(api)
    found = best_of(api, plan, late_percent="10")
    done = [one for one in found["projects"] if one["year"] is not None]
    assert len(done) >= 2
    for one in done:
        steps = steps_of(one)
        assert value(steps["worth"]) == Decimal(one["worth"])
        late = one["year"] - plan["first_year"]
        assert abs(Decimal(one["worth"]) - Decimal(one["score"]) * Decimal("0.9") ** late) <= Decimal(
            "0.00005"
        )
    whole = steps_of(found)
    assert value(whole["worth"]) == Decimal(found["worth"]) == sum(Decimal(one["worth"]) for one in done)
    assert {value(one) for one in whole["worth"]["inputs"]} == {Decimal(one["worth"]) for one in done}
    assert value(whole["most worth"]) == Decimal(found["most_worth"])
    assert value(whole["gap"]) == Decimal(found["gap_percent"])
    for year in found["years"]:
        steps = steps_of(year)
        assert value(steps["spending"]) == money(year["spending"])
        assert sum(map(value, steps["spending"]["inputs"])) == money(year["spending"])
        assert (
            value(steps["closure days"])
            == sum(map(value, steps["closure days"]["inputs"]))
            == year["closure_days"]
        )
        assert value(steps[f"reserve at the end of {year['year']}"]) == money(year["closing"])


def test_what_is_not_done_is_worth_nothing_told(api: Api) -> None:
    plan = a_tight_plan(api)
    scored(api, plan, "150000.00", "9", name="Too dear")
    (one,) = best_of(api, plan)["projects"]
    assert (one["year"], one["worth"], one["derivation"]) == (None, None, [])


def test_the_years_of_the_best_timing_become_those_of_the_draft(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    best = best_of(api, plan)
    found = taken(api, plan)
    assert {one["name"]: one["after"] for one in found["projects"]} == starts_of(best)
    assert (found["worth"], found["gap_percent"]) == (best["worth"], best["gap_percent"])
    assert found["kept"] == best["not_placed"] != []
    for one, before in zip(found["projects"], projects, strict=False):
        now = got(api, f"{PROJECTS}/{one['project_id']}")
        assert one["before"] == before["year"]
        assert (now["year"], now["version"]) == (one["after"], one["version"])
        assert one["changed"] is (one["before"] != one["after"])
        assert now | {"year": before["year"], "version": before["version"]} == before
    assert found["projects_changed"] == sum(one["changed"] for one in found["projects"]) > 0
    assert got(api, f"{PROJECTS}/{projects[3]['id']}") == projects[3]
    assert not any(year["over_spending_limit"] for year in figures_of(api, plan)["years"])


def test_taking_again_changes_nothing(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    first, second = taken(api, plan), taken(api, plan)
    assert second["projects_changed"] == 0
    assert [(one["after"], one["version"]) for one in second["projects"]] == [
        (one["after"], one["version"]) for one in first["projects"]
    ]
    audit = [one for one in got(api, "/audit?limit=200")["items"] if one["action"] == "take_timing"]
    assert len(audit) == 1
    assert len(projects) == 4


def years_now(api: Api, projects: list[Document]) -> list[tuple[int | None, int]]:
    found = [got(api, f"{PROJECTS}/{one['id']}") for one in projects]
    return [(one["year"], one["version"]) for one in found]


def test_nothing_is_taken_where_no_timing_keeps_every_limit(api: Api) -> None:
    plan = a_tight_plan(api)
    projects = [
        scored(api, plan, "90000.00", "5", name="Pump station", required=True, latest=2027),
        scored(api, plan, "80000.00", "5", name="Bridge", required=True, latest=2027),
    ]
    before = years_now(api, projects)
    answer = take(api, plan)
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/wrong-state")
    assert "Pump station" in answer.json()["detail"]
    assert years_now(api, projects) == before


def test_an_issued_plan_is_not_dated_again(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    issued(api, plan)
    before = years_now(api, projects)
    answer = take(api, plan)
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/wrong-state")
    assert "only a draft can be changed" in answer.json()["detail"]
    assert years_now(api, projects) == before


def test_nothing_is_taken_where_the_plan_changed_meanwhile(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, projects = a_plan_to_time(api)
    solve = timings.best_timing

    def changed_meanwhile(*asked: Any, **more: Any) -> Any:
        changed(api, PROJECTS, got(api, f"{PROJECTS}/{projects[2]['id']}"), name="Path to the ninth tee")
        return solve(*asked, **more)

    monkeypatch.setattr(timings, "best_timing", changed_meanwhile)
    answer = take(api, plan)
    assert (answer.status_code, answer.json()["type"]) == (409, "/problems/changed-meanwhile")
    assert years_now(api, projects) == [(2027, 1), (2027, 1), (None, 2), (2029, 1)]


def test_others_take_nothing(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    before = years_now(api, projects)
    assert take(api.of_new_club("stone-weir"), plan).status_code == 404
    assert take(api.as_role("committee"), plan).status_code == 403
    assert take(api, plan, late_percent="101").status_code == 400
    assert years_now(api, projects) == before
