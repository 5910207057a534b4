"""Units as a reader says them: short tons, square feet, one load."""

import re
from decimal import ROUND_HALF_UP, Decimal

from swardcost_api.engine.pricing.bought import in_words, plural

_SAME = frozenset({"each", "percent", "thousand_square_feet"})
"""Units that are no other word where there are more of them."""
_HUNDREDTH = Decimal("0.01")


def one_of(unit: str) -> str:
    """A unit's name in words, with the decimal point of its size.

    Examples
    --------
    >>> one_of("short_ton"), one_of("sprig_bushel_0_4_cubic_foot")
    ('short ton', 'sprig bushel 0.4 cubic foot')
    """
    return re.sub(r"(?<=\d)_(?=\d)", ".", unit).replace("_", " ")


def many_of(unit: str) -> str:
    """The plural of a unit's name in words.

    Examples
    --------
    >>> many_of("short_ton"), many_of("square_foot"), many_of("inch"), many_of("each")
    ('short tons', 'square feet', 'inches', 'each')
    """
    if unit in _SAME:
        return one_of(unit)
    *before, last = one_of(unit).split(" ")
    return " ".join([*before, plural(last)])


def units_of(quantity: Decimal, unit: str) -> str:
    """The word for a unit beside a quantity of it: 1 short ton, 1.5 short tons."""
    return one_of(unit) if abs(quantity) == 1 else many_of(unit)


def to_hundredths(quantity: Decimal) -> str:
    """A quantity without its sign as a sentence has it, to 0.01 where that leaves something.

    Examples
    --------
    >>> to_hundredths(Decimal("-57.383333")), to_hundredths(Decimal("0.0004"))
    ('57.38', '0.0004')
    """
    size = abs(quantity)
    rounded = size.quantize(_HUNDREDTH, ROUND_HALF_UP)
    return in_words(rounded or size)
