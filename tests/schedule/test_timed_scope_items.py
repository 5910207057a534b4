"""Saving a scope item again never takes the measure away by which its task is timed."""

from conftest import Api
from estimate_factories import Document
from schedule_factories import (
    CORING,
    a_closure,
    a_green,
    an_item_of_work,
    by_measure,
    days,
    hours,
    plain,
    schedule_of,
)

PACE: Document = {"per_hour": {"value": "2", "unit": "thousand_square_feet"}, "crew_size": 2}
ROLLING: Document = {
    "title": "Rolling our way",
    "driver": {"name": "rolled_area", "unit": "thousand_square_feet"},
    "lines": [{"name": "labor", "item": "CREW", "driven_by": "rolled_area"}],
}
ONCE = {"If-Match": '"1"'}


def a_rolling(api: Api, project: str) -> Document:
    """A scope item by the first revision of the club's own method, which knows its pace, timed by its hours."""
    api.created("/methods", ROLLING | {"name": "our_rolling", "production": PACE})
    work = {"method": "our_rolling", "parameters": {}}
    task = by_measure("crew_time", side_by_side=2)
    return an_item_of_work(api, project, task, work, areas=[a_green(api, "40000")], name="Roll")


def saved_again(api: Api, item: Document, version: int = 1, **changes: object) -> Document:
    fields = ("name", "method", "parameters", "area_ids", "resources", "note")
    body = {name: item[name] for name in fields} | changes
    answer = api.put(f"/scope-items/{item['id']}", json=body, headers={"If-Match": f'"{version}"'})
    document: Document = answer.json() | {"status_code": answer.status_code}
    return document


def without_pace(api: Api) -> None:
    revised = api.put("/methods/our_rolling", json=ROLLING, headers=ONCE)
    assert revised.status_code == 200, revised.text


def test_a_revision_without_the_measure_that_times_the_task_is_refused_naming_both(api: Api) -> None:
    project = a_closure(api)
    item = a_rolling(api, project)
    without_pace(api)
    before = api.get(f"/scope-items/{item['id']}").json()
    refused = saved_again(api, item, name="Roll twice")
    assert (refused["status_code"], refused["type"]) == (422, "/problems/invalid-values")
    (fault,) = refused["faults"]
    assert (fault["pointer"], fault["got"]) == ("/method", "our_rolling, revision 2")
    assert "crew_time in hours" in fault["expected"]
    assert "task in the schedule" in fault["expected"]
    assert api.get(f"/scope-items/{item['id']}").json() == before
    assert schedule_of(api, project)["tasks"][0]["working_days"] == 3


def test_once_the_task_is_timed_otherwise_the_new_revision_is_taken(api: Api) -> None:
    item = a_rolling(api, a_closure(api))
    without_pace(api)
    changed = api.put(f"/scope-items/{item['id']}/task", json=days("3"), headers=ONCE)
    assert changed.status_code == 200
    assert saved_again(api, item)["method_revision"] == 2


def test_a_revision_that_keeps_the_measure_is_taken_and_times_the_task_anew(api: Api) -> None:
    project = a_closure(api)
    item = a_rolling(api, project)
    slower = PACE | {"per_hour": {"value": "1", "unit": "thousand_square_feet"}}
    assert (
        api.put("/methods/our_rolling", json=ROLLING | {"production": slower}, headers=ONCE).status_code
        == 200
    )
    assert saved_again(api, item)["method_revision"] == 2
    # 40 hours instead of 20, in shifts of 8.
    assert schedule_of(api, project)["tasks"][0]["working_days"] == 5


def test_parameters_and_methods_that_take_the_measure_away_are_refused_too(api: Api) -> None:
    project, green = a_closure(api), a_green(api)
    item = an_item_of_work(api, project, by_measure("machine_time"), CORING, areas=[green])
    paceless = {k: v for k, v in CORING["parameters"].items() if k != "production_rate"}
    refused = saved_again(api, item, parameters=paceless)
    assert (refused["status_code"], refused["faults"][0]["got"]) == (422, "hollow_tine_aeration")
    assert refused["faults"][0]["expected"].endswith("it gives nothing in hours")
    assert saved_again(api, item, **plain("8"))["status_code"] == 422
    assert saved_again(api, item, note="With the new tines")["status_code"] == 200


def test_scope_items_without_a_task_or_with_a_stated_duration_are_saved_as_they_come(api: Api) -> None:
    project, green = a_closure(api), a_green(api)
    paceless = {k: v for k, v in CORING["parameters"].items() if k != "production_rate"}
    for task in (None, hours("4"), days("1")):
        item = an_item_of_work(api, project, task, CORING, areas=[green])
        assert saved_again(api, item, parameters=paceless)["status_code"] == 200
