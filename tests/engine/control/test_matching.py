"""Three-way matching of an ordered line."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from swardcost_api.engine.control.matching import (
    Billed,
    Match,
    Ordered,
    Tolerances,
    in_order_unit,
    match_line,
    not_ordered,
    value_of,
)
from swardcost_api.units import UNITS, exact_ratio
from swardcost_model.commitments import GapKind

TONS = st.decimals(0, 5000, places=2)
PRICES = st.decimals(0, 500, places=3)
NONE = Tolerances()


def bill(quantity: str | Decimal, price: str | Decimal) -> Billed:
    return Billed(Decimal(quantity), Decimal(price), value_of(Decimal(quantity), Decimal(price), "USD"))


def sand(
    ordered: str, received: str, *billings: Billed, price: str = "40.50", within: Tolerances = NONE
) -> Match:
    return match_line(Ordered(Decimal(ordered), Decimal(price)), Decimal(received), billings, within, "USD")


def told(match: Match) -> list[tuple[str, str | None, int, bool]]:
    return [
        (one.gap.value, None if one.quantity is None else f"{one.quantity:f}", one.amount_minor, one.within)
        for one in match.differences
    ]


def test_what_agrees_three_ways_has_no_difference() -> None:
    match = sand("82", "82", bill("82", "40.50"))
    assert (match.differences, match.agrees, match.to_come_minor) == ((), True, 0)


def test_each_difference_is_named_with_its_quantity_and_money() -> None:
    assert told(sand("100", "78", bill("82", "40.50"))) == [
        ("billed_more_than_received", "4.00", 16200, False)
    ]
    assert told(sand("80", "90", bill("90", "40.50"))) == [
        ("billed_more_than_ordered", "10.00", 40500, False), ("received_more_than_ordered", "10", 40500, False)
    ]  # fmt: skip
    assert told(sand("100", "82", bill("80", "40.50"))) == [("received_not_billed", "2.00", 8100, False)]
    assert told(sand("82", "82", bill("82", "41.65"))) == [("price_above_order", "82.00", 9430, False)]
    assert told(sand("82", "82", bill("82", "40.25"))) == [("price_below_order", "82.00", 2050, False)]


def test_goods_that_no_invoice_names_yet_are_no_disagreement() -> None:
    assert sand("100", "82", bill("80", "40.50")).agrees
    assert not sand("100", "78", bill("82", "40.50")).agrees


def test_a_credit_of_money_puts_a_price_right_without_changing_the_quantity() -> None:
    dearer = bill("82", "41.65")
    half, whole = Billed(None, None, -4715), Billed(None, None, -9430)
    assert told(sand("82", "82", dearer, half)) == [("price_above_order", "82.00", 4715, False)]
    assert told(sand("82", "82", dearer, whole)) == []


def test_a_credited_quantity_takes_the_bill_back() -> None:
    back = Billed(Decimal("-4"), Decimal("40.50"), -16200)
    assert told(sand("100", "78", bill("82", "40.50"), back)) == []


def test_a_lump_sum_is_matched_by_money_alone() -> None:
    order = Ordered(Decimal(1), Decimal("12000.00"), lump_sum=True)
    match = match_line(order, Decimal("0.5"), [Billed(None, None, 650000)], NONE, "USD")
    assert told(match) == [("billed_more_than_received", None, 50000, False)]
    assert (match.received_minor, match.to_come_minor, match.price_difference_minor) == (600000, 550000, 0)
    extra = match_line(order, Decimal(1), [Billed(None, None, 1300000)], NONE, "USD")
    assert [one[:3] for one in told(extra)] == [
        ("billed_more_than_received", None, 100000), ("billed_more_than_ordered", None, 100000)
    ]  # fmt: skip


@pytest.mark.parametrize(("billed", "within"), [("102", True), ("102.000001", False), ("101.99", True)])
def test_a_quantity_exactly_at_its_percentage_is_within(billed: str, within: bool) -> None:
    match = sand("200", "100", bill(billed, "40.50"), within=Tolerances(quantity_percent=Decimal(2)))
    assert [one.within for one in match.differences] == [within]
    assert match.agrees is within


@pytest.mark.parametrize(
    ("price", "within"), [("41.3100", True), ("41.310001", False), ("39.69", True), ("39.6899", False)]
)
@pytest.mark.parametrize("quantity", ["0.335", "10.33", "1234.567"])
def test_a_price_exactly_at_its_percentage_is_within_whatever_the_cents(
    price: str, within: bool, quantity: str
) -> None:
    match = sand("2000", quantity, bill(quantity, price), within=Tolerances(price_percent=Decimal(2)))
    assert [one.within for one in match.differences if one.gap.value.startswith("price")] == [within]


@pytest.mark.parametrize(("amount", "within"), [(16200, True), (16199, False), (0, False)])
def test_a_difference_up_to_the_amount_is_within_whatever_its_percentage(amount: int, within: bool) -> None:
    match = sand("100", "78", bill("82", "40.50"), within=Tolerances(amount_minor=amount))
    assert [one.within for one in match.differences] == [within]


def test_what_was_not_ordered_is_tolerated_up_to_the_amount_alone() -> None:
    tolerances = Tolerances(Decimal(50), Decimal(50), 2500)
    within, outside = not_ordered([2500, 0, 2501], tolerances, 0)
    assert (within.within, outside.within, outside.gap) == (True, False, GapKind.NOT_ORDERED)


def test_what_is_billed_beside_the_lines_may_be_as_much_as_the_tax_on_them() -> None:
    tolerances = Tolerances(tax_percent=Decimal("6.5"))
    tax = tolerances.tax_on([2765700, 100001, -5000])
    assert tax == 179771 + 6501  # 1,797.705 and 65.00065, each up; a credit note allows none
    assert all(one.within for one in not_ordered([tax - 1000, 1000], tolerances, tax))
    assert not any(one.within for one in not_ordered([tax - 1000, 1001], tolerances, tax))


BILLINGS = st.lists(st.builds(bill, TONS, PRICES), max_size=4)


@given(TONS, PRICES, TONS, BILLINGS, st.booleans())
@example(
    Decimal("82"),
    Decimal("40.505"),
    Decimal("82.01"),
    [bill("40.01", "40.505"), bill("41.99", "40.505")],
    False,
)
@settings(max_examples=80)
def test_the_sums_of_a_line_add_up_to_the_cent(
    quantity: Decimal, price: Decimal, received: Decimal, billings: list[Billed], lump: bool
) -> None:
    match = match_line(Ordered(quantity, price, lump), received, billings, NONE, "USD")
    assert match.ordered_minor == int((quantity * price * 100).quantize(Decimal(1), ROUND_HALF_UP))
    assert match.billed_minor == sum(one.amount_minor for one in billings)
    assert (
        match.ordered_minor + match.over_minor + match.price_difference_minor
        == match.billed_minor + match.received_not_billed_minor + match.to_come_minor
    )
    assert min(match.received_not_billed_minor, match.to_come_minor, match.over_minor) >= 0
    assert match.to_come_minor == 0 or match.over_minor == 0
    if not lump:
        covered = max(received, match.billed)
        assert (match.to_come_minor > 0) <= (quantity > covered)
        assert (match.over_minor > 0) <= (covered > quantity)


@given(st.lists(TONS, min_size=1, max_size=6), PRICES)
@settings(max_examples=40)
def test_cents_of_rounding_are_no_difference_in_price(parts: list[Decimal], price: Decimal) -> None:
    match = match_line(
        Ordered(sum(parts, Decimal(0)), price),
        sum(parts, Decimal(0)),
        [bill(one, price) for one in parts],
        NONE,
        "USD",
    )
    assert match.differences == ()
    assert match.received_not_billed_minor == match.to_come_minor == match.over_minor == 0
    assert 2 * abs(match.price_difference_minor) <= len(parts) + 1


@given(st.decimals(0, 10**7, places=2))
@settings(max_examples=40)
def test_pounds_become_short_tons_exactly(pounds: Decimal) -> None:
    ratio = exact_ratio(UNITS["pound"], UNITS["short_ton"])
    assert ratio == Fraction(1, 2000)
    tons = in_order_unit(pounds, ratio)
    assert abs(Fraction(tons) * 2000 - Fraction(pounds)) <= Fraction(1, 1000)
    if pounds == pounds.to_integral_value() and int(pounds) % 10 == 0:
        assert tons * 2000 == pounds


def test_a_ticket_is_converted_and_rounded_half_up_once() -> None:
    assert in_order_unit(Decimal("44120"), Fraction(1, 2000)) == Decimal("22.06")
    assert in_order_unit(Decimal("0.001"), Fraction(1, 2000)) == Decimal("0.000001")
    assert in_order_unit(Decimal("-0.001"), Fraction(1, 2000)) == Decimal("-0.000001")
    kilograms = exact_ratio(UNITS["kilogram"], UNITS["short_ton"])
    assert kilograms == Fraction(50000, 45359237)  # NIST Handbook 44, Appendix C: 2000 x 0.45359237 kg
    assert in_order_unit(Decimal("20000"), kilograms) == Decimal("22.046226")
    assert exact_ratio(UNITS["minute"], UNITS["hour"]) == Fraction(1, 60)
    assert exact_ratio(UNITS["load"], UNITS["short_ton"]) is None
