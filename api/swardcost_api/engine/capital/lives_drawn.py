"""How long the parts of a course turn out to last in each future, from their ranges of life.

A life is triangular: its least, likely and most years. What is in use at the beginning of a plan has lasted until
then, so that only longer lives are drawn for it.

References
----------
Triangular distribution: Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, volume 2, 26.9. Drawing
from a part of a distribution: Devroye, Non-Uniform Random Variate Generation, II.2.1 (inversion of a truncated
distribution).
"""

import numpy as np

from swardcost_api.engine.capital.whole_minor import Floats, Ints
from swardcost_api.engine.risk.ranges import Triangular
from swardcost_api.engine.risk.sampling import stream


def share_below(life: Triangular, years: float) -> float:
    """The share of lives, from 0 to 1, that are at most so many years.

    Examples
    --------
    >>> share_below(Triangular(10, 20, 40), 20)
    0.3333333333333333
    """
    width = life.high - life.low
    if years >= life.high:
        return 1.0
    if years <= life.low:
        return 0.0
    if years <= life.likely:
        return (years - life.low) ** 2 / (width * (life.likely - life.low))
    return 1 - (life.high - years) ** 2 / (width * (life.high - life.likely))


def whole_years(life: Triangular, shares: Floats, beyond: int = 0) -> Ints:
    """Years after which something is due, part years counted up, for shares of one; each more than `beyond`.

    Of lives longer than `beyond` years alone; something older than its longest life is due at once.
    """
    lived = share_below(life, beyond)
    if lived >= 1:
        return np.full(shares.shape, beyond + 1, dtype=np.int64)
    years = life.quantile(lived + (1 - lived) * shares)
    # The last digit of a binary figure must not make a life shorter than what has been lived, or longer than the
    # longest.
    within = np.clip(np.ceil(years), beyond + 1, np.ceil(life.high))
    return within.astype(np.int64)


def life_shares(seed: int, key: str, number: int, futures: int) -> Floats:
    """Shares of one that say how long an asset lasts in each future: the one in use is 0, the first after it 1.

    Each life has a stream of its own, so that more futures leave the first ones as they are.
    """
    return stream(seed, "life of an asset", f"{number} {key}").random(futures)
