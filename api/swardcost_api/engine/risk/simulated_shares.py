"""Splitting money over parts in many trials at once, to the same minor unit as one trial is split."""

from collections.abc import Sequence

import numpy as np

from swardcost_api.engine.risk.whole_figures import Ints

EXACT = 2**53
"""Amounts below this pass through floats unchanged."""
_SCALE = 1e12
_BITS = 62


def split_in_trials(totals: Ints, weights: Sequence[Ints]) -> list[Ints]:
    """Each total over its weights, as `split_by_weights` splits one: parts by weight, each with a figure a trial.

    Totals and weights are zero or more, and below `EXACT`. Parts sum to the totals; ties go to the earlier part.
    """
    if len(weights) == 1:
        return [totals]
    of_parts = np.stack(weights)
    largest = of_parts.max(axis=0)
    nothing = largest == 0
    # The whole weights of `whole_weights`, by the same operations on floats.
    whole = (of_parts / np.where(nothing, 1, largest) * _SCALE).astype(np.int64)
    whole[:, nothing] = 1
    shares, remainders = _divided(totals, whole)
    left = totals - shares.sum(axis=0)
    order = np.argsort(-remainders, axis=0, kind="stable")
    places = np.empty_like(order)
    np.put_along_axis(places, order, np.arange(len(weights))[:, None], axis=0)
    shares += places < left
    return list(shares)


def _divided(totals: Ints, weights: Ints) -> tuple[Ints, Ints]:
    """Total x weight / sum of the weights, and what remains, by long division so that nothing leaves 64 bits."""
    whole = weights.sum(axis=0)
    bits = _BITS - int(whole.max()).bit_length()
    digits = -(-int(totals.max()).bit_length() // bits) if totals.size else 0
    quotient, remainder = np.zeros_like(weights), np.zeros_like(weights)
    for place in reversed(range(digits)):
        digit = (totals >> (bits * place)) & ((1 << bits) - 1)
        partial = (remainder << bits) + digit * weights
        step = partial // whole
        remainder = partial - step * whole
        quotient = (quotient << bits) + step
    return quotient, remainder
