"""Exchange: a charge in one currency as a charge in another, at a stated rate."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.values import CURRENCY_DIGITS, MAX_PLACES, from_minor, to_minor

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.charge import Charge
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.money_working import ROUNDED

_PRICE_PLACES = Decimal(1).scaleb(-MAX_PLACES)


@dataclass(frozen=True, slots=True)
class Exchange:
    """A rate of exchange: what one unit of `from_currency` is worth in `to_currency`, when and by whom."""

    from_currency: str
    to_currency: str
    rate: Decimal
    on: date | None
    source: str


def exchange_between(exchanges: Iterable[Exchange], from_currency: str, to_currency: str) -> Exchange:
    """The rate from one currency to another. A rate is never turned round or taken through a third currency.

    Raises `ValueError` where none is given, or more than one.

    References
    ----------
    Council Regulation (EC) No 1103/97, article 4: inverse rates are not used.
    """
    found = [one for one in exchanges if (one.from_currency, one.to_currency) == (from_currency, to_currency)]
    if len(found) != 1:
        got = "none" if not found else f"{len(found)} of them"
        raise ValueError(f"expected one rate of exchange from {from_currency} to {to_currency}; got {got}")
    return found[0]


def exchanged(charge: Charge, exchange: Exchange) -> Charge:
    """The charge in the other currency.

    ::

        price  = price x rate, rounded half up to 0.000001
        amount = quantity x that price, rounded half up to the minor unit of the other currency

    The rate itself is never rounded. What the rate cost (a bank's fee) is a line of its own, if it is known.

    Raises `ValueError`, naming both currencies, without a rate above zero, for a currency that is not known, for
    one and the same currency, for a price too small to be printed in the other currency, or for an amount that
    is too large to be meant.

    References
    ----------
    Council Regulation (EC) No 1103/97, articles 4 and 5: rates are neither rounded nor truncated; amounts are
    rounded to the nearest minor unit, halves up.
    """
    pair = f"from {exchange.from_currency} to {exchange.to_currency}"
    _check(exchange, pair)
    exact = charge.price * exchange.rate
    if exact >= BEYOND:
        raise ValueError(f"exchange {pair}: expected a price below 1,000,000,000,000; got {exact}")
    price = exact.quantize(_PRICE_PLACES, ROUND_HALF_UP)
    if exact and not price:
        raise ValueError(f"exchange {pair}: expected a price of 0.000001 or more; got {exact}")
    if charge.quantity * price >= BEYOND - 1:
        raise ValueError(f"exchange {pair}: expected an amount below 1,000,000,000,000")
    amount_minor = to_minor(charge.quantity * price, exchange.to_currency)
    steps = _steps(charge, exchange, price, amount_minor)
    return replace(charge, price=price, amount_minor=amount_minor, steps=(*charge.steps, *steps))


def _check(exchange: Exchange, pair: str) -> None:
    for currency in (exchange.from_currency, exchange.to_currency):
        if currency not in CURRENCY_DIGITS:
            known = ", ".join(sorted(CURRENCY_DIGITS))
            raise ValueError(f"exchange {pair}: expected currencies of {known}; got {currency!r}")
    if exchange.from_currency == exchange.to_currency:
        raise ValueError(f"exchange {pair}: expected two currencies")
    if not (exchange.rate.is_finite() and exchange.rate > 0):
        raise ValueError(f"exchange {pair}: expected a rate above zero; got {exchange.rate}")


def _steps(charge: Charge, exchange: Exchange, price: Decimal, amount_minor: int) -> tuple[Step, Step]:
    there, here = exchange.from_currency, exchange.to_currency
    day = "a day that is not stated" if exchange.on is None else str(exchange.on)
    in_there, in_here = f"price in {there}", f"price in {here}"
    return (
        Step(
            in_here, float(price), f"{here} per {charge.unit}",
            f"{in_there} x rate of exchange, rounded half up to 0.000001",
            (
                Input(in_there, float(charge.price), f"{there} per {charge.unit}"),
                Input("rate of exchange", float(exchange.rate), f"{here} per {there}"),
            ),
            f"rate of exchange of {day}, {exchange.source}",
        ),
        Step(
            f"amount in {here}", float(from_minor(amount_minor, here)), here,
            f"quantity x {in_here}{ROUNDED}",
            (
                Input("quantity", float(charge.quantity), charge.unit),
                Input(in_here, float(price), f"{here} per {charge.unit}"),
            ),
            "arithmetic",
        ),
    )  # fmt: skip
