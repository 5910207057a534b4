"""Capital plans as they are put together: kept, changed, deleted, and refused where they could not be counted."""

from typing import Any

import pytest
from conftest import Api
from plan_factories import (
    NOBODY,
    PLANS,
    PROJECTS,
    Document,
    a_plan,
    a_plan_project,
    changed,
    faults,
    plan_body,
    put,
    usd,
)
from sqlalchemy import update
from swardcost_api.capital.tables import CapitalPlanRow


def issue(api: Api, plan: Document, status: str = "issued") -> None:
    """Put a plan into a later state, as its issue does."""
    with api.database.writing() as session:
        session.execute(
            update(CapitalPlanRow).where(CapitalPlanRow.name == plan["name"]).values(status=status)
        )


def test_a_plan_is_kept_as_stated_and_begins_as_a_draft(api: Api) -> None:
    body = plan_body(
        {
            "incomes": [
                {"name": "Dues", "kind": "dues", "units": "320.5", "amount": usd("410.00"), "percent_a_year": "2"}
            ],
            "loans": [
                {
                    "name": "Irrigation", "principal": usd("900000.00"), "annual_percent": "5.5", "years": 8,
                    "drawn_in": 2029,
                }
            ],
            "least_balance": usd("50000.00"),
        },
        criteria=[{"name": "Safety", "weight": "3"}],
        closure_days_a_year=21,
    )  # fmt: skip
    made = api.post(PLANS, json=body)
    assert made.status_code == 201, made.text
    plan = made.json()
    assert made.headers["Location"].endswith(f"/capital-plans/{plan['id']}")
    assert (plan["status"], plan["version"], plan["issued_at"], plan["follows"]) == ("draft", 1, None, None)
    assert plan["money"]["incomes"][0]["units"] == "320.5"
    assert plan["money"]["loans"][0]["method"] == "level_payment"
    read = api.get(f"{PLANS}/{plan['id']}")
    assert read.json() == plan
    assert read.headers["ETag"].startswith('"1-')


def test_the_list_tells_of_each_plan_in_a_line(api: Api) -> None:
    first, second = a_plan(api, name="First"), a_plan(api, name="Second", years=20)
    a_plan_project(api, second)
    a_plan_project(api, second)
    items = api.get(PLANS).json()["items"]
    assert [(one["name"], one["years"], one["projects"]) for one in items] == [
        ("First", 10, 0),
        ("Second", 20, 2),
    ]
    issue(api, first)
    assert [one["name"] for one in api.get(f"{PLANS}?status=issued").json()["items"]] == ["First"]
    page = api.get(f"{PLANS}?limit=1").json()
    rest = api.get(f"{PLANS}?limit=1&cursor={page['next']}").json()
    assert [one["name"] for one in (*page["items"], *rest["items"])] == ["First", "Second"]


def test_a_change_needs_the_version_that_was_read_and_is_audited(api: Api) -> None:
    plan = a_plan(api)
    after = changed(api, PLANS, plan, years=12, note="Two years more")
    assert (after["years"], after["version"]) == (12, 2)
    assert put(api, PLANS, plan, years=14).status_code == 412
    assert api.put(f"{PLANS}/{plan['id']}", json=plan_body()).status_code == 428
    trail = api.get("/audit?subject=capital_plan").json()["items"]
    assert [one["action"] for one in trail] == ["change", "create"]
    assert (trail[0]["before"]["years"], trail[0]["after"]["years"]) == (10, 12)


def test_a_name_stands_for_one_plan(api: Api) -> None:
    a_plan(api, name="Plan for the board")
    other = a_plan(api)
    twice = api.post(PLANS, json=plan_body(name="Plan for the board"))
    assert (twice.status_code, twice.json()["type"]) == (409, "/problems/duplicate")
    assert put(api, PLANS, other, name="Plan for the board").status_code == 409
    assert len(api.get(PLANS).json()["items"]) == 2


def test_a_draft_is_deleted_with_its_projects(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan)
    gone = api.delete(f"{PLANS}/{plan['id']}", headers={"If-Match": '"1"'})
    assert gone.status_code == 204, gone.text
    assert api.get(f"{PLANS}/{plan['id']}").status_code == 404
    assert api.get(f"{PROJECTS}/{project['id']}").status_code == 404


@pytest.mark.parametrize("status", ["issued", "locked"])
def test_only_a_draft_changes(api: Api, status: str) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan)
    issue(api, plan, status)
    at_one = {"If-Match": '"1"'}
    refused = [
        put(api, PLANS, plan, years=12),
        api.delete(f"{PLANS}/{plan['id']}", headers=at_one),
        api.post(f"{PLANS}/{plan['id']}/projects", json={"name": "Late", "cost": usd("1.00")}),
        api.post(f"{PLANS}/{plan['id']}/projects/from-assets"),
        put(api, PROJECTS, project, year=2028),
        api.delete(f"{PROJECTS}/{project['id']}", headers=at_one),
    ]
    assert [(one.status_code, one.json()["type"]) for one in refused] == [(409, "/problems/wrong-state")] * 6
    assert status in refused[0].json()["detail"]
    assert api.get(f"{PROJECTS}/{project['id']}").json() == project


INCOME: Document = {"name": "Yearly", "amount": usd("1000.00")}
LOAN: Document = {
    "name": "Loan", "principal": usd("1000.00"), "annual_percent": "5", "years": 3, "drawn_in": 2028,
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"price_year": 1976}, "/price_year"),
        ({"price_year": 2037}, "/price_year"),
        ({"first_year": 2290, "years": 11}, "/years"),
        ({"capital_threshold": usd("5000.00", "EUR")}, "/capital_threshold/currency"),
        ({"money": {"opening_reserve": usd("1.00", "EUR")}}, "/money/opening_reserve/currency"),
        ({"money": {"incomes": [INCOME | {"amount": usd("-1.00")}]}}, "/money/incomes/0/amount/amount"),
        ({"money": {"incomes": [INCOME | {"first_year": 1976}]}}, "/money/incomes/0/first_year"),
        (
            {"money": {"incomes": [INCOME | {"first_year": 2030, "last_year": 2029}]}},
            "/money/incomes/0/last_year",
        ),
        (
            {"money": {"assessments": [{"name": "Once", "year": 2037, "amount": usd("1.00")}]}},
            "/money/assessments/0/year",
        ),
        ({"money": {"loans": [LOAN | {"drawn_in": 2024}]}}, "/money/loans/0/drawn_in"),
        ({"money": {"loans": [LOAN | {"principal": usd("0.00")}]}}, "/money/loans/0/principal/amount"),
        ({"money": {"least_balance": usd("-5.00")}}, "/money/least_balance/amount"),
        ({"money": {"spending_limit": usd("5.00", "CAD")}}, "/money/spending_limit/currency"),
    ],
)
def test_what_could_not_be_counted_is_refused_at_its_place(api: Api, change: Document, pointer: str) -> None:
    body = plan_body() | change
    body["money"] = {"opening_reserve": usd("1.00")} | body["money"]
    answer = api.post(PLANS, json=body)
    assert faults(answer) == [pointer]
    assert answer.json()["type"] == "/problems/invalid-values"
    assert api.get(PLANS).json()["items"] == []


@pytest.mark.parametrize(
    "change",
    [
        {"years": 41},
        {"years": 0},
        {"growth_percent": "101"},
        {"criteria": [{"name": "Safety", "weight": "0"}]},
        {"growth_groups": [{"name": "Pipe", "percent": "1"}, {"name": "Pipe", "percent": "2"}]},
        {"money": {"opening_reserve": usd("1.00"), "incomes": [INCOME, INCOME]}},
    ],
)
def test_a_malformed_plan_is_refused(api: Api, change: Document) -> None:
    refused = api.post(PLANS, json=plan_body() | change)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")


@pytest.mark.parametrize(
    ("change", "pointer", "needed"),
    [
        ({"years": 4}, "/years", "a year from 2027 to 2029, so that all phases are in the plan"),
        ({"first_year": 2033, "price_year": None}, "/first_year", "a year from 2033 to 2041"),
        ({"years": 1}, "/years", "at most 1 phases"),
        ({"growth_groups": []}, "/growth_groups", "none, since the plan has no growth group"),
        ({"criteria": [{"name": "Play", "weight": "1"}]}, "/criteria", "a criterion of the plan: Play"),
    ],
)
def test_a_plan_is_not_changed_so_that_its_projects_no_longer_fit(
    api: Api, change: Document, pointer: str, needed: str
) -> None:
    plan = a_plan(api, criteria=[{"name": "Safety", "weight": "3"}])
    a_plan_project(
        api, plan, name="Pumps", year=2032, growth_group="Pipe and pumps",
        phases=[{"percent": "60"}, {"percent": "40"}], scores=[{"criterion": "Safety", "score": "8"}],
    )  # fmt: skip
    refused = put(api, PLANS, plan, **change)
    assert pointer in faults(refused)
    fault = next(one for one in refused.json()["faults"] if one["pointer"] == pointer)
    assert "project 1 (Pumps)" in fault["expected"]
    assert needed in fault["expected"]
    assert api.get(f"{PLANS}/{plan['id']}").json() == plan


def test_the_committee_reads_and_does_not_write(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan, year=2028)
    committee = api.as_role("committee")
    paths = [
        f"{PLANS}/{plan['id']}{rest}"
        for rest in ("", "/projects", "/figures", "/least-contribution", "/deferrals")
    ]
    assert [committee.get(path).status_code for path in (PLANS, *paths)] == [200] * 6
    assert committee.get(f"{PROJECTS}/{project['id']}").status_code == 200
    assert committee.post(PLANS, json=plan_body()).status_code == 403
    assert committee.post(f"{PLANS}/{plan['id']}/projects/from-assets").status_code == 403
    assert put(committee, PROJECTS, project, year=2029).status_code == 403


@pytest.mark.parametrize("role", ["superintendent", "controller"])
def test_planners_plan(api: Api, role: str) -> None:
    planner = api.as_role(role)
    plan = a_plan(planner)
    assert changed(planner, PROJECTS, a_plan_project(planner, plan), year=2030)["year"] == 2030


def test_another_club_sees_nothing_of_it(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan, year=2028)
    stranger = api.of_new_club("other-side")
    paths: list[Any] = [
        f"{PLANS}/{plan['id']}{rest}"
        for rest in ("", "/projects", "/figures", "/least-contribution", "/deferrals")
    ]
    assert [stranger.get(path).status_code for path in (*paths, f"{PROJECTS}/{project['id']}")] == [404] * 6
    assert stranger.post(f"{PLANS}/{plan['id']}/projects/from-assets").status_code == 404
    assert api.get(f"{PLANS}/{NOBODY}/figures").status_code == 404
