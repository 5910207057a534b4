"""Retainage: the part of a bill that is held back until the work is accepted.

References
----------
The common form of a construction pay application: work billed, less retainage of so many percent, is what is paid;
what is held is paid out by a release, never more than is held.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction


def retainage_of(billed_minor: int, percent: Decimal) -> int:
    """So many percent of what was billed, in minor units, rounded half up.

    Examples
    --------
    >>> retainage_of(1_000_050, Decimal(10))
    100005
    """
    if billed_minor < 0:
        raise ValueError("expected an amount billed of zero or more")
    exact = Fraction(percent) * billed_minor / 100
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)


def releasable(entries: Iterable[tuple[date, int]], day: date) -> int:
    """The most that a release on a day may pay out, in minor units.

    `entries` are what was withheld (above zero) and paid out or given back (below), by day. It is the least balance
    from that day on, since what is paid out then is missing on every later day.
    """
    balance, least = 0, None
    by_day: dict[date, int] = {}
    for when, amount in entries:
        by_day[max(when, day)] = by_day.get(max(when, day), 0) + amount
    for when in sorted(by_day):
        balance += by_day[when]
        least = balance if least is None else min(least, balance)
    return max(least or 0, 0) if day in by_day else 0
