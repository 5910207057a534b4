"""Surcharges on price and delivery, by unit and by order, always and at the weekend."""

from decimal import Decimal

import pytest
from buying import BANDS, MEASURED, buy, buy_by, decimals, surcharge_lists, terms_of
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_purchase
from swardcost_api.engine.pricing.charge import Charge, Part

BY_LOAD = {"by": "load", "load_size": "22", "charge": "145"}
FUEL = {"name": "Fuel", "percent": "8.5"}


def charged(surcharge: dict[str, str], weekend: str = "0", **fields: object) -> list[Charge]:
    """The surcharges on 100 short tons at 38.50, with five loads delivered for 725."""
    terms = terms_of(delivery=BY_LOAD, surcharges=[surcharge], **fields)
    found = buy_by(terms, 100, weekend_percent=Decimal(weekend))
    assert_purchase(found)
    return [one for one in found.charges if one.part == Part.SURCHARGE]


@pytest.mark.parametrize(
    ("on", "amount", "words"),
    [
        ("price", 32_725, "Fuel, 8.5 % of price"), ("delivery", 6_163, "Fuel, 8.5 % of delivery"),
        ("both", 38_888, "Fuel, 8.5 % of price and delivery"),
    ],
)  # fmt: skip
def test_a_percentage_is_charged_on_price_or_delivery_or_both(on: str, amount: int, words: str) -> None:
    (charge,) = charged(FUEL | {"on": on})
    assert (charge.quantity, charge.unit, charge.amount_minor, charge.words) == (1, "each", amount, words)


def test_a_percentage_of_the_price_counts_its_minimum_charge() -> None:
    (charge,) = charged(FUEL, minimum_charge="5000")
    assert charge.amount_minor == 42_500


def test_a_surcharge_does_not_rest_on_another() -> None:
    found = buy(100, surcharges=[FUEL, FUEL | {"name": "Again"}])
    assert [one.amount_minor for one in found.charges[1:]] == [32_725, 32_725]


def test_a_surcharge_by_unit_and_by_order() -> None:
    (by_unit,) = charged({"name": "Screening", "per_unit": "1.75"})
    assert (by_unit.quantity, by_unit.unit, by_unit.amount_minor) == (100, "short_ton", 17_500)
    (by_order,) = charged({"name": "Scale ticket", "per_order": "12.50"})
    assert (by_order.quantity, by_order.unit, by_order.amount_minor) == (1, "each", 1_250)


def test_weekend_surcharges_are_for_the_share_of_the_weekend() -> None:
    by_percent, by_unit, by_order = (
        {"name": "Saturday", "when": "weekend", kind: "10"} for kind in ("percent", "per_unit", "per_order")
    )
    assert charged(by_percent) == charged(by_unit) == charged(by_order) == []
    (charge,) = charged(by_percent, "30")
    assert (charge.amount_minor, charge.words) == (
        11_550, "Saturday, 10 % of price, for 30 % of the quantity"
    )  # fmt: skip
    (charge,) = charged(by_unit, "30")
    assert (charge.quantity, charge.amount_minor) == (30, 30_000)
    (charge,) = charged(by_order, "30")
    assert charge.amount_minor == 1_000
    assert charged(by_percent, "100")[0].amount_minor == 38_500


def test_a_surcharge_of_nothing_is_still_printed() -> None:
    (charge,) = charged({"name": "Fuel", "percent": "0"})
    assert charge.amount_minor == 0


def test_nothing_bought_bears_no_surcharge() -> None:
    found = buy(0, surcharges=[{"name": "Scale ticket", "per_order": "12.50"}])
    assert [one.part for one in found.charges] == [Part.PRICE]


@pytest.mark.parametrize("weekend", ["-1", "100.1", "nan", "inf"])
def test_a_weekend_share_that_is_none_is_refused(weekend: str) -> None:
    with pytest.raises(ValueError, match="weekend percent: expected zero or more, at most 100"):
        charged(FUEL, weekend)


@given(MEASURED, surcharge_lists(delivered=False), BANDS, st.integers(0, 100), st.integers(0, 100))
def test_more_at_the_weekend_never_costs_less(
    measured: float, surcharges: list[dict[str, str]], bands: dict[str, str], one: int, other: int
) -> None:
    terms = terms_of(surcharges=surcharges, bands=bands)
    less, more = (buy_by(terms, measured, weekend_percent=Decimal(share)) for share in sorted((one, other)))
    assert less.total_minor <= more.total_minor
    assert_purchase(more)


@given(MEASURED, decimals("0", "1000"), decimals("0", "500"))
def test_a_percentage_is_that_share_of_the_printed_price(measured: float, percent: str, price: str) -> None:
    found = buy(measured, price, surcharges=[{"name": "Fuel", "percent": percent}])
    if found.quantity:
        price_minor, surcharge_minor = (one.amount_minor for one in found.charges)
        assert abs(price_minor * Decimal(percent) / 100 - surcharge_minor) <= Decimal("0.5")
