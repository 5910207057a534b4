"""The best plan that differs from another in a few projects: all such plans, looked through without a solver.

What each start weighs on every limit is a row of a table, so that all ways to move one more project are tried at once.
Before the last, a limit that is broken has to be relieved by one of the moves that are left, by its share at least;
and the gain of a plan that breaks none has to come from one of them. Other moves are not looked at, so that what is
found is the best all the same. Limits are compared in floating numbers with some slack; what passes is then computed
in whole minor units.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.capital.candidates import Question, Starts
from swardcost_api.engine.capital.kept_limits import broken_limits
from swardcost_api.engine.capital.start_weights import StartWeights

MOST_TRIED = 12_000
"""Tables of moves that are looked through for an answer: unlike seconds, the same on every machine."""
_FAILED = 5  # tables that a plan counts which passes them and breaks a limit by a unit
_Floats = NDArray[np.float64]


@dataclass(slots=True)
class _Search:
    """What was found so far: the most gained, by which moves, and how much may still be looked through."""

    gain: float
    moves: tuple[int, ...] | None = None
    left: int = MOST_TRIED
    taken: list[int] = field(default_factory=list)


class NearbyPlans:
    """A plan, and all ways to move things that start together to other years, in, or out."""

    def __init__(self, question: Question, starts: Starts, weights: StartWeights | None = None) -> None:
        self.question, self.starts = question, dict(starts)
        self.weights = weights or StartWeights(question)
        now = {bundle.key: starts.get(bundle.key) for bundle in question.bundles}
        self.options = [
            (bundle, start)
            for bundle in question.bundles
            for start in (*bundle.starts, *(() if bundle.required else (None,)))
            if start != now[bundle.key]
        ]
        self.number = {(bundle.key, start): n for n, (bundle, start) in enumerate(self.options)}
        places = {bundle.key: place for place, bundle in enumerate(question.bundles)}
        self.of_bundle = np.array([places[bundle.key] for bundle, _ in self.options], dtype=np.int64)
        self.more = np.array(
            [self.weights.of(b, s) - self.weights.of(b, now[b.key]) for b, s in self.options]
        ).reshape(len(self.options), len(self.weights.most))
        worth = question.worth_of_bundle
        self.gains = np.array([worth(b, s) - worth(b, now[b.key]) for b, s in self.options], dtype=float)
        self.over = sum((self.weights.of(b, now[b.key]) for b in question.bundles), -self.weights.most)

    def best_with(self, key: str, start: int, most_moves: int) -> dict[str, int] | None:
        """The plan of the most worth with a project in a year and up to so many others moved.

        Of several, one with the fewest moves. `None` where none keeps every limit, or none was found in the tables
        allowed; the year has to be another than the plan's.
        """
        first = self.number.get((self.question.bundle_of[key].key, start))
        if first is None:
            return None
        found = _Search(-np.inf)
        found.taken.append(first)
        others = np.flatnonzero(self.of_bundle != self.of_bundle[first])
        for moves in range(most_moves + 1):
            self._look(found, self.over + self.more[first], self.gains[first], others, moves)
        return None if found.moves is None else self._moved(found.moves)

    def better(self, most_moves: int) -> dict[str, int] | None:
        """The plan of the most worth with up to so many moves, where that is more than the plan itself is worth."""
        found = _Search(0.5)
        for moves in range(1, most_moves + 1):
            self._look(found, self.over, 0.0, np.arange(len(self.options)), moves)
        return None if found.moves is None else self._moved(found.moves)

    def _look(
        self, found: _Search, over: _Floats, gain: float, allowed: NDArray[np.int64], moves: int
    ) -> None:
        """Look through the plans with exactly so many more moves of those allowed."""
        if moves == 0:
            if gain > found.gain and (over <= 0).all():
                self._keep(found, gain, ())
            return
        if found.left <= 0:
            return
        if moves == 1:
            found.left -= 1
            better = allowed[gain + self.gains[allowed] > found.gain]
            fits = better[(self.more[better] + over <= 0).all(axis=1)]
            for n in fits[np.argsort(-self.gains[fits], kind="stable")]:
                if self._keep(found, gain + self.gains[n], (int(n),)) or found.left <= 0:
                    return
            return
        for n in self._first_moves(found, over, gain, allowed, moves):
            allowed = allowed[allowed != n]
            others = allowed[self.of_bundle[allowed] != self.of_bundle[n]]
            found.taken.append(int(n))
            self._look(found, over + self.more[n], gain + self.gains[n], others, moves - 1)
            found.taken.pop()

    def _first_moves(
        self, found: _Search, over: _Floats, gain: float, allowed: NDArray[np.int64], moves: int
    ) -> Iterator[int]:
        """The moves of which each plan that is looked for has one, those of the most gain first."""
        chosen = allowed[self.gains[allowed] >= (found.gain - gain) / moves]
        for row in np.flatnonzero(over > 0):
            relieving = allowed[self.more[allowed, row] <= -over[row] / moves]
            if len(relieving) < len(chosen):
                chosen = relieving
        for n in chosen[np.argsort(-self.gains[chosen], kind="stable")]:
            if self._may_gain(found, gain + self.gains[n], allowed, moves - 1):
                yield n

    def _may_gain(self, found: _Search, gain: float, allowed: NDArray[np.int64], moves: int) -> bool:
        most = np.zeros(len(self.question.bundles))
        np.maximum.at(most, self.of_bundle[allowed], self.gains[allowed])
        return bool(gain + np.sort(most)[-moves:].sum() > found.gain)

    def _keep(self, found: _Search, gain: float, more: tuple[int, ...]) -> bool:
        """Take a plan for the best so far, if it keeps every limit to the minor unit."""
        moves = (*found.taken, *more)
        if broken_limits(self.question, self._moved(moves)):
            found.left -= _FAILED
            return False
        found.gain, found.moves = gain, moves
        return True

    def _moved(self, moves: tuple[int, ...]) -> dict[str, int]:
        starts = dict(self.starts)
        for n in moves:
            bundle, start = self.options[n]
            for one in bundle.members:
                starts.pop(one.key, None)
                if start is not None:
                    starts[one.key] = start
        return starts
