"""Splitting money so that the parts sum to the whole."""

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
    if not weights:
        raise ValueError("expected at least one part to split into")
    if any(not weight >= 0 or weight == float("inf") for weight in weights):
        raise ValueError("expected finite weights of zero or more")
    if total < 0:
        return [-part for part in split_by_weights(-total, weights)]
    # Weights become whole numbers, so that large amounts are split without rounding of floats.
    largest = max(weights)
    scaled = [int(weight / largest * 10**12) for weight in weights] if largest > 0 else [1] * len(weights)
    whole = sum(scaled)
    parts = [total * weight // whole for weight in scaled]
    left = total - sum(parts)
    by_remainder = sorted(range(len(scaled)), key=lambda i: (-(total * scaled[i] % whole), i))
    for i in by_remainder[:left]:
        parts[i] += 1
    return parts
