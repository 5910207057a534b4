"""Projects with a calendar and tasks, through the API."""

from typing import Any

from conftest import Api
from estimate_factories import Document, a_course, a_project, a_scope_item, an_area

WEEK = ["monday", "tuesday", "wednesday", "thursday", "friday"]
CALENDAR: Document = {"working_weekdays": WEEK, "shift_hours": "8"}
CORING: Document = {
    "method": "hollow_tine_aeration",
    "parameters": {
        "tine_inside_diameter": {"value": "0.5", "unit": "inch"},
        "spacing_along": {"value": "2", "unit": "inch"},
        "spacing_across": {"value": "2", "unit": "inch"},
        "depth": {"value": "4", "unit": "inch"},
        "production_rate": {"value": "1000", "unit": "square_foot_per_hour"},
    },
}
HAULING: Document = {
    "method": "hauling",
    "parameters": {
        "mass": {"value": "60", "unit": "short_ton"},
        "payload": {"value": "3", "unit": "short_ton"},
        "cycle": {
            "distance": {"value": "0.5", "unit": "mile"},
            "speed": {"value": "2", "unit": "mile_per_hour"},
            "loading_time": {"value": "20", "unit": "minute"},
            "dumping_time": {"value": "10", "unit": "minute"},
        },
    },
}


def plain(hours: str = "8") -> Document:
    """Work of so many stated hours."""
    return {"method": "plain_quantity", "parameters": {"quantity": {"value": hours, "unit": "hour"}}}


def a_closure(api: Api, **calendar: Any) -> str:
    """A project from Monday, September 14 to Sunday, October 11, 2026, with a calendar."""
    project = a_project(api, starts_on="2026-09-14", ends_on="2026-10-11")
    api.created(f"/projects/{project}/calendar", CALENDAR | calendar)
    return project


def days(value: str) -> Document:
    return {"duration": {"stated": {"value": value, "unit": "work_day"}}}


def hours(value: str, **more: Any) -> Document:
    return {"duration": {"stated": {"value": value, "unit": "hour"}} | more}


def by_measure(measure: str, **more: Any) -> Document:
    return {"duration": {"measure": measure} | more}


def after(item: Document, **more: Any) -> Document:
    return {"scope_item_id": item["id"]} | more


def an_item_of_work(
    api: Api, project: str, task: Document | None, work: Document | None = None, **more: Any
) -> Document:
    """A scope item, with its task unless that is `None`."""
    item = a_scope_item(api, project, work or plain(), more.pop("areas", []), **more)
    if task is not None:
        api.created(f"/scope-items/{item['id']}/task", task)
    return item


def a_green(api: Api, square_feet: str | None = "8000") -> str:
    return an_area(api, a_course(api), square_feet)


def schedule_of(api: Api, project: str) -> Document:
    response = api.get(f"/projects/{project}/schedule")
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def dates_of(schedule: Document) -> dict[str, tuple[str, str]]:
    """First and last day of each task, without the year."""
    return {one["name"]: (one["starts_on"][5:], one["finishes_on"][5:]) for one in schedule["tasks"]}
