"""Costs of later years: what is stated at the prices of one year, at those of another."""

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

LEAST_PERCENT, LARGEST_PERCENT = Decimal(-50), Decimal(100)
MOST_YEARS = 100
_MOST_KEPT = 10_000
"""Factors that are kept for the next question; a plan asks for one for each of its rates and years."""


def grown(cost_minor: int, percent: Decimal, years: int) -> int:
    """A cost in minor units after so many years of growth, rounded half up; before, where `years` is below zero.

    ::

        cost x (1 + percent / 100) ^ years

    The power is exact; only its product with the cost is rounded. Raises `ValueError` for a cost below zero, a
    percentage outside -50 to 100, or more than 100 years.

    Examples
    --------
    >>> grown(10_000_000, Decimal("4.5"), 3)
    11411661
    >>> grown(11_411_661, Decimal("4.5"), -3)
    10000000
    """
    if cost_minor < 0:
        raise ValueError(f"expected a cost of zero or more; got {cost_minor} in minor units")
    return half_up(cost_minor * factor(percent, years))


@lru_cache(maxsize=_MOST_KEPT)
def factor(percent: Decimal, years: int) -> Fraction:
    """(1 + percent / 100) ^ years, exact. Raises as `grown`."""
    if not (percent.is_finite() and LEAST_PERCENT <= percent <= LARGEST_PERCENT):
        raise ValueError(f"growth: expected from {LEAST_PERCENT} to {LARGEST_PERCENT} percent; got {percent}")
    if abs(years) > MOST_YEARS:
        raise ValueError(f"growth: expected at most {MOST_YEARS} years; got {years}")
    return (1 + Fraction(percent) / 100) ** years


def half_up(exact: Fraction) -> int:
    """The nearest whole number; a half goes away from zero."""
    doubled, whole = 2 * abs(exact.numerator) + exact.denominator, 2 * exact.denominator
    return -(doubled // whole) if exact < 0 else doubled // whole
