"""Splitting money so that the parts sum to the whole."""

import math
from collections.abc import Sequence


def split_by_weights(total: int, weights: Sequence[float]) -> list[int]:
    """Split a whole number of minor units in proportion to weights, by largest remainder.

    Parts sum to `total` exactly; ties go to the earlier part. Weights are zero or more; where all are
    zero the split is even. A negative total is split like its opposite. An empty list of weights raises
    `ValueError`.

    References
    ----------
    Largest-remainder method (Hamilton's apportionment), common practice.
    """
    return split_exactly(total, whole_weights(weights))


def whole_weights(weights: Sequence[float]) -> list[int]:
    """Weights as whole numbers in the same proportion, so that large amounts are split without rounding of floats.

    Weights are zero or more; where all are zero they become alike. Others, or none at all, raise `ValueError`.
    """
    if not weights:
        raise ValueError("expected at least one part to split into")
    if any(not 0 <= weight < math.inf for weight in weights):
        raise ValueError("expected finite weights of zero or more")
    largest = max(weights)
    return [int(weight / largest * 10**12) for weight in weights] if largest > 0 else [1] * len(weights)


def split_exactly(total: int, weights: Sequence[int]) -> list[int]:
    """Split a whole number of minor units in proportion to whole weights, by largest remainder, without any rounding.

    Parts sum to `total` exactly; ties go to the earlier part. A negative total is split like its opposite. Weights
    are zero or more and not all zero; others raise `ValueError`.

    References
    ----------
    Largest-remainder method (Hamilton's apportionment), common practice.
    """
    whole = sum(weights)
    if whole <= 0 or min(weights) < 0:
        raise ValueError("expected weights of zero or more that sum to more than zero")
    if total < 0:
        return [-part for part in split_exactly(-total, weights)]
    shares = [divmod(total * weight, whole) for weight in weights]
    parts, remainders = [part for part, _ in shares], [remainder for _, remainder in shares]
    left = total - sum(parts)
    for i in sorted(range(len(parts)), key=remainders.__getitem__, reverse=True)[:left]:
        parts[i] += 1
    return parts
