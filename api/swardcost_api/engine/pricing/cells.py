"""The cells of a line: its amount by area and month, of which every subtotal is a sum.

::

    month         = amount of the line, split by its days of work in each month
    cell          = the month, split by what the months before it have left of each area's share
    cash of month = cash of the line, split by the months
    cash of cell  = cash of the month, split by its cells

Every split is by largest remainder in whole minor units, ties to the earlier one. So the cells of an area sum to its
share of the line and those of a month to the line's month, and none has more cash than it costs.
"""

from collections.abc import Sequence
from operator import sub

from swardcost_api.engine.pricing.allocation import split_exactly

Cells = tuple[Sequence[int], Sequence[int]]
"""Amounts and cash amounts of a month by area, in minor units; the same sequence where all of it is cash."""


def over_months(amount_minor: int, cash_minor: int, days: Sequence[int]) -> Cells:
    """A line's amount and its cash by month, in minor units; `days` are the days of its work in each."""
    if len(days) == 1:
        return [amount_minor], [cash_minor]
    months = _split(amount_minor, days)
    return months, _cash_within(cash_minor, amount_minor, months)


def cells(amount_minor: int, cash_minor: int, parts: Sequence[int], days: Sequence[int]) -> list[Cells]:
    """A line's amount and its cash by month and area, in minor units.

    `parts` are the areas' shares of the amount, which sum to it and have its sign; `days` are as in `over_months`.
    """
    months, cash_of_months = over_months(amount_minor, cash_minor, days)
    sign = -1 if amount_minor < 0 else 1
    left = [sign * part for part in parts]
    found = []
    for month in months[:-1]:
        row = _split(sign * month, left)
        left = list(map(sub, left, row))
        found.append(row)
    found.append(left)
    rows = found if sign > 0 else [[-one for one in row] for row in found]
    return [
        (row, _cash_within(cash, month, row))
        for row, month, cash in zip(rows, months, cash_of_months, strict=True)
    ]


def cash_of_areas(
    amount_minor: int, cash_minor: int, parts: Sequence[int], days: Sequence[int]
) -> Sequence[int]:
    """A line's cash by area, in minor units: the sums over the months of its cells."""
    if cash_minor in (0, amount_minor) or len(days) == 1:
        return _cash_within(cash_minor, amount_minor, parts)
    rows = [cash for _, cash in cells(amount_minor, cash_minor, parts, days)]
    return [sum(of_area) for of_area in zip(*rows, strict=True)]


def _cash_within(cash_minor: int, amount_minor: int, parts: Sequence[int]) -> Sequence[int]:
    """Cash split by parts that sum to the amount."""
    if cash_minor == amount_minor:
        return parts
    if not cash_minor:
        return [0] * len(parts)
    return _split(cash_minor, [abs(part) for part in parts])


def _split(total: int, weights: Sequence[int]) -> list[int]:
    """Split exactly; weights that are all zero count as equal."""
    whole = sum(weights)
    if total == whole:
        return list(weights)
    return split_exactly(total, weights if whole else [1] * len(weights))
