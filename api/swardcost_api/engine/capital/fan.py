"""What the futures of a plan say year by year: fans of percentiles, means, and probabilities with their intervals."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.capital.reserve import lowest
from swardcost_api.engine.capital.whole_minor import Ints

FAN_PERCENTS = (5, 10, 25, 50, 75, 90, 95)
Z_95 = 1.959963984540054
"""Standard normal deviate between which and its negative lie 95 percent."""
_SPLIT = 1 << 26
"""Amounts are summed in two parts, above and below this, so that the sum of either fits into 64 bits."""


@dataclass(frozen=True, slots=True)
class Probability:
    """In how many of the futures something happens, and the interval that holds its probability in 95 of 100 drawings.

    Raises `ValueError` unless 0 <= count <= futures and there is a future.
    """

    count: int
    futures: int

    def __post_init__(self) -> None:
        if not 0 <= self.count <= self.futures or self.futures < 1:
            raise ValueError(f"expected a count within the futures; got {self.count} of {self.futures}")

    @property
    def share(self) -> float:
        """The probability, from 0 to 1: count / futures."""
        return self.count / self.futures

    @property
    def interval(self) -> tuple[float, float]:
        """Its interval for sampling error, from 0 to 1.

        ::

            (p + z^2 / 2n -+ z x sqrt(p (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n)

        References
        ----------
        Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American
        Statistical Association 22 (1927): the score interval, here with z of 95 percent.
        """
        n, p, z = self.futures, self.share, Z_95
        middle = p + z * z / (2 * n)
        width = z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        whole = 1 + z * z / n
        low = 0.0 if self.count == 0 else (middle - width) / whole
        return low, 1.0 if self.count == n else (middle + width) / whole


@dataclass(frozen=True, slots=True)
class FanYear:
    """A figure of all futures in minor units: its mean, rounded half up, and its percentiles by `FAN_PERCENTS`.

    A percentile is the least amount that at least so many percent of the futures do not exceed.
    """

    mean_minor: int
    percentiles_minor: tuple[int, ...]

    def percentile(self, percent: int) -> int:
        """One of the percentiles, in minor units."""
        return self.percentiles_minor[FAN_PERCENTS.index(percent)]


def fan_of(amounts: Ints) -> FanYear:
    """The fan of one amount for each future, in minor units.

    References
    ----------
    Percentiles: definition 1 of Hyndman and Fan, The American Statistician 50 (1996).
    """
    ordered = np.sort(amounts)
    count = len(ordered)
    ranks = [max(-(-percent * count // 100), 1) for percent in FAN_PERCENTS]
    mean = half_up(Fraction(_sum(ordered), count))
    return FanYear(mean, tuple(int(ordered[rank - 1]) for rank in ranks))


def fans(amounts: Ints) -> list[FanYear]:
    """The fan of each year, of amounts by years x futures."""
    return [fan_of(year) for year in amounts]


def below(amounts: Ints, least_minor: int) -> list[Probability]:
    """How probable it is in each year that an amount is below one, of amounts by years x futures."""
    return [Probability(int(count), amounts.shape[1]) for count in (amounts < least_minor).sum(axis=1)]


def first_below(amounts: Ints, least_minor: int) -> list[Probability]:
    """How probable it is that each year is the first in which an amount is below one; they sum to that of any year."""
    under = amounts < least_minor
    first: NDArray[np.int64] = np.where(under.any(axis=0), under.argmax(axis=0), len(amounts))
    return [
        Probability(int(count), amounts.shape[1])
        for count in np.bincount(first, minlength=len(amounts) + 1)[:-1]
    ]


def ever_below(amounts: Ints, least_minor: int) -> Probability:
    """How probable it is that an amount is below one in any year."""
    return Probability(int((amounts < least_minor).any(axis=0).sum()), amounts.shape[1])


def lowest_year(years: Sequence[FanYear], percent: int) -> int:
    """The place of the year in which a percentile is least; the first of several."""
    return lowest([year.percentile(percent) for year in years])


def _sum(amounts: Ints) -> int:
    """The exact sum."""
    return int((amounts // _SPLIT).sum()) * _SPLIT + int((amounts % _SPLIT).sum())
