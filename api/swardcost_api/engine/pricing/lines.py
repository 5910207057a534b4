"""A line of an estimate: from a measured quantity to a purchase quantity to an amount."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from swardcost_model.values import to_minor

from swardcost_api.engine.derivation import Input, Step

MEASURED_PLACES = Decimal("0.01")
_DUST = Decimal("0.000001")
"""A measured count this little above a whole number is that whole number: binary dust, not a part load."""

LARGEST_MINOR = 10**17
"""Amounts beyond this many minor units are a mistake in the input, and would not fit the ledger."""


@dataclass(frozen=True, slots=True)
class PricedLine:
    """Purchase quantity, its rounding rule, and the amount in minor units (`None` without a price)."""

    quantity: Decimal
    rounding: str
    amount_minor: int | None
    steps: tuple[Step, ...]


def purchase_quantity(measured: float, waste_percent: Decimal, counted: bool) -> tuple[Decimal, str]:
    """What is bought for a measured quantity in the purchase unit, and the rule by which it is rounded.

    Counted units (loads, pallets, rolls, visits) are bought whole, so they round up; everything else
    rounds half up to 0.01 of its unit.
    """
    exact = Decimal(repr(measured)) * (1 + waste_percent / 100)
    if counted:
        whole = (exact - _DUST).quantize(Decimal(1), ROUND_CEILING)
        return max(whole, Decimal(0)), "up to the next whole"
    return exact.quantize(MEASURED_PLACES, ROUND_HALF_UP), "half up to 0.01"


def price_line(
    measured: float,
    unit: str,
    counted: bool,
    waste_percent: Decimal,
    unit_price: Decimal | None,
    currency: str,
) -> PricedLine:
    """Price a measured quantity: quantity x unit price, rounded half up to the currency's minor unit.

    Raises `ValueError` where the quantity or the amount is too large to be meant.
    """
    if not 0 <= measured < 1e12:
        raise ValueError("expected a quantity of zero or more and below 1,000,000,000,000")
    quantity, rounding = purchase_quantity(measured, waste_percent, counted)
    inputs = [Input("measured", measured, unit)]
    formula = "measured"
    if waste_percent:
        inputs.append(Input("waste", float(waste_percent), "percent"))
        formula = "measured x (1 + waste / 100)"
    steps = [
        Step("purchase quantity", float(quantity), unit, f"{formula}, rounded {rounding}", tuple(inputs))
    ]
    if unit_price is None:
        return PricedLine(quantity, rounding, None, tuple(steps))
    amount_minor = to_minor(quantity * unit_price, currency)
    if amount_minor > LARGEST_MINOR:
        raise ValueError("expected an amount that a club could pay")
    amount = float(quantity * unit_price)
    steps.append(
        Step(
            "amount", amount, currency, "purchase quantity x unit price, rounded half up to the minor unit",
            (
                Input("purchase quantity", float(quantity), unit),
                Input("unit price", float(unit_price), f"{currency} per {unit}"),
            ),
        )
    )  # fmt: skip
    return PricedLine(quantity, rounding, amount_minor, tuple(steps))
