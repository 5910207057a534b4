"""Single cells of a packet's workbook: typed numbers with their look, and text that is never a formula."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from swardcost_model.values import CURRENCY_DIGITS, Money

from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.values import (
    Measured,
    MonthOf,
    Share,
    UnitPrice,
    Value,
    places_of,
)

INK, GREEN, LINE, BAND, WASH, SOFT = "#1d2722", "#1f6a41", "#d9d6ca", "#f3f1e8", "#eaf2ea", "#4f5b54"
_MOST_TEXT, _MOST_FORMULA = 32_767, 8_192
"""Characters that a cell can hold as text, and as a formula."""
_BASE = {"font_name": "Arial", "font_size": 10, "font_color": INK, "valign": "top"}


class Styles:
    """The looks of cells, each made once."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def of(self, *parts: Mapping[str, Any]) -> Any:
        """The look that has all these properties."""
        wanted = dict(_BASE)
        for part in parts:
            wanted |= part
        key = tuple(sorted(wanted.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format(wanted)
        return self._made[key]


def number_in_cell(value: Value | None) -> float | None:
    """The number that a cell holds for a value; a share is held as its hundredth part. `None` for what has none."""
    match value:
        case Money() | UnitPrice():
            return float(value.amount)
        case Measured():
            return float(value.value)
        case Share():
            return float(value.percent.scaleb(-2))
        case int():
            return float(value)
        case _:
            return None


def number_format(value: Value | None, places: int | None = None) -> str:
    """How a number is shown; programs show it with the marks of their user's own country."""
    match value:
        case Money():
            return _decimals("#,##0", CURRENCY_DIGITS[value.currency])
        case UnitPrice():
            least = max(places_of(value.amount), CURRENCY_DIGITS[value.currency])
            return _decimals("#,##0", least if places is None else places)
        case Measured():
            return _decimals("#,##0", places_of(value.value) if places is None else places)
        case Share():
            return _decimals("0", places_of(value.percent)) + "%"
        case MonthOf():
            return "mmm yyyy"
        case date():
            return "yyyy-mm-dd"
        case int():
            return "#,##0"
        case _:
            return "@"


def _decimals(whole: str, places: int) -> str:
    return whole + ("." + "0" * places if places else "")


def write_value(
    page: Any, row: int, column: int, value: Value | None, styles: Styles, look: Mapping[str, Any],
    places: int | None = None,
) -> None:  # fmt: skip
    """Write a value: numbers as numbers, days as days, text as text whatever it begins with."""
    style = styles.of(look, {"num_format": number_format(value, places)})
    number = number_in_cell(value)
    if number is not None:
        page.write_number(row, column, number, style)
    elif isinstance(value, MonthOf):
        page.write_datetime(
            row, column, date(value.year, value.month, 1), styles.of(look, INDENT, {"num_format": "mmm yyyy"})
        )
    elif isinstance(value, date):
        page.write_datetime(row, column, value, styles.of(look, INDENT, {"num_format": "yyyy-mm-dd"}))
    elif isinstance(value, str) and value:
        write_text(page, row, column, value, style)
    else:
        page.write_blank(row, column, None, style)


def write_text(page: Any, row: int, column: int, text: str, style: Any) -> None:
    """Write text that no program takes for anything else."""
    page.write_string(row, column, calm(text)[:_MOST_TEXT], style)


def write_formula(
    page: Any, row: int, column: int, formula: str, value: Value | None, styles: Styles, look: Mapping[str, Any],
    places: int | None = None,
) -> None:  # fmt: skip
    """Write a formula with the value that it has, for programs that do not compute.

    Of one that is longer than a cell can hold only the value is written.
    """
    if len(formula) > _MOST_FORMULA:
        write_value(page, row, column, value, styles, look, places)
        return
    number = number_in_cell(value)
    style = styles.of(look, {"num_format": number_format(value, places)})
    page.write_formula(row, column, formula, style, "" if number is None else _shortest(number))


def _shortest(number: float) -> int | float:
    return int(number) if number.is_integer() and abs(number) < 2**53 else number


INDENT = {"align": "left", "indent": 1}
"""A little away from the numbers in the column before."""


def printed_lines(text: str, width: int) -> int:
    """How many lines a text takes in a column of so many characters, rather one too many."""
    return sum(1 if len(line) <= width else -(-len(line) * 11 // (width * 10)) for line in text.split("\n"))


def digits_of(number: Decimal) -> int:
    """How many characters a number takes with its groups."""
    return len(f"{number:,f}")
