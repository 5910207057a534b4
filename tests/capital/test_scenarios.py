"""Scenarios of a plan: the plan as dated is itself, every change is redone by hand, and differences are of what is
shown."""

from collections import defaultdict
from decimal import Decimal
from itertools import pairwise

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import money
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_by_hand import amount_of, cents, costs_by_hand, level_loan, years_by_hand
from plan_factories import (
    LOAN,
    PLANS,
    Document,
    a_plan,
    a_plan_project,
    a_whole_plan,
    by_number,
    figures_of,
    got,
    usd,
    years_of,
)
from scenario_factories import decided, issued, scenario_of, side_by_side, table_of


def spending_of(plan: Document, projects: list[Document]) -> dict[int, Decimal]:
    found: dict[int, Decimal] = defaultdict(Decimal)
    for project in projects:
        if project["year"] is not None:
            for year, cost in costs_by_hand(plan, project, amount_of(project["cost"])).items():
                found[year] += cost
    return found


def closing_by_hand(plan: Document, projects: list[Document]) -> list[Decimal]:
    return [year.closing for year in years_by_hand(plan, spending_of(plan, projects))]


def closing_of(scenario: Document) -> list[Decimal]:
    return [money(year["closing"]) for year in scenario["years"]]


def with_money(plan: Document, **money_terms: object) -> Document:
    return plan | {"money": plan["money"] | money_terms}


def test_the_steps_of_a_year_are_those_of_the_scenario(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = scenario_of(
        api, plan, money={"interest_points": "0.75", "contribution": {"kind": "by_percent", "percent": "5"}}
    )
    for year in found["years"]:
        steps = {step["name"]: step for step in year["derivation"]}
        assert Decimal(steps[f"reserve at the end of {year['year']}"]["value"]) == money(year["closing"])
        assert Decimal(steps["interest"]["value"]) == money(year["interest"])
        rate = next(one for one in steps["interest"]["inputs"] if one["name"] == "interest rate")
        assert Decimal(rate["value"]) == Decimal(plan["money"]["interest_percent"]) + Decimal("0.75")
        paid = next(one for one in steps["income"]["inputs"] if one["name"] == "contributions")
        assert Decimal(paid["value"]) == money(year["contributions"])


@pytest.mark.parametrize("interest_on", ["opening_balance", "average_balance"])
def test_the_plan_as_dated_is_itself(api: Api, interest_on: str) -> None:
    plan, _ = a_whole_plan(api, interest_on)
    an_asset(api, in_use_since=2015)
    figures, found = figures_of(api, plan), scenario_of(api, plan)
    assert (found["possible"], found["conflict"], found["changes"]) == (True, "", ["Projects as dated."])
    for year, shown in zip(found["years"], figures["years"], strict=True):
        for name in (
            "year", "opening", "contributions", "loans_drawn", "interest", "spending", "loan_payments", "closing",
            "floor", "below_floor", "over_spending_limit", "percent_funded", "derivation",
        ):  # fmt: skip
            assert year[name] == shown[name], name
        other = sum(money(shown[name]) for name in ("dues", "initiation_fees", "assessments"))
        assert money(year["other_income"]) == other
    totals = found["totals"]
    assert totals["spending"] == figures["spent_over_plan"]
    assert money(totals["closing"]) == money(figures["years"][-1]["closing"])
    assert money(totals["least_balance"]) == min(closing_of(found))
    assert totals["percent_funded"] == figures["years"][-1]["percent_funded"] is not None
    assert (money(totals["cost_of_moving"]), totals["projects_moved"], totals["projects_left_out"]) == (
        0,
        0,
        0,
    )
    costs = {number: one["cost"] for number, one in by_number(figures).items()}
    assert {one["number"]: one["cost"] for one in found["projects"]} == costs


def test_the_interest_on_loans_is_what_is_paid_beyond_the_principal(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    totals = scenario_of(api, plan)["totals"]
    # Drawn in 2029 over 9 years: 8 of them are within the plan, and what is owed is the rest.
    paid = sum(level_loan(Decimal(800_000), LOAN["annual_percent"], 9, 12)[:8])
    principal = 800_000 - money(totals["owed_on_loans"])
    assert money(totals["interest_paid"]) == paid - principal


def test_contributions_are_changed_year_by_year(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    own = [money(year["contributions"]) for year in figures_of(api, plan)["years"]]
    found = side_by_side(
        api, plan,
        {"money": {"contribution": {"kind": "by_percent", "percent": "-12.5"}}},
        {"money": {"contribution": {"kind": "by_amount", "amount": usd("20000.00")}}},
        {"money": {"contribution": {"kind": "by_amount", "amount": usd("-160000.00")}}},
        {"money": {"contribution": {"kind": "stated", "amount": usd("100000.00"), "percent_a_year": "2"}}},
    )  # fmt: skip
    less, more, taken, stated = (years_of(one, "contributions") for one in found["scenarios"])
    assert [money(one) for one in less] == [cents(one * Decimal("0.875")) for one in own]
    assert [money(one) for one in more] == [one + 20_000 for one in own]
    assert [money(one) for one in taken] == [max(one - 160_000, Decimal(0)) for one in own]
    assert money(stated[0]) == 100_000
    assert money(stated[9]) == cents(Decimal(100_000) * Decimal("1.02") ** 9)
    by_hand = closing_by_hand(
        with_money(
            plan,
            incomes=[
                plan["money"]["incomes"][0] | {"amount": usd("100000.00"), "percent_a_year": "2"},
                *plan["money"]["incomes"][1:],
            ],
        ),
        projects,
    )  # fmt: skip
    assert closing_of(found["scenarios"][3]) == by_hand
    (warning,) = (words for words in found["scenarios"][2]["warnings"] if "taken" in words)
    assert "2027 to 2029" in warning  # 150,000 x 1.025^3 is 161,533.59 in 2030


def test_the_least_contribution_is_that_of_the_plan(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    least = got(api, f"{PLANS}/{plan['id']}/least-contribution?percent_a_year=2.5")
    found = scenario_of(api, plan, money={"contribution": {"kind": "least", "percent_a_year": "2.5"}})
    assert found["totals"]["contribution_first_year"] == least["contribution"]
    assert years_of(found, "contributions") == [year["contribution"] for year in least["years"]]
    assert years_of(found, "closing") == [year["closing"] for year in least["years"]]
    assert money(found["totals"]["least_balance"]) >= money(least["floor"]) == 200_000


def test_terms_are_redone_by_hand(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    loan = {
        "name": "Second loan",
        "principal": usd("300000.00"),
        "annual_percent": "6",
        "years": 5,
        "drawn_in": 2031,
    }
    asked = {"name": "Bunkers", "year": 2031, "amount": usd("75000.00")}
    found = scenario_of(
        api, plan,
        money={
            "loans": [loan], "assessments": [asked], "growth_points": "1.25", "interest_points": "-0.75",
            "least_balance": usd("50000.00"), "spending_limit": usd("700000.00"),
        },
    )  # fmt: skip
    by_hand = with_money(
        plan,
        loans=[*plan["money"]["loans"], loan | {"payments_a_year": 12}],
        assessments=[*plan["money"]["assessments"], asked],
        interest_percent="2.50",
    ) | {"growth_percent": "5.25", "growth_groups": [{"name": "Pipe and pumps", "percent": "6.75"}]}
    assert closing_of(found) == closing_by_hand(by_hand, projects)
    assert set(map(money, years_of(found, "floor"))) == {Decimal(50_000)}
    irrigation = costs_by_hand(by_hand, projects[0], Decimal(1_200_000))
    assert money(found["projects"][0]["cost"]) == sum(irrigation.values())
    over = [year["year"] for year in found["years"] if year["over_spending_limit"]]
    assert over == [2029]  # 720,000 x 1.0675^4 against 700,000 x 1.03^2
    assert "The spending limit is passed in 2029." in found["warnings"]
    assert found["changes"] == [
        "Projects as dated.", "Bunkers: 75,000.00 USD assessed in 2031.",
        "Second loan: 300,000.00 USD borrowed in 2031 at 6 percent for 5 years.",
        "Costs grow 1.25 percentage points a year more.", "The reserve earns 0.75 percentage points a year less.",
        "The floor of the reserve is 50,000.00 USD.",
        "At most 700,000.00 USD a year is spent, in the first year's money.",
    ]  # fmt: skip


def test_projects_left_out_put_off_and_moved_are_redone_by_hand(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    irrigation, bunkers, benches, _ = projects
    found = scenario_of(
        api, plan,
        projects={
            "left_out": [benches["id"]], "deferred_by": 2,
            "moved": [{"project_id": bunkers["id"], "year": 2028}],
        },
    )  # fmt: skip
    changed = [irrigation | {"year": 2031}, bunkers | {"year": 2028}, benches | {"year": None}]
    assert closing_of(found) == closing_by_hand(plan, changed)
    told = {one["name"]: one for one in found["projects"]}
    assert {name: (one["year_as_dated"], one["year"], one["outcome"]) for name, one in told.items()} == {
        "Irrigation": (2029, 2031, "done"), "Bunkers": (2031, 2028, "done"), "Benches": (2028, None, "left_out"),
        "Not dated": (None, None, "not_dated"),
    }  # fmt: skip
    totals = found["totals"]
    assert (totals["projects_done"], totals["projects_moved"], totals["projects_left_out"]) == (2, 2, 1)
    # Held against all projects as dated: the benches, which are not moved, are done on both sides.
    as_dated = [irrigation, bunkers, benches]
    moved = [*changed[:2], benches]
    growth = sum(spending_of(plan, moved).values()) - sum(spending_of(plan, as_dated).values())
    kept = sum(year.interest for year in years_by_hand(plan, spending_of(plan, moved))) - sum(
        year.interest for year in years_by_hand(plan, spending_of(plan, as_dated))
    )
    assert money(totals["cost_of_moving"]) == growth - kept
    steps = {step["name"]: Decimal(step["value"]) for step in found["derivation"]}
    assert (steps["growth"], steps["interest kept"], steps["upkeep"]) == (growth, kept, 0)


def test_what_is_put_off_beyond_the_plan_is_in_part_or_not_within_it(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    found = scenario_of(api, plan, projects={"deferred_by": 7})
    told = {one["name"]: one for one in found["projects"]}
    assert [(told[name]["year"], told[name]["outcome"]) for name in ("Irrigation", "Bunkers", "Benches")] == [
        (2036, "in_part"), (2038, "after_plan"), (2035, "done"),
    ]  # fmt: skip
    later = [one | {"year": one["year"] + 7} for one in projects[:3]]
    within = {year: cost for year, cost in spending_of(plan, later).items() if year <= 2036}
    assert closing_of(found) == [year.closing for year in years_by_hand(plan, within)]
    assert money(told["Irrigation"]["cost"]) == costs_by_hand(plan, later[0], Decimal(1_200_000))[2036]
    assert told["Bunkers"]["cost"] is None
    assert "Begun within the plan and not finished in it: 1 (Irrigation)." in found["warnings"]
    assert found["totals"]["projects_left_out"] == 1


@pytest.mark.parametrize("years", [1, 3])
def test_one_project_put_off_costs_what_deferring_it_costs(api: Api, years: int) -> None:
    plan = a_plan(api, {"interest_percent": "3.5"}, price_year=2025)
    project = a_plan_project(api, plan, "250000.00", year=2029, upkeep_a_year=usd("6100.00"))
    a_plan_project(api, plan, "40000.00", year=2031)
    (deferral, _) = got(api, f"{PLANS}/{plan['id']}/deferrals?years={years}")["items"]
    moved = {"project_id": project["id"], "year": 2029 + years}
    found = scenario_of(api, plan, projects={"moved": [moved]})
    assert found["totals"]["cost_of_moving"] == deferral["net"]
    steps = {step["name"]: Decimal(step["value"]) for step in found["derivation"]}
    for name, of_deferral in (("growth", "growth"), ("upkeep", "upkeep"), ("interest kept", "interest_kept")):
        assert steps[name] == money(deferral[of_deferral]), name


@pytest.mark.parametrize("interest_on", ["opening_balance", "average_balance"])
def test_a_project_put_off_costs_the_same_whatever_else_is_left_out(api: Api, interest_on: str) -> None:
    """To the cent: what is left out changes what interest is rounded from, and whether the reserve earns any."""
    plan = a_plan(
        api, {"opening_reserve": usd("90000.01"), "interest_percent": "3.57", "interest_on": interest_on}, years=6
    )  # fmt: skip
    projects = [
        a_plan_project(api, plan, cost, year=year, upkeep_a_year=usd("61.13"))
        for cost, year in (("25000.37", 2028), ("33333.33", 2029), ("60000.05", 2030))
    ]
    for years in (1, 2):
        deferrals = got(api, f"{PLANS}/{plan['id']}/deferrals?years={years}")["items"]
        scenarios = [
            {"projects": {
                "moved": [{"project_id": one["id"], "year": one["year"] + years}], "left_out": [without["id"]],
            }}
            for one in projects for without in projects if without is not one
        ]  # fmt: skip
        found = side_by_side(api, plan, *scenarios)["scenarios"]
        costs = [one["totals"]["cost_of_moving"] for one in found]
        assert costs == [one["net"] for one in deferrals for _ in range(2)]


def test_what_was_decided_costs_what_deferring_it_costs(api: Api) -> None:
    plan = a_plan(api, {"opening_reserve": usd("90000.01"), "interest_percent": "3.57"}, years=6)
    late, never = (
        a_plan_project(api, plan, cost, year=year) for cost, year in (("25000.37", 2028), ("33333.33", 2029))
    )
    issued(api, plan)
    decided(api, late, "deferred", deferred_to=2030)
    decided(api, never, "declined")
    found = scenario_of(api, plan, start="as_decided")
    (put_off, _) = got(api, f"{PLANS}/{plan['id']}/deferred")["items"]
    assert found["totals"]["cost_of_moving"] == put_off["deferral"]["net"]


def test_a_project_begun_earlier_saves_what_putting_it_off_would_cost(api: Api) -> None:
    plan = a_plan(api, {"opening_reserve": usd("900000.00")})
    project = a_plan_project(api, plan, "250000.00", year=2032, upkeep_a_year=usd("6100.00"))
    moved = {"project_id": project["id"], "year": 2029}
    cost = money(scenario_of(api, plan, projects={"moved": [moved]})["totals"]["cost_of_moving"])
    dearer = cents(Decimal(250_000) * Decimal("1.04") ** 5) - cents(Decimal(250_000) * Decimal("1.04") ** 2)
    upkeep = sum(cents(Decimal(6_100) * Decimal("1.04") ** year) for year in (2, 3, 4))
    assert cost == -(dearer + upkeep)


def test_another_threshold_leaves_the_reserve_as_it_is(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = scenario_of(api, plan, projects={"capital_threshold": usd("1000000.00")})
    assert years_of(found, "closing") == years_of(figures_of(api, plan), "closing")
    assert found["changes"][1] == "Projects are capital from 1,000,000.00 USD."


def test_drafts_stand_side_by_side(api: Api) -> None:
    plan, _ = a_whole_plan(api, name="With irrigation")
    other = a_plan(api, {"opening_reserve": usd("90000.00")}, years=4, price_year=2026)
    a_plan_project(api, other, "12000.00", year=2028)
    found = side_by_side(api, plan, {"name": "A"}, {"name": "B", "plan_id": other["id"]})
    assert [one["plan_name"] for one in found["scenarios"]] == ["With irrigation", other["name"]]
    assert years_of(found["scenarios"][1], "closing") == years_of(figures_of(api, other), "closing")
    assert [one["year"] for one in found["years"]] == list(range(2027, 2037))
    assert [one["closing"][1] is None for one in found["years"]] == [False] * 4 + [True] * 6
    assert len(found["cautions"]) == 2
    assert "other years" in found["cautions"][0]
    assert "prices of other years" in found["cautions"][1]


def test_differences_are_those_of_the_figures_shown(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    found = side_by_side(
        api, plan, {"name": "As dated"},
        {"name": "Least", "money": {"contribution": {"kind": "least"}}},
        {"name": "Without bunkers", "projects": {"left_out": [projects[1]["id"]]}},
    )  # fmt: skip
    for row in found["table"]:
        shown = [one["totals"][row["figure"]] for one in found["scenarios"]]
        values = [
            None if one is None else Decimal(one["amount"] if isinstance(one, dict) else one) for one in shown
        ]
        assert [None if one is None else Decimal(one) for one in row["values"]] == values
        expected = [None if one is None or values[0] is None else one - values[0] for one in values]
        assert [None if one is None else Decimal(one) for one in row["differences"]] == expected
    assert table_of(found)["projects_done"]["differences"] == ["0", "0", "-1"]
    for year in found["years"]:
        first = money(year["closing"][0])
        assert [money(one) for one in year["differences"]] == [money(one) - first for one in year["closing"]]
    as_dated, least, without = found["conclusions"]
    assert as_dated.startswith("As dated: the reserve ")
    totals = [one["totals"] for one in found["scenarios"]]
    less = money(totals[0]["contribution_first_year"]) - money(totals[1]["contribution_first_year"])
    words = f"contributes {abs(less):,.2f} USD {'less' if less > 0 else 'more'} in 2027"
    assert words in least
    assert "than As dated; the reserve keeps at least 200,000.0" in least
    assert "spends" in without
    assert "1 project is not begun" in without


def test_worth_falls_by_its_percentage_for_every_year(api: Api) -> None:
    plan = a_plan(
        api, criteria=[{"name": "Safety", "weight": "3"}, {"name": "Play", "weight": "1"}], growth_percent="0",
        capital_threshold=usd("0.00"),
    )  # fmt: skip
    scores = [{"criterion": "Safety", "score": "8"}, {"criterion": "Play", "score": "4"}]
    a_plan_project(api, plan, "1.00", year=2030, scores=scores)
    a_plan_project(api, plan, "1.00", year=2030)
    found = side_by_side(api, plan, {}, late_percent="10")["scenarios"][0]
    assert found["totals"]["worth"] == "5.103"  # (3 x 8 + 4) / 4 = 7, x 0.9^3
    (warning,) = found["warnings"]
    assert warning.startswith("Not in the worth, since they are not scored by every criterion: 2 ")


def test_all_that_speaks_against_a_scenario_is_told_of_the_plan_as_dated_too(api: Api) -> None:
    plan = a_plan(api, capital_threshold=usd("0.00"))
    first = a_plan_project(api, plan, name="Pumps", year=2030, together_with="Water")
    a_plan_project(api, plan, name="Pond", year=2031, together_with="Water", prerequisites=[])
    needs = [{"project_id": first["id"], "years_before": 2}]
    a_plan_project(api, plan, name="Mains", year=2031, prerequisites=needs)
    as_dated, later = side_by_side(
        api, plan, {"name": "As dated"}, {"name": "A year later", "projects": {"deferred_by": 1}}
    )["scenarios"]
    assert as_dated["warnings"] == figures_of(api, plan)["cautions"]
    assert len(as_dated["warnings"]) == len(later["warnings"]) == 2
    assert "1 (Pumps) in 2030; 2 (Pond) in 2031" in as_dated["warnings"][1]
    assert "1 (Pumps) in 2031; 2 (Pond) in 2032" in later["warnings"][1]


def test_the_first_years_below_floor_and_below_zero_are_told(api: Api) -> None:
    plan = a_plan(
        api, {"opening_reserve": usd("100.00"), "least_balance": usd("50.00")}, years=4, growth_percent="0"
    )
    for year in range(2027, 2031):
        a_plan_project(api, plan, "30.00", year=year)
    found = side_by_side(
        api, plan, {"name": "As dated"}, {"name": "More", "money": {"contribution": {"kind": "least"}}}
    )
    totals = found["scenarios"][0]["totals"]
    assert (totals["first_year_below_floor"], totals["first_year_below_zero"]) == (2028, 2030)
    assert (totals["least_balance"], totals["least_balance_year"]) == (usd("-20.00"), 2030)
    # 100 + 4 x 17.50 - 120 = 50
    assert found["scenarios"][1]["totals"]["contribution_first_year"] == usd("17.50")
    assert found["conclusions"] == [
        "As dated: the reserve is below zero first in 2030, and lowest with -20.00 USD at the end of 2030.",
        "More: contributes 17.50 USD more in 2027; contributes 70.00 USD more in all than As dated; the reserve keeps "
        "at least 50.00 USD at the end of 2030.",
    ]  # fmt: skip


years = st.integers(2027, 2036)


@settings(max_examples=15)
@given(
    st.lists(
        st.tuples(st.integers(1, 90_000_000), years, st.integers(0, 3), st.sampled_from(["0", "4", "-3.5"])),
        min_size=1, max_size=5,
    ),
    st.sampled_from(["0", "2.75"]), st.integers(0, 10),
)  # fmt: skip
def test_money_is_conserved_whatever_is_changed(
    api: Api, made: list[tuple[int, int, int, str]], interest: str, deferred_by: int
) -> None:
    plan = a_plan(api, {"interest_percent": interest}, growth_groups=[])
    projects = [
        a_plan_project(api, plan, f"{Decimal(minor) / 100:.2f}", year=year) for minor, year, _, _ in made
    ]
    moved = [
        {"project_id": project["id"], "year": 2027 + later}
        for project, (_, _, later, _) in zip(projects, made, strict=True)
        if later
    ]
    found = side_by_side(
        api, plan, {}, {"projects": {"moved": moved, "deferred_by": deferred_by}},
        *({"money": {"growth_points": points}} for *_, points in made[:1]),
    )  # fmt: skip
    for one in found["scenarios"]:
        opening = Decimal(500_000)
        for year in one["years"]:
            came = sum(
                money(year[name]) for name in ("contributions", "other_income", "loans_drawn", "interest")
            )
            went = money(year["spending"]) + money(year["loan_payments"])
            assert (money(year["opening"]), money(year["closing"])) == (opening, opening + came - went)
            opening = money(year["closing"])
        told = [money(project["cost"]) for project in one["projects"] if project["cost"] is not None]
        assert sum(told) == sum(money(year["spending"]) for year in one["years"])
    figures = figures_of(api, plan)
    assert years_of(found["scenarios"][0], "closing") == years_of(figures, "closing")
    for before, after in pairwise(found["years"]):
        assert before["year"] + 1 == after["year"]
