"""Values as a reader of a locale writes them: digits, currencies, days and units by CLDR, through Babel."""

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache

from babel import Locale, dates, numbers
from swardcost_model.access import Ton, UnitSystem
from swardcost_model.values import CURRENCY_DIGITS, Money

from swardcost_api.packets.unit_names import in_unit, reader_unit, unit_name
from swardcost_api.packets.values import (
    Measured,
    MonthOf,
    Share,
    UnitPrice,
    Value,
    places_of,
)
from swardcost_api.packets.wording import Words, words_for

NO_BREAK = "\N{NO-BREAK SPACE}"
_MOST_PLACES = 12
_TOUCHING = re.compile(r"(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])")
"""Where a letter of a currency touches a digit: CLDR parts them (UTS 35, part 3, currencySpacing), Babel does not."""


class Formatter:
    """Writes values for a locale such as ``fr-CA``: numbers in its forms, names and days in the language of the words.

    Raises `ValueError` for a locale that is unknown.
    """

    def __init__(self, locale: str) -> None:
        self.locale = _locale(locale)
        self.words: Words = words_for(self.locale)
        self.tag = str(self.locale).replace("_", "-")
        """The language tag (BCP 47) of the texts around the numbers."""

    def text(self, value: Value | None) -> str:
        """A value as it stands alone: with its currency symbol, its unit or its percent sign."""
        match value:
            case None:
                return ""
            case str():
                return value
            case Money():
                return self.money(value)
            case UnitPrice():
                return self.unit_price(value)
            case Measured():
                return self.quantity(value)
            case Share():
                return self.percent(value.percent)
            case MonthOf():
                return self.month(value)
            case date():
                return self.day(value)
            case int():
                return self.number(Decimal(value))

    def bare(self, value: Value | None, places: int | None = None) -> str:
        """A value of a column that names the currency: money and prices without one, all else as it stands alone."""
        if isinstance(value, Money | UnitPrice):
            return self.number(value.amount, _least_places(value) if places is None else places)
        return self.text(value)

    def number(self, number: Decimal, least: int = 0, most: int = _MOST_PLACES) -> str:
        """A number in groups, with its own decimals and no fewer than `least`."""
        pattern = _pattern(str(self.locale.decimal_formats[None].pattern), least, most)
        return str(pattern.apply(number, self.locale))

    def money(self, money: Money) -> str:
        """An amount with its currency, in the minor units of that currency."""
        return self._currency(money.amount, money.currency, CURRENCY_DIGITS[money.currency])

    def unit_price(self, price: UnitPrice) -> str:
        """A price with its currency, and what it buys."""
        amount = self._currency(price.amount, price.currency, _least_places(price))
        name = unit_name(self.words, price.unit, 1)
        return self.words.say("%(many)s per %(one)s", many=amount, one=name) if name else amount

    def percent(self, percent: Decimal) -> str:
        """A share in percent, with the decimals that it is given in."""
        pattern = _pattern(str(self.locale.percent_formats[None].pattern), places_of(percent))
        return str(pattern.apply(percent.scaleb(-2), self.locale))

    def quantity(self, measured: Measured) -> str:
        """A quantity with the name of its unit."""
        number, name = self.quantity_parts(measured)
        return f"{number}{NO_BREAK}{name}" if name else number

    def quantity_parts(self, measured: Measured) -> tuple[str, str]:
        """The digits of a quantity, and the name of its unit as it goes with them."""
        number = self.number(measured.value, places_of(measured.value))
        return number, unit_name(self.words, measured.unit, measured.value)

    def unit_words(self, value: Value | None) -> str:
        """What stands beside the digits of a value in a column of its own: the currency, or the name of the unit."""
        match value:
            case Money():
                return value.currency
            case UnitPrice():
                name = unit_name(self.words, value.unit, 1)
                return (
                    self.words.say("%(many)s per %(one)s", many=value.currency, one=name)
                    if name
                    else value.currency
                )
            case Measured():
                return unit_name(self.words, value.unit, value.value)
            case _:
                return ""

    def both(self, measured: Measured, system: UnitSystem, ton: Ton) -> str:
        """A quantity in the unit in which its formula holds, and after it as the reader knows it."""
        unit = reader_unit([measured], system, ton)
        shown = self.quantity(measured)
        return shown if unit is None else f"{shown} ({self.quantity(in_unit([measured], unit)[0])})"

    def day(self, day: date) -> str:
        """A day, with its month in letters, so that no reader takes one for the other."""
        shown = str(dates.format_date(day, "long", self.words.locale))
        # In French the first of a month is an ordinal, which CLDR's patterns do not have.
        return shown.replace("1 ", "1er ", 1) if day.day == 1 and self.words.language == "fr" else shown

    def moment(self, moment: datetime) -> str:
        """A moment in UTC."""
        utc = moment.astimezone(UTC)
        time = dates.format_time(utc, "short", tzinfo=UTC, locale=self.words.locale)
        glue = str(self.words.locale.datetime_formats["medium"])
        return glue.replace("{0}", time).replace("{1}", self.day(utc.date())).replace("'", "") + " UTC"

    def month(self, month: MonthOf) -> str:
        """A month with its year."""
        return str(dates.format_skeleton("yMMM", date(month.year, month.month, 1), locale=self.words.locale))

    def column_places(self, values: Iterable[Value]) -> int | None:
        """The decimals that all money or prices of a column are shown with; `None` where there are none."""
        return max((_least_places(one) for one in values if isinstance(one, Money | UnitPrice)), default=None)

    def _currency(self, amount: Decimal, currency: str, places: int) -> str:
        pattern = _pattern(str(self.locale.currency_formats["standard"].pattern), places)
        shown = str(pattern.apply(amount, self.locale, currency=currency, currency_digits=False))
        return _TOUCHING.sub(NO_BREAK, shown)


def _least_places(value: Money | UnitPrice) -> int:
    of_currency = CURRENCY_DIGITS[value.currency]
    return of_currency if isinstance(value, Money) else max(places_of(value.amount), of_currency)


@cache
def _locale(name: str) -> Locale:
    try:
        return Locale.parse(name, sep="-")
    except Exception as error:
        raise ValueError(f"{name!r} is no locale") from error


@cache
def _pattern(pattern: str, least: int, most: int | None = None) -> numbers.NumberPattern:
    """A pattern of the locale, groups and all, with other decimals."""
    parsed = numbers.parse_pattern(pattern)
    parsed.frac_prec = (least, least if most is None else max(least, most))
    return parsed
