"""Rentals that are quoted: a vendor's rates in the club's currency, and what the days asked for come to by them."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.price_terms import RentalRates, RentalTerms
from swardcost_model.problems import Fault
from swardcost_model.quotes import AskedHire, AskedItem, QuotedItem, QuoteFields
from swardcost_model.values import from_minor, plain

from swardcost_api.engine.pricing.hire import Need
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.quoted_hire import QuotedHire, quoted_hire, rates_at
from swardcost_api.units import UNITS, units_of

_MICRO = Decimal("0.000001")
_FUEL_DIMENSIONS = ("volume", "mass")


def terms_quoted(rates: RentalRates, hire: AskedHire, fields: QuoteFields) -> RentalTerms:
    """A vendor's rates, after discount and in the club's currency, on the working days that were asked for."""
    rate = fields.exchange_rate or Decimal(1)
    by_time = (1 - fields.discount_percent / 100) * rate

    def rounded(exact: Decimal) -> Decimal:
        return exact.quantize(_MICRO, ROUND_HALF_UP)

    converted = rates_at(
        rates, by_time=lambda price: rounded(price * by_time), on_top=lambda price: rounded(price * rate)
    )
    return on_days_asked(converted, hire)


def on_days_asked(rates: RentalRates, hire: AskedHire) -> RentalTerms:
    """Rates as terms by which the days that were asked for are the days needed."""
    fields = {name: getattr(rates, name) for name in RentalRates.model_fields}
    return RentalTerms.model_construct(
        form="rental", **fields, hours_a_day=hire.hours_a_day, works_weekends=hire.works_weekends
    )


def hire_at(key: str, hire: AskedHire, terms: RentalTerms, currency: str) -> QuotedHire:
    """What the days asked for come to. Raises `ValueError` for what cannot be hired by these terms."""
    needs = [
        Need(str(number), stay.hours, stay.starts_on, stay.ends_on)
        for number, stay in enumerate(hire.stays, 1)
    ]
    return quoted_hire(code=key, needs=needs, terms=terms, currency=currency)


def faults_of_form(index: int, line: QuotedItem, asked: AskedItem) -> list[Fault]:
    """A rental without its rates, rates of what is no rental, prices of zero, and fuel in a unit that is none."""
    place = f"/items/{index}"
    if asked.hire is None:
        if line.rental is None:
            return []
        expected = "a unit_price or a lump_sum, since it is not asked for as a rental"
        return [Fault(pointer=f"{place}/rental", expected=expected, got="rental rates")]
    if line.unit_price is not None:
        expected = "rental, with the rates by day, week or four weeks, or a lump_sum for the days asked for"
        return [Fault(pointer=f"{place}/unit_price", expected=expected, got=plain(line.unit_price))]
    return [] if line.rental is None else _faults_of_rates(f"{place}/rental", line.rental)


def _faults_of_rates(place: str, rates: RentalRates) -> list[Fault]:
    prices = [(f"periods/{number}/price", period.price) for number, period in enumerate(rates.periods)]
    prices += [("hourly/price", rates.hourly.price)] if rates.hourly is not None else []
    prices += [("fuel/price", rates.fuel.price)] if rates.fuel is not None else []
    faults = [
        Fault(pointer=f"{place}/{name}", expected="a price above zero", got=plain(price))
        for name, price in prices
        if not price
    ]
    if rates.fuel is not None:
        unit = UNITS.get(rates.fuel.unit)
        if unit is None or unit.dimension not in _FUEL_DIMENSIONS:
            fitting = ", ".join(name for dimension in _FUEL_DIMENSIONS for name in units_of(dimension))
            faults.append(
                Fault(pointer=f"{place}/fuel/unit", expected=f"one of: {fitting}", got=rates.fuel.unit)
            )
    return faults


def amount_or_faults(
    index: int, rates: RentalRates, asked: AskedItem, fields: QuoteFields, currency: str
) -> tuple[Decimal, Sequence[Fault]]:
    """What a quoted rental comes to, or why it cannot be used."""
    assert asked.hire is not None
    stated = [price for price in _prices(rates) if price]

    def fault(expected: str, got: Decimal) -> tuple[Decimal, Sequence[Fault]]:
        return Decimal(0), [Fault(pointer=f"/items/{index}/rental", expected=expected, got=plain(got))]

    if max(stated) * (fields.exchange_rate or 1) >= BEYOND:
        return fault("prices below 1,000,000,000,000 in the club's currency", max(stated))
    terms = terms_quoted(rates, asked.hire, fields)
    if len([price for price in _prices(terms) if price]) < len(stated):
        return fault(f"prices of {_MICRO} or more in the club's currency, after discount", min(stated))
    try:
        hire = hire_at(asked.item, asked.hire, terms, currency)
    except ValueError as error:
        return fault(f"rates by which the days asked for can be hired ({error})", max(stated))
    return from_minor(hire.amount_minor, currency), ()


def _prices(rates: RentalRates) -> list[Decimal]:
    prices = [rates.delivery, rates.pick_up]
    for period in rates.periods:
        prices.append(period.price)
        if period.over_hour_price is not None:
            prices.append(period.over_hour_price)
    prices += [one.price for one in (rates.hourly, rates.fuel) if one is not None]
    return prices
