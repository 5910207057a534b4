"""An estimate over many trials: each line, markup and event in minor units, as the engine itself would price it.

With every factor at one, what comes out is the estimate to the cent.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Protocol

import numpy as np
from swardcost_model.values import CURRENCY_DIGITS

from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.risk.sampling import BLOCK, Event, Floats, OpenBlock, Uncertain, open_blocks
from swardcost_api.engine.risk.simulated_markups import MarkedLine, MarkupTerms, markups_in_trials
from swardcost_api.engine.risk.simulated_purchase import Factors, payable
from swardcost_api.engine.risk.simulated_quantity import MILLION, in_millionths
from swardcost_api.engine.risk.whole_figures import FITS, Ints, Whole


class Cost(Protocol):
    """What a line is charged for: a purchase, a hire, or a lump; the estimate's own arithmetic over trials."""

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that it rests on."""
        ...

    def amount_in_trials(self, factors: Factors) -> Whole:
        """What it costs in each trial, in minor units. Raises `ValueError` for amounts too large to be meant."""
        ...


@dataclass(frozen=True, slots=True)
class SimulatedLump:
    """An amount that is charged once, such as a lump sum or a mobilization, with a factor on it where one is named.

    The amount with its factor is rounded half up to the minor unit.
    """

    amount_minor: int
    currency: str
    price_factor: str | None = None

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figure that it rests on, if any."""
        return frozenset() if self.price_factor is None else frozenset({self.price_factor})

    def amount_in_trials(self, factors: Factors) -> Whole:
        """What it costs in each trial, in minor units. Raises `ValueError` for amounts too large to be meant."""
        amount = Whole.constant(self.amount_minor)
        if self.price_factor is not None:
            amount = amount.times(factors[self.price_factor]).half_up(MILLION)
        return payable(amount, self.currency)


@dataclass(frozen=True, slots=True)
class SimulatedLine:
    """A resource of an estimate: its name, what it is charged for, and what the markups need to know of it."""

    name: str
    cost: Cost
    marked: MarkedLine = field(default_factory=MarkedLine)


@dataclass(frozen=True, slots=True)
class Trials:
    """Amounts of consecutive trials, in minor units: of each item by name, and their sum.

    Items are the lines, then each kind of markup, then the events.
    """

    items: Mapping[str, Ints]
    total: Ints


@dataclass(frozen=True, slots=True)
class SimulatedEstimate:
    """Lines and their markups.

    Raises `ValueError` for a name that is used twice or is that of a kind of markup.
    """

    lines: Sequence[SimulatedLine]
    markups: MarkupTerms

    def __post_init__(self) -> None:
        names = [*(line.name for line in self.lines), *self.markups.kinds]
        if len(set(names)) < len(names):
            raise ValueError("lines: expected each with a name of its own, and none that of a markup")

    @property
    def item_names(self) -> tuple[str, ...]:
        """Names of the lines and the markups, in their order."""
        return (*(line.name for line in self.lines), *self.markups.kinds)

    @property
    def factor_names(self) -> frozenset[str]:
        """The uncertain figures that the lines rest on."""
        return frozenset[str]().union(*(line.cost.factor_names for line in self.lines))

    def in_trials(self, factors: Mapping[str, Floats]) -> Trials:
        """What everything costs where the uncertain figures are these factors, one number a trial for each of them.

        Factors count rounded half up to a millionth. Raises `ValueError` for no factors, unlike numbers of trials, a
        factor that a line needs and none is given for, or amounts too large to be meant.
        """
        if missing := self.factor_names - factors.keys():
            raise ValueError(f"factors: expected one for each of {', '.join(sorted(missing))}")
        sizes = {len(values) for values in factors.values()}
        if len(sizes) != 1:
            raise ValueError("factors: expected as many trials for each, and at least one factor")
        return self.priced(lambda name: in_millionths(factors[name]), sizes.pop())

    def base(self) -> Trials:
        """What everything costs with every factor at one: the estimate itself, as a single trial."""
        return self.priced(lambda _: Whole.constant(MILLION), 1)

    def priced(self, factor: Callable[[str], Whole], trials: int) -> Trials:
        """What everything costs in so many trials; each factor, in millionths, is asked for once and kept until the
        last line that rests on it. Raises `ValueError` for amounts too large to be meant."""
        left = Counter(name for line in self.lines for name in line.cost.factor_names)
        factors: dict[str, Whole] = {}
        items: dict[str, Ints] = {}
        total: Ints = np.zeros(trials, dtype=np.int64)
        for line in self.lines:
            names = line.cost.factor_names
            factors |= {name: factor(name) for name in sorted(names - factors.keys())}
            try:
                items[line.name] = line.cost.amount_in_trials(factors).int64(trials)
            except ValueError as error:
                raise ValueError(f"{line.name}, {error}") from None
            total += items[line.name]
            left.subtract(names)
            for name in names:
                if not left[name]:
                    del factors[name]
        markups = markups_in_trials(
            [line.marked for line in self.lines], list(items.values()), self.markups, trials
        )
        for amount in markups.values():
            total += amount
        items |= markups
        refuse_beyond(int(total.max()), self.markups.currency)
        return Trials(items, total)


@dataclass(frozen=True, slots=True)
class Simulation:
    """All trials of an estimate, in minor units.

    `totals` holds every trial in its order; of the items there is the mean, as a sum over trials of what it is above
    the base, and the covariance with the total, both exact: `covariances` are trials^2 x covariance (n x sum of
    products - product of sums), and sum to that of the total with itself.
    """

    trials: int
    seed: int
    base_total_minor: int
    base_by_item: Mapping[str, int]
    totals: Ints
    sums_above_base: Mapping[str, int]
    covariances: Mapping[str, int]

    def mean_of(self, item: str) -> float:
        """Mean of an item over all trials, in minor units."""
        return self.base_by_item[item] + self.sums_above_base[item] / self.trials


def simulate(
    estimate: SimulatedEstimate,
    figures: Sequence[Uncertain],
    events: Sequence[Event] = (),
    *,
    seed: int,
    trials: int,
    block: int = BLOCK,
    told: Callable[[int], None] | None = None,
) -> Simulation:
    """Price the estimate in each trial, with what the uncertain figures and events turn out to be in it.

    What an event costs is added to the total as it is, rounded half up to the minor unit, without markups; in the
    base it costs nothing. Memory grows with the block and by eight bytes a trial. The same seed gives the same
    figures, whatever the block. `told` hears after each block how many trials are done, and may raise to end it.

    Raises `ValueError` as `open_blocks` and `SimulatedEstimate.in_trials` do, and for an event whose name an item has.
    """
    needed = estimate.factor_names
    if missing := needed - {one.name for one in figures}:
        raise ValueError(f"figures: expected a range for each of {', '.join(sorted(missing))}")
    if {event.name for event in events} & set(estimate.item_names):
        raise ValueError("events: expected names that no line and no markup has")
    base = estimate.base()
    base_by_item = {name: int(amount[0]) for name, amount in base.items.items()} | {
        one.name: 0 for one in events
    }
    totals = np.empty(trials, dtype=np.int64)
    sums, products = dict.fromkeys(base_by_item, 0), dict.fromkeys(base_by_item, 0)
    used = [one for one in figures if one.name in needed]
    for first, found in _priced_blocks(estimate, used, events, seed=seed, trials=trials, block=block):
        totals[first : first + len(found.total)] = found.total
        above = found.total - int(base.total[0])
        most_above = furthest(above)
        all_above = exact_sum(above, most_above)
        for name, amount in found.items.items():
            most = furthest(amount)
            sums[name] += exact_sum(amount, most) - base_by_item[name] * len(amount)
            products[name] += exact_dot(amount, above, most, most_above) - base_by_item[name] * all_above
        if told is not None:
            told(first + len(found.total))
    whole = sum(sums.values())
    return Simulation(
        trials, seed, int(base.total[0]), base_by_item, totals, sums,
        {name: trials * products[name] - sums[name] * whole for name in base_by_item},
    )  # fmt: skip


def _priced_blocks(
    estimate: SimulatedEstimate,
    figures: Sequence[Uncertain],
    events: Sequence[Event],
    *,
    seed: int,
    trials: int,
    block: int,
) -> Iterator[tuple[int, Trials]]:
    minor = 10 ** CURRENCY_DIGITS[estimate.markups.currency]
    for opened in open_blocks(figures, events, seed=seed, trials=trials, block=block):
        priced = estimate.priced(partial(_factor, opened), opened.size)
        items, total = dict(priced.items), priced.total
        for event in events:
            _, costs = opened.event(event.name)
            if not np.abs(costs).max() < BEYOND - 1:
                raise ValueError(f"{event.name}: expected a cost below 1,000,000,000,000 in every trial")
            items[event.name] = np.floor(costs * minor + 0.5).astype(np.int64)
            total = total + items[event.name]
            refuse_beyond(int(total.max()), estimate.markups.currency)
        yield opened.first, Trials(items, total)


def refuse_beyond(total_minor: int, currency: str) -> None:
    """Raise `ValueError` for a total, in minor units, that is too large to be meant, as that of an estimate is."""
    if total_minor >= int((BEYOND - 1).scaleb(CURRENCY_DIGITS[currency])):
        raise ValueError("expected an estimate whose total is below 1,000,000,000,000 in every trial")


def _factor(opened: OpenBlock, name: str) -> Whole:
    return in_millionths(opened.figure(name))


def furthest(values: Ints) -> int:
    """How far from zero whole numbers lie at most."""
    return max(int(values.max()), -int(values.min()))


def exact_sum(values: Ints, most: int) -> int:
    """The sum of whole numbers none of which is further from zero than `most`, exact at any size."""
    if most * values.size <= FITS:
        return int(values.sum())
    return (int((values >> 16).sum()) << 16) + int((values & 0xFFFF).sum())


def exact_dot(first: Ints, second: Ints, most: int, by: int) -> int:
    """The sum of products of whole numbers, not further from zero than `most` and `by`, exact at any size."""
    if most * by * first.size <= FITS:
        return int(first @ second)
    if ((most >> 16) + 1) * by * first.size <= FITS and 0xFFFF * by * first.size <= FITS:
        high, low = first >> 16, first & 0xFFFF
        return (int(high @ second) << 16) + int(low @ second)
    return int(np.dot(first.astype(object), second.astype(object)))
