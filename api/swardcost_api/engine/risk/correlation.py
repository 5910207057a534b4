"""Common causes: what moves several uncertain figures together, such as the fuel price or a wet autumn.

An uncertain figure has a score, a standard normal number, that is made of the scores of the causes it loads on and of
one of its own (a Gaussian copula with factors)::

    score = sum of load x score of the cause + sqrt(1 - sum of load^2) x own score

A figure's range is not touched by its loads; only what it turns out together with is. Loads are numbers from -1 to 1.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_DUST = 1e-12
"""Loads whose squares sum to one but for binary dust are taken as they are meant."""


def own_load(loads: Mapping[str, float]) -> float:
    """What is left for a figure's own score: sqrt(1 - sum of load^2), from 0 to 1.

    Raises `ValueError` for a load beyond -1 to 1, or loads whose squares sum to more than 1.
    """
    for cause, load in loads.items():
        if not -1 <= load <= 1:
            raise ValueError(f"load on {cause}: expected a number from -1 to 1; got {load}")
    squares = math.fsum(load * load for load in loads.values())
    if squares > 1 + _DUST:
        raise ValueError(
            f"loads on {', '.join(loads)}: expected squares that sum to at most 1; got {squares:.6g}"
        )
    return math.sqrt(max(1 - squares, 0.0)) if squares < 1 - _DUST else 0.0


def scores(loads: Mapping[str, float], of_causes: Mapping[str, Floats], own: Floats) -> Floats:
    """The scores of a figure in each trial, from those of its causes and its own, all of one shape.

    Causes are summed by name, so that the order in which loads are given does not matter.
    """
    found: Floats = own * own_load(loads)
    for cause in sorted(loads):
        found = found + loads[cause] * of_causes[cause]
    return found


def shares_of(found: Floats) -> Floats:
    """Scores as shares of one, by the standard normal distribution."""
    from scipy import special

    shares: Floats = special.ndtr(found)
    return shares


def score_correlation(first: Mapping[str, float], second: Mapping[str, float]) -> float:
    """The correlation of the scores of two different figures: the sum over shared causes of load x load."""
    own_load(first)
    own_load(second)
    return math.fsum(first[cause] * second[cause] for cause in sorted(first.keys() & second.keys()))


def rank_correlation(first: Mapping[str, float], second: Mapping[str, float]) -> float:
    """Spearman's rank correlation of two different figures, whatever their ranges, as long as both have a width.

    ::

        6 / pi x arcsin(correlation of the scores / 2)

    References
    ----------
    Kruskal, Ordinal measures of association, Journal of the American Statistical Association 53 (1958).
    """
    between = min(max(score_correlation(first, second), -1.0), 1.0)
    return 6 / math.pi * math.asin(between / 2)


def rank_correlations(loads: Sequence[Mapping[str, float]]) -> Floats:
    """Rank correlations of figures with these loads, a square matrix in their order with ones on its diagonal."""
    found = np.eye(len(loads))
    for i, first in enumerate(loads):
        for j in range(i):
            found[i, j] = found[j, i] = rank_correlation(first, loads[j])
    return found
