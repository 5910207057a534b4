"""Quantity breaks, by each tier and by whole quantity, and the hint that more can cost less."""

import random
from decimal import Decimal
from typing import Any

import pytest
from buying import DELIVERIES, MEASURED, breaks, buy, buy_by, printed, terms_of, tiers
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_charge import assert_purchase, assert_steps
from swardcost_api.engine.pricing.buying_more import CheaperPurchase, cheaper_to_buy_more
from swardcost_api.engine.pricing.purchase import Purchase, price_purchase
from swardcost_model.price_terms import PurchaseTerms

SAND = [{"from_quantity": "250", "unit_price": "34"}, {"from_quantity": "100", "unit_price": "36"}]


def cheaper(purchase: Purchase, terms: PurchaseTerms, price: str = "38.50") -> CheaperPurchase | None:
    return cheaper_to_buy_more(purchase, counted=False, unit_price=Decimal(price), terms=terms)


def test_each_tier_has_its_own_charge() -> None:
    found = buy(300, breaks={"apply": "each_tier", "tiers": SAND})
    assert printed(found) == [
        ("first 100", "100 short_ton", "38.5", 385_000),
        ("100 to 250", "150 short_ton", "36", 540_000),
        ("beyond 250", "50 short_ton", "34", 170_000),
    ]
    assert [one.rounding for one in found.charges] == ["part of 300"] * 3
    assert_purchase(found)


def test_a_quantity_within_the_first_tier_has_one_plain_charge() -> None:
    found = buy(100, breaks={"apply": "each_tier", "tiers": SAND})
    assert printed(found) == [("", "100 short_ton", "38.5", 385_000)]


def test_the_whole_quantity_has_the_price_of_the_tier_it_reaches() -> None:
    by_whole = {"apply": "whole_quantity", "tiers": SAND}
    assert printed(buy(99.99, breaks=by_whole)) == [("", "99.99 short_ton", "38.5", 384_962)]
    assert printed(buy(100, breaks=by_whole)) == [("price from 100", "100 short_ton", "36", 360_000)]
    assert printed(buy(300, breaks=by_whole)) == [("price from 250", "300 short_ton", "34", 1_020_000)]
    assert buy(300, breaks=by_whole).charges[0].steps[-1].source == "quote of May; price from 250"


def test_a_little_more_can_cost_less_and_the_hint_finds_it() -> None:
    terms = terms_of(breaks={"apply": "whole_quantity", "tiers": SAND})
    found = buy_by(terms, 96)
    hint = cheaper(found, terms)
    assert hint is not None
    assert (hint.purchase.quantity, hint.purchase.total_minor, hint.saved_minor) == (100, 360_000, 9_600)
    assert hint.purchase.total_minor < found.total_minor
    assert_steps(hint.steps)
    assert cheaper(buy_by(terms, 93), terms) is None
    assert cheaper(buy_by(terms, 300), terms) is None


def test_a_larger_quantity_that_costs_the_same_is_no_hint() -> None:
    terms = terms_of(breaks={"apply": "whole_quantity", "tiers": SAND})
    assert buy_by(terms, 96, "37.50").total_minor == buy_by(terms, 100, "37.50").total_minor
    assert cheaper(buy_by(terms, 96, "37.50"), terms, "37.50") is None


def test_the_hint_counts_whole_loads_and_their_delivery() -> None:
    fields: dict[str, Any] = {"increment": "22", "breaks": {"apply": "whole_quantity", "tiers": SAND}}
    terms = terms_of(**fields)
    assert buy_by(terms, 230).total_minor == 242 * 3_600
    hint = cheaper(buy_by(terms, 230), terms)
    assert hint is None, "264 x 34 = 8,976.00 is more than 242 x 36 = 8,712.00"
    cheap = [{"from_quantity": "250", "unit_price": "30"}]
    terms = terms_of(**fields | {"breaks": {"apply": "whole_quantity", "tiers": cheap}})
    hint = cheaper(buy_by(terms, 230), terms)
    assert hint is not None
    assert (hint.purchase.quantity, hint.saved_minor) == (264, 242 * 3_850 - 264 * 3_000)
    by_load = {"by": "load", "load_size": "22", "charge": "1500"}
    delivered = terms_of(
        **fields | {"breaks": {"apply": "whole_quantity", "tiers": cheap}, "delivery": by_load}
    )
    assert cheaper(buy_by(delivered, 230), delivered) is None


def test_only_whole_quantity_breaks_give_a_hint() -> None:
    for fields in ({}, {"breaks": {"apply": "each_tier", "tiers": SAND}}):
        terms = terms_of(**fields)
        assert cheaper(buy_by(terms, 99), terms) is None


@given(MEASURED, breaks(), st.randoms(use_true_random=False))
def test_the_order_of_tiers_never_matters(
    measured: float, given_breaks: dict[str, Any], shuffle: random.Random
) -> None:
    mixed = given_breaks | {"tiers": shuffle.sample(given_breaks["tiers"], len(given_breaks["tiers"]))}
    one, other = buy(measured, breaks=given_breaks), buy(measured, breaks=mixed)
    assert one == other
    assert one.steps == other.steps
    assert_purchase(one)


@given(MEASURED, MEASURED, breaks("each_tier"))
def test_by_each_tier_more_never_costs_less(one: float, other: float, given_breaks: dict[str, Any]) -> None:
    less, more = (buy(measured, breaks=given_breaks) for measured in sorted((one, other)))
    assert less.total_minor <= more.total_minor


@given(MEASURED, breaks("each_tier"))
def test_the_tiers_hold_the_whole_quantity_once(measured: float, given_breaks: dict[str, Any]) -> None:
    found = buy(measured, breaks=given_breaks)
    assert sum(one.quantity for one in found.charges) == found.quantity


@given(MEASURED, tiers(falling=True))
def test_falling_prices_cost_no_more_for_the_whole_quantity_than_by_each_tier(
    measured: float, falling: list[dict[str, str]]
) -> None:
    price = max((tier["unit_price"] for tier in falling), key=Decimal)
    by_each, by_whole = (
        buy(measured, price, breaks={"apply": apply, "tiers": falling})
        for apply in ("each_tier", "whole_quantity")
    )
    assert by_whole.total_minor <= by_each.total_minor + len(by_each.charges)


@given(st.integers(1, 60), st.integers(1, 20), tiers(), st.none() | DELIVERIES, st.booleans())
@settings(max_examples=60, deadline=None)
def test_the_hint_is_the_first_larger_order_that_costs_less(
    loads: int,
    size: int,
    given_tiers: list[dict[str, str]],
    delivery: dict[str, Any] | None,
    surcharged: bool,
) -> None:
    terms = terms_of(
        increment=str(size), breaks={"apply": "whole_quantity", "tiers": given_tiers}, delivery=delivery,
        surcharges=[{"name": "Fuel", "percent": "7.5", "on": "both"}] if surcharged else [],
    )  # fmt: skip

    def total(count: int) -> int:
        return buy_by(terms, float(count * size)).total_minor

    last = max(float(tier["from_quantity"]) for tier in given_tiers)
    larger = range(loads + 1, int(last / size) + 2)
    expected = next((count * size for count in larger if total(count) < total(loads)), None)
    hint = cheaper(buy_by(terms, float(loads * size)), terms)
    assert (hint.purchase.quantity if hint else None) == expected
    if hint:
        assert hint.saved_minor == total(loads) - hint.purchase.total_minor > 0
        assert_purchase(hint.purchase)


def test_counted_units_are_hinted_whole() -> None:
    terms = terms_of(
        breaks={"apply": "whole_quantity", "tiers": [{"from_quantity": "9.5", "unit_price": "50"}]}
    )
    found = price_purchase(
        measured=8.2, unit="pallet", counted=True, waste_percent=Decimal(0), unit_price=Decimal(60), terms=terms,
        currency="USD",
    )  # fmt: skip
    hint = cheaper_to_buy_more(found, counted=True, unit_price=Decimal(60), terms=terms)
    assert hint is not None
    assert (found.quantity, hint.purchase.quantity, hint.saved_minor) == (9, 10, 4_000)


@pytest.mark.parametrize("apply", ["each_tier", "whole_quantity"])
def test_tiers_dearer_with_quantity_are_priced_as_stated(apply: str) -> None:
    terms = terms_of(breaks={"apply": apply, "tiers": [{"from_quantity": "10", "unit_price": "5"}]})
    assert buy_by(terms, 20, "4").total_minor == (9_000 if apply == "each_tier" else 10_000)
    assert cheaper(buy_by(terms, 9, "4"), terms, "4") is None
