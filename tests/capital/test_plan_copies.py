"""Copies of plans: the same figures under another name, and nothing of what was decided."""

from conftest import Api
from plan_factories import (
    NOBODY,
    PLANS,
    PROJECTS,
    Document,
    a_plan,
    a_plan_project,
    a_whole_plan,
    changed,
    faults,
    fields_of,
    figures_of,
    got,
    years_of,
)
from scenario_factories import decided, issued


def copied(api: Api, plan: Document, name: str = "Another way") -> Document:
    return api.created(f"{PLANS}/{plan['id']}/copy", {"name": name})


def projects_of(api: Api, plan: Document) -> list[Document]:
    found: list[Document] = got(api, f"{PLANS}/{plan['id']}/projects")["items"]
    return found


def test_a_copy_has_the_terms_and_the_projects_and_so_the_figures(api: Api) -> None:
    plan, projects = a_whole_plan(api, note="Prices of spring")
    copy = copied(api, plan)
    assert fields_of(copy) == fields_of(plan) | {"name": "Another way"}
    assert (copy["status"], copy["follows"], copy["version"]) == ("draft", None, 1)
    mine = projects_of(api, copy)
    assert [fields_of(one) for one in mine] == [fields_of(one) for one in projects]
    assert not {one["id"] for one in mine} & {one["id"] for one in projects}
    assert {one["plan_id"] for one in mine} == {copy["id"]}
    assert years_of(figures_of(api, copy), "closing") == years_of(figures_of(api, plan), "closing")


def test_numbers_stay_and_prerequisites_are_those_of_the_copy(api: Api) -> None:
    plan = a_plan(api)
    first = a_plan_project(api, plan, name="First")
    gone = a_plan_project(api, plan, name="Gone")
    needs = [{"project_id": first["id"], "years_before": 2}]
    a_plan_project(api, plan, name="Third", prerequisites=needs)
    api.delete(f"{PROJECTS}/{gone['id']}", headers={"If-Match": '"1"'})
    one, third = projects_of(api, copied(api, plan))
    assert [one["number"], third["number"]] == [1, 3]
    assert third["prerequisites"] == [{"project_id": one["id"], "years_before": 2}]


def test_a_locked_plan_is_copied_without_its_decisions(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan, year=2029)
    issued(api, plan)
    decided(api, project, "deferred", deferred_to=2031)
    assert api.post(f"{PLANS}/{plan['id']}/lock").status_code == 200
    copy = copied(api, plan)
    (mine,) = projects_of(api, copy)
    assert (copy["status"], copy["issued_at"], mine["year"], mine["decision"]) == ("draft", None, 2029, None)
    assert (mine["carried_from"], mine["opened_project_id"], mine["completion"]) == (None, None, None)


def test_a_copy_is_worked_on_without_the_first(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    copy = copied(api, plan)
    irrigation = projects_of(api, copy)[0]
    changed(api, PROJECTS, irrigation, year=2033)
    assert projects_of(api, plan)[0] == projects[0]
    assert projects_of(api, copy)[0]["year"] == 2033
    assert copied(api, copy, "A third")["id"] not in (plan["id"], copy["id"])


def test_a_copy_needs_a_plan_and_a_free_name_and_is_recorded(api: Api) -> None:
    plan = a_plan(api)
    taken = api.post(f"{PLANS}/{plan['id']}/copy", json={"name": plan["name"]})
    assert (taken.status_code, taken.json()["type"]) == (409, "/problems/duplicate")
    assert api.post(f"{PLANS}/{NOBODY}/copy", json={"name": "B"}).status_code == 404
    assert faults(api.post(f"{PLANS}/{plan['id']}/copy", json={"name": " "}), 400) == ["/name"]
    assert len(got(api, PLANS)["items"]) == 1
    a_plan_project(api, plan)
    copy = copied(api, plan)
    rows = [row for row in got(api, "/audit")["items"] if row["subject_id"] == copy["id"]]
    assert {row["action"] for row in rows} == {"create", "copy"}
    (row,) = (row for row in rows if row["action"] == "copy")
    assert row["after"] == {"copied_from": plan["id"], "projects": 1}


def test_only_planners_copy_and_of_their_own_club(api: Api) -> None:
    plan = a_plan(api)
    for role, status in (("committee", 403), ("integrator", 403), ("controller", 201)):
        answer = api.as_role(role).post(f"{PLANS}/{plan['id']}/copy", json={"name": f"Of a {role}"})
        assert answer.status_code == status, answer.text
    stranger = api.of_new_club("other-side")
    assert stranger.post(f"{PLANS}/{plan['id']}/copy", json={"name": "Mine"}).status_code == 404
