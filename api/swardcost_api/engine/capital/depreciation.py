"""Straight-line depreciation for the accounts, by months, so that the years sum to what is written off.

References
----------
Straight-line method of financial accounting (common practice). Internal Revenue Service, Publication 946, How To
Depreciate Property: the half-year convention treats what is put into service in a year as if that were in its middle.
"""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from swardcost_api.engine.capital.growth import half_up

MONTHS = 12
Convention = Literal["full_month", "half_year", "full_year"]
"""How much of its first year a thing is depreciated for: from its month on, half of the year, or all of it."""


def straight_line(
    cost_minor: int,
    salvage_minor: int,
    in_service_on: date,
    life_years: int,
    convention: Convention = "full_month",
) -> dict[int, int]:
    """What is written off in each calendar year, in minor units.

    ::

        written off after m months = (cost - salvage) x m / (12 x life), rounded half up; a year is the difference

    The first year has the months from that in which it is put into service, which counts whole; six by the half-year
    convention, and all twelve by the full-year one. The years sum to cost - salvage. Raises `ValueError` for a salvage
    below zero or above the cost, or a life below one year.

    Examples
    --------
    >>> straight_line(1_000_000, 100_000, date(2026, 7, 15), 3)
    {2026: 150000, 2027: 300000, 2028: 300000, 2029: 150000}
    >>> straight_line(1_000_000, 100_000, date(2026, 7, 15), 3, "full_year")
    {2026: 300000, 2027: 300000, 2028: 300000}
    """
    if not 0 <= salvage_minor <= cost_minor or life_years < 1:
        raise ValueError(
            "expected a salvage from zero to the cost and a life of a year or more; got "
            f"{salvage_minor} of {cost_minor} in minor units over {life_years} years"
        )
    whole, months = cost_minor - salvage_minor, MONTHS * life_years

    def after(done: int) -> int:
        return half_up(Fraction(whole * min(done, months), months))

    first = {"full_month": MONTHS - in_service_on.month + 1, "half_year": 6, "full_year": MONTHS}[convention]
    found: dict[int, int] = {}
    year, done = in_service_on.year, 0
    while done < months:
        following = done + (MONTHS if found else first)
        found[year] = after(following) - after(done)
        year, done = year + 1, following
    return found


@dataclass(frozen=True, slots=True)
class BookYear:
    """A year of a thing in the accounts, in minor units.

    opening + added - depreciation - written off - disposed = closing; what is disposed is its salvage value. While it
    is in the accounts, closing + accumulated = cost.
    """

    year: int
    opening_minor: int
    added_minor: int
    depreciation_minor: int
    written_off_minor: int
    disposed_minor: int
    accumulated_minor: int

    @property
    def closing_minor(self) -> int:
        """What it stands in the accounts for at the end of the year."""
        return (
            self.opening_minor + self.added_minor - self.depreciation_minor - self.written_off_minor
            - self.disposed_minor
        )  # fmt: skip


def book_years(
    cost_minor: int,
    salvage_minor: int,
    in_service_on: date,
    life_years: int,
    years: range,
    replaced_in: int | None = None,
    convention: Convention = "full_month",
) -> list[BookYear]:
    """A thing in the accounts over some calendar years, in minor units.

    Where it is replaced, what is left of it above its salvage value is written off in that year, in place of the year's
    depreciation, and the salvage value leaves the accounts. Raises as `straight_line`, and `ValueError` where it is
    replaced before it is in service.

    Examples
    --------
    >>> two = book_years(1_000_000, 100_000, date(2026, 7, 15), 3, range(2027, 2029), replaced_in=2028)
    >>> [(one.opening_minor, one.depreciation_minor, one.written_off_minor, one.closing_minor) for one in two]
    [(850000, 300000, 0, 550000), (550000, 0, 450000, 0)]
    """
    written = straight_line(cost_minor, salvage_minor, in_service_on, life_years, convention)
    begins = in_service_on.year
    if replaced_in is not None and replaced_in < begins:
        raise ValueError(f"expected to be replaced in {begins} or later; got {replaced_in}")
    found, book, accumulated = [], 0, 0
    for year in range(min(begins, years.start), years.stop):
        opening, added = book, cost_minor if year == begins else 0
        depreciation, written_off, disposed = written.get(year, 0), 0, 0
        accumulated += depreciation
        if replaced_in is not None and year >= replaced_in:
            depreciation = accumulated = 0
            if year == replaced_in:
                written_off, disposed = opening + added - salvage_minor, salvage_minor
        one = BookYear(year, opening, added, depreciation, written_off, disposed, accumulated)
        book = one.closing_minor
        if year in years:
            found.append(one)
    return found
