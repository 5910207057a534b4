"""Ranges of an uncertain figure: what it is at least, likely and at most, or how it turned out before.

A range turns shares of one (0 to 1) into figures by its inverse distribution, so that the same share always gives the
same figure. Figures are plain numbers without a unit, mostly factors on an estimated quantity or price.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PERT_LAMBDA = 4.0
"""Weight of the likely value in a PERT range, as in the original method."""

Z_90 = 1.2815515655446004
"""Standard normal deviate below which lie 90 percent."""

_LEAST_SHARE = 2.0**-53


@dataclass(frozen=True, slots=True)
class Triangular:
    """A density that rises in a line from `low` to `likely` and falls in a line to `high`.

    Raises `ValueError` unless low <= likely <= high, all finite.

    References
    ----------
    Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, volume 2, 26.9.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.likely, self.high)

    @property
    def mean(self) -> float:
        return self.likely if self.low == self.high else (self.low + self.likely + self.high) / 3

    @property
    def variance(self) -> float:
        below, above = self.likely - self.low, self.high - self.likely
        return (below * below + above * above + below * above) / 18

    def quantile(self, shares: Floats) -> Floats:
        """The figure below which lies each share of one, from 0 to 1."""
        if self.low == self.high:
            return np.full(shares.shape, self.likely)
        width = self.high - self.low
        below = shares < (self.likely - self.low) / width
        rest = 1 - shares
        rest *= width * (self.high - self.likely)
        root = np.where(below, shares * (width * (self.likely - self.low)), rest)
        np.sqrt(root, out=root)
        np.subtract(self.high, root, out=rest)
        root += self.low
        return np.where(below, root, rest)


@dataclass(frozen=True, slots=True)
class Pert:
    """A beta density from `low` to `high` whose mean weighs `likely` four times.

    ::

        mean = (low + 4 x likely + high) / 6
        a = 1 + 4 x (likely - low) / (high - low);   b = 1 + 4 x (high - likely) / (high - low)

    The variance is that of this beta density; ((high - low) / 6)^2 of the original method is an approximation to it.
    Figures come from a table of the inverse, within a ten-millionth of the width.

    Raises `ValueError` unless low <= likely <= high, all finite.

    References
    ----------
    Malcolm, Roseboom, Clark and Fazar, Application of a technique for research and development program evaluation,
    Operations Research 7 (1959); Vose, Risk Analysis, the PERT distribution.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.likely, self.high)

    @property
    def shape(self) -> tuple[float, float]:
        """The two parameters of the beta density; both (1, 1) where there is no width."""
        width = self.high - self.low
        if not width:
            return 1.0, 1.0
        return (
            1 + PERT_LAMBDA * (self.likely - self.low) / width,
            1 + PERT_LAMBDA * (self.high - self.likely) / width,
        )

    @property
    def mean(self) -> float:
        if self.low == self.high:
            return self.likely
        return (self.low + PERT_LAMBDA * self.likely + self.high) / (PERT_LAMBDA + 2)

    @property
    def variance(self) -> float:
        a, b = self.shape
        width = self.high - self.low
        return width * width * a * b / ((a + b) ** 2 * (a + b + 1))

    def quantile(self, shares: Floats) -> Floats:
        """The figure below which lies each share of one, from 0 to 1."""
        if self.low == self.high:
            return np.full(shares.shape, self.likely)
        return self.low + (self.high - self.low) * _beta_inverse(*self.shape).at(shares)


@dataclass(frozen=True, slots=True)
class Uniform:
    """Every figure from `low` to `high` alike. Raises `ValueError` unless low <= high, both finite."""

    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.low, self.high)

    @property
    def likely(self) -> float:
        """The middle, for want of a likelier figure."""
        return self.low + (self.high - self.low) / 2

    @property
    def mean(self) -> float:
        return self.likely

    @property
    def variance(self) -> float:
        return (self.high - self.low) ** 2 / 12

    def quantile(self, shares: Floats) -> Floats:
        """The figure below which lies each share of one, from 0 to 1."""
        return self.low + (self.high - self.low) * shares


@dataclass(frozen=True, slots=True)
class Lognormal:
    """A figure whose logarithm is normal: always above zero, without an upper end, skewed to the high side.

    `spread` is the geometric standard deviation: 68 percent lie between median / spread and median x spread; 1 is no
    spread. `stated_by` says which two figures it was stated by. `low`, `likely` and `high` are P10, median and P90.

    Raises `ValueError` for a median not above zero or a spread below one.

    References
    ----------
    Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, volume 1, chapter 14.
    """

    median: float
    spread: float
    stated_by: Literal["median and spread", "P10 and P90"] = "median and spread"

    def __post_init__(self) -> None:
        if not (0 < self.median < math.inf and 1 <= self.spread < math.inf):
            raise ValueError(
                f"lognormal range: expected a median above zero and a spread of one or more; got {self.median} and "
                f"{self.spread}"
            )

    @classmethod
    def from_p10_p90(cls, p10: float, p90: float) -> Self:
        """The one of which a tenth lies below `p10` and a tenth above `p90`; raises unless 0 < p10 <= p90."""
        if not 0 < p10 <= p90 < math.inf:
            raise ValueError(f"lognormal range: expected 0 < P10 <= P90; got {p10} and {p90}")
        if p10 == p90:
            return cls(p10, 1.0, "P10 and P90")
        return cls(math.sqrt(p10) * math.sqrt(p90), math.exp(math.log(p90 / p10) / (2 * Z_90)), "P10 and P90")

    @property
    def low(self) -> float:
        return self.median / math.pow(self.spread, Z_90)

    @property
    def likely(self) -> float:
        return self.median

    @property
    def high(self) -> float:
        return self.median * math.pow(self.spread, Z_90)

    @property
    def mean(self) -> float:
        return self.median * math.exp(math.log(self.spread) ** 2 / 2)

    @property
    def variance(self) -> float:
        return self.mean**2 * math.expm1(math.log(self.spread) ** 2)

    def quantile(self, shares: Floats) -> Floats:
        """The figure below which lies each share of one, from 0 to 1.

        Shares nearer to 0 or 1 than 2^-53 count as that, so that every figure is finite.
        """
        from scipy import special

        if self.spread == 1:
            return np.full(shares.shape, self.median)
        deviates: Floats = special.ndtri(np.clip(shares, _LEAST_SHARE, 1 - _LEAST_SHARE))
        return self.median * np.exp(math.log(self.spread) * deviates)


@dataclass(frozen=True, slots=True)
class OwnHistory:
    """How figures turned out before, as ratios of actual to estimated: nothing is assumed about their density.

    Between two neighbouring ratios every figure is alike; none lies beyond the least and the greatest, so that few
    ratios make too narrow a range. `low`, `likely` and `high` are the least, the median and the greatest.

    Raises `ValueError` for fewer than two ratios, or one that is below zero or not finite.

    References
    ----------
    Hyndman and Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996), definition 7.
    """

    ratios: tuple[float, ...]
    _sorted: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.ratios) < 2:
            raise ValueError(f"history: expected at least two ratios; got {len(self.ratios)}")
        for ratio in self.ratios:
            if not 0 <= ratio < math.inf:
                raise ValueError(f"history: expected ratios of zero or more; got {ratio}")
        object.__setattr__(self, "_sorted", np.sort(np.array(self.ratios, dtype=np.float64)))

    @classmethod
    def of(cls, actual: Sequence[float], estimated: Sequence[float]) -> Self:
        """The history of pairs of what came and what was estimated; raises `ValueError` for unlike lengths or an
        estimate not above zero."""
        if len(actual) != len(estimated):
            raise ValueError(
                f"history: expected as many actual as estimated figures; got {len(actual)}, {len(estimated)}"
            )
        if any(not one > 0 for one in estimated):
            raise ValueError("history: expected estimated figures above zero")
        return cls(tuple(came / planned for came, planned in zip(actual, estimated, strict=True)))

    @property
    def low(self) -> float:
        return float(self._sorted[0])

    @property
    def likely(self) -> float:
        if self.low == self.high:
            return self.low
        return float(self.quantile(np.array([0.5]))[0])

    @property
    def high(self) -> float:
        return float(self._sorted[-1])

    @property
    def mean(self) -> float:
        if self.low == self.high:
            return self.low
        return float(np.mean((self._sorted[:-1] + self._sorted[1:]) / 2))

    @property
    def variance(self) -> float:
        left, right = self._sorted[:-1] - self.mean, self._sorted[1:] - self.mean
        return float(np.mean((left * left + left * right + right * right) / 3))

    def quantile(self, shares: Floats) -> Floats:
        """The figure below which lies each share of one, from 0 to 1."""
        place = shares * (len(self._sorted) - 1)
        step = np.minimum(place.astype(np.int64), len(self._sorted) - 2)
        left = self._sorted[step]
        found: Floats = left + (self._sorted[step + 1] - left) * (place - step)
        return found


Range = Triangular | Pert | Uniform | Lognormal | OwnHistory


def _in_order(low: float, likely: float, high: float) -> None:
    if not (math.isfinite(low) and math.isfinite(high) and low <= likely <= high):
        raise ValueError(f"range: expected low <= likely <= high; got {low}, {likely} and {high}")


_MIDDLE_CELLS = 512
_TAIL = 1 / 32
_TAIL_CELLS = 512
_EXACT = 16 * _TAIL / _TAIL_CELLS
"""Shares nearer to an end than this are inverted exactly, since the curve may rise without bound there."""


@dataclass(frozen=True, slots=True)
class _BetaInverse:
    """The inverse of a beta distribution by cubic pieces with the slopes of the curve, finer towards both ends."""

    a: float
    b: float
    shares: Floats
    figures: Floats
    slopes: Floats

    def at(self, shares: Floats) -> Floats:
        from scipy import special

        lower, upper = shares < _TAIL, shares > 1 - _TAIL
        place = (shares - _TAIL) * (_MIDDLE_CELLS / (1 - 2 * _TAIL)) + _TAIL_CELLS
        place = np.where(lower, shares * (_TAIL_CELLS / _TAIL), place)
        place = np.where(
            upper, (shares - (1 - _TAIL)) * (_TAIL_CELLS / _TAIL) + (_TAIL_CELLS + _MIDDLE_CELLS), place
        )
        cell = np.clip(place.astype(np.int64), 1, len(self.shares) - 3)
        start, left, right = self.shares[cell], self.figures[cell], self.figures[cell + 1]
        width = self.shares[cell + 1] - start
        t = (shares - start) / width
        rise = right - left
        out, into = self.slopes[cell] * width - rise, rise - self.slopes[cell + 1] * width
        found: Floats = left + t * (rise + (1 - t) * (out * (1 - t) + into * t))
        ends = np.flatnonzero((shares < _EXACT) | (shares > 1 - _EXACT))
        found[ends] = special.betaincinv(self.a, self.b, shares[ends])
        return found


@lru_cache(maxsize=1024)
def _beta_inverse(a: float, b: float) -> _BetaInverse:
    from scipy import special

    tail = np.linspace(0, _TAIL, _TAIL_CELLS + 1)
    shares = np.concatenate(
        [tail, np.linspace(_TAIL, 1 - _TAIL, _MIDDLE_CELLS + 1)[1:], (1 - tail)[::-1][1:]]
    )
    figures: Floats = special.betaincinv(a, b, shares)
    inner = figures[1:-1]
    slopes = np.zeros_like(figures)
    slopes[1:-1] = np.exp(special.betaln(a, b) + special.xlogy(1 - a, inner) + special.xlog1py(1 - b, -inner))
    return _BetaInverse(a, b, shares, figures, slopes)
