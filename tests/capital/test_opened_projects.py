"""An approved project of a locked plan opens its estimate and budget; a finished one gives its assets a new life."""

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import Document, a_course, a_project, accepted, an_area, issued
from plan_factories import PLANS, PROJECTS, a_plan, a_plan_project, faults, got, usd
from progress_factories import acted, an_estimate_of_sand, it_is, locked, opened, refusal, spend
from swardcost_api.units import to_si
from swardcost_model.values import Quantity


def a_locked_project(api: Api, **project: object) -> Document:
    """A project of a locked plan from 2025 on, approved, in the spring of 2026."""
    it_is(api, "2026-05-02")
    plan = a_plan(api, first_year=2025)
    found = a_plan_project(api, plan, **({"year": 2026} | project))  # type: ignore[arg-type]
    locked(api, plan)
    return found


def test_a_project_without_an_estimate_opens_a_new_one_with_its_assets_as_scope(api: Api) -> None:
    green = an_area(api, a_course(api))
    measured = an_asset(api, "GREEN-7", kind="green", area_ids=[green])
    whole = an_asset(api, "PUMP-1")
    project = a_locked_project(
        api, cost=None, asset_ids=[measured["id"], whole["id"]], phases=[{"percent": "60"}, {"percent": "40"}]
    )
    answer = opened(api, project)
    assert (answer["scope_items"], answer["budget_id"], answer["estimate_id"]) == (1, None, None)
    assert "quantity only" in answer["to_do"][0]
    # An asset without a size is no item of "1 each": it is named.
    assert answer["to_do"][1] == (
        "Add to its scope what is to be done of these assets, whose size is not known: PUMP-1 (Asset PUMP-1)."
    )
    club_project = answer["project"]
    assert (club_project["name"], club_project["starts_on"], club_project["ends_on"]) == (
        project["name"], "2026-01-01", "2027-12-31",
    )  # fmt: skip
    assert "Approved by Owner" in club_project["note"]
    scope = got(api, f"/projects/{club_project['id']}/scope-items")["items"]
    assert [(one["name"], one["area_ids"]) for one in scope] == [("Replace Asset GREEN-7 (GREEN-7)", [green])]
    size = Quantity.model_validate(scope[0]["parameters"]["quantity"])
    assert to_si(size, "area") == pytest.approx(6000 * 0.3048**2)
    assert got(api, f"{PROJECTS}/{project['id']}")["opened_project_id"] == club_project["id"]
    assert refusal(api, f"{PROJECTS}/{project['id']}/open") == (409, "wrong-state")
    # What a plan was opened as is not deleted.
    response = api.delete(f"/projects/{club_project['id']}", headers={"If-Match": '"1"'})
    assert response.json()["type"].endswith("in-use")


def test_an_issued_estimate_is_accepted_on_the_strength_of_the_plan(api: Api) -> None:
    estimate = an_estimate_of_sand(api)
    issued(api, estimate["id"])
    project = a_locked_project(api, cost=None, estimate_id=estimate["id"])
    answer = opened(api, project)
    assert (answer["project"]["id"], answer["estimate_status"]) == (estimate["project_id"], "accepted")
    assert got(api, f"/budgets/{answer['budget_id']}")["total"] == usd("40000.00")
    note = got(api, f"/estimates/{estimate['id']}")["decision_note"]
    assert f"project {project['number']} ({project['name']})" in note
    assert (answer["to_do"], answer["scope_items"]) == ([], 0)


def test_an_accepted_estimate_keeps_its_budget_and_a_draft_is_told(api: Api) -> None:
    estimate = an_estimate_of_sand(api)
    budget = accepted(api, estimate["id"])["budget_id"]
    assert opened(api, a_locked_project(api, cost=None, estimate_id=estimate["id"]))["budget_id"] == budget
    draft = an_estimate_of_sand(api)
    answer = opened(api, a_locked_project(api, cost=None, estimate_id=draft["id"]))
    assert (answer["budget_id"], answer["estimate_status"]) == (None, "draft")
    assert "is a draft; issue it" in answer["to_do"][0]


def test_a_project_of_the_club_is_named_once_in_a_plan(api: Api) -> None:
    plan = a_plan(api)
    one, other = a_plan_project(api, plan, year=2028), a_plan_project(api, plan, year=2029)
    locked(api, plan)
    mine = a_project(api)
    assert opened(api, one, project_id=mine)["project"]["id"] == mine
    assert refusal(api, f"{PROJECTS}/{other['id']}/open", project_id=mine) == (409, "duplicate")
    acted(api, f"{PROJECTS}/{one['id']}/withdraw-opening")
    assert got(api, f"{PROJECTS}/{one['id']}")["opened_project_id"] is None
    assert refusal(api, f"{PROJECTS}/{one['id']}/withdraw-opening") == (409, "wrong-state")
    assert opened(api, other, project_id=mine)["plan_project"]["opened_project_id"] == mine
    assert got(api, f"/projects/{mine}")["id"] == mine


def test_only_what_is_approved_in_a_locked_plan_is_opened(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan, year=2028)
    place = f"{PROJECTS}/{project['id']}/open"
    assert refusal(api, place) == (409, "wrong-state")
    locked(api, plan, project_1={"decided": "declined"})
    assert refusal(api, place) == (409, "wrong-state")
    assert refusal(api.as_role("committee"), place)[0] == 403
    assert refusal(api.of_new_club("heath"), place) == (404, "not-found")
    assert api.get("/projects").json()["items"] == []


@pytest.mark.parametrize(
    ("how", "where"),
    [
        ({"project_id": "00000000-0000-7000-8000-000000000000"}, ["/project_id"]),
        ({"starts_on": "2027-06-01"}, ["/ends_on"]),
        ({"starts_on": "2026-06-01", "ends_on": "2026-05-01"}, [""]),
        ({"name": ""}, ["/name"]),
    ],
)
def test_an_opening_that_cannot_be_is_told_at_its_place(
    api: Api, how: dict[str, str], where: list[str]
) -> None:
    project = a_locked_project(api)
    answer = api.post(f"{PROJECTS}/{project['id']}/open", json=how)
    assert answer.status_code in (400, 422), answer.text
    assert [one["pointer"] for one in answer.json()["faults"]] == where
    assert api.get("/projects").json()["items"] == []


def test_what_is_not_dated_needs_days_and_a_taken_name_changes_nothing(api: Api) -> None:
    project = a_locked_project(api, year=None)
    place = f"{PROJECTS}/{project['id']}/open"
    assert faults(api.post(place, json={})) == ["/starts_on", "/ends_on"]
    days = {"starts_on": "2026-09-01", "ends_on": "2026-10-31"}
    api.created("/projects", {"name": project["name"]} | days)
    assert refusal(api, place, **days) == (409, "duplicate")
    assert got(api, f"{PROJECTS}/{project['id']}")["version"] == 2
    assert opened(api, project, **days, name="Other")["project"]["ends_on"] == "2026-10-31"


def test_a_finished_project_gives_its_assets_a_new_life_and_keeps_its_cost(api: Api) -> None:
    asset = an_asset(api, "PUMP-1", condition={"grade": 2, "on": "2024-05-01", "years_left": "1"})
    newer = an_asset(api, "PUMP-2", in_use_since=2026)
    estimate = an_estimate_of_sand(api)
    issued(api, estimate["id"])
    project = a_locked_project(
        api, cost=None, estimate_id=estimate["id"], asset_ids=[asset["id"], newer["id"]]
    )
    place = f"{PROJECTS}/{project['id']}/complete"
    assert refusal(api, place, year=2026) == (409, "wrong-state")
    budget = opened(api, project)["budget_id"]
    spend(api, budget, "2026-02-03 39000.00", "2026-03-03 -250.50")
    it_is(api, "2026-06-01")
    assert faults(api.post(place, json={"year": 2027})) == ["/year"]
    assert faults(api.post(place, json={"year": 2024})) == ["/year"]
    done = acted(api, place, year=2026, note="Punch list closed")
    assert done["completion"]["cost"] == usd("38749.50")
    assert done["completion"]["renewed_assets"] == [asset["id"]]
    after = got(api, f"/assets/{asset['id']}")
    assert (after["in_use_since"], after["condition"]) == (2026, None)
    assert got(api, f"/assets/{newer['id']}")["version"] == newer["version"]
    assert refusal(api, place, year=2026) == (409, "wrong-state")
    assert refusal(api, f"{PROJECTS}/{project['id']}/withdraw-opening") == (409, "wrong-state")
    actions = [one["action"] for one in api.get(f"/audit?subject_id={project['id']}").json()["items"]]
    assert actions[:2] == ["complete", "open"]


def test_assets_are_left_alone_where_that_is_asked(api: Api) -> None:
    asset = an_asset(api, "PUMP-1")
    project = a_locked_project(api, cost=None, asset_ids=[asset["id"]])
    opened(api, project)
    done = acted(api, f"{PROJECTS}/{project['id']}/complete", year=2026, renew_assets=False)
    assert (done["completion"]["cost"], done["completion"]["renewed_assets"]) == (None, [])
    assert got(api, f"/assets/{asset['id']}") == asset


def test_a_plan_may_begin_with_a_loan_and_an_income_of_before(api: Api) -> None:
    """By hand: 2,000 a year from 2024 with 10 percent is 2,662 in 2027; 900 over three years, 300 in the last."""
    loan = {
        "name": "Old loan", "principal": usd("900.00"), "annual_percent": "0", "years": 3, "payments_a_year": 1,
        "drawn_in": 2025,
    }  # fmt: skip
    income = {
        "name": "Dues",
        "kind": "dues",
        "amount": usd("2000.00"),
        "percent_a_year": "10",
        "first_year": 2024,
    }
    plan = a_plan(api, {"opening_reserve": usd("0.00"), "loans": [loan], "incomes": [income]}, years=2)
    first, second = got(api, f"{PLANS}/{plan['id']}/figures")["years"]
    assert (first["loans_drawn"], first["loan_payments"], first["owed_on_loans"]) == (
        usd("0.00"), usd("300.00"), usd("0.00"),
    )  # fmt: skip
    assert (first["dues"], second["dues"]) == (usd("2662.00"), usd("2928.20"))
    assert second["loan_payments"] == usd("0.00")
    late = {**loan, "drawn_in": 2024}
    answer = api.post(
        PLANS,
        json={
            "name": "Paid off",
            "first_year": 2027,
            "years": 2,
            "money": {"opening_reserve": usd("0.00"), "loans": [late]},
        },
    )
    assert faults(answer) == ["/money/loans/0/drawn_in"]
