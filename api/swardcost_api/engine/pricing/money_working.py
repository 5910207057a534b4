"""A computation of money in the making: prices come in as decimals, amounts are whole minor units, steps are kept.

What is printed can be redone: an amount is rounded half up to the minor unit where it arises, and whatever
rests on it rests on the rounded figure.
"""

from decimal import Decimal

from swardcost_model.values import CURRENCY_DIGITS, from_minor, to_minor

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.quantities.working import Working

ROUNDED = ", rounded half up to the minor unit"


class MoneyWorking:
    """The figures and steps of one computation in one currency.

    Raises `ValueError` for a currency that is not known.
    """

    __slots__ = ("_work", "currency")

    def __init__(self, currency: str) -> None:
        if currency not in CURRENCY_DIGITS:
            raise ValueError(
                f"currency: expected one of {', '.join(sorted(CURRENCY_DIGITS))}; got {currency!r}"
            )
        self.currency = currency
        self._work = Working()

    @property
    def steps(self) -> Derivation:
        """The steps taken so far, in order."""
        return tuple(self._work.steps.values())

    def given(self, name: str, value: Decimal, unit: str, *, zero: bool = False) -> Decimal:
        """Take in a figure. Raises `ValueError` unless it is above zero (or zero, where allowed) and can be meant."""
        self._work.given(name, float(value), unit, zero=zero)
        if value >= BEYOND:
            raise ValueError(f"{name}: expected less than 1,000,000,000,000, in {unit}; got {value}")
        return value

    def price(self, name: str, value: Decimal, per: str = "") -> Decimal:
        """Take in an amount of money, or a price per unit, of zero or more. Raises `ValueError` otherwise."""
        return self.given(name, value, f"{self.currency} per {per}" if per else self.currency, zero=True)

    def figure(
        self, name: str, value: Decimal, unit: str, formula: str, *inputs: str, source: str = "arithmetic"
    ) -> Decimal:
        """Record a computed figure, unrounded."""
        self._work.step(name, float(value), unit, formula, *inputs, source=source)
        return value

    def amount(
        self, name: str, exact: Decimal, formula: str, *inputs: str, per: str = "", source: str = "arithmetic"
    ) -> int:
        """Record an amount, rounded half up to the minor unit, and return it in minor units.

        Raises `ValueError` for one too large to be meant.
        """
        if abs(exact) >= BEYOND - 1:
            raise ValueError(f"{name}: expected an amount that a club could pay, below 1,000,000,000,000")
        minor = to_minor(exact, self.currency)
        unit = f"{self.currency} per {per}" if per else self.currency
        self._work.step(
            name, float(from_minor(minor, self.currency)), unit, formula + ROUNDED, *inputs, source=source
        )
        return minor

    def major(self, minor: int) -> Decimal:
        """Minor units as the decimal that is printed."""
        return from_minor(minor, self.currency)
