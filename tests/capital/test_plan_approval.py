"""A plan is issued with its assets as they stood, decided on project by project, and locked when all is decided."""

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import Document
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, figures_of, got, put, usd


def acted(api: Api, path: str, **body: object) -> Document:
    response = api.post(path, json=body or None)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def an_issued_plan(api: Api) -> tuple[Document, Document, Document]:
    plan = a_plan(api)
    pump, path = a_plan_project(api, plan, year=2028), a_plan_project(api, plan, year=2030)
    return acted(api, f"{PLANS}/{plan['id']}/issue"), pump, path


def refusal(api: Api, path: str, **body: object) -> tuple[int, str]:
    response = api.post(path, json=body or None)
    return response.status_code, response.json()["type"].rsplit("/", 1)[1]


def test_a_plan_goes_from_draft_to_issued_to_locked(api: Api) -> None:
    plan, pump, path = an_issued_plan(api)
    assert (plan["status"], plan["issued_by"], plan["locked_at"]) == ("issued", "Owner", None)
    place = f"{PLANS}/{plan['id']}"
    assert refusal(api, f"{place}/lock") == (409, "wrong-state")
    decided = acted(
        api, f"{PROJECTS}/{pump['id']}/decide", decided="approved", conditions="If dues are raised"
    )
    assert decided["decision"]["decided"] == "approved"
    assert decided["decision"]["conditions"] == "If dues are raised"
    waits = api.post(f"{place}/lock").json()["detail"]
    assert f"{path['number']} ({path['name']})" in waits
    acted(api, f"{PROJECTS}/{path['id']}/decide", decided="declined")
    later = acted(api, f"{PROJECTS}/{path['id']}/decide", decided="deferred", deferred_to=2032)
    assert (later["decision"]["decided"], later["decision"]["deferred_to"]) == ("deferred", 2032)
    locked = acted(api, f"{place}/lock")
    assert (locked["status"], locked["locked_by"]) == ("locked", "Owner")
    assert refusal(api, f"{PROJECTS}/{path['id']}/decide", decided="approved") == (409, "wrong-state")
    assert refusal(api, f"{place}/lock") == (409, "wrong-state")
    entries = api.get(f"/audit?subject=plan_project&subject_id={path['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["deferred", "declined", "create"]
    entries = api.get(f"/audit?subject=capital_plan&subject_id={plan['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["lock", "issue", "create"]


def test_an_issued_plan_is_not_changed_and_keeps_its_assets(api: Api) -> None:
    asset = an_asset(api, "PUMP")
    plan = a_plan(api)
    project = a_plan_project(api, plan, None, asset_ids=[asset["id"]], year=2029)
    issued = acted(api, f"{PLANS}/{plan['id']}/issue")
    before = figures_of(api, plan)
    fields = {name: value for name, value in asset.items() if name not in ("id", "version")}
    dearer = fields | {"replacement": {"by": "stated", "cost": usd("999000.00")}}
    assert api.put(f"/assets/{asset['id']}", json=dearer, headers={"If-Match": '"1"'}).status_code == 200
    assert figures_of(api, plan) == before
    assert put(api, PLANS, issued, note="Another").status_code == 409
    assert put(api, PROJECTS, got(api, f"{PROJECTS}/{project['id']}"), year=2030).status_code == 409
    assert api.post(f"{PLANS}/{plan['id']}/projects", json={"name": "X", "cost": usd("1")}).status_code == 409
    assert api.delete(f"{PLANS}/{plan['id']}", headers={"If-Match": '"2"'}).status_code == 409
    assert refusal(api, f"{PLANS}/{plan['id']}/issue") == (409, "wrong-state")


def test_a_plan_without_projects_is_not_issued_and_a_draft_not_decided_on(api: Api) -> None:
    plan = a_plan(api)
    assert refusal(api, f"{PLANS}/{plan['id']}/issue") == (409, "wrong-state")
    project = a_plan_project(api, plan)
    assert refusal(api, f"{PROJECTS}/{project['id']}/decide", decided="approved") == (409, "wrong-state")
    assert got(api, f"{PROJECTS}/{project['id']}")["decision"] is None


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"decided": "deferred", "deferred_to": 2028}, 422),
        ({"decided": "approved", "deferred_to": 2031}, 400),
        ({"decided": "perhaps"}, 400),
    ],
)
def test_a_decision_that_makes_no_sense_is_refused(api: Api, body: Document, status: int) -> None:
    _, pump, _ = an_issued_plan(api)
    response = api.post(f"{PROJECTS}/{pump['id']}/decide", json=body)
    assert response.status_code == status, response.text
    assert got(api, f"{PROJECTS}/{pump['id']}")["decision"] is None


def test_the_committee_decides_and_planners_issue(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan)
    committee, planner = api.as_role("committee"), api.as_role("superintendent")
    other = api.of_new_club("stone-weir")
    place, on_project = f"{PLANS}/{plan['id']}", f"{PROJECTS}/{project['id']}"
    assert committee.post(f"{place}/issue").status_code == 403
    assert other.post(f"{place}/issue").status_code == 404
    assert planner.post(f"{place}/issue").status_code == 200
    assert planner.post(f"{on_project}/decide", json={"decided": "approved"}).status_code == 403
    assert other.post(f"{on_project}/decide", json={"decided": "approved"}).status_code == 404
    assert committee.post(f"{on_project}/decide", json={"decided": "approved"}).status_code == 200
    assert other.post(f"{place}/lock").status_code == 404
    assert committee.post(f"{place}/lock").json()["status"] == "locked"
