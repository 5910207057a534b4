"""A percentage of an amount of money: base x percent / 100, rounded half up to the minor unit."""

from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.money_working import ROUNDED

TERMS_OF_THE_ESTIMATE = "the terms of the estimate"
_BEYOND = Decimal(10) ** 12


def percent_of(base_minor: int, percent: Decimal) -> int:
    """`percent` of a whole number of minor units, rounded half up (away from zero below it); exact at any size."""
    numerator, denominator = percent.as_integer_ratio()
    product, whole = base_minor * numerator, denominator * 100
    rounded = (2 * abs(product) + whole) // (2 * whole)
    return -rounded if product < 0 else rounded


def percent_of_whole(part_minor: int, whole_minor: int) -> Decimal:
    """What part of a whole an amount is, in percent, rounded half up to 0.01; zero of nothing."""
    if not whole_minor:
        return Decimal(0)
    return (Decimal(part_minor) * 100 / whole_minor).quantize(Decimal("0.01"), ROUND_HALF_UP)


def to_print(figure: Decimal | None) -> Decimal | None:
    """A percentage or ratio, absent where it has more than twelve digits before the point: nobody reads such a one."""
    return figure if figure is not None and abs(figure) < _BEYOND else None


def checked_percent(name: str, percent: Decimal) -> Decimal:
    """The percentage. Raises `ValueError` unless it is a number of zero or more."""
    if not (percent.is_finite() and percent >= 0):
        raise ValueError(f"{name}: expected a percentage of zero or more; got {percent}")
    return percent


def percent_step(
    name: str, base_words: str, base_minor: int, percent: Decimal, currency: str, source: str
) -> Step:
    """The step of a printed percentage."""
    amount = float(from_minor(percent_of(base_minor, percent), currency))
    inputs = (
        Input(base_words, float(from_minor(base_minor, currency)), currency),
        Input("rate", float(percent), "percent"),
    )
    return Step(name, amount, currency, f"{base_words} x rate / 100{ROUNDED}", inputs, source)
