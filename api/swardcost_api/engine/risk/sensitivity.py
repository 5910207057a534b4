"""What the total would be if one figure, two, or a named set of them turned out differently and the rest as likely.

Everything is priced by the function that is given, in as few calls as can be; no chance is in it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swardcost_api.engine.risk.ranges import Range
from swardcost_api.engine.risk.sampling import Uncertain
from swardcost_api.engine.risk.whole_figures import Ints

Floats = NDArray[np.float64]
Pricing = Callable[[Mapping[str, Floats]], Ints]
"""From figures, one number a case for each name, to the totals of the cases in minor units."""


@dataclass(frozen=True, slots=True)
class Swing:
    """The total, in minor units, with one figure at its low and at its high end and all others likely."""

    name: str
    low: float
    high: float
    at_low_minor: int
    at_high_minor: int

    @property
    def width_minor(self) -> int:
        """How far apart the two totals are."""
        return abs(self.at_high_minor - self.at_low_minor)


@dataclass(frozen=True, slots=True)
class Grid:
    """Totals in minor units over values of two figures: a row for each of the first, columns for the second."""

    first: str
    second: str
    first_values: tuple[float, ...]
    second_values: tuple[float, ...]
    totals_minor: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Scenario:
    """The total, in minor units, with several figures set at once, and how far it is from that with all likely."""

    name: str
    values: Mapping[str, float]
    total_minor: int
    difference_minor: int


def swings(figures: Sequence[Uncertain], pricing: Pricing) -> tuple[Swing, ...]:
    """One figure at a time at the low and the high end of its range; the widest swing first, then by name.

    The ends are `low` and `high` of the range: what it is at least and at most, but P10 and P90 of a lognormal one.

    Raises `ValueError` for no figures, or a name that is used twice.
    """
    _each_once(figures)
    cases = [(one.name, end) for one in figures for end in (one.range.low, one.range.high)]
    totals = _price(figures, [{name: value} for name, value in cases], pricing)
    found = [
        Swing(one.name, one.range.low, one.range.high, totals[2 * place], totals[2 * place + 1])
        for place, one in enumerate(figures)
    ]
    return tuple(sorted(found, key=lambda one: (-one.width_minor, one.name)))


def grid(
    figures: Sequence[Uncertain],
    first: str,
    second: str,
    pricing: Pricing,
    first_values: Sequence[float] | None = None,
    second_values: Sequence[float] | None = None,
) -> Grid:
    """Two figures over their values, by default low, likely and high of each, all others likely.

    Raises `ValueError` for a name that no figure has, the same name twice, or no values.
    """
    _each_once(figures)
    if first == second:
        raise ValueError(f"grid: expected two different figures; got {first} twice")
    rows, columns = (
        tuple(_ends(_named(figures, name)) if values is None else values)
        for name, values in ((first, first_values), (second, second_values))
    )
    if not rows or not columns:
        raise ValueError("grid: expected at least one value of each figure")
    totals = _price(figures, [{first: row, second: column} for row in rows for column in columns], pricing)
    width = len(columns)
    return Grid(
        first, second, rows, columns,
        tuple(tuple(totals[place * width : (place + 1) * width]) for place in range(len(rows))),
    )  # fmt: skip


def scenarios(
    figures: Sequence[Uncertain], sets: Mapping[str, Mapping[str, float]], pricing: Pricing
) -> tuple[Scenario, ...]:
    """Named sets of values, each set at once with all other figures likely, in their order.

    Raises `ValueError` for a value of a name that no figure has.
    """
    _each_once(figures)
    for values in sets.values():
        for name in values:
            _named(figures, name)
    likely, *totals = _price(figures, [{}, *sets.values()], pricing)
    return tuple(
        Scenario(name, dict(values), total, total - likely)
        for (name, values), total in zip(sets.items(), totals, strict=True)
    )


def _price(figures: Sequence[Uncertain], cases: Sequence[Mapping[str, float]], pricing: Pricing) -> list[int]:
    values = {
        one.name: np.array([case.get(one.name, one.range.likely) for case in cases], dtype=np.float64)
        for one in figures
    }
    return [int(total) for total in pricing(values)]


def _each_once(figures: Sequence[Uncertain]) -> None:
    if not figures or len({one.name for one in figures}) < len(figures):
        raise ValueError("figures: expected at least one, each with a name of its own")


def _named(figures: Sequence[Uncertain], name: str) -> Range:
    for one in figures:
        if one.name == name:
            return one.range
    raise ValueError(f"{name}: expected one of {', '.join(figure.name for figure in figures)}")


def _ends(of: Range) -> tuple[float, float, float]:
    return of.low, of.likely, of.high
