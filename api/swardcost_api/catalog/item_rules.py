"""What may be stored as an item of an edition, and what it then costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from pydantic_core import PydanticCustomError
from swardcost_model.catalog import ItemFields
from swardcost_model.values import Currency, Money

from swardcost_api.catalog.hourly_rates import hourly_rate
from swardcost_api.catalog.refusals import Refusals
from swardcost_api.catalog.term_rules import refuse_unfit
from swardcost_api.units import unit_named


@dataclass(frozen=True, slots=True)
class Currencies:
    """What an edition's items may be priced in: its own currency, or that of their vendor's terms."""

    own: Currency
    of_vendors: Mapping[UUID, Currency]


@dataclass(frozen=True, slots=True)
class Prices:
    """What an item costs: its currency, the unit price if one is known, and of a build-up the cash price."""

    currency: Currency
    unit: Decimal | None
    cash: Decimal | None = None


def prices_of(fields: ItemFields, currencies: Currencies) -> Prices:
    """What an item of an edition costs; of a build-up this is computed.

    Raises a validation error with everything for which this is well formed but no item that can be stored.
    """
    refusals = Refusals("Item")
    _refuse_unknown_unit(refusals, fields)
    currency = _currency(refusals, fields, currencies)
    if fields.terms is not None:
        refuse_unfit(refusals, fields, fields.terms)
    prices = _prices(refusals, fields, currency)
    _refuse_price(refusals, fields, prices)
    _refuse_range(refusals, fields, prices)
    _refuse_days(refusals, fields)
    refusals.raise_any()
    return prices


def _refuse_unknown_unit(refusals: Refusals, fields: ItemFields) -> None:
    try:
        unit_named(fields.unit)
    except PydanticCustomError as error:
        refusals.add_error("unit", error, fields.unit)


def _currency(refusals: Refusals, fields: ItemFields, currencies: Currencies) -> Currency:
    """The currency of everything about the item; refused where it could not be converted."""
    price = fields.unit_price
    place = "currency" if fields.currency is not None or price is None else "unit_price/currency"
    currency = fields.currency or (currencies.own if price is None else price.currency)
    if price is not None and price.currency != currency:
        refusals.add("unit_price/currency", f"{currency}, the item's currency", price.currency)
    of_vendor = currencies.of_vendors.get(fields.vendor_id) if fields.vendor_id is not None else None
    if currency not in (currencies.own, of_vendor):
        refusals.add(
            place,
            f"the edition's currency, {currencies.own}; or first give the item's vendor terms in this edition with the "
            f"currency {currency} and an exchange rate",
            currency,
        )
    return currency


def _prices(refusals: Refusals, fields: ItemFields, currency: Currency) -> Prices:
    stated = fields.unit_price.amount if fields.unit_price is not None else None
    try:
        rate = hourly_rate(fields.terms, currency)
    except ValueError as error:
        refusals.add("terms", str(error), fields.terms.form if fields.terms else None)
        return Prices(currency, stated)
    if rate is None:
        return Prices(currency, stated)
    if stated is not None and stated != rate.full:
        refusals.add("unit_price", f"none, or {rate.full}, which the build-up comes to", str(stated))
    return Prices(currency, rate.full, rate.cash)


def _refuse_price(refusals: Refusals, fields: ItemFields, prices: Prices) -> None:
    price = prices.unit
    place = "unit_price" if prices.cash is None else "terms"
    if price is not None and price < 0:
        refusals.add(place, "a price of zero or more", str(price))
    if price == 0 and not fields.free:
        expected = "a price above zero, or zero with `free` true, or none where none is known"
        refusals.add(place, expected, str(price))
    if fields.free and price != 0:
        refusals.add("free", "false, unless the price is zero", True)


def _refuse_range(refusals: Refusals, fields: ItemFields, prices: Prices) -> None:
    low, high = fields.low_price, fields.high_price
    for name, bound in (("low_price", low), ("high_price", high)):
        if bound is None:
            continue
        if prices.unit is None:
            refusals.add(name, "none without a unit price", str(bound.amount))
        elif bound.currency != prices.currency:
            refusals.add(f"{name}/currency", f"{prices.currency}, the item's currency", bound.currency)
    if prices.unit is not None:
        _refuse_beyond(refusals, prices.unit, low, high)


def _refuse_beyond(refusals: Refusals, price: Decimal, low: Money | None, high: Money | None) -> None:
    if low is not None and not 0 <= low.amount <= price:
        refusals.add(
            "low_price", f"zero or more, and at most the unit price, {format(price, 'f')}", str(low.amount)
        )
    if high is not None and high.amount < price:
        refusals.add("high_price", f"at least the unit price, {format(price, 'f')}", str(high.amount))


def _refuse_days(refusals: Refusals, fields: ItemFields) -> None:
    until = fields.valid_until
    if until is None:
        return
    if fields.priced_on is not None and until < fields.priced_on:
        refusals.add("valid_until", f"{fields.priced_on}, when the price was got, or later", str(until))
    if fields.valid_from is not None and until < fields.valid_from:
        refusals.add("valid_until", f"{fields.valid_from}, from when the price holds, or later", str(until))
