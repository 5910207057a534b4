"""Calendars of projects through the API."""

from typing import Any

import pytest
from conftest import Api
from estimate_factories import a_project
from schedule_factories import CALENDAR, a_closure

FULL = CALENDAR | {
    "holidays": {"country": "US", "subdivision": "MA"},
    "closed_days": [{"day": "2026-09-18", "reason": "Charity day"}],
    "worked_days": ["2026-09-19"],
    "closure_first_day": "2026-09-15",
    "closure_last_day": "2026-10-04",
    "revenue_lost": {
        "per_day": {"amount": "3100.00", "currency": "USD"},
        "by_weekday": {"saturday": {"amount": "5400.00", "currency": "USD"}},
    },
    "weather_days": 2,
    "crews": [{"name": "Greens crew", "people": 5}],
    "machines": [{"name": "Aerator", "machines": 2}],
    "note": "As agreed in July",
}


def test_a_calendar_can_be_made_read_edited_and_deleted_and_leaves_its_trail(api: Api) -> None:
    project = a_project(api)
    path = f"/projects/{project}/calendar"
    assert api.get(path).status_code == 404
    api.created(path, CALENDAR)
    assert api.post(path, json=CALENDAR).json()["type"] == "/problems/duplicate"
    edited = api.put(path, json=FULL, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["version"]) == (200, 2)
    read = api.get(path).json()
    assert read == edited.json()
    assert {name: read[name] for name in FULL if name != "holidays"} == {
        name: value for name, value in FULL.items() if name != "holidays"
    }
    assert read["holidays"] == {"country": "US", "subdivision": "MA", "moved": True}
    assert api.put(path, json=FULL).status_code == 428
    assert api.put(path, json=FULL, headers={"If-Match": '"1"'}).status_code == 412
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404
    trail = api.get(f"/audit?subject=calendar&subject_id={project}").json()["items"]
    assert [entry["action"] for entry in trail] == ["delete", "change", "create"]
    assert (trail[1]["before"]["weather_days"], trail[1]["after"]["weather_days"]) == (None, 2)


def money(amount: str, currency: str = "USD") -> dict[str, Any]:
    return {"amount": amount, "currency": currency}


@pytest.mark.parametrize(
    ("fields", "status", "pointer"),
    [
        ({"working_weekdays": []}, 400, "/working_weekdays"),
        ({"working_weekdays": ["monday", "monday"]}, 400, ""),
        ({"shift_hours": "0"}, 400, "/shift_hours"),
        ({"shift_hours": "24.5"}, 400, "/shift_hours"),
        ({"closure_first_day": "2026-09-02", "closure_last_day": "2026-09-01"}, 400, ""),
        ({"closed_days": [{"day": "2026-09-18", "reason": "x"}] * 2}, 400, ""),
        ({"closed_days": [{"day": "2026-09-18", "reason": "x"}], "worked_days": ["2026-09-18"]}, 400, ""),
        ({"crews": [{"name": "A", "people": 1}, {"name": "A", "people": 2}]}, 400, ""),
        ({"crews": [{"name": "A", "people": 0}]}, 400, "/crews/0/people"),
        ({"revenue_lost": {"per_day": money("-1")}}, 400, "/revenue_lost"),
        (
            {"revenue_lost": {"per_day": money("1"), "by_weekday": {"sunday": money("1", "CAD")}}},
            400,
            "/revenue_lost",
        ),
        ({"holidays": {"country": "US", "subdivision": "ZZ"}}, 422, "/holidays/subdivision"),
        ({"holidays": {"country": "QQ"}}, 422, "/holidays/country"),
        ({"holidays": {"country": "usa"}}, 400, "/holidays/country"),
        ({"closure_last_day": "2026-07-31"}, 422, "/closure_last_day"),
        ({"closure_first_day": "2026-10-16"}, 422, "/closure_first_day"),
    ],
)
def test_what_is_no_calendar_is_refused_with_its_place(
    api: Api, fields: dict[str, Any], status: int, pointer: str
) -> None:
    path = f"/projects/{a_project(api)}/calendar"
    refused = api.post(path, json=CALENDAR | fields)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (status, pointer), refused.text
    assert api.get(path).status_code == 404


def test_only_planners_write_calendars_and_everyone_reads_them(api: Api) -> None:
    project = a_closure(api)
    path = f"/projects/{project}/calendar"
    for role in ("controller", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.get(path).status_code == 200
        assert reader.put(path, json=CALENDAR, headers={"If-Match": '"1"'}).status_code == 403
        assert reader.delete(path, headers={"If-Match": '"1"'}).status_code == 403
    superintendent = api.as_role("superintendent")
    assert superintendent.put(path, json=CALENDAR, headers={"If-Match": '"1"'}).status_code == 200


def test_another_clubs_calendar_is_not_there(api: Api) -> None:
    path = f"/projects/{a_closure(api)}/calendar"
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(path).status_code == 404
    assert stranger.post(path, json=CALENDAR).status_code == 404
    assert stranger.put(path, json=CALENDAR, headers={"If-Match": '"1"'}).status_code == 404
    assert stranger.delete(path, headers={"If-Match": '"1"'}).status_code == 404
    assert api.get(path).status_code == 200


def test_a_project_with_a_calendar_is_in_use(api: Api) -> None:
    project = a_closure(api)
    assert (
        api.delete(f"/projects/{project}", headers={"If-Match": '"1"'}).json()["type"] == "/problems/in-use"
    )
    assert api.delete(f"/projects/{project}/calendar", headers={"If-Match": '"1"'}).status_code == 204
    assert api.delete(f"/projects/{project}", headers={"If-Match": '"1"'}).status_code == 204
