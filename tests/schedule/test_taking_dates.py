"""The days of the schedule become the scope's own, where hire, escalation and months come from."""

from decimal import Decimal
from uuid import uuid4

from conftest import Api
from estimate_factories import (
    Document,
    a_project,
    an_edition,
    an_item,
    lines_of,
    priced,
    redo_by_hand,
    stated,
)
from schedule_factories import CALENDAR, a_closure, after, an_item_of_work, days

NEITHER = {"starts_on": None, "ends_on": None}


def taken(api: Api, project: str, *items: Document) -> Document:
    """What taking the dates answers, for these scope items or for all."""
    body = {"scope_item_ids": [item["id"] for item in items]} if items else {}
    response = api.post(f"/projects/{project}/schedule/take-dates", json=body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def refused(api: Api, project: str, body: Document | None = None) -> tuple[int, Document]:
    response = api.post(f"/projects/{project}/schedule/take-dates", json=body or {})
    return response.status_code, response.json()


def item_now(api: Api, item: Document) -> Document:
    document: Document = api.get(f"/scope-items/{item['id']}").json()
    return document


def own_days(api: Api, item: Document) -> tuple[str | None, str | None, int]:
    now = item_now(api, item)
    return now["starts_on"], now["ends_on"], now["version"]


def trail_of(api: Api, item: Document) -> list[Document]:
    """The audit rows of a scope item that tell of dates taken."""
    rows: list[Document] = api.get(f"/audit?subject=scope_item&subject_id={item['id']}").json()["items"]
    return [row for row in rows if row["action"] == "take_dates"]


def span(first: str | None, last: str | None) -> Document:
    return {"starts_on": first, "ends_on": last}


def test_each_task_gives_its_days_to_its_scope_item_and_nothing_else_of_it_changes(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("2"), name="Core", note="Deep")
    typed = {"starts_on": "2026-09-14", "ends_on": "2026-10-02"}
    second = an_item_of_work(api, project, days("4") | {"predecessors": [after(first)]}, name="Sand", **typed)
    before = [item_now(api, one) for one in (first, second)]
    answer = taken(api, project)
    # The second runs over a weekend: Wednesday to Monday.
    assert [(one["name"], one["before"], one["after"], one["changed"]) for one in answer["items"]] == [
        ("Core", NEITHER, span("2026-09-14", "2026-09-15"), True),
        ("Sand", typed, span("2026-09-16", "2026-09-21"), True),
    ]
    assert (answer["items_changed"], answer["kept"], answer["reopens_on"]) == (2, [], "2026-09-22")
    for was, told in zip(before, answer["items"], strict=True):
        assert item_now(api, was) == was | told["after"] | {"version": 2}
        assert told["version"] == 2
        (row,) = trail_of(api, was)
        assert (row["before"], row["after"]) == (
            told["before"] | {"version": 1}, told["after"] | {"version": 2},
        )  # fmt: skip


def test_taking_the_same_dates_again_changes_nothing(api: Api) -> None:
    project = a_closure(api)
    item = an_item_of_work(api, project, days("3"))
    taken(api, project)
    again = taken(api, project)
    assert (again["items_changed"], again["items"][0]["changed"]) == (0, False)
    assert again["items"][0]["before"] == again["items"][0]["after"] == span("2026-09-14", "2026-09-16")
    assert own_days(api, item) == ("2026-09-14", "2026-09-16", 2)
    assert len(trail_of(api, item)) == 1


def test_only_what_moved_gets_a_new_version(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("2"))
    second = an_item_of_work(api, project, days("2"))
    taken(api, project)
    task = api.get(f"/scope-items/{second['id']}/task").json()
    later = days("2") | {"earliest_start": "2026-09-21"}
    api.put(f"/scope-items/{second['id']}/task", json=later, headers={"If-Match": f'"{task["version"]}"'})
    assert [one["changed"] for one in taken(api, project)["items"]] == [False, True]
    assert own_days(api, first) == ("2026-09-14", "2026-09-15", 2)
    assert own_days(api, second) == ("2026-09-21", "2026-09-22", 3)


def test_named_scope_items_alone_take_their_days_from_the_schedule_of_all(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("2"))
    second = an_item_of_work(api, project, days("1") | {"predecessors": [after(first)]})
    answer = taken(api, project, second)
    assert [one["scope_item_id"] for one in answer["items"]] == [second["id"]]
    assert own_days(api, first) == (None, None, 1)
    assert own_days(api, second) == ("2026-09-16", "2026-09-16", 2)


def test_what_the_schedule_gives_no_days_keeps_its_own_and_is_told(api: Api) -> None:
    project = a_closure(api, crews=[{"name": "Crew", "people": 2}])
    an_item_of_work(api, project, days("1"), name="Core")
    typed = span("2026-09-20", "2026-09-22")
    unplanned = an_item_of_work(api, project, None, name="Unplanned", **typed)
    too_many = an_item_of_work(api, project, days("1") | {"crew": "Crew", "people": 3}, name="Sod")
    answer = taken(api, project)
    assert [(one["name"], one["reason"], one["kept"]) for one in answer["kept"]] == [
        ("Unplanned", "no_task", typed), ("Sod", "over_limit", NEITHER),
    ]  # fmt: skip
    assert own_days(api, unplanned) == ("2026-09-20", "2026-09-22", 1)
    assert "Scope items not scheduled: 2. They keep the days they had." in answer["cautions"]
    status, problem = refused(api, project, {"scope_item_ids": [unplanned["id"], too_many["id"]]})
    assert (status, problem["type"]) == (422, "/problems/invalid-values")
    assert [one["pointer"] for one in problem["faults"]] == ["/scope_item_ids/0", "/scope_item_ids/1"]
    assert "It has no task." in problem["faults"][0]["got"]
    assert "there are 2" in problem["faults"][1]["got"]


def test_days_outside_the_projects_are_taken_as_computed_and_named(api: Api) -> None:
    project = a_closure(api)
    long = an_item_of_work(api, project, days("21"), name="Wall")
    an_item_of_work(api, project, days("1"), name="Sign")
    answer = taken(api, project)
    assert [(one["name"], one["outside_project"]) for one in answer["items"]] == [
        ("Wall", True),
        ("Sign", False),
    ]
    assert own_days(api, long)[:2] == ("2026-09-14", "2026-10-12")
    assert (answer["project_first_day"], answer["project_last_day"]) == ("2026-09-14", "2026-10-11")
    said = (
        "Wall is at work from 2026-09-14 to 2026-10-12, outside the project's days, 2026-09-14 to 2026-10-11."
    )
    assert said in answer["cautions"]


def test_there_are_no_dates_to_take_without_a_calendar_or_a_task_or_an_end(api: Api) -> None:
    project = a_project(api)
    item = an_item_of_work(api, project, None)
    for said in ("no calendar", "No scope item of the project can be scheduled"):
        status, problem = refused(api, project)
        assert (status, problem["type"]) == (409, "/problems/wrong-state")
        assert said in problem["detail"]
        if said == "no calendar":
            api.created(f"/projects/{project}/calendar", CALENDAR | {"crews": [{"name": "A", "people": 1}]})
    api.created(f"/scope-items/{item['id']}/task", days("1000") | {"crew": "A", "people": 1})
    for _ in range(3):
        an_item_of_work(api, project, days("1000") | {"crew": "A", "people": 1})
    status, problem = refused(api, project)
    assert (status, problem["type"]) == (409, "/problems/wrong-state")
    assert own_days(api, item) == (None, None, 1)


def test_scope_items_that_are_not_the_projects_and_bad_bodies_are_refused_with_their_place(api: Api) -> None:
    project, other = a_closure(api), a_closure(api)
    item = an_item_of_work(api, project, days("1"))
    elsewhere = an_item_of_work(api, other, days("1"))
    foreign = api.of_new_club("birch-hollow")
    theirs = an_item_of_work(foreign, a_closure(foreign), days("1"))
    for strange in (elsewhere["id"], theirs["id"], str(uuid4())):
        status, problem = refused(api, project, {"scope_item_ids": [item["id"], strange]})
        assert (status, problem["type"]) == (422, "/problems/invalid-values")
        assert [(one["pointer"], one["got"]) for one in problem["faults"]] == [("/scope_item_ids/1", strange)]
    for body in ({"scope_item_ids": []}, {"scope_item_ids": [item["id"]] * 2}, {"days": 3}):
        assert refused(api, project, body)[0] == 400
    assert own_days(api, item) == (None, None, 1)
    assert refused(foreign, project)[0] == 404
    assert own_days(foreign, theirs) == (None, None, 1)


def test_who_edits_the_scope_takes_the_dates_and_a_repeated_request_is_carried_out_once(api: Api) -> None:
    project = a_closure(api)
    item = an_item_of_work(api, project, days("1"))
    path = f"/projects/{project}/schedule/take-dates"
    for role in ("controller", "committee", "integrator"):
        assert api.as_role(role).post(path, json={}).status_code == 403
    once = {"Idempotency-Key": str(uuid4())}
    planner = api.as_role("superintendent")
    first = planner.post(path, json={}, headers=once)
    assert (first.status_code, first.json()["items_changed"]) == (200, 1)
    # What would be refused now is still the answer that was given.
    api.delete(f"/projects/{project}/calendar", headers={"If-Match": '"1"'})
    second = planner.post(path, json={}, headers=once)
    assert (second.status_code, second.json()) == (200, first.json())
    assert second.headers["idempotency-replayed"] == "true"
    assert planner.post(path, json={"scope_item_ids": [item["id"]]}, headers=once).status_code == 409


def a_loader() -> Document:
    terms = {
        "form": "rental", "delivery": "150.00", "pick_up": "150.00",
        "periods": [
            {"name": "day", "days": 1, "price": "400.00", "included_hours": "8", "over_hour_price": "50.00"},
            {"name": "week", "days": 7, "price": "1450.00", "included_hours": "40", "over_hour_price": "36.00"},
        ],
    }  # fmt: skip
    return an_item("LOADER", None, kind="rental", unit="hour", terms=terms)


def test_two_works_in_a_row_hire_one_machine_once_their_dates_are_taken(api: Api) -> None:
    project = a_closure(api)
    first = an_item_of_work(api, project, days("2"), resources=[stated("LOADER", "16", "hour")])
    an_item_of_work(
        api, project, days("3") | {"predecessors": [after(first)]}, resources=[stated("LOADER", "24", "hour")]
    )
    edition = an_edition(api, [a_loader()])
    delivered = [
        line["amount"]["amount"] for line in lines_of(api, priced(api, project, edition)["id"])
        if line["part"] == "delivery"
    ]  # fmt: skip
    assert delivered == ["150.00", "150.00"]
    taken(api, project)
    estimate = priced(api, project, edition)
    # One machine from Monday to Friday: a week at 1450, brought and taken away once.
    assert Decimal(estimate["direct"]["amount"]) == 1750
    assert estimate["warnings"] == []
    assert {(line["starts_on"], line["ends_on"]) for line in lines_of(api, estimate["id"])} == {
        ("2026-09-14", "2026-09-15"), ("2026-09-16", "2026-09-18"),
    }  # fmt: skip
    redo_by_hand(api, estimate)


def test_money_falls_into_the_months_of_the_days_taken(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("3"), resources=[stated("SAND", "10", "short_ton")])
    edition = an_edition(api, [an_item("SAND", "40.00")])

    def months() -> list[str]:
        table = api.get(f"/estimates/{priced(api, project, edition)['id']}/subtotals?by=month").json()
        return [row["keys"][0] for row in table["rows"]]

    assert months() == ["2026-09", "2026-10"]
    taken(api, project)
    assert months() == ["2026-09"]
