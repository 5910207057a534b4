"""What is deferred, declined or not dated, and what that costs."""

import csv
import io
from decimal import Decimal

from conftest import Api
from estimate_factories import money
from plan_by_hand import amount_of, cents, costs_by_hand, years_by_hand
from plan_factories import PLANS, Document, a_plan, a_plan_project, got, usd
from scenario_factories import decided, issued


def not_done(api: Api, plan: Document) -> Document:
    return got(api, f"{PLANS}/{plan['id']}/deferred")


def a_plan_in_part(api: Api) -> tuple[Document, dict[str, Document]]:
    plan = a_plan(
        api,
        {"opening_reserve": usd("2000000.00"), "interest_percent": "3"},
        growth_groups=[],
        price_year=2026,
    )
    made = {
        name: a_plan_project(api, plan, cost, name=name, year=year, upkeep_a_year=upkeep)
        for name, cost, year, upkeep in (
            ("Paths", "120000.00", 2028, None), ("Bunkers", "310000.00", 2030, usd("4000.00")),
            ("Bridge", "90000.00", 2031, None), ("Sheds", "75000.00", 2033, usd("1500.00")),
            ("Ponds", "60000.00", None, None), ("Unknown", "1.00", 2036, None),
        )
    }  # fmt: skip
    issued(api, plan)
    decided(api, made["Paths"], "approved")
    decided(api, made["Bunkers"], "deferred", deferred_to=2033, conditions="If the dues are raised")
    decided(api, made["Bridge"], "deferred")
    decided(api, made["Sheds"], "declined")
    return plan, made


def test_each_is_counted_as_deferring_it_is(api: Api) -> None:
    plan, made = a_plan_in_part(api)
    found = not_done(api, plan)
    items = {one["name"]: one for one in found["items"]}
    assert {name: (one["why"], one["put_off"]) for name, one in items.items()} == {
        "Bunkers": ("deferred", "to_its_year"), "Bridge": ("deferred", "one_year"), "Sheds": ("declined", "not_done"),
        "Ponds": ("not_dated", "one_year"),
    }  # fmt: skip
    for name, years in (("Bunkers", 3), ("Bridge", 1)):
        told = got(api, f"{PLANS}/{plan['id']}/deferrals?years={years}")["items"]
        (alone,) = (one for one in told if one["project_id"] == made[name]["id"])
        assert items[name]["deferral"] == alone
    assert items["Sheds"]["deferral"] is None
    assert items["Bunkers"]["conditions"] == "If the dues are raised"
    to_their_years = money(items["Bunkers"]["deferral"]["net"])
    one_year = money(items["Bridge"]["deferral"]["net"]) + money(items["Ponds"]["deferral"]["net"])
    assert (money(found["cost_to_their_years"]), money(found["cost_of_one_year"])) == (
        to_their_years,
        one_year,
    )


def test_what_is_not_spent_and_its_upkeep_are_redone_by_hand(api: Api) -> None:
    plan, made = a_plan_in_part(api)
    found = not_done(api, plan)
    items = {one["name"]: one for one in found["items"]}
    costs = {
        name: sum(costs_by_hand(plan, made[name], amount_of(made[name]["cost"])).values())
        for name in ("Bridge", "Sheds")
    }
    assert {name: one["not_spent"] and money(one["not_spent"]) for name, one in items.items()} == {
        "Bunkers": None, "Ponds": None, **costs,
    }  # fmt: skip
    assert money(found["not_spent"]) == sum(costs.values())
    upkeep = sum(cents(Decimal(1_500) * Decimal("1.04") ** (year - 2026)) for year in range(2033, 2037))
    assert money(items["Sheds"]["upkeep"]) == money(found["upkeep"]) == upkeep
    (step,) = items["Sheds"]["derivation"]
    assert Decimal(step["value"]) == upkeep
    assert f"Until 2036 it costs {upkeep:,.2f} USD more in upkeep." in items["Sheds"]["words"]
    assert (
        f"{money(found['not_spent']):,.2f} USD as dated is not spent within the plan." in found["conclusions"]
    )


def test_what_is_not_dated_is_held_in_the_first_year_against_the_second(api: Api) -> None:
    plan = a_plan(api, {"interest_percent": "3"}, growth_groups=[], growth_percent="5")
    ponds = a_plan_project(api, plan, "60000.00", name="Ponds", upkeep_a_year=usd("700.00"))
    other = a_plan_project(api, plan, "1000.00", year=2029)
    (item,) = not_done(api, plan)["items"]
    told = item["deferral"]
    assert (told["year"], told["later_year"], money(told["growth"])) == (2027, 2028, 3_000)
    base = costs_by_hand(plan, other, Decimal(1_000))
    first, second = (
        sum(
            year.interest
            for year in years_by_hand(
                plan, base | costs_by_hand(plan, ponds | {"year": year}, Decimal(60_000))
            )
        )
        for year in (2027, 2028)
    )
    assert money(told["interest_kept"]) == second - first
    assert money(told["net"]) == 3_000 + 700 - (second - first)
    assert "first year" in not_done(api, plan)["cautions"][1]


def test_what_cannot_be_told_is_not_guessed(api: Api) -> None:
    plan = a_plan(api, price_year=1990)
    made = [
        a_plan_project(api, plan, name=name, year=year)
        for name, year in (("A", None), ("B", 2030), ("C", 2031))
    ]
    issued(api, plan)
    for project, year in zip(made, (2030, 2299, 2040), strict=True):
        decided(api, project, "deferred", deferred_to=year)
    undated, far, after = not_done(api, plan)["items"]
    assert undated["deferral"] is None
    assert undated["not_spent"] is None
    assert far["deferral"] is None
    assert money(far["not_spent"]) > 0
    assert after["deferral"]["past_plan"]
    assert money(after["not_spent"]) == money(after["deferral"]["cost"])


def test_a_plan_that_is_done_as_dated_says_so_and_csv_is_a_table(api: Api) -> None:
    plan = a_plan(api)
    a_plan_project(api, plan, year=2028)
    found = not_done(api, plan)
    assert (found["items"], found["conclusions"]) == (
        [], ["Every project is dated, and none is deferred or declined."],
    )  # fmt: skip
    plan, _ = a_plan_in_part(api)
    answer = api.get(f"{PLANS}/{plan['id']}/deferred", headers={"Accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [row["name"] for row in rows] == ["Bunkers", "Bridge", "Sheds", "Ponds"]
    for row, one in zip(rows, not_done(api, plan)["items"], strict=True):
        net = one["deferral"] and money(one["deferral"]["net"])
        assert (Decimal(row["net"]) if row["net"] else None, row["currency"]) == (net, "USD")
