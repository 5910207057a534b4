"""What each start weighs on every limit of a plan, as one row of numbers, and the most that the rows may sum to."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.capital.candidates import Bundle, Limits, Question
from swardcost_api.engine.capital.reserve_rows import floor_sums

Weights = NDArray[np.float64]
_FAR = 1_000.0  # years: further than any plan is long
_SLACK = 1e-12


class StartWeights:
    """The weights of a question's starts; `most` are what those of a plan sum to at most, with some slack.

    Whatever keeps the limits to the unit keeps these. Floors of which interest depends on balances below zero are not
    among them, so that the reverse does not hold.
    """

    def __init__(self, question: Question) -> None:
        links = [
            (one.key, link.key, link.years) for one in question.candidates.values() for link in one.after
        ]
        starts = [(bundle, start) for bundle in question.bundles for start in bundle.starts]
        limited = [*_limits(question.limits, [bundle.costs_from(start) for bundle, start in starts], starts)]
        table = [[amounts.get(n, 0) for amounts, _ in limited] for n in range(len(starts))]
        ordered = [[_order(bundle, start, link) for link in links] for bundle, start in starts]
        self._of = {
            (bundle.key, start): np.array([*weights, *order], dtype=float)
            for (bundle, start), weights, order in zip(starts, table, ordered, strict=True)
        }
        self._out = {
            bundle.key: np.array([0.0] * len(limited) + [_order(bundle, None, link) for link in links])
            for bundle in question.bundles
        }
        most = np.array([*(float(most) for _, most in limited), *(-float(years) for *_, years in links)])
        reach = sum((np.abs(one) for one in self._of.values()), np.abs(most))
        self.most: Weights = most + _SLACK * reach

    def of(self, bundle: Bundle, start: int | None) -> Weights:
        """The weights of what starts together, in a year or not at all."""
        return self._out[bundle.key] if start is None else self._of[bundle.key, start]


def _limits(
    limits: Limits, costs: Sequence[dict[int, int]], starts: Sequence[tuple[Bundle, int]]
) -> Iterator[tuple[dict[int, int], int]]:
    """Amounts by the number of a start and the most that they may sum to, for each limit of a year."""
    days = [bundle.closure_days_from(start) for bundle, start in starts]
    for figures, by_year in ((costs, limits.spending_minor), (days, limits.closure_days)):
        for year, most in enumerate(by_year):
            if most is not None:
                yield {n: one[year] for n, one in enumerate(figures) if year in one}, most
    if limits.reserve is not None:
        for year in range(len(limits.reserve.floors_minor)):
            found = floor_sums(limits.reserve, costs, year)
            if found is not None:
                yield found


def _order(bundle: Bundle, start: int | None, link: tuple[str, str, int]) -> float:
    """What a start adds to: year of what goes before - year of what follows, which is at most -years.

    What is not done is far later; what follows is then further still, so that nothing is asked of it.
    """
    later, before, _ = link
    keys = {one.key for one in bundle.members}
    found = 0.0
    if before in keys:
        found += _FAR if start is None else start
    if later in keys:
        found -= 3 * _FAR if start is None else start
    return found
