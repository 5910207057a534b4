"""The values that a packet prints: typed, so that each face writes them its own way and none prints a finished text.

Money is `swardcost_model.values.Money`; days are `datetime.date`; whole counts are `int`; text is `str`.
"""

from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.values import CURRENCY_DIGITS, Money, plain


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """A price for one unit, with all the places that it is kept in."""

    amount: Decimal
    currency: str
    unit: str


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity with its unit.

    One that is `as_bought` stays in the unit of its price, whatever units the reader prefers.
    """

    value: Decimal
    unit: str
    as_bought: bool = False


@dataclass(frozen=True, slots=True)
class Share:
    """A share in percent: ``Share(Decimal("7.25"))`` is 7.25 %."""

    percent: Decimal


@dataclass(frozen=True, slots=True)
class MonthOf:
    """A month of a year."""

    year: int
    month: int

    @classmethod
    def named(cls, text: str) -> "MonthOf":
        """The month written as ``2026-03``."""
        return cls(int(text[:4]), int(text[5:7]))

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


Value = Money | UnitPrice | Measured | Share | MonthOf | date | int | str
"""What a cell or a figure can hold."""


def number_of(value: Value | None) -> Decimal | None:
    """The digits of a value that has digits; a share of 7.25 % is 7.25."""
    match value:
        case Money() | UnitPrice():
            return value.amount
        case Measured():
            return value.value
        case Share():
            return value.percent
        case int():
            return Decimal(value)
        case _:
            return None


def with_number(value: Value, number: Decimal) -> Value:
    """A value of the same kind and unit with other digits. Raises `TypeError` for one without digits."""
    match value:
        case Money():
            return Money.model_construct(amount=number, currency=value.currency)
        case UnitPrice():
            return replace(value, amount=number)
        case Measured():
            return replace(value, value=number)
        case Share():
            return Share(number)
        case int():
            return int(number)
        case _:
            raise TypeError(f"{value!r} has no digits")


def unit_of(value: Value | None) -> str:
    """The currency or unit of a value, as machines name it; empty where it has none."""
    match value:
        case Money():
            return value.currency
        case UnitPrice():
            return f"{value.currency}/{value.unit}"
        case Measured():
            return value.unit
        case Share():
            return "percent"
        case _:
            return ""


def to_minor_unit(amount: Decimal, currency: str) -> Decimal:
    """An amount rounded half up, away from zero, to the smallest unit of its currency."""
    return amount.quantize(Decimal(1).scaleb(-CURRENCY_DIGITS[currency]), ROUND_HALF_UP)


def places_of(number: Decimal) -> int:
    """How many decimal places a number is written with."""
    exponent = number.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def share(percent: Decimal) -> Share:
    """A share in percent, with no more decimals than it needs."""
    normal = percent.normalize()
    return Share(Decimal(plain(normal)))


def one_place(number: Decimal) -> Decimal:
    """A number rounded half up to a tenth."""
    return number.quantize(Decimal("0.1"), ROUND_HALF_UP)
