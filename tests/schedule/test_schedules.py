"""Schedules through the API: days, reasons, the reopening and what it costs."""

import pytest
from conftest import Api
from estimate_factories import a_project
from schedule_factories import (
    CALENDAR,
    CORING,
    HAULING,
    a_closure,
    a_green,
    after,
    an_item_of_work,
    by_measure,
    dates_of,
    days,
    hours,
    schedule_of,
)
from swardcost_api.schedule import service

USD_1000 = {"amount": "1000.00", "currency": "USD"}
INVASIVE = {"invasive": True, "recovery_days": 10}


def test_hours_of_a_measure_become_whole_working_days_that_can_be_redone_by_hand(api: Api) -> None:
    project = a_closure(api)
    # 20,000 ft2 at 1,000 ft2 an hour are 20 hours: 10 for two machines, 2 shifts of 8.
    an_item_of_work(
        api, project, by_measure("machine_time", side_by_side=2), CORING, areas=[a_green(api, "20000")]
    )
    task = schedule_of(api, project)["tasks"][0]
    assert (task["working_days"], task["starts_on"], task["finishes_on"]) == (2, "2026-09-14", "2026-09-15")
    steps = {step["name"]: step for step in task["derivation"]}
    assert float(steps["machine time"]["value"]) == pytest.approx(20)
    assert steps["running time"]["formula"] == "hours of work / side by side"
    assert steps["duration"]["value"] == "2"
    assert task["why"] == {
        "kind": "closure",
        "scope_item_ids": [],
        "text": "First working day of the closure.",
    }


def test_weekends_holidays_and_closed_days_are_not_worked_and_are_listed(api: Api) -> None:
    project = a_project(api, starts_on="2026-10-08", ends_on="2026-10-31")
    calendar = CALENDAR | {
        "holidays": {"country": "US"},
        "closed_days": [{"day": "2026-10-14", "reason": "Member-guest"}],
        "worked_days": ["2026-10-17"],
    }
    api.created(f"/projects/{project}/calendar", calendar)
    an_item_of_work(api, project, days("7"), name="Drains")
    schedule = schedule_of(api, project)
    # Thu, Fri; Tue (Monday is Columbus Day); Thu, Fri, Sat (worked); Mon.
    assert dates_of(schedule) == {"Drains": ("10-08", "10-19")}
    assert schedule["off"] == [
        {"day": "2026-10-12", "reason": "Columbus Day"}, {"day": "2026-10-14", "reason": "Member-guest"},
    ]  # fmt: skip
    assert [one["day"][5:] for one in schedule["work"]] == [
        "10-08", "10-09", "10-13", "10-15", "10-16", "10-17", "10-19",
    ]  # fmt: skip


def test_reopening_waits_for_weather_and_recovery_and_is_held_against_the_window(api: Api) -> None:
    project = a_closure(api, weather_days=2)
    an_item_of_work(api, project, days("3") | INVASIVE, CORING, areas=[a_green(api)], name="Core")
    schedule = schedule_of(api, project)
    # Done on Wednesday 16th, Friday with the weather, and ten days of recovery: it opens on the 29th.
    assert (schedule["finishes_on"], schedule["reopens_on"]) == ("2026-09-16", "2026-09-29")
    assert (schedule["fits"], schedule["days_over"], schedule["days_closed"]) == (True, -13, 15)
    short = CALENDAR | {"weather_days": 2, "closure_last_day": "2026-09-25"}
    api.put(f"/projects/{project}/calendar", json=short, headers={"If-Match": '"1"'})
    schedule = schedule_of(api, project)
    assert (schedule["fits"], schedule["days_over"]) == (False, 3)


def test_every_closed_day_costs_the_revenue_of_its_weekday(api: Api) -> None:
    lost = {"per_day": USD_1000, "by_weekday": {"saturday": {"amount": "2500.00", "currency": "USD"}}}
    project = a_closure(api, revenue_lost=lost)
    an_item_of_work(api, project, days("5"))
    schedule = schedule_of(api, project)
    assert schedule["reopens_on"] == "2026-09-19"
    assert schedule["revenue_lost"]["amount"] == "5000.00"
    later = [
        (one["revenue_of_the_day"]["amount"], one["revenue_lost"]["amount"]) for one in schedule["later"]
    ]
    assert later[:3] == [("2500.00", "7500.00"), ("1000.00", "8500.00"), ("1000.00", "9500.00")]
    assert len(later) == 7


def test_people_are_never_over_booked_and_the_table_says_who_works_when(api: Api) -> None:
    project = a_closure(
        api, crews=[{"name": "Crew", "people": 5}], machines=[{"name": "Trailer", "machines": 4}]
    )
    for name in ("Core", "Sod"):
        work = days("2") | {"crew": "Crew", "people": 3, "machine": "Trailer", "machines": 1}
        an_item_of_work(api, project, work, name=name)
    schedule = schedule_of(api, project)
    assert dates_of(schedule) == {"Core": ("09-14", "09-15"), "Sod": ("09-16", "09-17")}
    assert schedule["tasks"][1]["why"]["kind"] == "limit"
    assert schedule["tasks"][1]["why"]["text"] == "Too few of Crew are free; they are at work on 1 Core."
    assert schedule["solution"]["rule"] == "proven_earliest"
    assert schedule["solution"]["gap_days"] == 0
    assert schedule["work"][0]["in_use"] == [
        {"kind": "crew", "name": "Crew", "at_work": 3, "available": 5},
        {"kind": "machine", "name": "Trailer", "at_work": 1, "available": 4},
    ]


def test_invasive_works_on_a_shared_area_keep_its_recovery_and_say_so(api: Api) -> None:
    project, green = a_closure(api), a_green(api)
    core = an_item_of_work(api, project, days("1") | INVASIVE, CORING, areas=[green], name="Core")
    an_item_of_work(
        api, project, days("1") | {"invasive": True, "predecessors": [after(core, kind="start_to_start")]},
        CORING, areas=[green, a_green(api)], name="Slice",
    )  # fmt: skip
    schedule = schedule_of(api, project)
    assert dates_of(schedule) == {"Core": ("09-14", "09-14"), "Slice": ("09-25", "09-25")}
    why = schedule["tasks"][1]["why"]
    assert (why["kind"], why["scope_item_ids"]) == ("recovery", [core["id"]])
    assert "has recovered from 1 Core" in why["text"]


def test_links_lags_and_floats_are_told(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("3"), name="First")
    an_item_of_work(
        api,
        project,
        days("2") | {"predecessors": [after(first, lag_days=5, lag_in="calendar_days")]},
        name="Second",
    )
    an_item_of_work(api, project, days("1") | {"earliest_start": "2026-09-16"}, name="Third")
    tasks = {one["name"]: one for one in schedule_of(api, project)["tasks"]}
    # Finished on Wednesday; five calendar days later is Tuesday.
    assert (tasks["Second"]["starts_on"], tasks["Second"]["critical"]) == ("2026-09-22", True)
    assert tasks["Second"]["why"]["text"] == "Starts after the finish of 1 First, 5 calendar days later."
    third = tasks["Third"]
    assert (third["why"]["kind"], third["starts_on"], third["total_float"]) == (
        "earliest_start",
        "2026-09-16",
        5,
    )
    assert third["latest_starts_on"] == "2026-09-23"


def test_a_latest_finish_that_is_missed_is_told(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("5") | {"latest_finish": "2026-09-16"}, name="Seed")
    schedule = schedule_of(api, project)
    assert schedule["tasks"][0]["days_late"] == 2
    assert "Seed finishes 2 days after its latest finish." in schedule["cautions"]


def test_hauling_tells_its_trips_for_each_working_day(api: Api) -> None:
    project = a_closure(api)
    # 20 trips of an hour: 10 hours for two machines, which are two working days.
    an_item_of_work(api, project, by_measure("machine_time", side_by_side=2), HAULING)
    per_day = {one["measure"]: one for one in schedule_of(api, project)["tasks"][0]["per_day"]}
    assert (per_day["trips"]["total"], per_day["trips"]["per_working_day"]) == ("20", "10.0")


def test_what_cannot_be_scheduled_is_listed_with_what_waits_for_it(api: Api) -> None:
    project = a_closure(api, crews=[{"name": "Crew", "people": 2}])
    an_item_of_work(api, project, None, name="Unplanned")
    sizeless = an_item_of_work(
        api,
        project,
        by_measure("machine_time"),
        CORING,
        areas=[a_green(api), a_green(api, None)],
        name="Core",
    )
    an_item_of_work(api, project, days("1") | {"predecessors": [after(sizeless)]}, name="Sand")
    an_item_of_work(api, project, days("1") | {"crew": "Crew", "people": 3}, name="Sod")
    an_item_of_work(api, project, days("1001"), name="Wall")
    an_item_of_work(api, project, hours("1"), name="Sign")
    schedule = schedule_of(api, project)
    assert [(one["name"], one["reason"]) for one in schedule["unscheduled"]] == [
        ("Unplanned", "no_task"), ("Core", "no_duration"), ("Sand", "waits_for_unscheduled"), ("Sod", "over_limit"),
        ("Wall", "no_duration"),
    ]  # fmt: skip
    assert "no size" in schedule["unscheduled"][1]["text"]
    assert list(dates_of(schedule)) == ["Sign"]
    assert schedule["complete"] is False
    assert schedule["cautions"][0].startswith("Scope items not scheduled: 5.")


def test_nothing_is_scheduled_without_tasks_and_no_date_is_made_up(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, None)
    schedule = schedule_of(api, project)
    nothing = ("starts_on", "finishes_on", "reopens_on", "fits", "days_over", "days_closed", "revenue_lost")
    assert {schedule[name] for name in nothing} == {None}
    assert (schedule["tasks"], schedule["complete"]) == ([], False)


def test_a_schedule_needs_a_calendar_and_work_that_ends(api: Api) -> None:
    project = a_project(api)
    refused = api.get(f"/projects/{project}/schedule")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
    api.created(f"/projects/{project}/calendar", CALENDAR)
    for _ in range(4):
        an_item_of_work(api, project, days("1000") | {"crew": "A", "people": 1})
    assert schedule_of(api, project)["tasks"]
    limited = CALENDAR | {"crews": [{"name": "A", "people": 1}]}
    api.put(f"/projects/{project}/calendar", json=limited, headers={"If-Match": '"1"'})
    refused = api.get(f"/projects/{project}/schedule")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")


@pytest.mark.parametrize("year", ["1800", "2299"])
def test_the_first_and_last_years_that_are_taken_can_be_scheduled(api: Api, year: str) -> None:
    project = a_project(api, starts_on=f"{year}-01-01", ends_on=f"{year}-12-31")
    api.created(f"/projects/{project}/calendar", CALENDAR | {"holidays": {"country": "US"}})
    an_item_of_work(api, project, days("1") | {"recovery_days": 365})
    assert [task["starts_on"][:4] for task in schedule_of(api, project)["tasks"]] == [year]


def test_cautions_name_what_was_not_stated(api: Api) -> None:
    project, green = a_closure(api), a_green(api)
    early = INVASIVE | {"crew": "Crew", "people": 3, "earliest_start": "2026-09-07"}
    an_item_of_work(api, project, days("1") | early, CORING, areas=[green], name="Core")
    an_item_of_work(api, project, days("1") | INVASIVE, name="Drains")
    cautions = schedule_of(api, project)["cautions"]
    for said in (
        "No days are allowed for weather.",
        "Revenue lost on a closed day is not stated.",
        "No limit is stated for crew Crew.",
        "Core is invasive and starts before the closure.",
        "Drains is invasive but on no area, so nothing waits for its recovery.",
    ):
        assert said in cautions
    assert cautions[-1].startswith("Local codes, the makers' manuals and licensed practice decide")


def test_every_role_reads_schedules_and_another_club_sees_none(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("1"))
    for role in ("controller", "committee", "integrator", "superintendent"):
        assert api.as_role(role).get(f"/projects/{project}/schedule").status_code == 200
    assert api.of_new_club("stone-weir").get(f"/projects/{project}/schedule").status_code == 404


def test_work_by_a_method_of_the_clubs_own_is_scheduled_by_its_hours(api: Api) -> None:
    pace = {"per_hour": {"value": "2", "unit": "thousand_square_feet"}, "crew_size": 2}
    api.created(
        "/methods",
        {
            "name": "our_rolling", "title": "Rolling our way", "production": pace,
            "driver": {"name": "rolled_area", "unit": "thousand_square_feet"},
            "lines": [{"name": "labor", "item": "CREW", "driven_by": "crew_time"}],
        },
    )  # fmt: skip
    project = a_closure(api)
    rolling = {"method": "our_rolling", "parameters": {}}
    # 40,000 ft2 at 2,000 ft2 an hour are 20 hours: 40 of people, of whom two work side by side.
    an_item_of_work(
        api, project, by_measure("crew_time", side_by_side=2), rolling, areas=[a_green(api, "40000")]
    )
    assert schedule_of(api, project)["tasks"][0]["working_days"] == 3


def test_where_enough_schedules_are_being_solved_another_is_asked_to_come_again(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("2"), name="Drains")
    busy = [service._SOLVERS.acquire() for _ in range(2)]
    try:
        refused = api.get(f"/projects/{project}/schedule")
        assert (refused.status_code, refused.json()["type"]) == (503, "/problems/unavailable")
        assert refused.headers["retry-after"] == "2"
    finally:
        for _ in busy:
            service._SOLVERS.release()
    assert api.get(f"/projects/{project}/schedule").status_code == 200
