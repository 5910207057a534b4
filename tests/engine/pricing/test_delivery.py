"""Delivery by whole loads, by mass and distance, and by zone."""

from decimal import Decimal
from typing import Any

import pytest
from buying import DELIVERIES, MEASURED, PRICES, buy, buy_by, decimals, terms_of
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_charge, assert_purchase
from swardcost_api.engine.pricing.charge import Charge, Part

BY_LOAD = {"by": "load", "load_size": "22", "charge": "145"}
TON_MILES = {
    "by": "mass_distance",
    "rate": "0.28",
    "mass_unit": "short_ton",
    "distance": {"value": "34", "unit": "mile"},
}
ZONES = {
    "by": "zone", "zone": "Zone 2", "zones": [{"name": "Zone 1", "charge": "90"}, {"name": "Zone 2", "charge": "160"}],
}  # fmt: skip


def delivered(measured: float, delivery: dict[str, Any], **figures: Any) -> Charge:
    """The delivery charge of so much sand."""
    found = buy_by(terms_of(delivery=delivery), measured, **figures)
    (charge,) = [one for one in found.charges if one.part == Part.DELIVERY]
    assert_purchase(found)
    return charge


@pytest.mark.parametrize(
    ("measured", "loads", "words"),
    [(198, 9, "Delivery, 9 loads"), (198.01, 10, "Delivery, 10 loads"), (0.5, 1, "Delivery, 1 load")],
)
def test_loads_are_charged_whole(measured: float, loads: int, words: str) -> None:
    charge = delivered(measured, BY_LOAD)
    assert (charge.quantity, charge.unit, charge.words, charge.price) == (loads, "load", words, 145)
    assert charge.amount_minor == loads * 14_500


def test_mass_and_distance_make_ton_miles() -> None:
    charge = delivered(100, TON_MILES)
    assert (charge.quantity, charge.unit, charge.amount_minor) == (3_400, "short_ton_mile", 95_200)
    assert (charge.words, charge.price) == ("Delivery over 34 miles", Decimal("0.28"))


def test_a_volume_is_carried_by_the_mass_of_one() -> None:
    charge = delivered(100, TON_MILES, unit="cubic_yard", mass_of_one=Decimal("1.35"))
    assert (charge.quantity, charge.amount_minor) == (4_590, 128_520)
    assert [(step.name, step.value) for step in charge.steps][-3:] == [
        ("mass", 135), ("mass times distance", 4_590), ("amount", 1_285.2)
    ]  # fmt: skip


def test_a_short_haul_costs_its_least_charge() -> None:
    charge = delivered(3, TON_MILES | {"least": "75"})
    assert (charge.quantity, charge.unit, charge.amount_minor) == (1, "each", 7_500)
    assert charge.words == "Delivery over 34 miles, least charge"
    assert delivered(100, TON_MILES | {"least": "75"}).amount_minor == 95_200


def test_a_zone_is_charged_for_the_order_or_for_each_load() -> None:
    by_order = delivered(60, ZONES)
    assert (by_order.quantity, by_order.words, by_order.amount_minor) == (1, "Delivery, Zone 2", 16_000)
    by_load = delivered(60, ZONES | {"load_size": "22"})
    assert (by_load.quantity, by_load.words, by_load.amount_minor) == (3, "Delivery, Zone 2, 3 loads", 48_000)


def test_loads_are_those_of_what_is_bought_not_of_what_is_needed() -> None:
    found = buy(187.3, increment="22", increment_name="load", delivery=BY_LOAD | {"load_size": "24"})
    assert found.quantity == 198
    assert found.charges[-1].quantity == 9


def test_nothing_bought_is_not_delivered() -> None:
    assert [one.part for one in buy(0, delivery=ZONES).charges] == [Part.PRICE]


@pytest.mark.parametrize("mass", [None, Decimal(0), Decimal(-1), Decimal("nan"), Decimal("inf")])
def test_a_mass_that_is_missing_or_makes_no_sense_is_refused(mass: Decimal | None) -> None:
    with pytest.raises(ValueError, match="mass of one: expected"):
        buy_by(terms_of(delivery=TON_MILES), 100, unit="cubic_yard", mass_of_one=mass)


@given(MEASURED, MEASURED, DELIVERIES)
def test_more_is_never_delivered_for_less(one: float, other: float, delivery: dict[str, Any]) -> None:
    less, more = (buy(measured, "0", delivery=delivery) for measured in sorted((one, other)))
    assert less.total_minor <= more.total_minor
    assert_purchase(more)


@given(st.integers(1, 200_000), decimals("0.1", "60", 1), PRICES)
def test_the_loads_hold_all_that_is_bought_and_none_is_empty(hundredths: int, size: str, charge: str) -> None:
    found = delivered(hundredths / 100, {"by": "load", "load_size": size, "charge": charge})
    assert (found.quantity - 1) * Decimal(size) < Decimal(hundredths) / 100 <= found.quantity * Decimal(size)
    assert_charge(found)
