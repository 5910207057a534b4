"""How far a budget reaches, through the API, held against estimates really priced at the value found and the next."""

from decimal import Decimal
from typing import Any

import pytest
from choosing_factories import (
    NOBODY,
    TAX,
    a_hire,
    answered,
    really,
    refused,
    two_ways,
    with_changes,
    with_size,
)
from conftest import Api
from estimate_factories import TOPDRESSING, Document, money, stated

REACH = "/budget-reach"


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def asking(ways: dict[str, Any], budget: str, **more: Any) -> Document:
    """How many acres of green the own crew dresses for the money."""
    return {
        "estimate_id": ways["own_estimate"]["id"], "variable": {"kind": "area"}, "budget": usd(budget),
        "low": "0.05", "high": "3", "resolution": "0.05", "unit": "acre",
    } | more  # fmt: skip


def test_the_largest_area_fits_and_the_next_does_not(api: Api) -> None:
    ways = two_ways(api)
    found = answered(api, REACH, asking(ways, "5000.00"))
    assert found["searched"]["every_value"] is True
    largest, following = found["found"], found["next_over"]
    assert Decimal(following["value"]) - Decimal(largest["value"]) == Decimal("0.05")
    for at in (largest, following):
        with_size(api, ways["green"], at["value"], "acre")
        assert money(at["cost"]) == really(api, ways["own"], ways["edition"], TAX)
    assert money(largest["cost"]) <= 5000 < money(following["cost"])
    assert money(found["left_over"]) == 5000 - money(largest["cost"])
    value = f"{Decimal(largest['value']).normalize():f}"
    assert found["words"][0].startswith(
        f"At most {value} acre: it costs {money(largest['cost']):,.2f} USD there; "
    )
    assert found["as_estimated"] == ways["own_estimate"]["total"]


def test_no_value_above_it_fits_and_what_is_over_below_it_is_told(api: Api) -> None:
    """A price break makes the third load cost less than the second, so that the budget is exceeded in between."""
    ways = two_ways(api)
    # Two loads of 22 at 38.50 with 145.00 each are 1,984.00; from 44 on a ton costs 36.25.
    found = answered(api, REACH, asking(ways, "2840.00", resolution="0.01"))
    costs = {}
    for step in range(5, 301, 5):
        value = Decimal(step) / 100
        with_size(api, ways["green"], value, "acre")
        costs[value] = really(api, ways["own"], ways["edition"], TAX)
    within = [value for value, cost in costs.items() if cost <= 2840]
    assert max(within) <= Decimal(found["found"]["value"])
    gaps = [
        (Decimal(one["first"]["value"]), Decimal(one["last"]["value"])) for one in found["over_short_of_it"]
    ]
    for value, cost in costs.items():
        inside = any(first <= value <= last for first, last in gaps)
        beyond = value > Decimal(found["found"]["value"])
        assert (cost > 2840) == (inside or beyond)


def test_derivation_says_what_is_left_and_what_would_be_missing(api: Api) -> None:
    found = answered(api, REACH, asking(two_ways(api), "5000.00"))
    steps = {step["name"]: Decimal(step["value"]) for step in found["derivation"]}
    assert steps["left of the budget at the value found"] == money(found["left_over"])
    assert steps["left of the budget at the next value"] == 5000 - money(found["next_over"]["cost"]) < 0


def test_a_depth_is_found_for_the_money(api: Api) -> None:
    ways = two_ways(api)
    question = asking(
        ways, "2700.00", variable={"kind": "quantity", "parameter": "depth"}, low="0.05", high="4",
        unit="inch",
    )  # fmt: skip
    found = answered(api, REACH, question)
    for at in (found["found"], found["next_over"]):
        parameters = TOPDRESSING["parameters"] | {"depth": {"value": at["value"], "unit": "inch"}}
        with_changes(api, ways["crewed"], parameters=parameters)
        assert money(at["cost"]) == really(api, ways["own"], ways["edition"], TAX)
    assert "depth of Dress the green" in found["moved"]


def test_the_longest_hire_for_the_money_is_told_in_days(api: Api) -> None:
    hire = a_hire(api)
    variable = {"kind": "days", "hours_a_day": [{"item": "LOADER", "hours": "8"}]}
    question = {
        "estimate_id": hire["estimate"]["id"], "variable": variable, "budget": usd("2100.00"),
        "low": "1", "high": "30", "resolution": "1", "unit": "work_day",
    }  # fmt: skip
    found = answered(api, REACH, question)
    # Two weeks and the delivery are 2,080.00; a day more is 310.00.
    assert (
        found["words"][0]
        == "At most 10 work days: it costs 2,080.00 USD there; 11 work days would cost 2,390.00 USD."
    )
    with_changes(api, hire["work"], resources=[stated("LOADER", "88", "hour")], ends_on="2026-09-21")
    assert money(found["next_over"]["cost"]) == really(api, hire["project"], hire["edition"])


def test_the_smallest_value_is_found_where_cost_falls_with_it(api: Api) -> None:
    """All prices from 20.00 up cost more, so that the smallest price that fits is the lower bound itself."""
    question = asking(
        two_ways(api), "5000.00", variable={"kind": "price", "item": "SAND"}, low="20", high="60",
        resolution="0.25", unit="short_ton", want="smallest",
    )  # fmt: skip
    found = answered(api, REACH, question)
    assert Decimal(found["found"]["value"]) == 20
    assert found["next_over"] is None
    assert found["all_fit"] is True
    assert found["words"][0].startswith(
        "All values from 20 to 60 USD per short ton fit within 5,000.00 USD; "
    )


def test_a_budget_that_nothing_fits_is_told_with_the_least_cost(api: Api) -> None:
    ways = two_ways(api)
    found = answered(api, REACH, asking(ways, "100.00"))
    assert (found["found"], found["left_over"], found["next_over"]) == (None, None, None)
    with_size(api, ways["green"], found["least"]["value"], "acre")
    least = really(api, ways["own"], ways["edition"], TAX)
    assert money(found["least"]["cost"]) == least > 100
    assert (
        found["words"][0]
        == f"No value fits: even 0.05 acre costs {least:,.2f} USD, the budget is 100.00 USD."
    )
    assert found["all_fit"] is False


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"estimate_id": NOBODY}, "/estimate_id"),
        ({"budget": {"amount": "100.00", "currency": "EUR"}}, "/budget/currency"),
        ({"unit": "inch"}, "/unit"),
        ({"high": "0.05"}, "/high"),
        ({"high": "3.01"}, "/high"),
        ({"variable": {"kind": "price", "item": "CON-DRESS"}, "unit": "acre"}, "/variable/item"),
        ({"variable": {"kind": "area", "scope_item_ids": [NOBODY]}}, "/variable/scope_item_ids/0"),
        ({"variable": {"kind": "days"}, "unit": "work_day", "low": "1", "resolution": "1"}, "/variable"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_its_place(api: Api, change: Document, pointer: str) -> None:
    problem = refused(api, REACH, asking(two_ways(api), "5000.00") | change)
    assert problem["type"] == "/problems/invalid-values"
    assert [fault["pointer"] for fault in problem["faults"]] == [pointer]


def test_years_are_no_figure_of_an_estimate(api: Api) -> None:
    question = asking(two_ways(api), "5000.00", variable={"kind": "years", "yearly": usd("5.00")})
    assert refused(api, REACH, question, 400)["type"] == "/problems/invalid-request"


def test_another_club_does_not_see_the_estimate(api: Api) -> None:
    ways = two_ways(api)
    assert answered(api.as_role("committee"), REACH, asking(ways, "5000.00"))["found"]
    (fault,) = refused(api.of_new_club("other-side"), REACH, asking(ways, "5000.00"))["faults"]
    assert fault["pointer"] == "/estimate_id"
