"""The plan that goes on from a locked one, and what moved between them."""

import csv
import io
from collections.abc import Mapping
from decimal import Decimal

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import Document, issued
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plan_factories import (
    LOAN,
    MONEY,
    PLANS,
    PROJECTS,
    a_plan,
    a_plan_project,
    a_whole_plan,
    changed,
    faults,
    figures_of,
    got,
    usd,
)
from progress_factories import acted, an_estimate_of_sand, it_is, locked, opened, refusal, spend

APPROVED, DECLINED = {"decided": "approved"}, {"decided": "declined"}


def continued(api: Api, plan: Document, **more: object) -> Document:
    body = {"name": f"After {plan['name']}", "opening_reserve": usd("500000.00")} | more
    return acted(api, f"{PLANS}/{plan['id']}/continue", **body)


def moves_of(api: Api, plan: Document) -> Document:
    return got(api, f"{PLANS}/{plan['id']}/moves")


def amount(document: Document) -> Decimal:
    return Decimal(document["amount"])


def check_identities(moves: Document) -> None:
    """Parts sum to the whole: project by project, over all projects, and in each year."""
    for one in moves["projects"]:
        difference = amount(one["spent"]) - amount(one["spent_before"])
        if one["kind"] in ("kept", "moved", "repriced", "moved_and_repriced"):
            assert difference == amount(one["by_timing"]) + amount(one["by_cost"]), one
    parts = ("by_timing", "by_cost", "by_new", "by_finished", "by_left_out")
    assert amount(moves["spent"]) - amount(moves["spent_before"]) == sum(amount(moves[one]) for one in parts)
    for name in ("spent", "spent_before"):
        assert amount(moves[name]) == sum(amount(one[name]) for one in moves["projects"])
    for year in moves["years"]:
        parts = ("by_opening", "by_incomes", "by_interest", "by_spending")
        assert amount(year["difference"]) == sum(amount(year[one]) for one in parts)
        assert amount(year["difference"]) == amount(year["closing"]) - amount(year["closing_before"])
    last = moves["years"][-1]
    assert amount(last["by_spending"]) == amount(moves["spent_before"]) - amount(moves["spent"])


def by_name(found: list[Document]) -> Mapping[str, Document]:
    return {one["name"]: one for one in found}


def test_a_plan_without_change_goes_on_to_the_cent(api: Api) -> None:
    """With what the plan before leaves at the end of its first year as opening, every later year closes as it did."""
    plan, _ = a_whole_plan(api)
    locked(api, plan)
    before = {one["year"]: one for one in figures_of(api, plan)["years"]}
    answer = continued(api, plan, opening_reserve=before[2027]["closing"], years=9)
    assert answer["plan"]["follows"] == plan["id"]
    assert (answer["plan"]["first_year"], answer["plan"]["price_year"]) == (2028, 2025)
    assert [one["how"] for one in answer["carried"]] == ["as_dated", "as_dated", "as_dated", "undated"]
    assert [one["number"] for one in answer["carried"]] == [1, 2, 3, 4]
    after = figures_of(api, answer["plan"])["years"]
    assert len(after) == 9
    for year in after:
        then = before[year["year"]]
        for name in (
            "closing",
            "contributions",
            "dues",
            "loan_payments",
            "spending",
            "interest",
            "fully_funded",
        ):
            assert year[name] == then[name], (year["year"], name)
    moves = moves_of(api, answer["plan"])
    check_identities(moves)
    assert {one["kind"] for one in moves["projects"]} == {"kept"}
    assert all(amount(one["difference"]) == 0 for one in moves["years"])
    assert all(not one["causes"] for one in moves["projects"])


def test_what_was_decided_and_what_passed_is_carried_on_and_told(api: Api) -> None:
    plan = a_plan(api, growth_percent="0")
    names = ("Kept", "Later", "Some day", "Never", "Not begun")
    years = (2030, 2029, 2031, 2032, 2027)
    for name, year in zip(names, years, strict=True):
        a_plan_project(api, plan, "10000.00", name=name, year=year)
    decided: dict[str, Document] = {
        "project_2": {"decided": "deferred", "deferred_to": 2033, "conditions": "After the pumps"},
        "project_3": {"decided": "deferred"}, "project_4": DECLINED,
    }  # fmt: skip
    locked(api, plan, **decided)
    answer = continued(api, plan)
    carried = by_name(answer["carried"])
    assert {name: one["how"] for name, one in carried.items()} == {
        "Kept": "as_dated", "Later": "deferred", "Some day": "deferred", "Never": "declined", "Not begun": "not_begun",
    }  # fmt: skip
    assert {name: one["project"] and one["project"]["year"] for name, one in carried.items()} == {
        "Kept": 2030, "Later": 2033, "Some day": None, "Never": None, "Not begun": 2028,
    }  # fmt: skip
    assert carried["Never"]["project"] is None
    moves = moves_of(api, answer["plan"])
    check_identities(moves)
    told = by_name(moves["projects"])
    assert [cause["kind"] for cause in told["Later"]["causes"]] == ["decision"]
    assert told["Later"]["causes"][0]["words"].startswith("Deferred to 2033 by Owner on ")
    assert told["Later"]["causes"][0]["words"].endswith(": After the pumps")
    assert told["Not begun"]["causes"][0]["words"] == (
        "It was dated in 2027, which has passed; it is not begun."
    )
    assert (told["Never"]["kind"], told["Never"]["number"], told["Never"]["number_before"]) == (
        "declined",
        None,
        4,
    )
    # 10,000 fall out of the years of both plans for "Some day" and "Never", and 10,000 come in for "Not begun".
    assert (moves["by_timing"], moves["by_left_out"], moves["by_cost"]) == (
        usd("0.00"),
        usd("-10000.00"),
        usd("0.00"),
    )


def test_a_planner_says_why_and_what_nobody_explains_is_told(api: Api) -> None:
    plan = a_plan(api, growth_percent="0")
    a_plan_project(api, plan, "10000.00", name="Told", year=2030)
    a_plan_project(api, plan, "10000.00", name="Untold", year=2030)
    locked(api, plan)
    after = continued(api, plan)["plan"]
    projects = by_name(got(api, f"{PLANS}/{after['id']}/projects")["items"])
    why = "The pump was judged to last two seasons more"
    changed(api, PROJECTS, projects["Told"], year=2032, moved_because=why)
    changed(api, PROJECTS, projects["Untold"], year=2031, cost=usd("12500.00"))
    new = a_plan_project(api, after, "700.00", name="New", year=2029)
    assert new["number"] == 3
    moves = moves_of(api, after)
    check_identities(moves)
    told = by_name(moves["projects"])
    assert told["Told"]["causes"] == [{"kind": "stated", "words": why}]
    assert [one["kind"] for one in told["Untold"]["causes"]] == ["not_said", "cost_stated"]
    assert told["Untold"]["kind"] == "moved_and_repriced"
    assert (told["New"]["kind"], moves["by_new"], moves["by_cost"]) == (
        "new",
        usd("700.00"),
        usd("2500.00"),
    )
    assert moves["conclusions"][-1] == "Nobody has said why these moved: 2 (Untold)."
    gone = got(api, f"{PROJECTS}/{projects['Told']['id']}")
    path = f"{PROJECTS}/{gone['id']}"
    assert api.delete(path, headers={"If-Match": f'"{gone["version"]}"'}).status_code == 204
    left = by_name(moves_of(api, after)["projects"])["Told"]
    assert (left["kind"], left["causes"][0]["words"]) == (
        "taken_out",
        "Taken out of the plan; nobody has said why.",
    )


def test_an_asset_that_is_due_at_another_time_or_costs_more_is_a_cause(api: Api) -> None:
    asset = an_asset(
        api, "PUMP-1", in_use_since=2010, life={"low": "15", "likely": "20", "high": "25"}
    )  # due in 2030
    plan = a_plan(api, growth_percent="0")
    a_plan_project(api, plan, None, name="Pumps", asset_ids=[asset["id"]], year=2030)
    locked(api, plan)
    after = continued(api, plan)["plan"]
    body = {name: value for name, value in asset.items() if name not in ("id", "version")}
    body |= {
        "condition": {"grade": 4, "on": "2026-05-01", "years_left": "6"},
        "replacement": {"by": "stated", "cost": usd("195000.00")},
    }
    assert api.put(f"/assets/{asset['id']}", json=body, headers={"If-Match": '"1"'}).status_code == 200
    (project,) = got(api, f"{PLANS}/{after['id']}/projects")["items"]
    changed(api, PROJECTS, project, year=2032)
    moves = moves_of(api, after)
    check_identities(moves)
    assert [(one["kind"], one["words"]) for one in moves["projects"][0]["causes"]] == [
        ("asset_due", "PUMP-1 (Asset PUMP-1) is due in 2032, not in 2030."),
        ("asset_cost", "PUMP-1 (Asset PUMP-1) costs 195,000.00 USD, in place of 180,000.00 USD."),
    ]


def test_a_project_whose_assets_are_gone_keeps_their_cost_and_none_where_none_was_known(api: Api) -> None:
    plan = a_plan(api, growth_percent="0")
    known, unknown = an_asset(api, "KNOWN"), an_asset(api, "UNKNOWN", replacement=None)
    a_plan_project(api, plan, None, name="Known", asset_ids=[known["id"]], year=2030)
    a_plan_project(api, plan, None, name="Unknown", asset_ids=[unknown["id"]], year=2030)
    locked(api, plan)
    for one in (known, unknown):
        assert api.delete(f"/assets/{one['id']}", headers={"If-Match": '"1"'}).status_code == 204
    answer = continued(api, plan)
    carried = by_name(answer["carried"])
    assert carried["Known"]["project"]["cost"] == usd("180000.00")
    assert carried["Known"]["words"].endswith("Its assets are no longer there; their cost of then stands.")
    assert carried["Unknown"]["project"]["cost"] is None
    assert carried["Unknown"]["words"].endswith(
        "Its assets are no longer there, and nobody knows what it costs."
    )
    found = figures_of(api, answer["plan"])
    assert [(one["kind"], one["about"]) for one in found["missing"]] == [("asset_gone", unknown["id"])]
    told = by_name(moves_of(api, answer["plan"])["projects"])["Unknown"]
    assert (told["kind"], told["cost_before"], told["cost"]) == ("kept", None, None)


def test_what_is_under_way_goes_on_with_what_is_to_come_and_what_is_finished_does_not(api: Api) -> None:
    """60,000 in parts of 25, 25 and 50 percent; 12,000 of it spent. 48,000 are to come, 16,000 and 32,000 at prices
    that grow by 5 percent from 2026: 15,238.10 and 30,476.19 of the price year."""
    it_is(api, "2026-11-02")
    plan = a_plan(api, first_year=2026, growth_percent="5")
    first, second = an_estimate_of_sand(api), an_estimate_of_sand(api, "1500")
    done = a_plan_project(api, plan, None, name="Done", estimate_id=first["id"], year=2026)
    going = a_plan_project(
        api, plan, None, name="Going", estimate_id=second["id"], year=2026,
        phases=[{"percent": "25"}, {"percent": "25"}, {"percent": "50", "closure_days": 9}],
        prerequisites=[{"project_id": done["id"], "years_before": 0}],
    )  # fmt: skip
    for one in (first, second):
        issued(api, one["id"])
    locked(api, plan)
    budgets = [opened(api, one)["budget_id"] for one in (done, going)]
    spend(api, budgets[1], "2026-03-03 12000.00")
    acted(api, f"{PROJECTS}/{done['id']}/complete", year=2026)
    answer = continued(api, plan)
    carried = by_name(answer["carried"])
    assert (carried["Done"]["how"], carried["Done"]["project"]) == ("finished", None)
    project = carried["Going"]["project"]
    assert project["opened_project_id"] == second["project_id"]
    assert "12,000.00 USD spent by the end of 2026-11, 48,000.00 USD to come." in carried["Going"]["words"]
    assert carried["Going"]["words"].endswith("It no longer waits for 1 (Done), which is finished.")
    assert (project["year"], project["estimate_id"], project["prerequisites"]) == (2027, None, [])
    assert [(one["percent"], one["closure_days"]) for one in project["phases"]] == [
        ("33.3333", 0), ("66.6667", 9),
    ]  # fmt: skip
    assert amount(project["cost"]) == Decimal("45714.29")  # 48,000 / 1.05
    (figures,) = figures_of(api, answer["plan"])["projects"]
    assert abs(amount(figures["phases"][0]["cost"]) - 16000) < Decimal("0.05")
    moves = moves_of(api, answer["plan"])
    check_identities(moves)
    told = by_name(moves["projects"])
    assert (told["Done"]["kind"], told["Done"]["causes"][0]["words"]) == ("finished", "Finished in 2026.")
    kinds = [one["kind"] for one in told["Going"]["causes"]]
    assert kinds == ["year_passed", "work_done", "phases"]
    # The next plan is locked in its turn, and finishes what was opened in the one before.
    locked(api, answer["plan"])
    it_is(api, "2027-08-01")
    assert acted(api, f"{PROJECTS}/{project['id']}/complete", year=2027)["completion"]["cost"] == usd(
        "12000.00"
    )


def test_incomes_assessments_and_loans_that_ended_are_left_out_by_name(api: Api) -> None:
    money = {
        "incomes": [
            {"name": "Short", "amount": usd("10.00"), "last_year": 2027},
            {"name": "Long", "amount": usd("20.00"), "last_year": 2036},
        ],
        "assessments": [{"name": "Past", "year": 2027, "amount": usd("5.00")}],
        "loans": [
            LOAN | {"name": "Paid", "drawn_in": 2027, "years": 1},
            LOAN | {"name": "Owed", "drawn_in": 2027, "years": 2},
        ],
        "spending_limit": usd("1000.00"), "spending_limit_percent_a_year": "10",
    }  # fmt: skip
    plan = a_plan(api, money)
    a_plan_project(api, plan, year=2030)
    locked(api, plan)
    answer = continued(api, plan, years=8)
    assert [one.split(":")[0] for one in answer["left_out"]] == ["Short", "Past", "Paid"]
    kept = answer["plan"]["money"]
    assert [(one["name"], one["first_year"], one["last_year"]) for one in kept["incomes"]] == [
        ("Long", 2027, None)
    ]
    assert (kept["spending_limit"], [one["name"] for one in kept["loans"]]) == (usd("1100.00"), ["Owed"])


@pytest.mark.parametrize(
    ("more", "where"),
    [
        ({"first_year": 2027}, ["/first_year"]),
        ({"first_year": 2037}, ["/first_year"]),
        ({"years": 1}, ["/years"]),
        ({"opening_reserve": {"amount": "1.00", "currency": "EUR"}}, ["/opening_reserve/currency"]),
    ],
)
def test_a_following_plan_that_cannot_be_is_refused_and_nothing_is_begun(
    api: Api, more: Document, where: list[str]
) -> None:
    plan, _ = a_whole_plan(api)
    locked(api, plan)
    body = {"name": "Next", "opening_reserve": usd("1.00")} | more
    assert faults(api.post(f"{PLANS}/{plan['id']}/continue", json=body)) == where
    assert len(api.get(PLANS).json()["items"]) == 1


def test_only_a_locked_plan_is_continued_and_only_a_following_one_has_moves(api: Api) -> None:
    plan = a_plan(api)
    project = a_plan_project(api, plan, year=2030)
    body = {"name": "Next", "opening_reserve": usd("1.00")}
    place = f"{PLANS}/{plan['id']}"
    assert refusal(api, f"{place}/continue", **body) == (409, "wrong-state")
    assert api.get(f"{place}/moves").status_code == 409
    locked(api, plan)
    assert refusal(api, f"{place}/continue", **body | {"name": plan["name"]}) == (409, "duplicate")
    assert refusal(api.of_new_club("heath"), f"{place}/continue", **body) == (404, "not-found")
    after = acted(api, f"{place}/continue", **body)["plan"]
    assert [one["carried_from"] for one in got(api, f"{PLANS}/{after['id']}/projects")["items"]] == [
        project["id"]
    ]


def test_faces_tell_the_same_moves(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    locked(api, plan, project_2={"decided": "deferred", "deferred_to": 2033})
    after = continued(api, plan)["plan"]
    moves = moves_of(api, after)
    check_identities(moves)
    place = f"{PLANS}/{after['id']}/moves"
    rows = list(csv.DictReader(io.StringIO(api.get(place, headers={"Accept": "text/csv"}).text)))
    assert [row["by_timing"] for row in rows] == [one["by_timing"]["amount"] for one in moves["projects"]]
    assert rows[1]["why"] == moves["projects"][1]["causes"][0]["words"]
    svg = api.get(place, headers={"Accept": "image/svg+xml"}).text
    assert after["name"] in svg


YEARS = st.none() | st.integers(2028, 2036)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    decisions=st.lists(
        st.sampled_from([APPROVED, DECLINED, {"decided": "deferred"}]), min_size=4, max_size=4
    ),
    years=st.lists(YEARS, min_size=3, max_size=3),
    opening=st.integers(-(10**6), 10**6),
)
def test_differences_are_explained_whatever_is_decided(
    api: Api, decisions: list[Document], years: list[int | None], opening: int
) -> None:
    plan, _ = a_whole_plan(api)
    locked(api, plan, **{f"project_{place}": one for place, one in enumerate(decisions, start=1)})
    after = continued(api, plan, opening_reserve=usd(f"{opening}.00"))["plan"]
    projects = got(api, f"{PLANS}/{after['id']}/projects")["items"]
    for project, year in zip(projects, years, strict=False):
        if year is not None and year + len(project["phases"]) <= 2037:
            changed(api, PROJECTS, project, year=year)
    check_identities(moves_of(api, after))
    assert after["money"]["loans"] == [MONEY["loans"][0] | {"payments_a_year": 12, "method": "level_payment"}]
