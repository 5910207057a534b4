"""Searching by steps: where two costs change order, and how far a budget reaches.

Costs jump (whole loads, price tiers, minimum charges), so nothing is assumed to be smooth and no slope is followed.
The variable moves on the multiples of a stated resolution; every value named in an answer was computed, and the
same request gives the same answer.

How is searched: the costs are computed at both bounds, at the caller's breakpoints with the values beside them,
and at samples spread evenly between (all values, where there are few). Where two neighbouring samples differ in
order, the cell between them is halved until the values next to one another are known. What changes and changes
back between two samples may be missed; an answer says whether every value was computed, and how wide a cell is.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step

Cost = Callable[[Decimal], int]
"""A cost in minor units for a value of the variable; must give the same answer each time."""
Cheaper = Literal["first", "second", "same"]

SAMPLES = 200
MOST_VALUES = 10**12
FARTHEST = Decimal(1_000_000_000_000)
FINEST = Decimal("0.000000001")
_CHEAPER: dict[int, Cheaper] = {-1: "first", 0: "same", 1: "second"}


@dataclass(frozen=True, slots=True)
class Grid:
    """The multiples of `resolution` from `low` to `high`.

    Raises `ValueError` unless the bounds are multiples, in order and below 10^12, the resolution is at least 10^-9, and
    there are at most 10^12 values.
    """

    low: Decimal
    high: Decimal
    resolution: Decimal

    def __post_init__(self) -> None:
        if not all(number.is_finite() for number in (self.low, self.high, self.resolution)):
            raise ValueError("low, high, resolution: expected finite numbers")
        if self.resolution <= 0 or self.low > self.high:
            raise ValueError(
                f"expected a resolution above zero and bounds in order; got {self.low} to {self.high} "
                f"by {self.resolution}"
            )
        if max(abs(self.low), abs(self.high)) >= FARTHEST or self.resolution < FINEST:
            raise ValueError(f"expected bounds below {FARTHEST} and a resolution of at least {FINEST}")
        if (self.high - self.low) / self.resolution >= MOST_VALUES:
            raise ValueError("resolution: expected at most 1,000,000,000,000 values between the bounds")
        for name, bound in (("low", self.low), ("high", self.high)):
            if bound % self.resolution != 0:
                raise ValueError(
                    f"{name}: expected a multiple of the resolution {self.resolution}; got {bound}"
                )

    @property
    def last(self) -> int:
        """The index of the highest value; the lowest has 0."""
        return int((self.high - self.low) / self.resolution)

    def value(self, index: int) -> Decimal:
        return self.low + index * self.resolution

    def samples(self, count: int, breakpoints: Iterable[Decimal]) -> list[int]:
        """Indices to begin with: evenly spread, with those on, before and after each breakpoint; ascending."""
        last = self.last
        if last < count:
            return list(range(last + 1))
        found = {last * i // (count - 1) for i in range(count)}
        for point in breakpoints:
            below = int((point - self.low) // self.resolution)
            found.update(index for index in (below - 1, below, below + 1) if 0 <= index <= last)
        return sorted(found)


@dataclass(frozen=True, slots=True)
class Searched:
    """What an answer rests on: values computed, whether those are all, and the widest cell left between samples."""

    values: int
    every_value: bool
    widest_cell: Decimal

    @property
    def words(self) -> str:
        if self.every_value:
            return f"all {self.values} values were computed"
        return (
            f"{self.values} values were computed; what changes and changes back between two samples, at most "
            f"{self.widest_cell} apart, may have been missed"
        )


@dataclass(frozen=True, slots=True)
class Compared:
    """Both costs at one value of the variable, in minor units."""

    value: Decimal
    first_minor: int
    second_minor: int


@dataclass(frozen=True, slots=True)
class Span:
    """Neighbouring values over which one is cheaper throughout, or both cost the same; both ends were computed."""

    first: Decimal
    last: Decimal
    cheaper: Cheaper


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two costs meet or change order.

    `equal` is the interval, both ends included, over which they cost the same; without one the order flips between
    the neighbouring values `before` and `after`, as it does where a cost jumps. With one, those are the values next to
    the interval, and absent where it reaches a bound.
    """

    before: Compared | None
    after: Compared | None
    equal: tuple[Compared, Compared] | None

    @property
    def changes_order(self) -> bool:
        """Whether another one is cheaper after it than before it; not so where they only touch or a bound is met."""
        if self.before is None or self.after is None:
            return False
        return (self.before.first_minor < self.before.second_minor) != (
            self.after.first_minor < self.after.second_minor
        )

    def steps(self, *, variable: str, unit: str, currency: str) -> Derivation:
        """The costs on both sides, as a reader can compute them again."""
        sides = (("just before", self.before), ("from", self.equal and self.equal[0]),
                 ("to", self.equal and self.equal[1]), ("just after", self.after))  # fmt: skip
        steps = []
        for words, at in sides:
            if at is not None:
                costs = [float(from_minor(minor, currency)) for minor in (at.first_minor, at.second_minor)]
                inputs = (
                    Input(variable, float(at.value), unit),
                    Input("first cost", costs[0], currency), Input("second cost", costs[1], currency),
                )  # fmt: skip
                difference = float(from_minor(at.first_minor - at.second_minor, currency))
                name = f"difference {words} at {at.value}"
                steps.append(Step(name, difference, currency, "first cost - second cost", inputs, "search"))
        return tuple(steps)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """All crossings found, ascending, and the spans between them, which together cover the bounds."""

    crossings: tuple[Crossing, ...]
    spans: tuple[Span, ...]
    searched: Searched

    @property
    def cheaper_throughout(self) -> Cheaper | None:
        """Which one is cheaper between the bounds, where there is no crossing; `same` where they never differ."""
        return self.spans[0].cheaper if len(self.spans) == 1 else None


def break_even(
    first: Cost,
    second: Cost,
    low: Decimal,
    high: Decimal,
    resolution: Decimal,
    *,
    breakpoints: Iterable[Decimal] = (),
    samples: int = SAMPLES,
) -> BreakEven:
    """Where two costs are the same or change order, for values from `low` to `high` in steps of `resolution`.

    Between neighbouring samples the difference of the costs must not change sign and change back for nothing to be
    missed; `breakpoints` are values at which the caller knows that a cost jumps.

    Raises `ValueError` for bounds that make no sense, fewer than 2 samples, or a cost that is not a whole number.
    """
    grid = Grid(low, high, resolution)
    pairs: dict[int, tuple[int, int]] = {}

    def order(index: int) -> int:
        value = grid.value(index)
        pairs[index] = one, other = _cost(first, value), _cost(second, value)
        return (one > other) - (one < other)

    known, searched = _search(grid, order, samples, breakpoints)
    runs = _runs(known)

    def compared(index: int) -> Compared:
        return Compared(grid.value(index), *pairs[index])

    crossings = []
    for place, (start, end, sign) in enumerate(runs):
        if sign == 0:
            before = compared(start - 1) if place > 0 else None
            after = compared(end + 1) if place + 1 < len(runs) else None
            crossings.append(Crossing(before, after, (compared(start), compared(end))))
        elif place + 1 < len(runs) and runs[place + 1][2] != 0:
            crossings.append(Crossing(compared(end), compared(end + 1), None))
    spans = [Span(grid.value(start), grid.value(end), _CHEAPER[sign]) for start, end, sign in runs]
    return BreakEven(tuple(crossings), tuple(spans), searched)


@dataclass(frozen=True, slots=True)
class At:
    """The cost at one value of the variable, in minor units."""

    value: Decimal
    cost_minor: int


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a budget reaches.

    `found` is the outermost value found whose cost is within the budget, `next_over` its neighbour, which is over it
    (absent at the bound of the search). `over_within` are the intervals on the inner side of it, both ends computed,
    where the budget is exceeded; without any, and with every value computed or a cost that only rises or only falls,
    the budget holds all the way. `steady` says whether the costs computed only rise or only fall. Where nothing is
    within the budget, `found` is absent and `least` is the lowest cost computed.
    """

    budget_minor: int
    found: At | None
    next_over: At | None
    over_within: tuple[tuple[At, At], ...]
    least: At
    steady: bool
    searched: Searched

    @property
    def words(self) -> str:
        if self.found is None:
            return f"nothing found within the budget; {self.searched.words}"
        gaps = ", ".join(f"{start.value} to {end.value}" for start, end in self.over_within)
        told = f"over the budget again at {gaps}; " if gaps else ""
        course = "" if self.steady else "the cost rises and falls, so this is the outermost value found; "
        return f"{course}{told}{self.searched.words}"


def largest_within(
    cost: Cost,
    budget_minor: int,
    low: Decimal,
    high: Decimal,
    resolution: Decimal,
    *,
    breakpoints: Iterable[Decimal] = (),
    samples: int = SAMPLES,
) -> Reach:
    """The greatest value whose cost is within the budget, as for how much can be dressed for the money.

    The cost need not rise throughout: a price tier can make more cost less. Raises as `break_even` does.
    """
    return _reach(cost, budget_minor, Grid(low, high, resolution), breakpoints, samples, largest=True)


def smallest_within(
    cost: Cost,
    budget_minor: int,
    low: Decimal,
    high: Decimal,
    resolution: Decimal,
    *,
    breakpoints: Iterable[Decimal] = (),
    samples: int = SAMPLES,
) -> Reach:
    """The smallest value whose cost is within the budget, as for the pace from which a hired machine is affordable.

    Raises as `break_even` does.
    """
    return _reach(cost, budget_minor, Grid(low, high, resolution), breakpoints, samples, largest=False)


def _reach(
    cost: Cost, budget: int, grid: Grid, breakpoints: Iterable[Decimal], samples: int, *, largest: bool
) -> Reach:
    costs: dict[int, int] = {}

    def over(index: int) -> int:
        costs[index] = _cost(cost, grid.value(index))
        return int(costs[index] > budget)

    def at(index: int) -> At:
        return At(grid.value(index), costs[index])

    known, searched = _search(grid, over, samples, breakpoints)
    runs = _runs(known)
    inner = runs if largest else runs[::-1]
    while inner and inner[-1][2]:
        inner = inner[:-1]
    found = next_over = None
    if inner:
        edge = inner[-1][1] if largest else inner[-1][0]
        beyond = edge + 1 if largest else edge - 1
        found, next_over = at(edge), at(beyond) if beyond in costs else None
    exceeded = sorted((start, end) for start, end, sign in inner if sign)
    in_order = [costs[index] for index in sorted(costs)]
    rises = all(one <= other for one, other in pairwise(in_order))
    falls = all(one >= other for one, other in pairwise(in_order))
    least = min(sorted(costs), key=lambda index: costs[index])
    return Reach(
        budget, found, next_over, tuple((at(start), at(end)) for start, end in exceeded), at(least),
        rises or falls, searched,
    )  # fmt: skip


def _search(
    grid: Grid, order: Callable[[int], int], samples: int, breakpoints: Iterable[Decimal]
) -> tuple[dict[int, int], Searched]:
    """The order at the samples and at all values that halving between them asks for."""
    if samples < 2:
        raise ValueError(f"samples: expected at least 2; got {samples}")
    sampled = grid.samples(samples, breakpoints)
    known = {index: order(index) for index in sampled}
    open_cells = list(pairwise(sampled))
    while open_cells:
        left, right = open_cells.pop()
        if right - left > 1 and known[left] != known[right]:
            middle = (left + right) // 2
            known[middle] = order(middle)
            open_cells += [(left, middle), (middle, right)]
    known = {index: known[index] for index in sorted(known)}
    widest = max((right - left for left, right in pairwise(known)), default=0)
    return known, Searched(len(known), len(known) == grid.last + 1, widest * grid.resolution)


def _runs(known: dict[int, int]) -> list[tuple[int, int, int]]:
    """Neighbouring indices of one order as (first, last, order); different orders stand at neighbouring indices."""
    runs: list[tuple[int, int, int]] = []
    for index, sign in known.items():
        if runs and runs[-1][2] == sign:
            runs[-1] = (runs[-1][0], index, sign)
        else:
            runs.append((index, index, sign))
    return runs


def _cost(cost: Cost, value: Decimal) -> int:
    minor = cost(value)
    if isinstance(minor, bool) or not isinstance(minor, int):
        raise ValueError(f"expected a cost in whole minor units at {value}; got {minor!r}")
    return minor
