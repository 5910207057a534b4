"""Retainage: the part of a bill that is held back until the work is accepted.

References
----------
The common form of a construction pay application: work billed, less retainage of so many percent, is what is paid;
what is held is paid out by a release, never more than is held.
"""

from collections.abc import Iterable, Sequence
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


def shares_of(total_minor: int, weights: Sequence[int]) -> list[int]:
    """A total split in proportion to whole weights by largest remainder, exactly.

    The shares sum to the total, and while the total is not above the sum of the weights no share is above its weight.
    Ties go to the earlier one.
    """
    whole = sum(weights)
    if total_minor < 0 or whole <= 0 or min(weights) < 0:
        raise ValueError(
            "expected a total of zero or more and weights of zero or more that sum to more than zero"
        )
    shares = [total_minor * weight // whole for weight in weights]
    left = total_minor - sum(shares)
    order = sorted(range(len(weights)), key=lambda i: (-(total_minor * weights[i] % whole), i))
    for i in order[:left]:
        shares[i] += 1
    return shares


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
