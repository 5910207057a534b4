"""Rounding the amounts of many futures at once: products with factors, half up to the minor unit, each one exact.

A product is taken in binary floating point, whose error is known. Only where that error could change the rounding is
the product taken again as an exact fraction, so that every amount is the one that `growth.half_up` gives.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.capital.growth import factor, half_up

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

LARGEST_MINOR = 4 * 10**15
"""Amounts beyond this are refused: binary floating point tells no half of a minor unit there."""
_ULP = 2.0**-52

PER_HUNDRED = 10_000
"""Parts of a percent in which percentages and points are drawn: 0.0001 percent."""


class AmountTooLarge(ValueError):
    """An amount that grows beyond what can be rounded to the minor unit, and beyond what can be meant."""


@dataclass(frozen=True, slots=True)
class Factors:
    """Factors, one for each future or one for all.

    `values` are within `ulps` units in the last place of the true ones; `exact` gives the true one of a future.
    """

    values: Floats | float
    exact: Callable[[int], Fraction]
    ulps: int = 1

    @classmethod
    def of(cls, one: Fraction) -> "Factors":
        """The same factor for all."""
        return cls(float(one), lambda _: one)

    @classmethod
    def of_parts(cls, parts: Ints, whole: int) -> "Factors":
        """parts / whole, one for each future."""
        return cls(parts / whole, lambda place: Fraction(int(parts[place]), whole))


def times(amounts: Ints, factors: Factors) -> Ints:
    """amounts x factors, in minor units, each rounded half up, a half away from zero.

    `amounts` has one amount for each future. Raises `AmountTooLarge` for a product beyond 4 x 10^15.

    Examples
    --------
    >>> times(np.array([10_000_000, 50]), Factors.of(Fraction(45, 1000))).tolist()
    [450000, 2]
    """
    products = amounts * factors.values
    sizes = np.abs(products)
    if sizes.size and not sizes.max() <= LARGEST_MINOR:
        raise AmountTooLarge(f"expected amounts of at most {LARGEST_MINOR} minor units; one grows beyond")
    found: Ints = np.floor(sizes + 0.5).astype(np.int64)
    to_half = np.abs(sizes - np.floor(sizes) - 0.5)
    for place in np.flatnonzero(to_half <= sizes * ((factors.ulps + 2) * _ULP)):
        found[place] = abs(half_up(int(amounts[place]) * factors.exact(int(place))))
    return np.where(products < 0, -found, found)


@dataclass(frozen=True, slots=True)
class Growing:
    """How costs grow from the prices of one year to those of the years of a plan.

    `percent` a year; in each future `points` more, in parts of 0.0001, where they are drawn. The first year of the plan
    is `since` years after that of the prices. Raises `ValueError` as `growth.factor` does.
    """

    percent: Decimal
    since: int
    points: Ints | None = None

    def at(self, places: Ints) -> Factors:
        """The factors of years of the plan, counted from its first; one year for each future."""
        years = places + self.since
        if self.points is None:
            first = int(years.min(initial=0))
            table = [factor(self.percent, year) for year in range(first, int(years.max(initial=0)) + 1)]
            values = np.array([float(one) for one in table])[years - first]
            return Factors(values, lambda place: table[int(years[place]) - first])
        percent, points = Fraction(self.percent), self.points
        base = 1 + (float(self.percent) + points / PER_HUNDRED) / 100
        longest = int(np.abs(years).max(initial=0))
        return Factors(
            np.power(base, years.astype(np.float64)),
            lambda place: (1 + (percent + Fraction(int(points[place]), PER_HUNDRED)) / 100) ** int(years[place]),
            4 + 4 * longest,
        )  # fmt: skip
