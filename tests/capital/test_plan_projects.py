"""Projects of a plan: kept and refused, what they need first, who they go with, and those that assets ask for."""

from typing import Any

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import a_dressed_green
from plan_factories import (
    NOBODY,
    PLANS,
    PROJECTS,
    Document,
    a_plan,
    a_plan_project,
    changed,
    faults,
    got,
    project_body,
    put,
    usd,
)


def projects_path(plan: Document) -> str:
    return f"{PLANS}/{plan['id']}/projects"


def needs(project: Document, years_before: int = 1) -> Document:
    return {"project_id": project["id"], "years_before": years_before}


def test_a_project_is_kept_as_stated_under_the_next_number(api: Api) -> None:
    plan = a_plan(api, criteria=[{"name": "Safety", "weight": "3"}])
    first = a_plan_project(api, plan)
    made = api.post(
        projects_path(plan),
        json=project_body(
            "900000.00", name="Pumps", year=2030, earliest=2029, latest=2035, required=True,
            growth_group="Pipe and pumps",
            phases=[{"percent": "62.5", "closure_days": 10}, {"percent": "37.5"}], prerequisites=[needs(first, 2)],
            scores=[{"criterion": "Safety", "score": "8"}], upkeep_a_year=usd("1500.00"), cost_range=["90", "140"],
        ),
    )  # fmt: skip
    assert made.status_code == 201, made.text
    project = made.json()
    assert made.headers["Location"].endswith(f"{PROJECTS}/{project['id']}")
    assert (project["number"], project["version"], project["plan_id"]) == (2, 1, plan["id"])
    assert project["prerequisites"] == [{"project_id": first["id"], "years_before": 2}]
    assert (project["cost_range"], project["decision"], project["carried_from"]) == (
        ["90", "140"],
        None,
        None,
    )
    assert got(api, f"{PROJECTS}/{project['id']}") == project
    assert got(api, projects_path(plan))["items"] == [first, project]
    assert got(api, f"{projects_path(plan)}?limit=1")["items"] == [first]


def test_a_change_needs_the_version_that_was_read_and_is_audited(api: Api) -> None:
    project = a_plan_project(api, a_plan(api))
    after = changed(api, PROJECTS, project, year=2031)
    assert (after["year"], after["version"]) == (2031, 2)
    assert put(api, PROJECTS, project, year=2032).status_code == 412
    deleted = api.delete(f"{PROJECTS}/{project['id']}", headers={"If-Match": '"2"'})
    assert deleted.status_code == 204
    trail = api.get("/audit?subject=plan_project").json()["items"]
    assert [one["action"] for one in trail] == ["delete", "change", "create"]
    assert (trail[1]["before"]["year"], trail[1]["after"]["year"]) == (None, 2031)


def test_a_name_stands_for_one_project_of_a_plan(api: Api) -> None:
    plan, other_plan = a_plan(api), a_plan(api)
    a_plan_project(api, plan, name="Pumps")
    second = a_plan_project(api, plan)
    assert api.post(projects_path(plan), json=project_body(name="Pumps")).status_code == 409
    assert put(api, PROJECTS, second, name="Pumps").json()["type"] == "/problems/duplicate"
    assert a_plan_project(api, other_plan, name="Pumps")["number"] == 1


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"year": 2026}, "/year"),
        ({"year": 2036, "phases": [{"percent": "50"}, {"percent": "50"}]}, "/year"),
        ({"earliest": 2020}, "/earliest"),
        ({"latest": 2037}, "/latest"),
        ({"year": 2028, "earliest": 2029}, "/year"),
        ({"year": 2030, "latest": 2029}, "/year"),
        ({"growth_group": "Concrete"}, "/growth_group"),
        ({"scores": [{"criterion": "Beauty", "score": "1"}]}, "/scores/0/criterion"),
        ({"cost": usd("1.00", "CAD")}, "/cost/currency"),
        ({"cost": usd("-1.00")}, "/cost/amount"),
        ({"upkeep_a_year": usd("-1.00")}, "/upkeep_a_year/amount"),
        ({"cost": None, "estimate_id": NOBODY}, "/estimate_id"),
        ({"asset_ids": [NOBODY]}, "/asset_ids/0"),
        ({"prerequisites": [{"project_id": NOBODY}]}, "/prerequisites/0/project_id"),
    ],
)
def test_what_the_plan_or_the_club_does_not_have_is_refused_at_its_place(
    api: Api, change: Document, pointer: str
) -> None:
    plan = a_plan(api)
    answer = api.post(projects_path(plan), json=project_body() | change)
    assert faults(answer) == [pointer]
    assert got(api, projects_path(plan))["items"] == []


@pytest.mark.parametrize(
    "change",
    [
        {"phases": [{"percent": "50"}, {"percent": "49"}]},
        {"phases": []},
        {"cost": None},
        {"estimate_id": NOBODY},
        {"earliest": 2030, "latest": 2029},
        {"cost_range": ["110", "140"]},
        {"asset_ids": [NOBODY, NOBODY]},
    ],
)
def test_a_malformed_project_is_refused(api: Api, change: Document) -> None:
    refused = api.post(projects_path(a_plan(api)), json=project_body() | change)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")


def test_estimates_and_assets_of_another_club_are_not_taken(api: Api) -> None:
    stranger = api.of_new_club("other-side")
    asset, estimate = an_asset(stranger), a_dressed_green(stranger)
    path = projects_path(a_plan(api))
    assert faults(api.post(path, json=project_body(asset_ids=[asset["id"]]))) == ["/asset_ids/0"]
    of_estimate = project_body(None, estimate_id=estimate["id"])
    assert faults(api.post(path, json=of_estimate)) == ["/estimate_id"]


def test_a_prerequisite_of_another_plan_or_of_itself_is_refused(api: Api) -> None:
    plan = a_plan(api)
    elsewhere, project = a_plan_project(api, a_plan(api)), a_plan_project(api, plan)
    answer = api.post(projects_path(plan), json=project_body(prerequisites=[needs(elsewhere)]))
    assert faults(answer) == ["/prerequisites/0/project_id"]
    itself = put(api, PROJECTS, project, prerequisites=[needs(project)])
    assert faults(itself) == ["/prerequisites/0/project_id"]


@pytest.mark.parametrize("years_before", [0, 3])
def test_prerequisites_do_not_go_round_in_a_circle(api: Api, years_before: int) -> None:
    plan = a_plan(api)
    first = a_plan_project(api, plan)
    second = a_plan_project(api, plan, prerequisites=[needs(first, years_before)])
    third = a_plan_project(api, plan, prerequisites=[needs(second, years_before)])
    refused = put(api, PROJECTS, first, prerequisites=[needs(third, years_before)])
    assert faults(refused) == ["/prerequisites/0/project_id"]
    assert "does not need this one first" in refused.json()["faults"][0]["expected"]
    assert changed(api, PROJECTS, third, prerequisites=[needs(first), needs(second)])["version"] == 2


def test_partners_count_as_one_when_circles_are_looked_for(api: Api) -> None:
    plan = a_plan(api)
    paths = a_plan_project(api, plan, name="Paths", together_with="Back nine")
    drains = a_plan_project(api, plan, name="Drains", prerequisites=[needs(paths)])
    bunkers = a_plan_project(api, plan, name="Bunkers")
    # Bunkers with the paths cannot wait for drains, which wait for the paths.
    circle = {"together_with": "Back nine", "prerequisites": [needs(drains)]}
    assert faults(put(api, PROJECTS, bunkers, **circle)) == ["/prerequisites/0/project_id"]
    waiting = changed(api, PROJECTS, bunkers, prerequisites=[needs(drains)])
    # Nor can the drains join the paths that they wait for by a year.
    apart = put(api, PROJECTS, drains, together_with="Back nine")
    assert faults(apart) == ["/prerequisites/0/years_before"]
    # Nor can what the bunkers wait for join them from the other side.
    assert faults(put(api, PROJECTS, waiting, together_with="Back nine")) == ["/prerequisites/0/project_id"]
    same_year = put(api, PROJECTS, drains, together_with="Back nine", prerequisites=[needs(paths, 0)])
    assert same_year.status_code == 200, same_year.text


def test_a_partner_that_waits_for_the_joining_project_is_found(api: Api) -> None:
    plan = a_plan(api)
    first = a_plan_project(api, plan)
    a_plan_project(api, plan, together_with="Greens", prerequisites=[needs(first, 2)])
    assert faults(put(api, PROJECTS, first, together_with="Greens")) == ["/together_with"]


def test_partners_need_a_year_in_which_all_can_begin(api: Api) -> None:
    plan = a_plan(api)
    a_plan_project(api, plan, name="Greens", together_with="Front nine", earliest=2028, latest=2030)
    body = project_body(together_with="Front nine", earliest=2031)
    refused = api.post(projects_path(plan), json=body)
    assert faults(refused) == ["/together_with"]
    fault = refused.json()["faults"][0]
    assert (fault["expected"], fault["got"]) == (
        "projects that can begin in one year; 1 (Greens): 2028 to 2030", "2031 to 2036",
    )  # fmt: skip
    assert api.post(projects_path(plan), json=body | {"earliest": 2030}).status_code == 201
    # Nine phases can only begin in 2027 or 2028, so that 2030 is no longer common to all three.
    long = project_body(together_with="Front nine", phases=[{"percent": "12.5"}] * 8 + [{"percent": "0"}])
    assert faults(api.post(projects_path(plan), json=long)) == ["/together_with"]


def test_what_others_need_first_is_not_deleted(api: Api) -> None:
    plan = a_plan(api)
    first = a_plan_project(api, plan, name="Pump station")
    second = a_plan_project(api, plan, name="Mains", prerequisites=[needs(first)])
    refused = api.delete(f"{PROJECTS}/{first['id']}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert "2 (Mains)" in refused.json()["detail"]
    for one in (second, first):
        assert api.delete(f"{PROJECTS}/{one['id']}", headers={"If-Match": '"1"'}).status_code == 204
    assert got(api, projects_path(plan))["items"] == []


def test_a_plan_holds_five_hundred_projects(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("swardcost_api.capital.plan_projects.MOST_PROJECTS", 2)
    plan = a_plan(api)
    a_plan_project(api, plan)
    a_plan_project(api, plan)
    refused = api.post(projects_path(plan), json=project_body())
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    assert len(got(api, projects_path(plan))["items"]) == 2


def from_assets(api: Api, plan: Document) -> Document:
    answer = api.post(f"{projects_path(plan)}/from-assets")
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def a_life(likely: str) -> Document:
    return {"low": likely, "likely": likely, "high": likely}


def test_assets_due_within_the_plan_become_projects_in_the_year_they_are_due(api: Api) -> None:
    plan = a_plan(api)
    due = an_asset(
        api, "PUMP-1", in_use_since=2012, life=a_life("17.5"), growth_group="Pipe and pumps", cost_range=["90", "130"]
    )  # fmt: skip
    overdue = an_asset(api, "PATH-1", in_use_since=1999, life=a_life("20"))
    judged = an_asset(
        api, "BRIDGE-1", kind="bridge", life=a_life("60"), in_use_since=1990,
        condition={"grade": 2, "on": "2026-05-04", "years_left": "2.5"},
    )  # fmt: skip
    last_year = an_asset(api, "LAST", in_use_since=2026, life=a_life("10"))
    later = an_asset(api, "LATER", in_use_since=2026, life=a_life("11"))
    unknown = an_asset(api, "OTHER-1", kind="other", in_use_since=None)
    never = an_asset(api, "POND-1", in_use_since=1990, life=a_life("40"), replaced=False)
    by_hand = an_asset(api, "MOWER-1", in_use_since=2025, life=a_life("5"))
    a_plan_project(api, plan, name="New mower", asset_ids=[by_hand["id"]])
    found = from_assets(api, plan)
    assert [(one["asset_ids"], one["year"], one["number"]) for one in found["added"]] == [
        ([overdue["id"]], 2027, 2), ([judged["id"]], 2029, 3), ([due["id"]], 2030, 4), ([last_year["id"]], 2036, 5),
    ]  # fmt: skip
    pump = found["added"][2]
    assert (pump["name"], pump["growth_group"], pump["cost_range"]) == (
        "Asset PUMP-1", "Pipe and pumps", ["90", "130"],
    )  # fmt: skip
    assert pump["cost"] is None
    # Which asset, and since when it is due, stands in fields: words of the service would be in one language alone.
    assert [one["note"] for one in found["added"]] == [""] * 4
    assert got(api, f"/assets/{overdue['id']}/figures")["due_in"] == 2019
    why = {one["asset_id"]: one["why"] for one in found["left_out"]}
    assert why[by_hand["id"]] == "Project 1 (New mower) replaces it."
    assert why[later["id"]] == "It is due in 2037, after the plan."
    assert why[never["id"]] == "It is not replaced when its life has ended."
    assert why[unknown["id"]].startswith("Nobody knows when it is due")
    assert len(why) == 4
    assert got(api, projects_path(plan))["items"][1:] == found["added"]


def test_asking_again_adds_nothing(api: Api) -> None:
    plan = a_plan(api)
    an_asset(api, in_use_since=2015)
    assert len(from_assets(api, plan)["added"]) == 1
    again = from_assets(api, plan)
    assert again["added"] == []
    assert again["left_out"][0]["why"] == "Project 1 (Asset PUMP-1) replaces it."


def test_assets_of_one_name_are_told_apart_by_code(api: Api) -> None:
    plan = a_plan(api)
    for code in ("A-1", "A-2"):
        an_asset(api, code, name="Fairway drain", in_use_since=2015)
    a_plan_project(api, plan, name="Fairway drain (A-2)")
    an_asset(api, "A-3", name="x" * 200, in_use_since=2015)
    an_asset(api, "A-4", name="x" * 200, in_use_since=2015)
    found: Any = from_assets(api, plan)
    names = [one["name"] for one in found["added"]]
    assert names == ["Fairway drain", "x" * 200, "x" * 194 + " (A-4)"]
    assert [one["code"] for one in found["left_out"]] == ["A-2"]


def test_a_group_that_the_plan_does_not_have_is_not_taken_over(api: Api) -> None:
    plan = a_plan(api, growth_groups=[])
    an_asset(api, in_use_since=2015, growth_group="Pipe and pumps")
    assert from_assets(api, plan)["added"][0]["growth_group"] is None
