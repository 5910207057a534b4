"""What scenarios are refused for, with its place, and what they leave alone."""

from typing import Any

import pytest
from conftest import Api
from plan_factories import LOAN, NOBODY, PLANS, a_plan, a_plan_project, a_whole_plan, faults, got, usd
from scenario_factories import asked


def test_every_fault_of_every_scenario_is_told_at_its_place(api: Api) -> None:
    plan, (irrigation, *_) = a_whole_plan(api)
    foreign = a_plan_project(api, a_plan(api))
    answer = asked(
        api, plan,
        {
            "projects": {
                "left_out": [irrigation["id"], foreign["id"]], "moved": [{"project_id": NOBODY, "year": 2029}],
                "capital_threshold": usd("-1.00"),
            }
        },
        {
            "money": {
                "contribution": {"kind": "stated", "amount": usd("10.00", "EUR")},
                "assessments": [{"name": "Late", "year": 2037, "amount": usd("1.00")}],
                "loans": [LOAN | {"drawn_in": 2026}, LOAN | {"principal": usd("0.00")}],
                "growth_points": "-40", "interest_points": "50", "least_balance": usd("-1.00"),
                "spending_limit": usd("1.00", "CAD"),
            },
            "projects": {"moved": [{"project_id": irrigation["id"], "year": 2037}]},
        },
        {"money": {"contribution": {"kind": "by_amount", "amount": usd("-5.00", "EUR")}}},
    )  # fmt: skip
    assert faults(answer) == [
        "/scenarios/0/projects/capital_threshold/amount", "/scenarios/0/projects/left_out/1",
        "/scenarios/0/projects/moved/0/project_id", "/scenarios/1/money/contribution/amount/currency",
        "/scenarios/1/money/assessments/0/year", "/scenarios/1/money/loans/0/drawn_in",
        "/scenarios/1/money/loans/1/principal/amount", "/scenarios/1/money/least_balance/amount",
        "/scenarios/1/money/spending_limit/currency", "/scenarios/1/projects/moved/0/year",
        "/scenarios/2/money/contribution/amount/currency",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("plan", "points"),
    [
        ({"growth_percent": "-20"}, {"growth_points": "-30.01"}),
        ({"growth_percent": "60"}, {"growth_points": "40.5"}),
    ],
)
def test_percentages_stay_within_what_can_be_counted(
    api: Api, plan: dict[str, Any], points: dict[str, Any]
) -> None:
    answer = asked(api, a_plan(api, **plan), {"money": points})
    assert faults(answer) == ["/scenarios/0/money/growth_points"]
    (fault,) = answer.json()["faults"]
    assert "so that every percentage is from -50 to 100" in fault["expected"]


def test_a_whole_project_must_fit_where_a_best_timing_may_not_move_it(api: Api) -> None:
    plan, (irrigation, *_) = a_whole_plan(api)
    moved = {"moved": [{"project_id": irrigation["id"], "year": 2036}]}
    assert asked(api, plan, {"projects": moved}).status_code == 200
    assert faults(asked(api, plan, {"projects": moved, "start": "best_timing"})) == [
        "/scenarios/0/projects/moved/0/year"
    ]


@pytest.mark.parametrize(
    ("scenarios", "pointer"),
    [
        ([], "/scenarios"),
        ([{"name": f"{number}"} for number in range(9)], "/scenarios"),
        ([{"name": "A"}, {"name": "A"}], ""),
        ([{"name": f"{number}", "start": "best_timing"} for number in range(3)], ""),
        ([{"name": "A", "projects": {"left_out": [NOBODY, NOBODY]}}], "/scenarios/0/projects"),
        ([{"name": "A", "start": "best_timing", "projects": {"deferred_by": 1}}], "/scenarios/0"),
        ([{"name": "A", "projects": {"deferred_by": 11}}], "/scenarios/0/projects/deferred_by"),
        (
            [{"name": "A", "money": {"without_spending_limit": True, "spending_limit": usd("1.00")}}],
            "/scenarios/0/money",
        ),
        ([{"name": "A", "money": {"contribution": {"kind": "lavish"}}}], "/scenarios/0/money/contribution"),
    ],
)
def test_questions_that_make_no_sense_are_refused(
    api: Api, scenarios: list[dict[str, Any]], pointer: str
) -> None:
    assert faults(asked(api, a_plan(api), *scenarios), 400) == [pointer]


def test_a_plan_of_nobody_is_refused_where_it_is_named(api: Api) -> None:
    theirs, plan = a_plan(api.of_new_club("other-side")), a_plan(api)
    for plan_id in (NOBODY, theirs["id"]):
        assert faults(asked(api, plan, {}, {"plan_id": plan_id})) == ["/scenarios/1/plan_id"]
    assert asked(api, theirs, {}).status_code == 404
    assert api.get(f"{PLANS}/{theirs['id']}/deferred").status_code == 404


def test_whoever_reads_the_plan_may_ask(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    for role in ("committee", "integrator", "superintendent", "controller", "owner"):
        assert asked(api.as_role(role), plan, {"projects": {"deferred_by": 1}}).status_code == 200, role


def test_amounts_that_cannot_be_meant_are_told(api: Api) -> None:
    plan = a_plan(api, years=40, growth_percent="100")
    for _ in range(2):
        a_plan_project(api, plan, "900000000.00", year=2027)
    assert asked(api, plan, {}).status_code == 200
    answer = asked(api, plan, {}, {"projects": {"deferred_by": 10}})
    assert answer.status_code == 409, answer.text
    assert answer.json()["type"] == "/problems/wrong-state"


def test_nothing_is_changed_and_nothing_is_left_behind(api: Api) -> None:
    plan, (irrigation, *_) = a_whole_plan(api)
    before = [
        got(api, path)
        for path in (f"{PLANS}/{plan['id']}", f"{PLANS}/{plan['id']}/projects", PLANS, "/audit")
    ]
    assert (
        asked(api, plan, {"projects": {"left_out": [irrigation["id"]]}}, {"start": "as_decided"}).status_code
        == 200
    )
    after = [
        got(api, path)
        for path in (f"{PLANS}/{plan['id']}", f"{PLANS}/{plan['id']}/projects", PLANS, "/audit")
    ]
    assert after == before
