"""Which uncertain figures move the total: rank correlation with it, and each one's share of its variance."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.risk.ranks import centred_ranks, correlation_of
from swardcost_api.engine.risk.sampling import BLOCK, Event, Uncertain, draw_blocks
from swardcost_api.engine.risk.whole_figures import Ints

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Influence:
    """How a figure goes with the total: Spearman's rank correlation (-1 to 1) and its share of the variance (0 to 1).

    Both are `None` for a figure that is the same in every trial, or where the total is.
    """

    name: str
    rank_correlation: float | None
    variance_share: float | None


def influences(figures: Iterable[tuple[str, Floats]], totals_minor: Ints) -> tuple[Influence, ...]:
    """The influence of each figure, the strongest first, then by name; those without a share last.

    ::

        rank correlation = correlation of the ranks, alike figures sharing the mean of their ranks
        variance share = rank correlation^2 / sum of rank correlation^2 of all figures

    `figures` are names with one number a trial and are taken one after another, so that not all need be held at once.

    Limits: the shares sum to one and rest on ranks, so they tell well for figures that move the total up or down all
    the way. Figures with a common cause share its effect, each having it in full before shares are made.

    Raises `ValueError` for a number of trials unlike that of the totals, or fewer than two.

    References
    ----------
    Spearman, The proof and measurement of association between two things, American Journal of Psychology 15 (1904).
    Shares by squared rank correlations: common practice of simulation.
    """
    if totals_minor.size < 2:
        raise ValueError(f"trials: expected at least two; got {totals_minor.size}")
    of_totals = centred_ranks(totals_minor)
    found: list[tuple[str, float | None]] = []
    for name, values in figures:
        if values.size != totals_minor.size:
            raise ValueError(f"{name}: expected {totals_minor.size} trials; got {values.size}")
        found.append((name, correlation_of(centred_ranks(values), of_totals)))
    squares = math.fsum(one * one for _, one in found if one is not None)
    shared = [
        Influence(name, one, None if one is None or not squares else one * one / squares)
        for name, one in found
    ]
    return tuple(
        sorted(shared, key=lambda one: (1.0 if one.variance_share is None else -one.variance_share, one.name))
    )


def drawn_again(
    figures: Iterable[Uncertain], events: Iterable[Event], *, seed: int, trials: int, block: int = BLOCK
) -> Iterable[tuple[str, Floats]]:
    """What each figure turned out to be, and each event cost, in all trials of a simulation with this seed.

    Each has a stream of its own, so it is drawn again alone instead of being kept: memory is that of one figure.
    """
    for figure in figures:
        drawn = draw_blocks([figure], seed=seed, trials=trials, block=block)
        yield figure.name, np.concatenate([one.figures[figure.name] for one in drawn])
    for event in events:
        drawn = draw_blocks([], [event], seed=seed, trials=trials, block=block)
        yield event.name, np.concatenate([one.costs[event.name] for one in drawn])
