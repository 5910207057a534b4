"""A line of an estimate: from a measured quantity to a purchase quantity to an amount."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from swardcost_model.values import MAX_DIGITS, from_minor, to_minor

from swardcost_api.engine.derivation import Input, Step

MEASURED_PLACES = Decimal("0.01")
_FINE_PLACES = Decimal("0.0001")
_LARGE_UNITS = frozenset({"acre", "hectare", "acre_inch", "acre_foot", "kilometer", "mile"})
"""Units so large that a hundredth of one is money; bought to a ten-thousandth."""
_DUST = Decimal("0.000001")
"""A measured count this little above a whole number is that whole number: binary dust, not a part load."""

BEYOND = Decimal(10) ** MAX_DIGITS
"""Quantities and amounts from here on are a mistake in the input; no answer of the service could hold them."""


@dataclass(frozen=True, slots=True)
class PricedLine:
    """Purchase quantity, its rounding rule, and the amount in minor units (`None` without a price)."""

    quantity: Decimal
    rounding: str
    amount_minor: int | None
    steps: tuple[Step, ...]


def purchase_quantity(
    measured: float, waste_percent: Decimal, counted: bool, unit: str = ""
) -> tuple[Decimal, str]:
    """What is bought for a measured quantity in the purchase unit, and the rule by which it is rounded.

    The measured figure counts as it is printed, to twelve digits. Counted units (loads, pallets, rolls,
    visits) are bought whole, so they round up; everything else rounds half up to 0.01 of its unit, or to
    0.0001 of acres and other large units. What is measured at all is never rounded away to nothing.
    """
    exact = Decimal(f"{measured:.12g}") * (1 + waste_percent / 100)
    if counted:
        whole = max((exact - _DUST).quantize(Decimal(1), ROUND_CEILING), Decimal(1 if exact else 0))
        return whole, "up to the next whole"
    places = _FINE_PLACES if unit in _LARGE_UNITS else MEASURED_PLACES
    rounded = exact.quantize(places, ROUND_HALF_UP)
    if exact and not rounded:
        return places, f"up to the least of {places}"
    return rounded, f"half up to {places}"


def price_line(
    measured: float,
    unit: str,
    counted: bool,
    waste_percent: Decimal,
    unit_price: Decimal | None,
    currency: str,
    price_source: str = "",
) -> PricedLine:
    """Price a measured quantity: quantity x unit price, rounded half up to the currency's minor unit.

    `price_source` says in words where the unit price comes from.

    Raises `ValueError` where the quantity or the amount is too large to be meant.
    """
    if not 0 <= measured < 1e12:
        raise ValueError("expected a quantity of zero or more and below 1,000,000,000,000")
    quantity, rounding = purchase_quantity(measured, waste_percent, counted, unit)
    if quantity >= BEYOND:
        raise ValueError("expected a quantity with waste below 1,000,000,000,000")
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
    if quantity * unit_price >= BEYOND - 1:
        raise ValueError("expected an amount that a club could pay, below 1,000,000,000,000")
    amount_minor = to_minor(quantity * unit_price, currency)
    amount = float(from_minor(amount_minor, currency))
    steps.append(
        Step(
            "amount", amount, currency, "purchase quantity x unit price, rounded half up to the minor unit",
            (
                Input("purchase quantity", float(quantity), unit),
                Input("unit price", float(unit_price), f"{currency} per {unit}"),
            ),
            price_source,
        )
    )  # fmt: skip
    return PricedLine(quantity, rounding, amount_minor, tuple(steps))
