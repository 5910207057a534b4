"""What is bought of a measured need: never less than it, in whole increments, and at least the minimum order."""

from decimal import Decimal
from typing import Any

import pytest
from buying import MEASURED, decimals, terms_of
from hypothesis import given
from hypothesis import strategies as st
from printed_charge import assert_steps
from swardcost_api.engine.pricing.bought import Bought, least_bought_from, plural, quantity_bought
from swardcost_api.engine.pricing.lines import purchase_quantity

LOADS = {"increment": "22", "increment_name": "load"}
NO_WASTE = Decimal(0)


def bought(
    measured: float, *, waste: str = "0", unit: str = "short_ton", counted: bool = False, **fields: Any
) -> Bought:
    return quantity_bought(
        measured=measured, unit=unit, counted=counted, waste_percent=Decimal(waste), terms=terms_of(**fields)
    )


@pytest.mark.parametrize(
    ("measured", "fields", "quantity", "rounding"),
    [
        (187.3, LOADS, "198", "up to whole loads of 22"),
        (198, LOADS, "198", "up to whole loads of 22"),
        (198.0000000001, LOADS, "198", "up to whole loads of 22"),
        (198.01, LOADS, "220", "up to whole loads of 22"),
        (0.001, LOADS, "22", "up to whole loads of 22"),
        (40, LOADS | {"minimum_order": "50"}, "66", "up to whole loads of 22, at least 50"),
        (61, LOADS | {"minimum_order": "50"}, "66", "up to whole loads of 22"),
        (7, {"increment": "2.5"}, "7.5", "up to whole multiples of 2.5"),
        (1100, {"increment": "1000", "increment_name": "box"}, "2000", "up to whole boxes of 1,000"),
        (12, {"minimum_order": "20"}, "20", "up to the minimum order of 20"),
        (20.004, {"minimum_order": "20"}, "20.00", "half up to 0.01"),
        (33.335, {"minimum_order": "20"}, "33.34", "half up to 0.01"),
    ],
)  # fmt: skip
def test_increments_and_the_least_order_decide_and_say_so(
    measured: float, fields: dict[str, str], quantity: str, rounding: str
) -> None:
    found = bought(measured, **fields)
    assert (found.quantity, found.rounding) == (Decimal(quantity), rounding)
    assert_steps(found.steps)


def test_the_steps_lead_from_what_is_measured_through_waste_and_loads() -> None:
    found = bought(187.3, waste="5", minimum_order="50", **LOADS)
    assert [(step.name, step.value, step.unit) for step in found.steps] == [
        ("quantity needed", 196.665, "short_ton"), ("increments", 9, "load"), ("purchase quantity", 198, "short_ton")
    ]  # fmt: skip
    assert_steps(found.steps)


def test_units_bought_whole_stay_whole_above_a_minimum_with_a_fraction() -> None:
    found = bought(1.2, unit="pallet", counted=True, minimum_order="2.5")
    assert found.quantity == 3
    assert_steps(found.steps)


@pytest.mark.parametrize("fields", [{}, LOADS, {"minimum_order": "50"}, LOADS | {"minimum_order": "50"}])
def test_where_nothing_is_needed_nothing_is_bought(fields: dict[str, str]) -> None:
    found = bought(0, waste="5", **fields)
    assert found.quantity == 0
    assert_steps(found.steps)


@pytest.mark.parametrize("measured", [-1.0, float("nan"), float("inf"), 1e12, 9.9e11])
def test_a_need_that_cannot_be_meant_is_refused(measured: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        bought(measured, waste="10", increment="22")


@given(MEASURED, st.integers(0, 30), decimals("0.1", "50", 1), st.none() | decimals("0.1", "400", 1))
def test_whole_increments_hold_the_need_and_no_increment_too_many(
    measured: float, waste: int, increment: str, minimum: str | None
) -> None:
    found = bought(measured, waste=str(waste), increment=increment, minimum_order=minimum)
    need = max(
        Decimal(str(measured)) * (100 + waste) / 100, Decimal(minimum or 0) if measured else Decimal(0)
    )
    assert found.quantity % Decimal(increment) == 0
    assert found.quantity >= need
    assert found.quantity - Decimal(increment) < need or not need
    assert_steps(found.steps)


@given(MEASURED, st.integers(0, 30), st.booleans(), st.none() | decimals("0.1", "400", 1))
def test_without_increments_a_line_is_rounded_as_ever_and_never_below_its_minimum(
    measured: float, waste: int, counted: bool, minimum: str | None
) -> None:
    unit = "pallet" if counted else "short_ton"
    found = bought(measured, waste=str(waste), unit=unit, counted=counted, minimum_order=minimum)
    usual = purchase_quantity(measured, Decimal(waste), counted, unit)
    if minimum is None or not measured or usual[0] >= Decimal(minimum):
        assert (found.quantity, found.rounding) == usual
    else:
        assert found.quantity >= Decimal(minimum) > usual[0]
    assert not counted or found.quantity == found.quantity.to_integral_value()
    assert_steps(found.steps)


def test_a_small_part_of_an_acre_is_not_rounded_away() -> None:
    assert bought(0.0023, unit="acre", minimum_order="0.001").quantity == Decimal("0.0023")


@pytest.mark.parametrize(
    ("start", "counted", "fields", "quantity"),
    [("100", False, LOADS, "110"), ("110", False, LOADS, "110"), ("100.5", True, {}, "101"),
     ("100.123456", False, {}, "100.123456")],
)  # fmt: skip
def test_the_least_bought_from_a_quantity_on(
    start: str, counted: bool, fields: dict[str, str], quantity: str
) -> None:
    found = least_bought_from(Decimal(start), unit="short_ton", counted=counted, terms=terms_of(**fields))
    assert found.quantity == Decimal(quantity)
    assert_steps(found.steps)


@pytest.mark.parametrize(
    ("one", "many"), [("load", "loads"), ("box", "boxes"), ("bunch", "bunches"), ("foot", "feet")]
)
def test_plurals_read_as_the_trade_writes_them(one: str, many: str) -> None:
    assert plural(one) == many
