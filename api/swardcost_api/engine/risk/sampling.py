"""Draws: what uncertain figures and events turn out to be in each of many trials, from a seed.

Every figure, cause and event has a stream of its own, made from the seed and its name. Adding, leaving out or
reordering others does not change what it turns out to be, and neither does the size of the blocks that are drawn.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.risk.correlation import own_load, scores, shares_of
from swardcost_api.engine.risk.ranges import Range

Floats = NDArray[np.float64]

BLOCK = 20_000
"""Trials at once: what a line needs of them stays in the processor's cache, and what a block costs is little of it."""

MAX_TRIALS = 10_000_000
MAX_SEED = 2**63 - 1


@dataclass(frozen=True, slots=True)
class Uncertain:
    """An uncertain figure: its name, its range, and its loads on common causes by their names.

    Raises `ValueError` for a name that is empty or loads that cannot be.
    """

    name: str
    range: Range
    loads: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _named(self.name)
        own_load(self.loads)


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens or not, such as rain that stops the work, with what it costs if it does.

    `probability` is from 0 to 1; `cost` is in the major unit of the currency. With a positive load the event is
    likelier where the cause is high.

    Raises `ValueError` for a name that is empty, a probability beyond 0 to 1, or loads that cannot be.
    """

    name: str
    probability: float
    cost: Range
    loads: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _named(self.name)
        own_load(self.loads)
        if not 0 <= self.probability <= 1:
            raise ValueError(f"{self.name}: expected a probability from 0 to 1; got {self.probability}")

    @property
    def mean(self) -> float:
        """Mean cost over all trials: probability x mean cost."""
        return self.probability * self.cost.mean

    @property
    def variance(self) -> float:
        """Variance over all trials, those without the event among them."""
        return self.probability * (self.cost.variance + self.cost.mean**2) - self.mean**2


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive trials, counted from `first`: figures by name, and costs of events by name, zero where it did not
    happen; `happened` says whether it did."""

    first: int
    size: int
    figures: Mapping[str, Floats]
    costs: Mapping[str, Floats]
    happened: Mapping[str, NDArray[np.bool_]]


def stream(seed: int, kind: str, name: str) -> np.random.Generator:
    """The stream of random numbers that belongs to a name of a kind under a seed (0 to 2^63 - 1).

    References
    ----------
    O'Neill's PCG family, the variant PCG64DXSM of numpy; the starting state by BLAKE2b (RFC 7693) of seed, kind, name.
    """
    if not 0 <= seed <= MAX_SEED:
        raise ValueError(f"seed: expected a whole number from 0 to {MAX_SEED}; got {seed}")
    digest = blake2b(f"{seed}\n{kind}\n{name}".encode(), digest_size=32).digest()
    return np.random.Generator(np.random.PCG64DXSM(int.from_bytes(digest, "big")))


class OpenBlock:
    """Consecutive trials, counted from `first`, whose figures and events are drawn as they are asked for.

    Each is drawn once in each block, or in none: what is drawn is not kept, so that memory is that of its user.
    """

    __slots__ = ("_causes", "_sources", "first", "size")

    def __init__(self, sources: "_Sources", first: int, size: int) -> None:
        self._sources, self.first, self.size = sources, first, size
        self._causes = {name: source.standard_normal(size) for name, source in sources.causes.items()}

    def figure(self, name: str) -> Floats:
        """What a figure is in each trial. Raises `ValueError` for one drawn already, or left out before."""
        figure, own = self._sources.figures[name]
        self._sources.step(f"figure {name}", self.first, self.size)
        return figure.range.quantile(self._shares(figure.loads, own))

    def event(self, name: str) -> tuple[NDArray[np.bool_], Floats]:
        """Whether an event happens in each trial, and what it costs there, zero where it does not; raises likewise."""
        event, own, cost = self._sources.events[name]
        self._sources.step(f"event {name}", self.first, self.size)
        # The upper end of the shares, so that a positive load makes the event likelier where the cause is high.
        happens = self._shares(event.loads, own) >= 1 - event.probability
        return happens, np.where(happens, event.cost.quantile(cost.random(self.size)), 0.0)

    def _shares(self, loads: Mapping[str, float], own: np.random.Generator) -> Floats:
        if not loads:
            return own.random(self.size)
        return shares_of(scores(loads, self._causes, own.standard_normal(self.size)))


def open_blocks(
    figures: Sequence[Uncertain],
    events: Sequence[Event] = (),
    *,
    seed: int,
    trials: int,
    block: int = BLOCK,
) -> Iterator[OpenBlock]:
    """All trials, at most `block` of them at once, in their order, to be drawn by figure and event.

    Raises `ValueError` for a seed beyond 0 to 2^63 - 1, trials beyond 1 to 10,000,000, a block below 1, or a name
    that is used twice.
    """
    if not 1 <= trials <= MAX_TRIALS:
        raise ValueError(f"trials: expected 1 to {MAX_TRIALS:,}; got {trials}")
    if block < 1:
        raise ValueError(f"block: expected one trial or more; got {block}")
    for what, names in (("figures", [one.name for one in figures]), ("events", [one.name for one in events])):
        if len(set(names)) < len(names):
            raise ValueError(f"{what}: expected each with a name of its own")
    sources = _Sources(figures, events, seed)
    return (OpenBlock(sources, first, min(block, trials - first)) for first in range(0, trials, block))


def draw_blocks(
    figures: Sequence[Uncertain],
    events: Sequence[Event] = (),
    *,
    seed: int,
    trials: int,
    block: int = BLOCK,
) -> Iterator[Block]:
    """Draw everything in all trials, at most `block` of them at once, in their order; raises as `open_blocks` does."""
    opened = open_blocks(figures, events, seed=seed, trials=trials, block=block)
    return (_drawn(one, figures, events) for one in opened)


def _drawn(opened: OpenBlock, figures: Sequence[Uncertain], events: Sequence[Event]) -> Block:
    found = {one.name: opened.figure(one.name) for one in figures}
    happened, costs = dict[str, NDArray[np.bool_]](), dict[str, Floats]()
    for event in events:
        happened[event.name], costs[event.name] = opened.event(event.name)
    return Block(opened.first, opened.size, found, costs, happened)


class _Sources:
    """The streams of all names, and how many trials of each are drawn."""

    def __init__(self, figures: Sequence[Uncertain], events: Sequence[Event], seed: int) -> None:
        loads = [*(figure.loads for figure in figures), *(event.loads for event in events)]
        names = sorted({cause for one in loads for cause in one})
        self.causes = {name: stream(seed, "cause", name) for name in names}
        self.figures = {one.name: (one, stream(seed, "figure", one.name)) for one in figures}
        self.events = {
            one.name: (one, stream(seed, "event", one.name), stream(seed, "cost", one.name)) for one in events
        }
        self._drawn: dict[str, int] = {}

    def step(self, what: str, first: int, size: int) -> None:
        """Note that trials are drawn. Raises `ValueError` unless they follow on those drawn before."""
        if self._drawn.get(what, 0) != first:
            raise ValueError(f"{what}: expected to be drawn once in each block, from the first on")
        self._drawn[what] = first + size


def _named(name: str) -> None:
    if not name.strip():
        raise ValueError("name: expected one that is not empty")
