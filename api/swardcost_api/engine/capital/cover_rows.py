"""Starts of which only so many fit into a limit of a year, told from some that do not.

A cover is a set of starts that break a limit by themselves. Of it, and of all starts that weigh at least as much, one
less than its number can be chosen. The lighter the cover, the more starts weigh as much, so each start of it is first
exchanged for the lightest with which the limit still is broken.

References
----------
Extended covers of knapsack limits: Balas, Mathematical Programming 8, 1975 (from memory).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate

from swardcost_api.engine.capital.candidates import Bundle, Question, Starts
from swardcost_api.engine.capital.kept_limits import Broken, reserve_years

Start = tuple[str, int]
"""The key of a bundle, and a year in which it can start."""
_Chosen = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Cover:
    """Starts of which no plan within the limit has more than `most`; a bundle has one start at most."""

    starts: frozenset[Start]
    most: int


def cover_of(question: Question, starts: Starts, broken: Broken) -> Cover:
    """The cover that forbids starts which break a limit of a year, and whatever weighs as much."""
    weights = _Weights(question, broken)
    chosen = {
        bundle.key: starts[bundle.key]
        for bundle in question.bundles
        if bundle.key in starts and any(weights.of[bundle.key, starts[bundle.key]])
    }
    least = _fewest(weights, chosen)
    found = _extended(weights, _lightest(weights, least))
    if sum((key, start) in found.starts for key, start in chosen.items()) > found.most:
        return found
    return _extended(weights, least)


class _Weights:
    """How much each start weighs on a limit, and whether some starts break it.

    A weight has several figures where what is spent sooner weighs more: what is spent by each year up to the limit's.
    """

    def __init__(self, question: Question, broken: Broken) -> None:
        assert broken.year is not None
        self.question, self.family, self.year = question, broken.family, broken.year
        self.of: dict[Start, tuple[int, ...]] = {
            (bundle.key, start): self._weight(bundle, start)
            for bundle in question.bundles
            for start in bundle.starts
        }
        reserve = question.limits.reserve
        # With interest below zero, money spent sooner is not surely worse.
        self.ordered = self.family != "floor" or (reserve is not None and reserve.interest.percent >= 0)

    def at_least(self, one: Start, other: Start) -> bool:
        """Whether a start surely weighs as much as another."""
        if not self.ordered:
            return one == other
        return all(mine >= theirs for mine, theirs in zip(self.of[one], self.of[other], strict=True))

    def broken_by(self, chosen: _Chosen) -> bool:
        """Whether starts break the limit by themselves."""
        limits = self.question.limits
        if self.family != "floor":
            most = (limits.spending_minor if self.family == "spending" else limits.closure_days)[self.year]
            return most is not None and sum(self.of[one][0] for one in chosen.items()) > most
        assert limits.reserve is not None
        floor = limits.reserve.floors_minor[self.year]
        spent = [sum(by_year) for by_year in zip(*(self.of[one] for one in chosen.items()), strict=True)]
        spent = spent or [0] * (self.year + 1)
        each = [by - before for by, before in zip(spent, [0, *spent], strict=False)]
        rows = reserve_years(self.question, each + [0] * (self.question.years - len(each)))
        return floor is not None and rows[self.year].closing_minor < floor

    def _weight(self, bundle: Bundle, start: int) -> tuple[int, ...]:
        by_year = [0] * self.question.years
        for one in bundle.members:
            figures = one.closure_days if self.family == "closure_days" else one.costs_minor[start]
            for phase, figure in enumerate(figures):
                by_year[start + phase] += figure
        if self.family == "floor":
            return tuple(accumulate(by_year[: self.year + 1]))
        return (by_year[self.year],)


def _fewest(weights: _Weights, chosen: _Chosen) -> dict[str, int]:
    """Starts without those that the limit is broken without, the lightest left out first."""
    found = dict(chosen)
    for key, start in sorted(chosen.items(), key=lambda one: (sum(weights.of[one]), one)):
        without = {other: s for other, s in found.items() if other != key}
        if weights.broken_by(without):
            found = without
        else:
            found[key] = start
    return found


def _lightest(weights: _Weights, cover: _Chosen) -> dict[str, int]:
    """A cover with each start, the heaviest first, exchanged for the lightest that keeps it one."""
    found = dict(cover)
    lightest_first = sorted(weights.of, key=lambda one: (sum(weights.of[one]), one))
    for key, start in sorted(cover.items(), key=lambda one: (-sum(weights.of[one]), one)):
        others = {other: s for other, s in found.items() if other != key}
        for instead in lightest_first:
            if instead == (key, start):
                break
            if instead[0] in others or not weights.at_least((key, start), instead):
                continue
            if weights.broken_by(others | dict([instead])):
                found = others | dict([instead])
                break
    return found


def _extended(weights: _Weights, cover: _Chosen) -> Cover:
    """A cover with all starts that weigh as much: each its own bundle's start, or every start of the cover."""

    def covered(one: Start) -> bool:
        own: Iterable[Start] = [(one[0], cover[one[0]])] if one[0] in cover else cover.items()
        return all(weights.at_least(one, other) for other in own)

    return Cover(frozenset(one for one in weights.of if covered(one)), len(cover) - 1)
