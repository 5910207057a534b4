"""A whole purchase: every charge printed, summed and able to be redone."""

from decimal import Decimal

import pytest
from buying import MEASURED, SOURCE, any_terms, buy, buy_by, printed, terms_of
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_charge import assert_purchase
from swardcost_api.engine.pricing.charge import Part
from swardcost_api.engine.pricing.lines import price_line
from swardcost_model.price_terms import PurchaseTerms

CURRENCIES = st.sampled_from(["USD", "JPY", "KWD"])
PRICE = st.decimals(0, 500, places=4)


def test_a_delivered_order_is_itemised_and_sums() -> None:
    terms = terms_of(
        increment="22", increment_name="load",
        breaks={"apply": "each_tier", "tiers": [{"from_quantity": "150", "unit_price": "34"}]},
        minimum_charge="7500", delivery={"by": "load", "load_size": "22", "charge": "145"},
        surcharges=[
            {"name": "Fuel", "percent": "8.5", "on": "delivery"}, {"name": "Scale ticket", "per_order": "4.995"}
        ],
    )  # fmt: skip
    found = buy_by(terms, 187.3, waste_percent=Decimal(5))
    assert (found.quantity, found.rounding) == (198, "up to whole loads of 22")
    assert printed(found) == [
        ("first 150", "150 short_ton", "38.5", 577_500),
        ("beyond 150", "48 short_ton", "34", 163_200),
        ("Up to the minimum charge", "1 each", "93", 9_300),
        ("Delivery, 9 loads", "9 load", "145", 130_500),
        ("Fuel, 8.5 % of delivery", "1 each", "110.93", 11_093),
        ("Scale ticket", "1 each", "4.995", 500),
    ]
    assert found.total_minor == 892_093
    assert found.steps[-1].formula == (
        "price 1 + price 2 + minimum charge + delivery + surcharge 1 + surcharge 2"
    )
    assert_purchase(found)


def test_the_minimum_charge_is_made_up_to_and_no_further() -> None:
    assert printed(buy(2, minimum_charge="100"))[1] == ("Up to the minimum charge", "1 each", "23", 2_300)
    assert len(buy(2, minimum_charge="77").charges) == 1
    assert buy(2, minimum_charge="77.004").total_minor == 7_700


def test_what_is_free_is_a_charge_of_zero() -> None:
    assert printed(buy(12, "0")) == [("", "12 short_ton", "0", 0)]


def test_a_price_keeps_the_source_it_is_given() -> None:
    assert buy(12).charges[0].steps[-1].source == SOURCE


@given(MEASURED, st.integers(0, 30), st.booleans(), PRICE)
def test_without_terms_it_is_the_line_it_always_was(
    measured: float, waste: int, counted: bool, price: Decimal
) -> None:
    found = buy_by(
        PurchaseTerms(), measured, unit="pallet", counted=counted, waste_percent=Decimal(waste), unit_price=price
    )  # fmt: skip
    line = price_line(measured, "pallet", counted, Decimal(waste), price, "USD", SOURCE)
    (charge,) = found.charges
    assert (charge.quantity, charge.rounding, found.total_minor) == (
        line.quantity, line.rounding, line.amount_minor
    )  # fmt: skip
    assert [(s.name, s.value, s.unit, s.formula, s.inputs) for s in charge.steps] == [
        (s.name, s.value, s.unit, s.formula, s.inputs) for s in line.steps
    ]


@given(MEASURED, st.integers(0, 30), any_terms(), PRICE, st.integers(0, 100), CURRENCIES, st.booleans())
@settings(max_examples=100, deadline=None)
def test_whatever_the_terms_everything_printed_sums_and_can_be_redone(
    measured: float,
    waste: int,
    terms: PurchaseTerms,
    price: Decimal,
    weekend: int,
    currency: str,
    counted: bool,
) -> None:
    found = buy_by(
        terms, measured, counted=counted, waste_percent=Decimal(waste), unit_price=price, currency=currency,
        weekend_percent=Decimal(weekend),
    )  # fmt: skip
    assert_purchase(found)
    needed = Decimal(str(measured)) * (100 + waste) / 100
    assert found.quantity >= needed - Decimal("0.005")
    assert found.quantity == sum(one.quantity for one in found.charges if one.part == Part.PRICE)
    if terms.increment is not None:
        assert found.quantity % terms.increment == 0
    if needed and terms.minimum_order is not None:
        assert found.quantity >= terms.minimum_order
    if not needed:
        assert found.total_minor == 0


@given(MEASURED, any_terms(), st.integers(0, 30))
@settings(max_examples=25, deadline=None)
def test_the_same_purchase_gives_the_same_figures(measured: float, terms: PurchaseTerms, waste: int) -> None:
    one, other = (buy_by(terms, measured, waste_percent=Decimal(waste)) for _ in range(2))
    assert one == other
    assert one.steps == other.steps


@pytest.mark.parametrize(
    ("figures", "named"),
    [
        ({"waste_percent": Decimal(-1)}, "waste percent"), ({"waste_percent": Decimal("nan")}, "waste percent"),
        ({"unit_price": Decimal("-0.01")}, "unit price"), ({"unit_price": Decimal("inf")}, "unit price"),
        ({"currency": "XXX"}, "currency"),
    ],
)  # fmt: skip
def test_figures_that_make_no_sense_are_refused(figures: dict[str, object], named: str) -> None:
    with pytest.raises(ValueError, match=f"{named}: expected"):
        buy_by(PurchaseTerms(), 10, **figures)


def test_an_amount_that_no_ledger_holds_is_refused() -> None:
    with pytest.raises(ValueError, match="expected an amount"):
        buy_by(PurchaseTerms(), 9e11, "999999")
    with pytest.raises(ValueError, match="expected an amount"):
        buy(6e11, "1", surcharges=[{"name": "Double", "percent": "100"}])
