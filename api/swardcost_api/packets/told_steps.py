"""Derivations as the rooms of the service tell them, as derivations of a packet."""

from collections.abc import Iterable
from decimal import Decimal

from swardcost_model.figures import DerivationStep, Figure
from swardcost_model.values import CURRENCY_DIGITS, Money

from swardcost_api.packets.document import Derivation, Given, Step
from swardcost_api.packets.values import Measured, Share, UnitPrice, Value, places_of

_PLACES_OF_SHARES = 4


def derivation_of(identity: str, title: str, steps: Iterable[DerivationStep]) -> Derivation:
    """The steps behind a figure, their values typed, so that each reader gets them in his own digits and units."""
    return Derivation(identity, title, tuple(map(_step, steps)))


def _step(told: DerivationStep) -> Step:
    inputs = tuple(Given(one.name, value_of(one)) for one in told.inputs)
    return Step(told.name, value_of(told), told.formula, inputs, told.source)


def value_of(figure: Figure) -> Value:
    """A figure by its unit: money, a price, a share, or a quantity.

    An amount between two steps may have more places than its currency, and keeps them.
    """
    number = Decimal(figure.value)
    currency, per, unit = figure.unit.partition(" per ")
    if currency in CURRENCY_DIGITS:
        if not per and places_of(number) <= CURRENCY_DIGITS[currency]:
            return Money.model_validate({"amount": format(number, "f"), "currency": currency})
        return UnitPrice(number, currency, unit or "each")
    if figure.unit == "percent":
        return Share(number)
    if figure.unit == "ratio":
        return Share(_short(number * 100))
    return Measured(number, figure.unit)


def _short(percent: Decimal) -> Decimal:
    rounded = round(percent, _PLACES_OF_SHARES).normalize()
    return rounded if places_of(rounded) else rounded.quantize(Decimal(1))
