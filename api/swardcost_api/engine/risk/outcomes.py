"""What the trials of an estimate say: percentiles, mean, a cumulative curve, and the contingency for a confidence.

Amounts are whole minor units, and every percentile is an amount that some trial came to. How far the number of trials
lets a figure be trusted stands beside it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from swardcost_api.engine.risk.whole_figures import Ints

USUAL_PERCENTS = (10.0, 50.0, 80.0, 90.0)
CONFIDENCE = 0.95
"""Confidence of the intervals for sampling error."""

_DUST = 1e-9


@dataclass(frozen=True, slots=True)
class Percentile:
    """The least amount that at least `percent` of the trials do not exceed, with its interval for sampling error.

    `low_minor` and `high_minor` are two of the trials' amounts; `None` where there are too few trials for an end.
    `coverage` is the probability that the two hold the true percentile (with `None` for an unbounded end).
    """

    percent: float
    amount_minor: int
    low_minor: int | None
    high_minor: int | None
    coverage: float


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean of the trials in minor units, unrounded, and its standard error: the deviation / sqrt(trials)."""

    mean_minor: float
    standard_error_minor: float
    deviation_minor: float


@dataclass(frozen=True, slots=True)
class Contingency:
    """What to add to the base so that the total holds with a confidence in percent; below zero where the base is more
    than enough. `low_minor` and `high_minor` are its interval for sampling error, as in `Percentile`."""

    percent: float
    base_minor: int
    amount_minor: int
    low_minor: int | None
    high_minor: int | None


class Outcomes:
    """The totals of all trials, in order of size.

    Raises `ValueError` for fewer than two trials.
    """

    __slots__ = ("ordered",)

    def __init__(self, totals_minor: Ints) -> None:
        if totals_minor.size < 2:
            raise ValueError(f"trials: expected at least two; got {totals_minor.size}")
        self.ordered: Ints = np.sort(totals_minor)

    @property
    def trials(self) -> int:
        """Number of trials."""
        return int(self.ordered.size)

    @property
    def mean(self) -> Mean:
        """The mean with its standard error; the deviation is that of a sample (divided by trials - 1)."""
        count, first = self.trials, int(self.ordered[0])
        above = self.ordered - first
        mean = int(sum(int(part.sum()) for part in np.array_split(above, _parts(count)))) / count
        deviation = math.sqrt(float(np.sum(np.square(above - mean))) / (count - 1))
        return Mean(first + mean, deviation / math.sqrt(count), deviation)

    def percentile(self, percent: float, confidence: float = CONFIDENCE) -> Percentile:
        """A percentile with a distribution-free interval of at least this confidence.

        ::

            amount = the k-th smallest of n trials, k = percent / 100 x n rounded up
            interval: the l-th to the u-th smallest, l and u from the binomial distribution of how many of n trials
            lie below the true percentile; each end errs with at most (1 - confidence) / 2

        Raises `ValueError` unless 0 < percent < 100 and 0 < confidence < 1.

        References
        ----------
        David and Nagaraja, Order Statistics, 7.1. The percentile is definition 1 of Hyndman and Fan, The American
        Statistician 50 (1996), the inverse of the cumulative distribution of the trials.
        """
        from scipy import stats

        if not 0 < percent < 100:
            raise ValueError(f"percent: expected more than 0 and less than 100; got {percent}")
        if not 0 < confidence < 1:
            raise ValueError(f"confidence: expected more than 0 and less than 1; got {confidence}")
        count, share, error = self.trials, percent / 100, (1 - confidence) / 2
        # P(l-th smallest > percentile) = P(fewer than l below it); so with the u-th on the other side.
        low = int(stats.binom.ppf(error, count, share))
        high = int(stats.binom.ppf(1 - error, count, share)) + 1
        before = 0.0 if low < 1 else float(stats.binom.cdf(low - 1, count, share))
        after = 1.0 if high > count else float(stats.binom.cdf(high - 1, count, share))
        return Percentile(
            percent, self._smallest(_rank(share, count)), self._smallest(low) if low >= 1 else None,
            self._smallest(high) if high <= count else None, after - before,
        )  # fmt: skip

    def percentiles(self, percents: Sequence[float] = USUAL_PERCENTS) -> tuple[Percentile, ...]:
        """Several percentiles, by default P10, P50, P80 and P90."""
        return tuple(self.percentile(percent) for percent in percents)

    def curve(self, points: int) -> tuple[tuple[float, int], ...]:
        """The cumulative curve: so many pairs of percent and amount, evenly from the least trial to the greatest.

        At 0 percent stands the least trial. Raises `ValueError` for fewer than two points.
        """
        if points < 2:
            raise ValueError(f"points: expected at least two; got {points}")
        return tuple(
            (100 * step / (points - 1), self._smallest(max(-(-step * self.trials // (points - 1)), 1)))
            for step in range(points)
        )

    def confidence_of(self, amount_minor: int) -> float:
        """The percentage of trials that an amount is enough for."""
        return 100 * int(np.searchsorted(self.ordered, amount_minor, side="right")) / self.trials

    def contingency(self, percent: float, base_minor: int) -> Contingency:
        """What a confidence in percent takes beyond the base: the percentile less the base total."""
        found = self.percentile(percent)
        low, high = (None if end is None else end - base_minor for end in (found.low_minor, found.high_minor))
        return Contingency(percent, base_minor, found.amount_minor - base_minor, low, high)

    def _smallest(self, rank: int) -> int:
        return int(self.ordered[rank - 1])


def _rank(share: float, count: int) -> int:
    """share x count rounded up, at least one; what is above a whole number by binary dust alone is that number."""
    return min(max(math.ceil(share * count - _DUST), 1), count)


def _parts(count: int) -> int:
    """Parts small enough that the sum of each fits into 64 bits: amounts are below 10^15."""
    return count // 8_000 + 1
