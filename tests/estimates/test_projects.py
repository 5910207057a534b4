"""Projects through the API."""

from typing import Any

import pytest
from conftest import Api
from estimate_factories import LUMP, a_project, a_scope_item, an_edition, priced

BODY = {"name": "Autumn closure", "starts_on": "2026-08-01", "ends_on": "2026-10-15"}


def test_a_project_can_be_read_listed_edited_and_deleted(api: Api) -> None:
    project = a_project(api, **BODY, note="Lower course")
    path = f"/projects/{project}"
    read = api.get(path)
    assert (read.json()["note"], read.json()["version"]) == ("Lower course", 1)
    edited = api.put(path, json=BODY | {"name": "Closure"}, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["note"], edited.json()["version"]) == (200, "", 2)
    assert [one["name"] for one in api.get("/projects").json()["items"]] == ["Closure"]
    assert api.put(path, json=BODY).status_code == 428
    assert api.put(path, json=BODY, headers={"If-Match": '"1"'}).json()["type"] == "/problems/stale-version"
    assert api.delete(path, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    actions = [e["action"] for e in api.get(f"/audit?subject=project&subject_id={project}").json()["items"]]
    assert actions == ["delete", "change", "create"]


def test_names_of_projects_are_unique_within_a_club(api: Api) -> None:
    a_project(api, **BODY)
    other = a_project(api)
    assert api.post("/projects", json=BODY).json()["type"] == "/problems/duplicate"
    renamed = api.put(f"/projects/{other}", json=BODY, headers={"If-Match": '"1"'})
    assert renamed.json()["type"] == "/problems/duplicate"
    a_project(api.of_new_club("stone-weir"), **BODY)


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"name": " "}, "/name"),
        ({"name": "Two\nlines"}, "/name"),
        ({"name": "N" * 201}, "/name"),
        ({"starts_on": "2026-02-30"}, "/starts_on"),
        ({"starts_on": 20260801}, "/starts_on"),
        ({"ends_on": None}, "/ends_on"),
        ({"budget": "1"}, "/budget"),
        ({"ends_on": "2026-07-31"}, ""),
        ({"ends_on": "2037-08-01"}, ""),
    ],
)
def test_what_is_no_project_is_refused_with_its_place(api: Api, fields: dict[str, Any], pointer: str) -> None:
    refused = api.post("/projects", json=BODY | fields)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (400, pointer)
    assert api.get("/projects").json()["items"] == []


def test_a_project_with_scope_or_estimates_cannot_be_deleted(api: Api) -> None:
    project = a_project(api, **BODY)
    item = a_scope_item(api, project, LUMP, [])
    path = f"/projects/{project}"
    refused = api.delete(path, headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert "scope items: 1" in refused.json()["detail"]
    priced(api, project, an_edition(api))
    assert api.delete(f"/scope-items/{item['id']}", headers={"If-Match": '"1"'}).status_code == 204
    refused = api.delete(path, headers={"If-Match": '"1"'})
    assert "estimates: 1" in refused.json()["detail"]
    assert api.get(path).status_code == 200


def test_only_planners_may_open_projects_and_every_role_may_read_them(api: Api) -> None:
    project = a_project(api)
    assert api.as_role("superintendent").post("/projects", json=BODY).status_code == 201
    for role in ("controller", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.post("/projects", json=BODY).status_code == 403
        assert reader.delete(f"/projects/{project}", headers={"If-Match": '"1"'}).status_code == 403
        assert reader.get(f"/projects/{project}").status_code == 200


def test_another_clubs_project_is_not_there(api: Api) -> None:
    project = a_project(api)
    stranger = api.of_new_club("stone-weir")
    edition = an_edition(stranger)
    for path in ("", "/scope-items"):
        assert stranger.get(f"/projects/{project}{path}").status_code == 404
    assert stranger.put(f"/projects/{project}", json=BODY, headers={"If-Match": '"1"'}).status_code == 404
    assert stranger.delete(f"/projects/{project}", headers={"If-Match": '"1"'}).status_code == 404
    body = {"name": "E", "edition_id": edition}
    assert stranger.post(f"/projects/{project}/estimates", json=body).status_code == 404
    assert stranger.get("/projects").json()["items"] == []
