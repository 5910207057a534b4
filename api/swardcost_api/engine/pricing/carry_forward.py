"""Prices carried forward from one edition to the next: escalated by one factor, and rounded as prices are."""

from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pydantic import BaseModel
from swardcost_model.price_terms import (
    AmountByHour,
    Breaks,
    ByLoad,
    ByMassAndDistance,
    ByZone,
    Grade,
    HourlyRate,
    LaborBuildUp,
    MachineBuildUp,
    PercentOfWages,
    PremiumHours,
    PriceTier,
    PurchaseTerms,
    QuantityBands,
    RentalFuel,
    RentalPeriod,
    RentalTerms,
    Surcharge,
    Terms,
    Tires,
    WageBase,
    Zone,
)
from swardcost_model.values import CURRENCY_DIGITS, MAX_PLACES, Quantity

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.lines import BEYOND

PRICE_FIELDS: dict[type[BaseModel], frozenset[str]] = {
    PriceTier: frozenset({"unit_price"}),
    ByLoad: frozenset({"charge"}),
    ByMassAndDistance: frozenset({"rate", "least"}),
    Zone: frozenset({"charge"}),
    Surcharge: frozenset({"per_unit", "per_order"}),
    QuantityBands: frozenset({"price_over", "price_under"}),
    PurchaseTerms: frozenset({"minimum_charge"}),
    RentalPeriod: frozenset({"price", "over_hour_price"}),
    HourlyRate: frozenset({"price"}),
    RentalFuel: frozenset({"price"}),
    RentalTerms: frozenset({"delivery", "pick_up"}),
    AmountByHour: frozenset({"per_hour"}),
    Grade: frozenset({"wage", "fringe_per_hour", "earned_before"}),
    MachineBuildUp: frozenset({"value", "fuel_price_per_gallon"}),
    Tires: frozenset({"cost"}),
    Breaks: frozenset(),
    ByZone: frozenset(),
    LaborBuildUp: frozenset(),
    PercentOfWages: frozenset(),
    PremiumHours: frozenset(),
    WageBase: frozenset(),
    Quantity: frozenset(),
}
"""The fields that hold money at the level of prices, for every model that terms are made of.

What people have earned moves with their wages. Quantities, hours, percentages, indices, and wage bases set by law stay
as they are.
"""


@dataclass(frozen=True, slots=True)
class CarriedPrice:
    """A price carried forward."""

    price: Decimal
    steps: Derivation = field(repr=False, compare=False)


def carried_price(*, price: Decimal, percent: Decimal, currency: str) -> CarriedPrice:
    """A price moved by a percentage.

    ::

        price = price before x (1 + percent / 100), rounded half up to the places it had, at least the minor unit's

    A price above zero never becomes zero: where it would, it is the least that its places can hold.

    Raises `ValueError` for a percentage of -100 or less, a price below zero, one that grows past what can be meant,
    or a currency that is not known.

    Examples
    --------
    >>> carried_price(price=Decimal("38.50"), percent=Decimal("3.2"), currency="USD").price
    Decimal('39.73')
    """
    if currency not in CURRENCY_DIGITS:
        raise ValueError(f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}")
    if not percent > -100:
        raise ValueError(f"percent: expected more than -100; got {percent}")
    if not price >= 0:
        raise ValueError(f"price: expected zero or more; got {price}")
    least = Decimal(1).scaleb(-places_of(price, currency))
    exact = price * (1 + percent / 100)
    if exact >= BEYOND - least / 2:
        raise ValueError(f"price: expected less than 1,000,000,000,000 after the rise; got {exact}")
    rounded, rounding = exact.quantize(least, ROUND_HALF_UP), f"half up to {least}"
    if exact and not rounded:
        rounded, rounding = least, f"up to the least of {least}"
    step = Step(
        "price", float(rounded), currency, f"price before x (1 + percent / 100), rounded {rounding}",
        (Input("price before", float(price), currency), Input("percent", float(percent), "percent")),
        "carried forward from the edition before",
    )  # fmt: skip
    return CarriedPrice(rounded, (step,))


def carried_terms(terms: Terms, percent: Decimal, currency: str) -> Terms:
    """Terms with every price in them moved by the percentage; shares, quantities and hours stay.

    Raises `ValueError` as `carried_price`.
    """
    carried = _carried(terms, percent, currency)
    assert isinstance(carried, PurchaseTerms | RentalTerms | LaborBuildUp | MachineBuildUp)
    return carried


def _carried(value: Any, percent: Decimal, currency: str) -> Any:
    if isinstance(value, list):
        return [_carried(one, percent, currency) for one in value]
    if not isinstance(value, BaseModel):
        return value
    prices = PRICE_FIELDS[type(value)]
    changes: dict[str, Any] = {}
    for name in type(value).model_fields:
        before = getattr(value, name)
        if name in prices and before is not None:
            changes[name] = carried_price(price=before, percent=percent, currency=currency).price
        else:
            changes[name] = _carried(before, percent, currency)
    return value.model_copy(update=changes)


def places_of(price: Decimal, currency: str) -> int:
    """Decimal places in which a price is given: those that it has, at least the currency's own."""
    exponent = price.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    return min(max(-exponent, CURRENCY_DIGITS[currency]), MAX_PLACES)
