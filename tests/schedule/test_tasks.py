"""Tasks of scope items through the API."""

from typing import Any

import pytest
from conftest import Api
from estimate_factories import a_project, a_scope_item
from printed_formula import redo
from schedule_factories import (
    CORING,
    a_closure,
    a_green,
    after,
    an_item_of_work,
    by_measure,
    days,
    hours,
    plain,
)

NO_ID = "00000000-0000-4000-8000-000000000000"


def test_a_task_can_be_made_read_listed_edited_and_deleted_and_leaves_its_trail(api: Api) -> None:
    project = a_project(api)
    item = a_scope_item(api, project, plain(), [])
    path = f"/scope-items/{item['id']}/task"
    assert api.get(path).status_code == 404
    created = api.created(path, days("2"))
    assert created["duration"]["stated"] == {"value": "2", "unit": "work_day"}
    assert api.post(path, json=days("2")).json()["type"] == "/problems/duplicate"
    change = hours("12", side_by_side=2) | {
        "crew": "Greens crew", "people": 3, "machine": "Aerator", "machines": 1, "invasive": True, "recovery_days": 9,
        "earliest_start": "2026-09-15", "latest_finish": "2026-09-30", "note": "Early",
    }  # fmt: skip
    edited = api.put(path, json=change, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["version"]) == (200, 2)
    assert api.get(path).json() == edited.json()
    assert api.get(f"/projects/{project}/tasks").json()["items"] == [edited.json()]
    assert api.put(path, json=change).status_code == 428
    assert api.put(path, json=change, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    trail = api.get(f"/audit?subject=task&subject_id={item['id']}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]


@pytest.mark.parametrize(
    ("task", "status", "pointer"),
    [
        ({"duration": {}}, 400, "/duration"),
        ({"duration": {"measure": "quantity", "stated": {"value": "1", "unit": "hour"}}}, 400, "/duration"),
        (hours("0"), 400, "/duration"),
        ({"duration": {"stated": {"value": "2", "unit": "work_day"}, "side_by_side": 2}}, 400, "/duration"),
        (hours("8") | {"crew": "Greens crew"}, 400, ""),
        (hours("8") | {"machines": 2}, 400, ""),
        (hours("8") | {"earliest_start": "2026-09-02", "latest_finish": "2026-09-01"}, 400, ""),
        (hours("8") | {"recovery_days": -1}, 400, "/recovery_days"),
        (hours("8") | {"predecessors": [{"scope_item_id": NO_ID}] * 2}, 400, ""),
        ({"duration": {"stated": {"value": "1", "unit": "acre"}}}, 422, "/duration/stated/unit"),
        (by_measure("machine_time"), 422, "/duration/measure"),
        (hours("8") | {"predecessors": [{"scope_item_id": NO_ID}]}, 422, "/predecessors/0/scope_item_id"),
    ],
)
def test_what_is_no_task_is_refused_with_its_place(
    api: Api, task: dict[str, Any], status: int, pointer: str
) -> None:
    item = a_scope_item(api, a_project(api), plain(), [])
    refused = api.post(f"/scope-items/{item['id']}/task", json=task)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (status, pointer), refused.text
    assert api.get(f"/scope-items/{item['id']}/task").status_code == 404


def test_a_measure_that_the_parameters_do_not_give_is_refused_with_those_they_give(api: Api) -> None:
    item = a_scope_item(api, a_project(api), CORING, [a_green(api)])
    fault = api.post(f"/scope-items/{item['id']}/task", json=by_measure("crew_time")).json()["faults"][0]
    assert "machine_time" in fault["expected"]
    api.created(f"/scope-items/{item['id']}/task", by_measure("machine_time"))


def test_tasks_that_would_wait_for_each_other_are_refused_naming_the_loop(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("1"), name="Core")
    second = an_item_of_work(api, project, days("1") | {"predecessors": [after(first)]}, name="Sand")
    third = an_item_of_work(api, project, days("1") | {"predecessors": [after(second)]}, name="Roll")
    change = days("1") | {"predecessors": [after(third)]}
    refused = api.put(f"/scope-items/{first['id']}/task", json=change, headers={"If-Match": '"1"'})
    assert refused.status_code == 422
    fault = refused.json()["faults"][0]
    assert fault["pointer"] == "/predecessors/0"
    names = fault["got"].split(" -> ")
    assert (names[0], set(names)) == (names[-1], {"Core", "Sand", "Roll"})
    itself = days("1") | {"predecessors": [after(first)]}
    refused = api.put(f"/scope-items/{first['id']}/task", json=itself, headers={"If-Match": '"1"'})
    assert refused.json()["faults"][0]["pointer"] == "/predecessors/0/scope_item_id"


def test_a_task_waits_only_for_tasks_of_its_own_project(api: Api) -> None:
    elsewhere = an_item_of_work(api, a_project(api), days("1"))
    without_task = a_scope_item(api, (project := a_project(api)), plain(), [])
    item = a_scope_item(api, project, plain(), [])
    for other in (elsewhere, without_task):
        refused = api.post(
            f"/scope-items/{item['id']}/task", json=days("1") | {"predecessors": [after(other)]}
        )
        assert refused.json()["faults"][0]["got"] == other["id"]


def test_a_task_that_others_wait_for_and_a_scope_item_with_a_task_are_in_use(api: Api) -> None:
    project = a_project(api)
    first = an_item_of_work(api, project, days("1"))
    second = an_item_of_work(api, project, days("1") | {"predecessors": [after(first)]})
    once = {"If-Match": '"1"'}
    assert api.delete(f"/scope-items/{first['id']}/task", headers=once).json()["type"] == "/problems/in-use"
    assert api.delete(f"/scope-items/{second['id']}", headers=once).json()["type"] == "/problems/in-use"
    for item in (second, first):
        assert api.delete(f"/scope-items/{item['id']}/task", headers=once).status_code == 204
        assert api.delete(f"/scope-items/{item['id']}", headers=once).status_code == 204


def test_only_planners_write_tasks_and_another_club_sees_none(api: Api) -> None:
    project = a_project(api)
    item = an_item_of_work(api, project, days("1"))
    path = f"/scope-items/{item['id']}/task"
    reader, stranger = api.as_role("committee"), api.of_new_club("stone-weir")
    assert reader.get(path).status_code == 200
    for caller, status in ((reader, 403), (stranger, 404)):
        assert caller.post(path, json=days("1")).status_code == status
        assert caller.put(path, json=days("1"), headers={"If-Match": '"1"'}).status_code == status
        assert caller.delete(path, headers={"If-Match": '"1"'}).status_code == status
    assert stranger.get(path).status_code == 404
    assert stranger.get(f"/projects/{project}/tasks").status_code == 404


def test_every_step_of_a_scheduled_duration_can_be_redone_by_hand(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(
        api, project, by_measure("machine_time", side_by_side=3), CORING, areas=[a_green(api, "31000")]
    )
    an_item_of_work(api, project, days("2.5"))
    an_item_of_work(api, project, {"duration": {"stated": {"value": "90", "unit": "minute"}}})
    tasks = api.get(f"/projects/{project}/schedule").json()["tasks"]
    assert [(one["number"], one["working_days"]) for one in tasks] == [(1, 2), (2, 3), (3, 1)]
    for step in (step for task in tasks for step in task["derivation"] if step["inputs"]):
        inputs = {one["name"]: float(one["value"]) for one in step["inputs"]}
        assert redo(step["formula"], inputs) == pytest.approx(float(step["value"])), step
