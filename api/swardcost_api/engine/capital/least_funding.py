"""The least yearly contribution that keeps a reserve at or above its floor, to the minor unit."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from swardcost_api.engine.capital.growth import grown
from swardcost_api.engine.capital.reserve import (
    Flows,
    InterestTerms,
    ReserveYear,
    first_below,
    lowest,
    projected,
)

MOST_MINOR = 10**15
"""A contribution beyond this is not looked for."""


@dataclass(frozen=True, slots=True)
class LeastContribution:
    """The least contribution, in minor units, what the reserve then does, and the year that asks for it.

    `contribution_minor` is that of the first year in which it is paid; `None` where no contribution is enough, since
    the floor is missed before any is paid. `binding` is the place of the year that closes nearest to the floor, and
    `without` is the first that is below it without any contribution, `None` where none is.
    """

    contribution_minor: int | None
    years: tuple[ReserveYear, ...]
    binding: int
    without: int | None


def contributions(first_minor: int, percent_a_year: Decimal, years: int, begins: int) -> list[int]:
    """A contribution in each year of a plan: the first in the year `begins`, then growing; in minor units."""
    return [
        0 if year < begins else grown(first_minor, percent_a_year, year - begins) for year in range(years)
    ]


def least_contribution(
    opening_minor: int,
    flows: Sequence[Flows],
    interest: InterestTerms,
    floor_minor: int,
    *,
    percent_a_year: Decimal = Decimal(0),
    begins: int = 0,
) -> LeastContribution:
    """The least contribution beside these flows with which every year closes at or above the floor.

    More contribution never leaves less, so that it is found by halving between one that is not enough and one that is;
    both were projected, to the minor unit. Raises `ValueError` for no years, or a beginning outside them.
    """
    if not flows or not 0 <= begins < len(flows):
        raise ValueError(f"expected a beginning within the years of the plan; got {begins} of {len(flows)}")

    def with_paid(first_minor: int) -> tuple[ReserveYear, ...]:
        paid = contributions(first_minor, percent_a_year, len(flows), begins)
        return projected(
            opening_minor,
            [
                replace(one, income_minor=one.income_minor + more)
                for one, more in zip(flows, paid, strict=True)
            ],
            interest,
        )

    def first_short(years: Sequence[ReserveYear]) -> int | None:
        return first_below([year.closing_minor for year in years], floor_minor)

    none_paid = with_paid(0)
    without = first_short(none_paid)
    if without is None:
        return LeastContribution(0, none_paid, _nearest(none_paid, begins), None)
    if without < begins:
        return LeastContribution(None, none_paid, without, without)
    low, high = 0, 1
    while first_short(with_paid(high)) is not None:
        low, high = high, high * 2
        if high > MOST_MINOR:
            return LeastContribution(None, none_paid, without, without)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if first_short(with_paid(middle)) is None else (middle, high)
    found = with_paid(high)
    return LeastContribution(high, found, _nearest(found, begins), without)


def _nearest(years: Sequence[ReserveYear], begins: int) -> int:
    """The place of the year that closes lowest, of those in which a contribution is paid; the first of several."""
    return begins + lowest([year.closing_minor for year in years[begins:]])
