"""Price and usage variances of published exercises; the source stands beside each check."""

from decimal import Decimal

import pytest
from swardcost_api.engine.pricing.bridge import BridgeLine, bridge


def a_line(unit: str, quantity: str, price: str) -> BridgeLine:
    amount = int(Decimal(quantity) * Decimal(price) * 100)
    return BridgeLine(
        ("scope", "MATERIAL", "price", "1"),
        "Work",
        "Material",
        unit,
        Decimal(quantity),
        Decimal(price),
        amount,
    )


@pytest.mark.parametrize(
    ("unit", "standard", "actual", "price_effect", "quantity_effect", "total"),
    [
        # Published accounting exercise (read): price 36,640 and usage 10,800 favourable, 47,440 in all.
        ("pound", ("185000", "6.00"), ("183200", "5.80"), -36_640, -10_800, -47_440),
        # Published accounting exercise (read): price 180 favourable, usage 138 unfavourable, 42 favourable in all.
        ("each", ("430", "6.90"), ("450", "6.50"), -180, 138, -42),
        # Published accounting text (read): usage against flexed output, 13,300 units x 4.5 at 1.10 are the standard;
        # price 3,000 favourable, usage 165 unfavourable.
        ("pound", (str(13_300 * Decimal("4.5")), "1.10"), ("60000", "1.05"), -3_000, 165, -2_835),
    ],
)
def test_price_and_usage_variances_of_published_accounting_exercises(
    unit: str,
    standard: tuple[str, str],
    actual: tuple[str, str],
    price_effect: int,
    quantity_effect: int,
    total: int,
) -> None:
    found = bridge([a_line(unit, *standard)], [a_line(unit, *actual)], [], [], "USD")
    assert found.totals == {
        "price": price_effect * 100, "quantity": quantity_effect * 100, "scope": 0, "markup_base": 0, "markup_rate": 0,
        "markup_added_or_removed": 0,
    }  # fmt: skip
    assert found.difference_minor == total * 100
