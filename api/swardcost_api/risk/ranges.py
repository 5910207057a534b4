"""From ranges as they are stated to factors on what was estimated, which is what the engine draws."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

import numpy as np
from swardcost_model.uncertainty import EvenRange, Load, SkewedRange, SpreadRange, StatedRange, ThreePoints

from swardcost_api.engine.risk.ranges import Lognormal, OwnHistory, Pert, Range, Triangular, Uniform

HUNDRED = 100.0
MOST_FACTOR = 1_000_000.0
LEAST_FACTOR = 0.000_001
"""What divides the hours, or stretches the days, is no smaller: factors count in millionths."""
LEAST_PERCENT = Decimal("0.0001")
"""The same in percent."""


def engine_range(stated: StatedRange, one: float) -> Range:
    """The range with `one` of its unit as 1: with 100, percent become factors. `one` is more than zero."""
    if isinstance(stated, ThreePoints):
        shape = Triangular if stated.shape == "triangular" else Pert
        return shape(*(float(figure) / one for figure in (stated.low, stated.likely, stated.high)))
    if isinstance(stated, EvenRange):
        return Uniform(float(stated.low) / one, float(stated.high) / one)
    if isinstance(stated, SkewedRange):
        return Lognormal.from_p10_p90(float(stated.p10) / one, float(stated.p90) / one)
    if isinstance(stated, SpreadRange):
        return Lognormal(float(stated.median) / one, float(stated.spread))
    return OwnHistory(tuple(float(figure) / one for figure in stated.figures))


def factor_range(stated: StatedRange, one: float, *, above_zero: bool) -> Range:
    """The range as factors. Raises `ValueError`, with what was expected, for figures that no factor can be."""
    found = engine_range(stated, one)
    least, most = found.quantile(np.array([0.0, 1.0]))
    if not most < MOST_FACTOR:
        raise ValueError(f"figures below {MOST_FACTOR:,.0f} times what was estimated")
    if above_zero and not least >= LEAST_FACTOR:
        raise ValueError("figures above zero, since work that never goes on never ends")
    return found


def loads_of(causes: Sequence[Load]) -> Mapping[str, float]:
    """Loads by the name of the cause."""
    return {one.cause: float(one.load) for one in causes}


def percent_of_factor(factor: float) -> Decimal:
    """A factor in percent, to six places."""
    return places(factor * 100, 6)


def places(figure: float, digits: int) -> Decimal:
    """A plain figure to so many places, without trailing zeros."""
    return Decimal(f"{figure:.{digits}f}").normalize() + Decimal(0)
