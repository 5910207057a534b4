"""Scenarios that start as decided, or in the best timing."""

from decimal import Decimal

import pytest
from conftest import Api
from estimate_factories import money
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_factories import (
    PLANS,
    PROJECTS,
    Document,
    a_plan,
    a_plan_project,
    changed,
    figures_of,
    got,
    usd,
    years_of,
)
from scenario_factories import decided, issued, scenario_of, side_by_side
from test_timings import a_tight_plan, best_of, scored, starts_of

PHASES: list[Document] = [{"percent": "75"}, {"percent": "25"}]


def a_decided_plan(api: Api) -> tuple[Document, list[Document]]:
    plan = a_plan(api, {"interest_percent": "3"}, criteria=[])
    projects = [
        a_plan_project(api, plan, "120000.00", name=name, year=year, upkeep_a_year=usd("2500.00"))
        for name, year in (
            ("Paths", 2028),
            ("Bunkers", 2030),
            ("Bridge", 2031),
            ("Sheds", 2033),
            ("Ponds", 2034),
        )
    ]
    issued(api, plan)
    paths, bunkers, bridge, sheds, _ = projects
    decided(api, paths, "approved", conditions="Within the limit")
    decided(api, bunkers, "deferred", deferred_to=2033)
    decided(api, bridge, "deferred", conditions="Until the survey.")
    decided(api, sheds, "declined")
    return plan, projects


def the_same_by_hand(api: Api) -> Document:
    """A draft with the years that were decided."""
    plan = a_plan(api, {"interest_percent": "3"}, criteria=[])
    for name, year in (
        ("Paths", 2028),
        ("Bunkers", 2033),
        ("Bridge", None),
        ("Sheds", None),
        ("Ponds", 2034),
    ):
        a_plan_project(api, plan, "120000.00", name=name, year=year)
    return plan


def test_as_decided_is_a_plan_with_those_projects(api: Api) -> None:
    plan, _ = a_decided_plan(api)
    found, by_hand = scenario_of(api, plan, start="as_decided"), figures_of(api, the_same_by_hand(api))
    assert years_of(found, "closing") == years_of(by_hand, "closing")
    assert years_of(found, "spending") == years_of(by_hand, "spending")
    assert [(one["name"], one["year"], one["outcome"], one["why"]) for one in found["projects"]] == [
        ("Paths", 2028, "done", ""), ("Bunkers", 2033, "done", "Deferred from 2030 to 2033."),
        ("Bridge", None, "left_out", "Deferred from 2031, to no year that is named. Until the survey."),
        ("Sheds", None, "left_out", "Declined."), ("Ponds", 2034, "done", ""),
    ]  # fmt: skip
    assert "Nothing is decided yet on these projects, which count as dated: 5 (Ponds)." in found["warnings"]
    totals = found["totals"]
    assert (totals["projects_done"], totals["projects_moved"], totals["projects_left_out"]) == (3, 1, 2)


def test_what_is_decided_may_be_changed_further(api: Api) -> None:
    plan, (_, bunkers, bridge, *_) = a_decided_plan(api)
    found = scenario_of(
        api, plan, start="as_decided",
        projects={"deferred_by": 1, "moved": [{"project_id": bridge["id"], "year": 2032}]},
    )  # fmt: skip
    told = {one["name"]: one for one in found["projects"]}
    assert [told[name]["year"] for name in ("Paths", "Bunkers", "Bridge", "Sheds")] == [
        2029,
        2034,
        2032,
        None,
    ]
    assert told["Bunkers"]["why"] == (
        "Deferred from 2030 to 2033. Then put off from 2033 to 2034 in this scenario."
    )
    assert told["Bridge"]["why"] == "Moved to 2032 in this scenario."
    assert bunkers["year"] == 2030


@pytest.mark.parametrize("deferred_to", [2037, 2299])
def test_what_is_deferred_beyond_the_plan_is_in_no_year_of_it(api: Api, deferred_to: int) -> None:
    plan = a_plan(api, price_year=1990)
    project = a_plan_project(api, plan, year=2030)
    issued(api, plan)
    decided(api, project, "deferred", deferred_to=deferred_to)
    found = scenario_of(api, plan, start="as_decided")
    (told,) = found["projects"]
    assert (told["year"], told["outcome"], told["cost"]) == (deferred_to, "after_plan", None)
    assert money(found["totals"]["spending"]) == 0
    figures = got(api, f"{PLANS}/{plan['id']}/figures?basis=as_decided")
    assert any("after the last year of the plan" in words for words in figures["cautions"])
    # Costs are grown a hundred years at the most.
    assert (figures["projects"][0]["cost"] is None) == (deferred_to == 2299)


def test_a_draft_is_as_dated_where_nothing_is_decided(api: Api) -> None:
    plan = a_plan(api, capital_threshold=usd("0.00"))
    a_plan_project(api, plan, year=2029)
    as_dated, as_decided = side_by_side(api, plan, {}, {"start": "as_decided"})["scenarios"]
    assert as_decided["years"] == as_dated["years"]
    assert as_dated["warnings"] == []
    assert len(as_decided["warnings"]) == 1


def a_plan_to_time(api: Api) -> tuple[Document, list[Document]]:
    plan = a_tight_plan(api)
    made = [("90000.00", "9"), ("60000.00", "5"), ("70000.00", "8"), ("100000.00", "4")]
    return plan, [scored(api, plan, cost, score, year=2027) for cost, score in made]


def test_the_best_timing_is_that_of_the_plan(api: Api) -> None:
    plan, _ = a_plan_to_time(api)
    best = best_of(api, plan, late_percent="10")
    found = side_by_side(api, plan, {}, {"start": "best_timing"}, late_percent="10")["scenarios"][1]
    assert {one["name"]: one["year"] for one in found["projects"]} == starts_of(best)
    assert years_of(found, "closing") == years_of(best, "closing")
    assert Decimal(found["totals"]["worth"]) == Decimal(best["worth"])
    assert found["gap_percent"] == best["gap_percent"]
    assert Decimal(found["gap_percent"]) == 0
    figures = figures_of(api, plan)
    assert set(found["warnings"]) <= set(figures["cautions"])
    for project in got(api, f"{PLANS}/{plan['id']}/projects")["items"]:
        changed(api, PROJECTS, project, year=starts_of(best)[project["name"]])
    assert years_of(figures_of(api, plan), "closing") == years_of(found, "closing")


def test_the_best_timing_keeps_what_is_left_out_and_moved(api: Api) -> None:
    plan, (first, second, third, _) = a_plan_to_time(api)
    found = scenario_of(
        api, plan, start="best_timing",
        projects={"left_out": [third["id"]], "moved": [{"project_id": second["id"], "year": 2030}]},
    )  # fmt: skip
    told = {one["project_id"]: one for one in found["projects"]}
    assert (told[third["id"]]["year"], told[third["id"]]["why"]) == (None, "Left out in this scenario.")
    assert (told[second["id"]]["year"], told[second["id"]]["outcome"]) == (2030, "done")
    assert told[first["id"]]["year"] == 2027
    assert all(not year["over_spending_limit"] and not year["below_floor"] for year in found["years"])


def test_another_limit_makes_another_timing(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    found = side_by_side(
        api, plan, {"start": "best_timing", "money": {"spending_limit": usd("80000.00")}},
        {
            "start": "best_timing",
            "money": {
                "without_spending_limit": True,
                "contribution": {"kind": "by_amount", "amount": usd("300000.00")},
            },
        },
    )["scenarios"]  # fmt: skip
    assert [one["totals"]["projects_done"] for one in found] == [2, 4]
    assert {one["year"] for one in found[1]["projects"]} == {2027}
    assert len(projects) == 4


def test_a_timing_then_needs_its_least_contribution(api: Api) -> None:
    plan, _ = a_plan_to_time(api)
    found = scenario_of(api, plan, start="best_timing", money={"contribution": {"kind": "least"}})
    least = min(money(year["closing"]) for year in found["years"])
    assert 0 <= least < Decimal("0.04")
    assert money(found["totals"]["contribution_first_year"]) <= 90_000


def test_what_cannot_be_kept_is_told_and_the_others_are_counted(api: Api) -> None:
    plan, projects = a_plan_to_time(api)
    moved = [{"project_id": one["id"], "year": 2027} for one in projects[:2]]
    found = side_by_side(
        api,
        plan,
        {"name": "As dated"},
        {"name": "Both at once", "start": "best_timing", "projects": {"moved": moved}},
    )
    as_dated, both = found["scenarios"]
    assert as_dated["possible"]
    assert (both["possible"], both["totals"], both["years"], both["projects"]) == (False, None, [], [])
    assert both["conflict"]
    assert found["conclusions"][1] == f"Both at once: not possible. {both['conflict']}"
    assert all(row["values"][1] is None and row["differences"][1] is None for row in found["table"])
    first_impossible = side_by_side(api, plan, {"start": "best_timing", "projects": {"moved": moved}}, {})
    assert first_impossible["scenarios"][1]["years"] == as_dated["years"]
    assert all(row["differences"] == [None, None] for row in first_impossible["table"])


def test_projects_without_a_cost_or_a_score_are_not_placed(api: Api) -> None:
    plan, _ = a_plan_to_time(api)
    unscored = a_plan_project(api, plan, "1000.00", year=2028)
    found = scenario_of(api, plan, start="best_timing")
    told = {one["project_id"]: one for one in found["projects"]}[unscored["id"]]
    assert (told["year"], told["outcome"]) == (None, "left_out")
    assert "is not scored by every criterion" in told["why"]


decisions = st.sampled_from(["approved", "declined", "deferred", "nowhere", None])


@settings(max_examples=10)
@given(
    st.lists(
        st.tuples(st.integers(1, 40_000_000), st.integers(2027, 2034), decisions, st.integers(1, 4)),
        min_size=1, max_size=5,
    )
)  # fmt: skip
def test_whatever_is_decided_is_a_plan_with_those_projects(
    api: Api, made: list[tuple[int, int, str | None, int]]
) -> None:
    plan = a_plan(api, {"interest_percent": "2.25", "interest_on": "average_balance"})
    for minor, year, *_ in made:
        a_plan_project(api, plan, f"{Decimal(minor) / 100:.2f}", year=year, phases=PHASES)
    draft = api.created(f"{PLANS}/{plan['id']}/copy", {"name": f"Copy of {plan['name']}"})
    issued(api, plan)
    projects, copies = (got(api, f"{PLANS}/{one['id']}/projects")["items"] for one in (plan, draft))
    for project, copy, (_, year, decision, later) in zip(projects, copies, made, strict=True):
        # Both phases of a draft are within the plan, so that one deferred for too long is declined.
        to_a_year = decision == "deferred" and year + later <= 2035
        if to_a_year:
            decided(api, project, "deferred", deferred_to=year + later)
        elif decision is not None:
            decided(api, project, {"nowhere": "deferred", "deferred": "declined"}.get(decision, decision))
        begins = year + later if to_a_year else year if decision in ("approved", None) else None
        changed(api, PROJECTS, copy, year=begins)
    found, by_hand = scenario_of(api, plan, start="as_decided"), figures_of(api, draft)
    assert years_of(found, "closing") == years_of(by_hand, "closing")
    shown = got(api, f"{PLANS}/{plan['id']}/figures?basis=as_decided")
    assert years_of(shown, "closing") == years_of(by_hand, "closing")
    assert shown["spent_over_plan"] == by_hand["spent_over_plan"] == found["totals"]["spending"]


def test_a_moved_project_that_cannot_be_placed_is_told(api: Api) -> None:
    plan, (first, *_) = a_plan_to_time(api)
    waiting = scored(api, plan, "1000.00", "5", year=2029, prerequisites=[{"project_id": first["id"]}])
    moved = {"moved": [{"project_id": waiting["id"], "year": 2029}]}
    found = scenario_of(api, plan, start="best_timing", projects=moved | {"left_out": [first["id"]]})
    assert not found["possible"]
    assert found["conflict"].startswith("A moved project cannot be placed. Project 5 ")
    assert scenario_of(api, plan, start="best_timing", projects=moved)["possible"]
    as_dated = scenario_of(api, plan, projects=moved | {"left_out": [first["id"]]})
    assert any("which it needs first, is not" in words for words in as_dated["warnings"])


def test_partners_moved_apart_are_told(api: Api) -> None:
    plan = a_tight_plan(api)
    first, second = (scored(api, plan, "1000.00", "5", year=2027, together_with="Bridge") for _ in range(2))
    moved = [{"project_id": one["id"], "year": year} for one, year in ((first, 2027), (second, 2029))]
    found = scenario_of(api, plan, start="best_timing", projects={"moved": moved})
    assert not found["possible"]
    assert found["conflict"]
    as_dated = scenario_of(api, plan, projects={"moved": moved})
    assert any("belong together but begin apart" in words for words in as_dated["warnings"])
