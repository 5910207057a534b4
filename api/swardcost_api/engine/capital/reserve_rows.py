"""The reserve of a plan as rows of an integer programme: a floor for the balance of each year, and its interest."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from swardcost_api.engine.capital.candidates import ReserveLimit

Row = dict[int, float]
Rows = list[tuple[Row, float, float]]
"""Figures by variable, and between which their sum has to be."""


@dataclass(slots=True)
class Columns:
    """The variables of a programme so far: the least and most of each, and whether it is a whole number."""

    lows: list[float]
    highs: list[float]
    whole: list[int]

    def add(self, low: float = -math.inf, high: float = math.inf, whole: int = 0) -> int:
        """One more; its number."""
        self.lows.append(low)
        self.highs.append(high)
        self.whole.append(whole)
        return len(self.whole) - 1


@dataclass(slots=True)
class _Balance:
    """A balance as a sum over variables and a known part; the most that its size can be; what rounding has added."""

    row: Row
    known: float
    reach: float
    rounding: float = 0.0

    def plus(self, more: Mapping[int, float], known: float, grown: float = 1.0) -> "tuple[Row, float]":
        """The balance grown by a factor, and more."""
        row = {n: grown * value for n, value in self.row.items()}
        for n, value in more.items():
            row[n] = row.get(n, 0.0) + value
        return row, grown * self.known + known


def reserve_rows(
    reserve: ReserveLimit, costs_minor: Sequence[Mapping[int, int]], columns: Columns, unit_minor: int
) -> Rows:
    """Rows that keep the balance of each year that has a floor at or above it.

    ::

        closing = (1 + i) opening + (1 + h i) (in - out)

    with i the interest and h zero, or a half where it is earned on the average balance. Where that balance may be
    below zero, the interest is a variable of its own, at most i x balance or zero, whichever is more. `costs_minor[n]`
    is what variable n costs by year. Each floor is lower by what rounding half up may come to by then, so that no
    placement that keeps it to the minor unit is left out.
    """
    rows: Rows = []
    rate = float(reserve.interest.percent) / 100
    half = 0.5 if reserve.interest.on == "average_balance" else 0.0
    opening = reserve.opening_minor / unit_minor
    balance = _Balance({}, opening, abs(opening))
    may_be_short = opening < 0
    for year, (flows, floor) in enumerate(zip(reserve.flows, reserve.floors_minor, strict=True)):
        net = flows.net_minor / unit_minor
        out = {n: -cost[year] / unit_minor for n, cost in enumerate(costs_minor) if cost.get(year)}
        balance.reach = (balance.reach + abs(net) - sum(out.values())) * (1 + abs(rate))
        balance.rounding = balance.rounding * max(1.0, 1 + rate) + (0.5 if rate else 0.0)
        closes_short = floor is None or floor < 0
        if rate and (may_be_short or (half and closes_short)):
            base = balance.plus({n: half * value for n, value in out.items()}, half * net)
            earned = _interest(base, rate, balance.reach * abs(rate), columns, rows)
            balance.row, balance.known = balance.plus(out | {earned: 1.0}, net)
        else:
            flow = 1 + half * rate
            more = {n: flow * value for n, value in out.items()}
            balance.row, balance.known = balance.plus(more, flow * net, 1 + rate)
        if floor is not None:
            least = (floor - balance.rounding) / unit_minor - balance.known
            scale = max((abs(value) for value in balance.row.values()), default=1.0)
            rows.append(({n: value / scale for n, value in balance.row.items()}, least / scale, math.inf))
        may_be_short = closes_short
    return rows


def floor_sums(
    reserve: ReserveLimit, costs_minor: Sequence[Mapping[int, int]], year: int
) -> tuple[dict[int, int], int] | None:
    """A floor as whole amounts by variable and the most that they may sum to, in hundredths of a minor unit.

    What is spent in year t is worth (1 + h i) (1 + i)^(year - t) at the end of the year, as in `reserve_rows`. Amounts
    are rounded down and their sum may be more by what rounding the interest may come to, so that no placement that
    keeps the floor is left out. `None` where interest may depend on a balance below zero.
    """
    floor = reserve.floors_minor[year]
    rate = Fraction(reserve.interest.percent) / 100
    half = Fraction(1, 2) if reserve.interest.on == "average_balance" else Fraction(0)
    before = reserve.floors_minor[: year + 1 if half else year]
    short = reserve.opening_minor < 0 or any(one is None or one < 0 for one in before)
    if floor is None or (rate and short):
        return None
    grown = [(1 + half * rate) * (1 + rate) ** (year - t) for t in range(year + 1)]
    left = (1 + rate) ** (year + 1) * reserve.opening_minor - floor
    left += sum(one * flows.net_minor for one, flows in zip(grown, reserve.flows, strict=False))
    left += sum((1 + rate) ** (year - t) / 2 for t in range(year + 1)) if rate else 0
    sums = (sum(grown[t] * minor for t, minor in cost.items() if t <= year) for cost in costs_minor)
    amounts = {n: math.floor(100 * found) for n, found in enumerate(sums) if found}
    return amounts, math.ceil(100 * left)


def _interest(base: tuple[Row, float], rate: float, most: float, columns: Columns, rows: Rows) -> int:
    """A column of interest: at most rate x base, or zero, as the sign of the rate has it."""
    row, known = base
    of_base = {n: -rate * value for n, value in row.items()}
    if rate < 0:
        earned = columns.add(high=0.0)
        rows.append(({earned: 1.0} | of_base, -math.inf, rate * known))
        return earned
    earned, positive = columns.add(), columns.add(0.0, 1.0, 1)
    rows.append(({earned: 1.0, positive: most} | of_base, -math.inf, rate * known + most))
    rows.append(({earned: 1.0, positive: -most}, -math.inf, 0.0))
    return earned
