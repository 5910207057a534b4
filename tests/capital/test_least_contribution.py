"""The least contribution of a plan: it holds to the cent, one cent less does not, and what is said of it."""

from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from estimate_factories import money
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_by_hand import CENT, amount_of, grown, years_by_hand
from plan_factories import PLANS, Document, a_plan, a_plan_project, changed, figures_of, got, usd, years_of

INCOMES: list[Document] = [
    {"name": "Contribution", "amount": usd("40000.00"), "percent_a_year": "2"},
    {"name": "Dues", "kind": "dues", "units": "200", "amount": usd("150.00"), "percent_a_year": "3"},
]
MONEY: Document = {
    "opening_reserve": usd("250000.00"), "incomes": INCOMES, "interest_percent": "2.75",
    "least_balance": usd("100000.00"),
}  # fmt: skip


def least_of(api: Api, plan: Document, **query: str) -> Document:
    asked = "&".join(f"{name}={value}" for name, value in query.items())
    return got(api, f"{PLANS}/{plan['id']}/least-contribution?{asked}")


def a_dear_plan(api: Api, **more: Any) -> Document:
    plan = a_plan(api, MONEY | more, growth_percent="4")
    a_plan_project(api, plan, "600000.00", name="Irrigation", year=2031)
    a_plan_project(api, plan, "300000.00", year=2034)
    return plan


def with_contribution(plan: Document, first: Decimal, percent: str) -> Document:
    """The plan with this contribution in place of its own."""
    incomes = [one for one in plan["money"]["incomes"] if one["kind"] != "contribution"]
    paid = {
        "kind": "contribution", "name": "Least", "units": "1", "amount": usd(f"{first:f}"), "percent_a_year": percent,
        "first_year": None, "last_year": None,
    }  # fmt: skip
    return plan | {"money": plan["money"] | {"incomes": [*incomes, paid]}}


@pytest.mark.parametrize("interest_on", ["opening_balance", "average_balance"])
@pytest.mark.parametrize("percent", ["0", "2.5", "-1"])
def test_it_holds_and_a_cent_less_does_not(api: Api, percent: str, interest_on: str) -> None:
    plan = a_dear_plan(api, interest_on=interest_on)
    found = least_of(api, plan, percent_a_year=percent)
    least = money(found["contribution"])
    spending = {year["year"]: money(year["spending"]) for year in figures_of(api, plan)["years"]}
    enough = years_by_hand(with_contribution(plan, least, percent), spending)
    assert min(year.closing for year in enough) >= 100_000
    too_little = years_by_hand(with_contribution(plan, least - CENT, percent), spending)
    assert min(year.closing for year in too_little) < 100_000
    assert [money(year["closing"]) for year in found["years"]] == [year.closing for year in enough]
    assert [money(year["contribution"]) for year in found["years"]] == [
        grown(least, percent, place) for place in range(10)
    ]
    lowest = min(found["years"], key=lambda year: money(year["closing"]))
    assert found["binding_year"] == lowest["year"]


def test_put_into_the_plan_it_gives_the_same_figures(api: Api) -> None:
    plan = a_dear_plan(api)
    found = least_of(api, plan)
    incomes = [INCOMES[1], {"name": "Contribution", "amount": found["contribution"]}]
    plan = changed(api, PLANS, plan, money=plan["money"] | {"incomes": incomes})
    told = figures_of(api, plan)
    assert years_of(told, "closing") == [year["closing"] for year in found["years"]]
    assert years_of(told, "below_floor") == [False] * 10
    again = least_of(api, plan)
    assert (again["contribution"], again["more_than_today"]) == (found["contribution"], usd("0.00"))
    assert "In 2027 that is the plan's own contribution." in again["conclusions"]


def test_it_stands_beside_the_contribution_of_today(api: Api) -> None:
    plan = a_dear_plan(api)
    found = least_of(api, plan)
    assert found["contribution_today"] == usd("40000.00")
    assert money(found["more_than_today"]) == money(found["contribution"]) - 40_000
    assert [money(year["contribution_today"]) for year in found["years"]] == [
        grown(Decimal("40000.00"), "2", place) for place in range(10)
    ]
    least, more = money(found["contribution"]), money(found["more_than_today"])
    binding = money(found["years"][found["binding_year"] - 2027]["closing"])
    words = "more" if more > 0 else "less"
    assert found["conclusions"] == [
        f"{least:,f} USD a year is the least contribution that keeps the reserve at or above its floor of 100,000.00 "
        f"USD; {found['binding_year']} asks for it, and closes at {binding:,f} USD.",
        f"In 2027 that is {abs(more):,f} USD {words} than the plan's own 40,000.00 USD.",
        f"Without any contribution the reserve would be below first in {found['first_below_without']}.",
    ]
    (step,) = found["derivation"]
    assert Decimal(step["value"]) == least
    assert {one["name"]: Decimal(one["value"]) for one in step["inputs"]}["floor"] == 100_000


def test_a_rising_contribution_begins_lower(api: Api) -> None:
    plan = a_dear_plan(api)
    level, rising = (money(least_of(api, plan, percent_a_year=one)["contribution"]) for one in ("0", "5"))
    assert rising < level
    words = least_of(api, plan, percent_a_year="5")["conclusions"][0]
    assert words.startswith(f"{rising:,f} USD a year, rising by 5 percent a year, is the least contribution")


def test_where_none_is_needed_that_is_said(api: Api) -> None:
    plan = a_plan(api, MONEY)
    found = least_of(api, plan)
    assert (found["contribution"], found["binding_year"], found["first_below_without"]) == (
        usd("0.00"),
        None,
        None,
    )
    assert found["conclusions"] == [
        "No contribution is needed: the reserve stays at or above its floor of 100,000.00 USD in every year without "
        "one."
    ]
    assert found["derivation"] == []
    assert [money(year["contribution"]) for year in found["years"]] == [0] * 10


def test_where_none_is_enough_that_is_said(api: Api) -> None:
    # Half of the reserve and half of the contribution are lost every year, until the last year costs a million.
    plan = a_plan(
        api, {"opening_reserve": usd("0.00"), "interest_percent": "-50"}, growth_percent="0", years=40
    )
    a_plan_project(api, plan, "1000000.00", year=2066)
    found = least_of(api, plan, percent_a_year="-50")
    assert (found["contribution"], found["more_than_today"], found["binding_year"]) == (None, None, None)
    assert found["first_below_without"] == 2066
    assert found["conclusions"] == [
        "No contribution that could be meant keeps the reserve at zero; it is below first in 2066."
    ]
    assert found["years"][-1]["closing"] == usd("-1000000.00")


def test_projects_that_are_not_in_it_are_named(api: Api) -> None:
    plan = a_dear_plan(api)
    before = least_of(api, plan)["contribution"]
    a_plan_project(api, plan, "900000.00", name="Clubhouse roof")
    after = least_of(api, plan)
    assert after["contribution"] == before
    assert after["cautions"] == [
        "Without what these projects cost, which have no year or no cost: 3 (Clubhouse roof)."
    ]


@pytest.mark.parametrize("percent", ["101", "-51", "0.0000001", "0E%2B999999", "1e-999999", "NaN", "some"])
def test_a_rise_that_cannot_be_meant_is_refused(api: Api, percent: str) -> None:
    plan = a_plan(api)
    refused = api.get(f"{PLANS}/{plan['id']}/least-contribution?percent_a_year={percent}")
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")
    assert [one["pointer"] for one in refused.json()["faults"]] == ["percent_a_year"]


costs = st.integers(1, 10**8).map(lambda minor: f"{Decimal(minor).scaleb(-2):.2f}")


@settings(max_examples=10)
@given(
    projects=st.lists(st.tuples(costs, st.integers(2027, 2032)), min_size=1, max_size=3), opening=costs,
    floor=st.sampled_from(["0.00", "12345.67"]),
)  # fmt: skip
def test_it_is_the_least_whatever_is_planned(
    api: Api, projects: list[tuple[str, int]], opening: str, floor: str
) -> None:
    plan = a_plan(
        api, {"opening_reserve": usd(opening), "interest_percent": "3", "least_balance": usd(floor)}, years=6
    )
    for cost, year in projects:
        a_plan_project(api, plan, cost, year=year)
    found = least_of(api, plan)
    spending = {year["year"]: amount_of(year["spending"]) for year in figures_of(api, plan)["years"]}
    least = money(found["contribution"])
    enough = years_by_hand(with_contribution(plan, least, "0"), spending)
    assert min(year.closing for year in enough) >= Decimal(floor)
    if least:
        too_little = years_by_hand(with_contribution(plan, least - CENT, "0"), spending)
        assert min(year.closing for year in too_little) < Decimal(floor)
