"""What more must come in every year so that a plan seldom falls below its floor, on the futures that were drawn."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np

from swardcost_api.engine.capital.fan import Probability, ever_below
from swardcost_api.engine.capital.futures import Futures, closings
from swardcost_api.engine.capital.uncertain_plans import UncertainPlan
from swardcost_api.engine.capital.whole_minor import Ints


@dataclass(frozen=True, slots=True)
class EnoughMore:
    """The least level amount, in minor units, that with as much more in every year is enough; and how seldom it is not.

    `with_it` is the probability of ever falling below the floor then, and `allowed` in how many futures it might.
    """

    more_minor: int
    with_it: Probability
    allowed: int


def least_more(plan: UncertainPlan, futures: Futures) -> Ints:
    """The least amount that must come in every year besides, so that each future never closes below the floor.

    In minor units, to the minor unit, one for each future; zero where none is needed. More never leaves less in any
    year, so that each is found by halving between an amount that is not enough and one that is; all futures at once.
    """
    short = np.maximum(plan.floor_minor - futures.closing.min(axis=0), 0)
    # What comes in a year is in its own closing, less by at most a quarter of it where interest is -50 percent on the
    # average balance, and by a minor unit of rounding in each year before.
    high = np.where(short > 0, 2 * short + 2 * plan.years, 0)
    low = np.zeros_like(high)
    while (high - low > 1).any():
        middle = (low + high) // 2
        enough = (closings(plan, futures.spending, futures.interest_points, middle) >= plan.floor_minor).all(
            axis=0
        )
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return high


def enough_more(plan: UncertainPlan, futures: Futures, at_most_percent: Decimal) -> EnoughMore:
    """The least level amount with which at most so many percent of the futures ever close below the floor.

    Raises `ValueError` unless 0 <= at_most_percent < 100.
    """
    if not 0 <= at_most_percent < 100:
        raise ValueError(f"expected a share of at least 0 and below 100 percent; got {at_most_percent}")
    allowed = int(Fraction(at_most_percent) * futures.count / 100)
    needed = np.sort(least_more(plan, futures))
    more = int(needed[futures.count - 1 - allowed])
    closing = closings(plan, futures.spending, futures.interest_points, more)
    return EnoughMore(more, ever_below(closing, plan.floor_minor), allowed)
