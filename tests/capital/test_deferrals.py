"""What deferring a project costs: growth, upkeep and interest redone by hand, and what the words say."""

import csv
import io
from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal

import pytest
from conftest import Api
from estimate_factories import money
from plan_by_hand import amount_of, costs_by_hand, grown, years_by_hand
from plan_factories import PLANS, Document, a_plan, a_plan_project, got, usd

MONEY: Document = {
    "opening_reserve": usd("900000.00"), "interest_percent": "3.5",
    "incomes": [{"name": "Contribution", "amount": usd("60000.00")}],
}  # fmt: skip
IRRIGATION: Document = {
    "cost": "500000.00", "name": "Irrigation", "year": 2029, "growth_group": "Pipe and pumps",
    "phases": [{"percent": "75"}, {"percent": "25"}], "upkeep_a_year": usd("8000.00"), "latest": 2030,
}  # fmt: skip
PATHS: Document = {"cost": "120000.00", "name": "Paths", "year": 2036}


def a_dated_plan(api: Api, **more: object) -> tuple[Document, list[Document]]:
    plan = a_plan(api, MONEY, price_year=2026, growth_percent="3", **more)
    made = [a_plan_project(api, plan, **one) for one in (IRRIGATION, PATHS)]
    a_plan_project(api, plan, name="Some day")
    return plan, made


def deferrals_of(api: Api, plan: Document, years: int = 1) -> Document:
    return got(api, f"{PLANS}/{plan['id']}/deferrals?years={years}")


def costs(plan: Document, project: Document, later: int = 0) -> Mapping[int, Decimal]:
    begun = project | {"year": project["year"] + later}
    return costs_by_hand(plan, begun, amount_of(project["cost"]))


def interest(plan: Document, *projects: Mapping[int, Decimal]) -> Decimal:
    spending: dict[int, Decimal] = defaultdict(Decimal)
    for one in projects:
        for year, cost in one.items():
            spending[year] += cost
    return sum((year.interest for year in years_by_hand(plan, spending)), Decimal(0))


@pytest.mark.parametrize("years", [1, 3, 10])
def test_growth_upkeep_and_interest_are_redone_by_hand(api: Api, years: int) -> None:
    plan, (irrigation, paths) = a_dated_plan(api)
    found = deferrals_of(api, plan, years)
    assert [one["name"] for one in found["items"]] == ["Irrigation", "Paths"]
    as_dated = interest(plan, costs(plan, irrigation), costs(plan, paths))
    for told, project, other in zip(found["items"], (irrigation, paths), (paths, irrigation), strict=True):
        now, later = costs(plan, project), costs(plan, project, years)
        assert (money(told["cost"]), money(told["later_cost"])) == (sum(now.values()), sum(later.values()))
        assert money(told["growth"]) == sum(later.values()) - sum(now.values())
        upkeep = amount_of(project["upkeep_a_year"])
        since = project["year"] - 2026
        put_off = [grown(upkeep, "3", since + one) for one in range(years)]
        assert money(told["upkeep"]) == sum(put_off)
        kept = interest(plan, later, costs(plan, other)) - as_dated
        assert money(told["interest_kept"]) == kept
        assert money(told["net"]) == money(told["growth"]) + money(told["upkeep"]) - kept
        assert (told["year"], told["later_year"]) == (project["year"], project["year"] + years)


def test_the_default_is_a_year(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    assert got(api, f"{PLANS}/{plan['id']}/deferrals") == deferrals_of(api, plan, 1)


def test_windows_and_the_end_of_the_plan_are_told(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    by_one, by_two = (deferrals_of(api, plan, years)["items"] for years in (1, 2))
    assert [(one["past_latest"], one["past_plan"]) for one in by_one] == [(False, False), (False, True)]
    assert [(one["past_latest"], one["past_plan"]) for one in by_two] == [(True, False), (False, True)]


def test_what_is_spent_after_the_plan_leaves_all_its_interest(api: Api) -> None:
    plan = a_plan(
        api, {"opening_reserve": usd("1000.00"), "interest_percent": "10"}, growth_percent="0", years=3
    )
    a_plan_project(api, plan, "600.00", name="Last", year=2029)
    a_plan_project(api, plan, "100.00", name="First", year=2027)
    last, first = deferrals_of(api, plan, 3)["items"]
    # Interest is on the opening balance, and the last year is the end of the plan.
    assert (last["interest_kept"], last["net"]) == (usd("0.00"), usd("0.00"))
    # 100.00 more in 2028 earns 10.00, and 110.00 more in 2029 earn 11.00.
    assert (first["interest_kept"], first["net"]) == (usd("21.00"), usd("-21.00"))
    assert first["words"] == (
        "First in 2030 instead of 2027 saves 21.00 USD in all: 0.00 USD more for the work, no upkeep, since none is "
        "stated, 21.00 USD of interest kept."
    )
    assert last["words"].startswith("Last in 2032 instead of 2029 costs the same in all: ")


def test_falling_costs_make_deferring_pay(api: Api) -> None:
    plan = a_plan(api, growth_percent="-2", years=5)
    a_plan_project(api, plan, "1000.00", name="Panels", year=2027, upkeep_a_year=usd("5.00"))
    (told,) = deferrals_of(api, plan)["items"]
    assert (told["growth"], told["upkeep"], told["net"]) == (usd("-20.00"), usd("5.00"), usd("-15.00"))
    assert told["words"] == (
        "Panels in 2028 instead of 2027 saves 15.00 USD in all: 20.00 USD less for the work, 5.00 USD of upkeep, 0.00 "
        "USD of interest kept."
    )


def test_each_net_has_its_derivation(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    for told in deferrals_of(api, plan, 2)["items"]:
        steps = {step["name"]: step for step in told["derivation"]}
        net = {one["name"]: Decimal(one["value"]) for one in steps["net cost of deferring"]["inputs"]}
        redone = net["growth"] + net["upkeep"] - net["interest kept"]
        assert redone == Decimal(steps["net cost of deferring"]["value"]) == money(told["net"])
        growth = {one["name"]: Decimal(one["value"]) for one in steps["growth"]["inputs"]}
        kept = {one["name"]: Decimal(one["value"]) for one in steps["interest kept"]["inputs"]}
        earned = kept["interest with the project later"] - kept["interest as dated"]
        assert earned == money(told["interest_kept"])
        assert ("upkeep" in steps) == told["upkeep_stated"]
        later, now = (growth[f"cost from {told[name]}"] for name in ("later_year", "year"))
        assert later - now == money(told["growth"])


def test_interest_as_dated_is_that_of_the_figures(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    steps = {step["name"]: step for step in deferrals_of(api, plan)["items"][0]["derivation"]}
    (as_dated,) = [one for one in steps["interest kept"]["inputs"] if one["name"] == "interest as dated"]
    years = got(api, f"{PLANS}/{plan['id']}/figures")["years"]
    assert Decimal(as_dated["value"]) == sum(money(year["interest"]) for year in years)


def test_what_is_not_known_is_said(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    found = deferrals_of(api, plan)
    assert found["left_out"] == ["3 (Some day)"]
    assert [one["upkeep_stated"] for one in found["items"]] == [True, False]
    assert found["cautions"][-1] == (
        "No yearly upkeep is stated, which is not the same as none, for: 2 (Paths)."
    )


def test_the_table_has_a_row_for_each_project(api: Api) -> None:
    plan, _ = a_dated_plan(api)
    items = deferrals_of(api, plan, 2)["items"]
    answer = api.get(f"{PLANS}/{plan['id']}/deferrals?years=2", headers={"Accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    for row, told in zip(rows, items, strict=True):
        assert (row["name"], row["later_year"]) == (told["name"], str(told["later_year"]))
        for name in ("cost", "later_cost", "growth", "upkeep", "interest_kept", "net"):
            assert Decimal(row[name]) == money(told[name])
        assert row["past_latest"] == ("yes" if told["past_latest"] else "no")


@pytest.mark.parametrize("years", ["0", "11", "some"])
def test_other_delays_are_refused(api: Api, years: str) -> None:
    plan = a_plan(api)
    refused = api.get(f"{PLANS}/{plan['id']}/deferrals?years={years}")
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")
