"""Rank correlation, the same to the last digit on every machine."""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def centred_ranks(values: Floats | Ints) -> Floats:
    """Ranks less their mean, with the mean rank for those alike."""
    from scipy import stats

    ranks: Floats = stats.rankdata(values)
    return ranks - (values.size + 1) / 2


def correlation_of(first: Floats, second: Floats) -> float | None:
    """The correlation of two rows of centred ranks (Spearman's); none where one of them does not vary.

    Sums are numpy's own and not those of a threaded library, which starts threads for rows as short as these.

    Examples
    --------
    >>> correlation_of(centred_ranks(np.array([1, 5, 9])), centred_ranks(np.array([8, 4, 2])))
    -1.0
    """
    scale = math.sqrt(_product(first, first) * _product(second, second))
    return min(max(_product(first, second) / scale, -1.0), 1.0) if scale else None


def _product(first: Floats, second: Floats) -> float:
    return float(np.einsum("i,i", first, second))
