"""A plan as it is dated, in figures: every year redone by hand, money conserved, limits and words."""

from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import Any

import pytest
from asset_factories import an_asset
from conftest import Api
from estimate_factories import money
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_by_hand import CENT, amount_of, costs_by_hand, grown, years_by_hand
from plan_factories import (
    FLOWS_IN,
    FLOWS_OUT,
    LOAN,
    PLANS,
    Document,
    a_plan,
    a_plan_project,
    a_whole_plan,
    by_number,
    figures_of,
    usd,
    years_of,
)


def spending_by_hand(plan: Document, projects: list[Document]) -> dict[int, Decimal]:
    found: dict[int, Decimal] = defaultdict(Decimal)
    for project in projects:
        if project["year"] is not None:
            for year, cost in costs_by_hand(plan, project, amount_of(project["cost"])).items():
                found[year] += cost
    return found


def assert_as_by_hand(found: Document, plan: Document, projects: list[Document]) -> None:
    by_hand = years_by_hand(plan, spending_by_hand(plan, projects))
    assert len(found["years"]) == plan["years"]
    for year, expected in zip(found["years"], by_hand, strict=True):
        amounts = {
            name: money(year[name]) for name in (*FLOWS_IN, *FLOWS_OUT, "opening", "closing", "spending")
        }
        income = sum(amounts[name] for name in FLOWS_IN[:4])
        assert (amounts["opening"], income, amounts["loans_drawn"], amounts["interest"]) == (
            expected.opening, expected.income, expected.drawn, expected.interest,
        )  # fmt: skip
        assert (amounts["spending"], amounts["loan_payments"]) == (expected.spending, expected.payments)
        assert amounts["spending"] == amounts["capital_spending"] + amounts["operating_spending"]
        assert amounts["closing"] == expected.closing


def assert_money_is_conserved(found: Document) -> None:
    years = found["years"]
    came = sum(money(year[name]) for year in years for name in FLOWS_IN)
    went = sum(money(year[name]) for year in years for name in FLOWS_OUT)
    assert money(years[0]["opening"]) + came - went == money(years[-1]["closing"])
    for before, after in pairwise(years):
        assert before["closing"] == after["opening"]


@pytest.mark.parametrize("interest_on", ["opening_balance", "average_balance"])
def test_every_year_is_redone_by_hand(api: Api, interest_on: str) -> None:
    plan, projects = a_whole_plan(api, interest_on)
    found = figures_of(api, plan)
    assert_as_by_hand(found, plan, projects)
    assert_money_is_conserved(found)
    assert (found["first_year"], found["last_year"], found["price_year"]) == (2027, 2036, 2025)
    assert [year["year"] for year in found["years"]] == list(range(2027, 2037))
    spent = sum(money(year["spending"]) for year in found["years"])
    assert spent == money(found["spent_over_plan"]) == sum(money(one["cost"]) for one in found["projects"])
    assert found["status"] == "draft"


def test_incomes_of_a_year_are_units_times_each(api: Api) -> None:
    found = figures_of(api, a_whole_plan(api)[0])
    for year in found["years"]:
        for one in year["incomes"]:
            exact = Decimal(one["units"]) * money(one["each"])
            assert exact.quantize(CENT, ROUND_HALF_UP) == money(one["amount"])
        brought = sum(money(one["amount"]) for one in year["incomes"])
        assert brought == sum(money(year[name]) for name in ("contributions", "dues", "initiation_fees"))
    of_dues = [
        [one["each"]["amount"] for one in year["incomes"] if one["kind"] == "dues"] for year in found["years"]
    ]
    # None in 2027; 187.35 x 1.03 is 192.9705.
    assert of_dues[:3] == [[], ["187.35"], ["192.97"]]
    assert [money(year["initiation_fees"]) for year in found["years"]] == [90_000] * 7 + [0] * 3


def test_projects_cost_what_their_phases_cost_in_the_money_of_their_years(api: Api) -> None:
    plan, projects = a_whole_plan(api)
    told = by_number(figures_of(api, plan))
    irrigation = told[1]
    assert [(one["year"], one["closure_days"]) for one in irrigation["phases"]] == [(2029, 30), (2030, 12)]
    assert [one["cost_at_price_year"]["amount"] for one in irrigation["phases"]] == ["720000.00", "480000.00"]
    # 5.5 percent over 4 and 5 years from the prices of 2025.
    assert [money(one["cost"]) for one in irrigation["phases"]] == [
        grown(Decimal("720000.00"), "5.5", 4), grown(Decimal("480000.00"), "5.5", 5),
    ]  # fmt: skip
    assert (irrigation["growth_percent"], irrigation["last_year"]) == ("5.5", 2030)
    for project in projects[:3]:
        by_hand = costs_by_hand(plan, project, amount_of(project["cost"]))
        assert money(told[project["number"]]["cost"]) == sum(by_hand.values())
        steps = {step["name"]: Decimal(step["value"]) for step in told[project["number"]]["derivation"]}
        assert {year: steps[f"cost in {year}"] for year in by_hand} == by_hand
        assert steps["cost as dated"] == sum(by_hand.values())
    assert (told[4]["year"], told[4]["cost"], told[4]["cost_at_price_year"]) == (None, None, usd("90000.00"))
    assert told[4]["phases"] == [
        {"year": None, "cost_at_price_year": usd("90000.00"), "cost": None, "closure_days": 5}
    ]  # fmt: skip


def test_odd_cents_of_a_split_go_to_the_phases_with_the_largest_remainder(api: Api) -> None:
    plan = a_plan(api, growth_percent="0")
    thirds = [{"percent": "33.333333"}, {"percent": "33.333333"}, {"percent": "33.333334"}]
    a_plan_project(api, plan, "100.01", year=2028, phases=thirds)
    (told,) = figures_of(api, plan)["projects"]
    assert [one["cost"]["amount"] for one in told["phases"]] == ["33.34", "33.33", "33.34"]
    assert told["cost"] == usd("100.01")


def test_each_closing_has_its_derivation(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    an_asset(api, in_use_since=2015)
    for year in figures_of(api, plan)["years"]:
        steps = {step["name"]: step for step in year["derivation"]}
        closing = steps[f"reserve at the end of {year['year']}"]
        given = {one["name"]: Decimal(one["value"]) for one in closing["inputs"]}
        assert closing["formula"] == "opening + income + loans drawn + interest - spending - loan payments"
        redone = (
            given["opening"] + given["income"] + given["loans drawn"] + given["interest"] - given["spending"]
            - given["loan payments"]
        )  # fmt: skip
        assert redone == Decimal(closing["value"]) == money(year["closing"])
        interest = {one["name"]: Decimal(one["value"]) for one in steps["interest"]["inputs"]}
        exact = max(interest["opening"], Decimal(0)) * interest["interest rate"] / 100
        assert (
            exact.quantize(CENT, ROUND_HALF_UP)
            == Decimal(steps["interest"]["value"])
            == money(year["interest"])
        )
        funded = {one["name"]: Decimal(one["value"]) for one in steps["percent funded"]["inputs"]}
        percent = money(year["closing"]) / funded["fully funded balance"] * 100
        assert percent.quantize(CENT, ROUND_HALF_UP) == Decimal(year["percent_funded"])
        assert "Community Associations Institute" in steps["percent funded"]["source"]


def test_the_reserve_earns_nothing_below_zero_and_stays_in_the_sums(api: Api) -> None:
    plan = a_plan(
        api, {"opening_reserve": usd("1000.00"), "interest_percent": "5"}, growth_percent="0", years=4
    )
    a_plan_project(api, plan, "1500.00", year=2027)
    found = figures_of(api, plan)
    assert [year["interest"]["amount"] for year in found["years"]] == ["50.00", "0.00", "0.00", "0.00"]
    assert [year["closing"]["amount"] for year in found["years"]] == ["-450.00"] * 4
    assert years_of(found, "below_floor") == [True] * 4


def test_limits_and_the_floor_are_held_against_each_year(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = figures_of(api, plan)
    for place, year in enumerate(found["years"]):
        limit = grown(Decimal("900000.00"), "3", place)
        assert money(year["spending_limit"]) == limit
        assert year["over_spending_limit"] == (money(year["spending"]) > limit)
        assert year["below_floor"] == (money(year["closing"]) < 200_000)
    assert years_of(found, "closure_days") == [0, 0, 30, 12, 14, 0, 0, 0, 0, 0]
    assert [year["year"] for year in found["years"] if year["over_closure_limit"]] == [2029]
    assert "More than 25 days of closure are asked for in 2029." in found["conclusions"]


def test_days_of_projects_in_one_year_add_up(api: Api) -> None:
    plan = a_plan(api)
    for days in (3, 9):
        a_plan_project(api, plan, year=2030, phases=[{"percent": "100", "closure_days": days}])
    assert figures_of(api, plan)["years"][3]["closure_days"] == 12


def test_the_first_year_below_the_floor_is_said_in_words(api: Api) -> None:
    plan = a_plan(
        api, {"opening_reserve": usd("1000.00"), "least_balance": usd("400.00")}, growth_percent="0", years=5
    )
    a_plan_project(api, plan, "700.00", year=2029)
    a_plan_project(api, plan, "50.50", year=2031)
    found = figures_of(api, plan)
    assert found["conclusions"][:2] == [
        "From 2027 to 2031 the plan spends 750.50 USD on 2 projects; most in 2029, 700.00 USD.",
        "The reserve falls below its floor of 400.00 USD first in 2029, by 100.00 USD; it is lowest in 2031, "
        "150.50 USD below.",
    ]
    assert years_of(found, "below_floor") == [False, False, True, True, True]


def test_a_reserve_that_holds_is_said_in_words(api: Api) -> None:
    found = figures_of(api, a_plan(api, {"opening_reserve": usd("1000.00")}, years=3))
    assert found["conclusions"] == [
        "From 2027 to 2029 nothing is spent, since the plan has no projects yet.",
        "The reserve never falls below zero; it is lowest at the end of 2027, 1,000.00 USD.",
    ]
    assert found["complete"] is True


def test_the_spending_of_one_year_and_of_no_project_is_told_as_that(api: Api) -> None:
    plan = a_plan(api, years=1, growth_percent="0")
    assert figures_of(api, plan)["conclusions"][0] == (
        "In 2027 nothing is spent, since the plan has no projects yet."
    )
    a_plan_project(api, plan, "700.00", year=2027)
    assert figures_of(api, plan)["conclusions"][0] == "In 2027 the plan spends 700.00 USD on 1 project."


@pytest.mark.parametrize(
    ("method", "payments", "owed"),
    [
        # 6 percent a year on 30,000.00: a third of the principal each year, and interest on what is left of it.
        ("level_principal", ["11800.00", "11200.00", "10600.00"], ["20000.00", "10000.00", "0.00"]),
        ("interest_only", ["1800.00", "1800.00", "31800.00"], ["30000.00", "30000.00", "0.00"]),
        # Capital recovery factor of 3 years at 6 percent: 0.374110 (tables of engineering economy).
        ("level_payment", ["11223.29", "11223.29", "11223.30"], ["20576.71", "10588.02", "0.00"]),
    ],
)
def test_loans_are_drawn_once_and_paid_back(
    api: Api, method: str, payments: list[str], owed: list[str]
) -> None:
    loan = {
        "name": "Mowers", "principal": usd("30000.00"), "annual_percent": "6", "years": 3, "payments_a_year": 1,
        "method": method, "drawn_in": 2028,
    }  # fmt: skip
    years = figures_of(api, a_plan(api, {"loans": [loan]}, years=5))["years"]
    assert [year["loans_drawn"]["amount"] for year in years] == ["0.00", "30000.00", "0.00", "0.00", "0.00"]
    assert [year["loan_payments"]["amount"] for year in years] == ["0.00", *payments, "0.00"]
    assert [year["owed_on_loans"]["amount"] for year in years] == ["0.00", *owed, "0.00"]


def test_what_is_owed_after_the_plan_is_told(api: Api) -> None:
    plan, _ = a_whole_plan(api)
    found = figures_of(api, plan)
    owed = found["years"][-1]["owed_on_loans"]["amount"]
    assert Decimal(owed) > 0
    assert f"At the end of 2036 {Decimal(owed):,f} USD is still owed on loans." in found["conclusions"]
    drawn = found["years"][2]
    assert money(drawn["loans_drawn"]) == 800_000
    repaid = 800_000 - money(drawn["owed_on_loans"])
    assert 0 < repaid < money(drawn["loan_payments"])


def test_amounts_that_cannot_be_meant_are_refused(api: Api) -> None:
    plan = a_plan(api, growth_percent="100", years=40, price_year=1977)
    a_plan_project(api, plan, "900000000000.00", year=2066)
    for path in ("figures", "deferrals"):
        refused = api.get(f"{PLANS}/{plan['id']}/{path}")
        assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")
        assert "1,000,000,000,000 USD" in refused.json()["detail"]


def test_a_currency_without_cents_is_counted_in_whole_units(api: Api) -> None:
    club = api.of_new_club("yen-club", "JPY")
    plan = a_plan(club, {"opening_reserve": usd("1000", "JPY"), "interest_percent": "1.25"}, years=2)
    found = figures_of(club, plan)
    # 12.5 is rounded half up.
    assert [year["interest"] for year in found["years"]] == [usd("13", "JPY"), usd("13", "JPY")]
    assert found["years"][1]["closing"] == usd("1026", "JPY")


amounts = st.integers(0, 10**8).map(lambda minor: usd(f"{Decimal(minor).scaleb(-2):.2f}"))
percents = st.integers(-5_00, 12_00).map(lambda hundredths: f"{Decimal(hundredths).scaleb(-2):f}")


@settings(max_examples=15)
@given(
    opening=amounts, interest=percents, growth=percents, on=st.sampled_from(["opening_balance", "average_balance"]),
    incomes=st.lists(st.tuples(st.sampled_from(["contribution", "dues", "initiation"]), amounts, percents), max_size=3),
    assessed=amounts, projects=st.lists(st.tuples(amounts, st.integers(2027, 2033)), max_size=4),
)  # fmt: skip
def test_no_money_is_made_or_lost(
    api: Api,
    opening: Document,
    interest: str,
    growth: str,
    on: str,
    incomes: Any,
    assessed: Document,
    projects: Any,
) -> None:
    plan = a_plan(
        api,
        {
            "opening_reserve": opening, "interest_percent": interest, "interest_on": on, "loans": [LOAN],
            "incomes": [
                {"name": f"Income {place}", "kind": kind, "amount": amount, "percent_a_year": percent}
                for place, (kind, amount, percent) in enumerate(incomes)
            ],
            "assessments": [{"name": "Once", "year": 2031, "amount": assessed}],
        },
        years=7, growth_percent=growth, growth_groups=[],
    )  # fmt: skip
    made = [a_plan_project(api, plan, cost["amount"], year=year) for cost, year in projects]
    found = figures_of(api, plan)
    assert_money_is_conserved(found)
    assert_as_by_hand(found, plan, made)
