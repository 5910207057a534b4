"""Adjusting a budget: how entries must balance, what may not fall below zero, and the state at a day.

Amounts are whole minor units. A line is anything that can be told apart from other lines; a cell is a line in a month.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from swardcost_model.adjustments import AdjustmentKind

Line = TypeVar("Line", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Entry(Generic[Line]):
    """Money to (positive) or from a line in a month, from a day on."""

    line: Line
    month: str
    amount_minor: int
    effective_on: date


@dataclass(frozen=True, slots=True)
class Shortfall(Generic[Line]):
    """A cell that would fall below zero: by how much at the worst, and the first day on which it would."""

    line: Line
    month: str
    on: date
    short_minor: int


def amount_to_approve(amounts: Iterable[int]) -> int:
    """What an approver's limit is held against: the sum of what is added, or of what is taken where that is more."""
    listed = list(amounts)
    return max(sum(one for one in listed if one > 0), -sum(one for one in listed if one < 0))


def imbalances(
    kind: AdjustmentKind, amounts: Sequence[int], from_contingency: Sequence[bool]
) -> list[tuple[int | None, str]]:
    """What breaks the rules of a kind: the number of the entry from 0, or `None` for all, and what is expected.

    `from_contingency` says for each amount whether its line is contingency. Money leaves contingency for other lines
    by a draw, a change order or a reduction only, so that the log of contingency tells each time why.
    """
    return [*_of_entries(kind, amounts, from_contingency), *_of_sum(kind, amounts, from_contingency)]


def _of_entries(
    kind: AdjustmentKind, amounts: Sequence[int], from_contingency: Sequence[bool]
) -> Iterable[tuple[int, str]]:
    for number, (amount, contingency) in enumerate(zip(amounts, from_contingency, strict=True)):
        if kind is AdjustmentKind.ADDITION and amount < 0:
            yield number, "zero or more in an addition"
        elif kind is AdjustmentKind.REDUCTION and amount > 0:
            yield number, "zero or less in a reduction"
        elif kind is AdjustmentKind.CONTINGENCY_DRAW and amount < 0 and not contingency:
            yield number, "a contingency line, where a contingency draw takes from it"
        elif kind is AdjustmentKind.CONTINGENCY_DRAW and amount > 0 and contingency:
            yield number, "a line that is not contingency, where a contingency draw gives to it"


def _of_sum(
    kind: AdjustmentKind, amounts: Sequence[int], from_contingency: Sequence[bool]
) -> Iterable[tuple[None, str]]:
    total = sum(amounts)
    of_contingency = sum(
        amount for amount, contingency in zip(amounts, from_contingency, strict=True) if contingency
    )
    if not any(amounts):
        yield None, "at least one amount that is not zero"
    elif kind in (AdjustmentKind.TRANSFER, AdjustmentKind.CONTINGENCY_DRAW) and total:
        yield None, "entries that sum to zero"
    elif kind is AdjustmentKind.TRANSFER and of_contingency < 0:
        yield None, "a contingency draw, where contingency pays for other lines"


def shortfalls(
    original: Mapping[tuple[Line, str], int],
    approved: Iterable[Entry[Line]],
    proposed: Sequence[Entry[Line]],
) -> list[Shortfall[Line]]:
    """The cells that `proposed` would leave below zero on some day, in the order of its entries.

    Each day counts on its own: money that comes in October cannot be moved on in September.
    """
    touched = list(dict.fromkeys((entry.line, entry.month) for entry in proposed))
    by_cell = _by_cell([*approved, *proposed], set(touched))
    found = []
    for line, month in touched:
        below = [
            (day, balance)
            for day, balance in _balances(original.get((line, month), 0), by_cell[line, month])
            if balance < 0
        ]
        if below:
            found.append(Shortfall(line, month, below[0][0], -min(balance for _, balance in below)))
    return found


def takeable(
    original: Mapping[tuple[Line, str], int],
    approved: Iterable[Entry[Line]],
    lines: Iterable[Line],
    effective_on: date,
) -> dict[tuple[Line, str], int]:
    """What could be taken from each cell of these lines from a day on without it falling below zero then or later."""
    wanted = set(lines)
    entries = [entry for entry in approved if entry.line in wanted]
    cells = {cell for cell in original if cell[0] in wanted} | {(one.line, one.month) for one in entries}
    by_cell = _by_cell(entries, cells)
    can: dict[tuple[Line, str], int] = {}
    for cell in cells:
        before, lowest = original.get(cell, 0), None
        for day, balance in _balances(before, by_cell[cell]):
            if day <= effective_on:
                before = balance
            else:
                lowest = balance if lowest is None else min(lowest, balance)
        can[cell] = max(0, before if lowest is None else min(before, lowest))
    return can


def draw(
    can: Mapping[tuple[Line, str], int],
    reserved: Mapping[tuple[Line, str], int],
    amount_minor: int,
    month: str,
) -> dict[tuple[Line, str], int]:
    """What to take from which cells for work in a month, up to an amount: as much as there is where there is less.

    Months are taken from in the order: that of the work, the later ones, then the earlier ones from the last. What
    others have proposed to take (`reserved`) is left until nothing else is.
    """
    order = sorted(can, key=lambda cell: (cell[1] < month, _distance(cell[1], month)))
    taken: dict[tuple[Line, str], int] = {}
    left = amount_minor
    free = {cell: max(0, can[cell] - reserved.get(cell, 0)) for cell in order}
    for most in (free, can):
        for cell in order:
            more = min(left, most[cell] - taken.get(cell, 0))
            if more > 0:
                taken[cell] = taken.get(cell, 0) + more
                left -= more
    return taken


def _distance(one: str, other: str) -> int:
    """Months between two months."""
    first, second = (int(month[:4]) * 12 + int(month[5:]) for month in (one, other))
    return abs(first - second)


def _by_cell(
    entries: Iterable[Entry[Line]], cells: Iterable[tuple[Line, str]]
) -> dict[tuple[Line, str], list[Entry[Line]]]:
    found: dict[tuple[Line, str], list[Entry[Line]]] = {cell: [] for cell in cells}
    for entry in entries:
        if (entry.line, entry.month) in found:
            found[entry.line, entry.month].append(entry)
    return found


def _balances(original: int, entries: Sequence[Entry[Line]]) -> Iterable[tuple[date, int]]:
    """The balance of a cell at the end of each day on which it changes, in order."""
    by_day: dict[date, int] = {}
    for entry in entries:
        by_day[entry.effective_on] = by_day.get(entry.effective_on, 0) + entry.amount_minor
    balance = original
    for day in sorted(by_day):
        balance += by_day[day]
        yield day, balance
