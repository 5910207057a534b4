"""Small values that every room uses: decimals, money, quantities, months and names.

Decimals travel as JSON strings, so that no client turns 0.10 into 0.1000000000000000055.
"""

import re
import unicodedata
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated, Any, Literal, Self, cast, get_args

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

MAX_DIGITS = 12
"""Whole digits a decimal may have: enough for any club, and safely inside 64-bit millionths."""

MAX_PLACES = 6
"""Decimal places a decimal may have, the precision in which unit prices are stored."""

_DIGITS = rf"(0|[1-9][0-9]{{0,{MAX_DIGITS - 1}}})(\.[0-9]{{1,{MAX_PLACES}}})?"
_DECIMAL = re.compile(rf"-?{_DIGITS}")


def _decimal_from_text(value: Any) -> Decimal:
    if isinstance(value, Decimal):
        value = format(value, "f")
    if not isinstance(value, str) or not _DECIMAL.fullmatch(value):
        raise PydanticCustomError(
            "decimal_text",
            'a decimal written as a string, such as "12.50": at most {digits} digits before the point and '
            "{places} after it",
            {"digits": MAX_DIGITS, "places": MAX_PLACES},
        )
    return Decimal(value)


def plain(value: Decimal) -> str:
    """The decimal in plain digits, without exponent: ``1E+3`` becomes ``1000``."""
    return format(value, "f")


def _not_negative(value: Decimal) -> Decimal:
    if value.is_signed():
        raise PydanticCustomError("negative", "zero or more")
    return value


def _positive(value: Decimal) -> Decimal:
    if value <= 0:
        raise PydanticCustomError("not_positive", "more than zero")
    return value


def _schema(before: str, example: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "pattern": f"^{before}{_DIGITS}$", "examples": [example]})


_TEXT = PlainSerializer(plain, return_type=str, when_used="json")

Amount = Annotated[Decimal, BeforeValidator(_decimal_from_text), _TEXT, _schema("-?", "1234.50")]
"""A decimal of either sign."""

NonNegative = Annotated[
    Decimal, AfterValidator(_not_negative), BeforeValidator(_decimal_from_text), _TEXT, _schema("", "12.5")
]
"""A decimal of zero or more."""

Positive = Annotated[
    Decimal,
    AfterValidator(_positive),
    BeforeValidator(_decimal_from_text),
    _TEXT,
    _schema("(?=.*[1-9])", "12.5"),
]
"""A decimal above zero."""

Percent = Annotated[
    Decimal,
    AfterValidator(_not_negative),
    BeforeValidator(_decimal_from_text),
    _TEXT,
    Field(le=Decimal(1000)),
    WithJsonSchema(
        {"type": "string", "pattern": r"^(0|[1-9][0-9]{0,2})(\.[0-9]{1,6})?$", "examples": ["7.25"]}
    ),
]
"""A percentage: ``7.25`` means 7.25 %."""

CURRENCY_DIGITS = {"USD": 2, "CAD": 2, "MXN": 2, "EUR": 2, "GBP": 2, "AUD": 2, "NZD": 2, "CHF": 2, "SEK": 2,
                   "NOK": 2, "DKK": 2, "ZAR": 2, "JPY": 0, "KRW": 0, "KWD": 3}  # fmt: skip
"""Minor-unit digits by ISO 4217 code, for the currencies a club may keep its books in."""

Currency = Literal["USD", "CAD", "MXN", "EUR", "GBP", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "ZAR", "JPY",
                   "KRW", "KWD"]  # fmt: skip
assert set(get_args(Currency)) == set(CURRENCY_DIGITS)


def minor_unit(currency: str) -> Decimal:
    """The smallest amount of a currency: 0.01 for USD, 1 for JPY, 0.001 for KWD (ISO 4217)."""
    return Decimal(1).scaleb(-CURRENCY_DIGITS[currency])


def to_minor(amount: Decimal, currency: str) -> int:
    """An amount as a whole number of minor units, rounded half up."""
    return int(amount.scaleb(CURRENCY_DIGITS[currency]).quantize(Decimal(1), ROUND_HALF_UP))


def from_minor(minor: int, currency: str) -> Decimal:
    """The amount that a whole number of minor units stands for, with all its decimal places."""
    return Decimal(minor).scaleb(-CURRENCY_DIGITS[currency])


def to_micros(price: Decimal) -> int:
    """A unit price as a whole number of millionths of the major unit; exact by the limits of `Amount`."""
    return int(price.scaleb(6))


def from_micros(micros: int) -> Decimal:
    """The unit price that a number of millionths stands for, without trailing zeros past the cents."""
    price = Decimal(micros).scaleb(-6).normalize()
    exponent = price.as_tuple().exponent
    assert isinstance(exponent, int)
    return price.quantize(Decimal("0.01")) if exponent > -2 else price


_UNWRITABLE = re.compile("[\x00-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
"""Control characters, halves of surrogate pairs and noncharacters: XML, and so a workbook, cannot hold them."""


def _clean_text(value: str) -> str:
    if _UNWRITABLE.search(value):
        raise PydanticCustomError(
            "control_character",
            "text without control characters, halves of surrogate pairs, U+FFFE and U+FFFF",
        )
    return value


def _visible(value: str) -> str:
    if all(unicodedata.category(c) in {"Cf", "Zs"} for c in value):
        raise PydanticCustomError("invisible", "a name with at least one visible character")
    return value


class Value(BaseModel):
    """A frozen value that refuses fields it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Request(BaseModel):
    """What a caller sends: unknown fields are refused, so that a misspelt one is never ignored."""

    model_config = ConfigDict(extra="forbid")


class Answer(BaseModel):
    """What the service sends back."""

    model_config = ConfigDict(extra="ignore")


class Money(Value):
    """An amount in a currency. Adding two currencies raises `ValueError`."""

    amount: Amount
    currency: Currency = Field(examples=["USD"])

    def __add__(self, other: Self) -> "Money":
        self._same_currency(other)
        return Money(amount=self.amount + other.amount, currency=self.currency)

    def __sub__(self, other: Self) -> "Money":
        self._same_currency(other)
        return Money(amount=self.amount - other.amount, currency=self.currency)

    def __neg__(self) -> "Money":
        return Money(amount=-self.amount, currency=self.currency)

    def _same_currency(self, other: "Money") -> None:
        if self.currency != other.currency:
            raise ValueError(f"cannot combine {self.currency} with {other.currency} without a rate")

    @classmethod
    def of_minor(cls, minor: int, currency: str) -> "Money":
        return cls.model_construct(amount=from_minor(minor, currency), currency=cast(Currency, currency))


UnitName = Annotated[
    str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=60), Field(examples=["inch"])
]


class Quantity(Value):
    """A number with its unit, kept as typed. The units are listed at ``GET /v1/units``."""

    value: NonNegative
    unit: UnitName


Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=200),
    AfterValidator(_clean_text),
    AfterValidator(_visible),
]
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000), AfterValidator(_clean_text)]
Code = Annotated[
    str,
    StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._/-]*$", max_length=60),
    Field(examples=["SAND-TD"]),
]
"""A short code of the club's own, such as an item code."""
Account = Annotated[
    str,
    StringConstraints(strip_whitespace=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9._ /-]*$", max_length=60),
    Field(examples=["1520-10"]),
]
"""A ledger account as the club writes it."""
ClubId = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{1,39}$"), Field(examples=["heron-mere"])
]
Month = Annotated[
    str, StringConstraints(pattern=r"^(1[89]|2[0-2])[0-9]{2}-(0[1-9]|1[0-2])$"), Field(examples=["2026-03"])
]
"""A month of the years 1800 to 2299."""
Timestamp = AwareDatetime

_DAY = re.compile(r"(1[89]|2[0-2])[0-9]{2}-[0-9]{2}-[0-9]{2}")


def _day_from_text(value: Any) -> date:
    """A day as it is written; pydantic alone would also take seconds since 1970 for one.

    Years before 1800 and after 2299 are slips of the pen, and would make reports by month endlessly long.
    """
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        if isinstance(value, str) and _DAY.fullmatch(value):
            return date.fromisoformat(value)
    except ValueError:
        pass
    raise PydanticCustomError(
        "day", 'a day of the years 1800 to 2299 written as year-month-day, such as "2026-03-31"'
    )


Day = Annotated[date, BeforeValidator(_day_from_text), Field(examples=["2026-03-31"])]
"""A day of the years 1800 to 2299; seconds since 1970, which pydantic alone would take for one, are refused."""
