"""A line's purchase quantity and amount can be redone by hand."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.pricing.lines import price_line, purchase_quantity

NO_WASTE = Decimal(0)
PRICES = st.decimals(0, 10_000, places=4)
MEASURED = st.floats(0, 1e6, allow_nan=False)


@given(MEASURED, st.decimals(0, 50, places=2), st.booleans(), PRICES)
def test_quantity_times_price_is_the_amount_to_the_cent(
    measured: float, waste: Decimal, counted: bool, price: Decimal
) -> None:
    line = price_line(measured, "short_ton", counted, waste, price, "USD")
    assert line.amount_minor is not None
    by_hand = (line.quantity * price).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(line.amount_minor) / 100 == by_hand


@given(MEASURED, MEASURED, st.booleans())
def test_more_measured_never_costs_less(one: float, other: float, counted: bool) -> None:
    small, large = sorted((one, other))
    price = Decimal("3.10")
    assert (
        price_line(small, "load", counted, NO_WASTE, price, "USD").amount_minor
        <= price_line(large, "load", counted, NO_WASTE, price, "USD").amount_minor  # type: ignore[operator]
    )


@pytest.mark.parametrize(
    ("measured", "waste", "counted", "quantity"),
    [(74.2, "0", True, "75"), (75.0000000001, "0", True, "75"), (75.001, "0", True, "76"), (0, "0", True, "0"),
     (10, "5", True, "11"), (1.005, "0", False, "1.01"), (100, "7.5", False, "107.50"), (1 / 3, "0", False, "0.33")],
)  # fmt: skip
def test_counted_units_round_up_and_others_to_a_hundredth(
    measured: float, waste: str, counted: bool, quantity: str
) -> None:
    assert purchase_quantity(measured, Decimal(waste), counted)[0] == Decimal(quantity)


def test_amounts_round_to_the_minor_unit_of_the_currency() -> None:
    price = Decimal("1.2345")
    assert price_line(1, "each", True, NO_WASTE, price, "USD").amount_minor == 123
    assert price_line(1, "each", True, NO_WASTE, price, "JPY").amount_minor == 1
    assert price_line(1, "each", True, NO_WASTE, price, "KWD").amount_minor == 1235


def test_a_line_without_a_price_has_a_quantity_and_no_amount() -> None:
    line = price_line(12.5, "short_ton", False, NO_WASTE, None, "USD")
    assert (line.quantity, line.amount_minor) == (Decimal("12.50"), None)


@pytest.mark.parametrize("measured", [-1.0, float("nan"), float("inf"), 1e12])
def test_a_quantity_that_cannot_be_meant_is_refused(measured: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        price_line(measured, "each", True, NO_WASTE, Decimal(1), "USD")


def test_an_amount_that_no_ledger_holds_is_refused() -> None:
    with pytest.raises(ValueError, match="expected an amount"):
        price_line(9e11, "each", True, NO_WASTE, Decimal(999_999_999_999), "USD")


def test_the_steps_hold_the_quantity_and_the_amount_with_their_inputs() -> None:
    line = price_line(100, "short_ton", False, Decimal("7.5"), Decimal("38.50"), "USD")
    quantity, amount = line.steps
    assert (quantity.value, quantity.unit) == (107.5, "short_ton")
    assert [(i.name, i.value) for i in quantity.inputs] == [("measured", 100), ("waste", 7.5)]
    assert (amount.value, amount.unit) == (4138.75, "USD")


@pytest.mark.parametrize(
    ("measured", "counted", "unit", "bought"),
    [
        (0.0023, False, "acre", ("0.0023", "half up to 0.0001")),
        (0.44444, False, "hectare", ("0.4444", "half up to 0.0001")),
        (0.00001, False, "acre", ("0.0001", "up to the least of 0.0001")),
        (0.001, False, "hour", ("0.01", "up to the least of 0.01")),
        (1e-9, True, "load", ("1", "up to the next whole")),
        (0.12499999999999999, False, "short_ton", ("0.13", "half up to 0.01")),
    ],
)
def test_small_amounts_of_large_units_are_not_rounded_away(
    measured: float, counted: bool, unit: str, bought: tuple[str, str]
) -> None:
    quantity, rounding = purchase_quantity(measured, NO_WASTE, counted, unit)
    assert (str(quantity), rounding) == bought


def test_the_amount_step_says_the_amount_that_is_printed_and_where_its_price_is_from() -> None:
    amount = price_line(3, "hour", False, NO_WASTE, Decimal("1.115"), "USD", "quote of May").steps[-1]
    assert (amount.value, amount.source) == (3.35, "quote of May")
