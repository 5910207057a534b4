"""Straight-line depreciation for the accounts, by months, so that the years sum to what is written off.

References
----------
Straight-line method of financial accounting (common practice); the month in which a thing is put into service counts
whole.
"""

from datetime import date
from fractions import Fraction

from swardcost_api.engine.capital.growth import half_up

MONTHS = 12


def straight_line(
    cost_minor: int, salvage_minor: int, in_service_on: date, life_years: int
) -> dict[int, int]:
    """What is written off in each calendar year, in minor units.

    ::

        written off after m months = (cost - salvage) x m / (12 x life), rounded half up; a year is the difference

    The years sum to cost - salvage. Raises `ValueError` for a salvage below zero or above the cost, or a life below one
    year.

    Examples
    --------
    >>> straight_line(1_000_000, 100_000, date(2026, 7, 15), 3)
    {2026: 150000, 2027: 300000, 2028: 300000, 2029: 150000}
    """
    if not 0 <= salvage_minor <= cost_minor or life_years < 1:
        raise ValueError(
            "expected a salvage from zero to the cost and a life of a year or more; got "
            f"{salvage_minor} of {cost_minor} in minor units over {life_years} years"
        )
    whole, months = cost_minor - salvage_minor, MONTHS * life_years

    def after(done: int) -> int:
        return half_up(Fraction(whole * min(done, months), months))

    found: dict[int, int] = {}
    year, done = in_service_on.year, 0
    while done < months:
        following = done + (MONTHS - in_service_on.month + 1 if not found else MONTHS)
        found[year] = after(following) - after(done)
        year, done = year + 1, following
    return found
