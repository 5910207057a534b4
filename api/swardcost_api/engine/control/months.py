"""Accounting months, written ``2026-02``: the next, those between two, and the last day."""

from calendar import monthrange
from datetime import date


def next_month(month: str) -> str:
    """The month after.

    Examples
    --------
    >>> next_month("2026-12")
    '2027-01'
    """
    year, number = int(month[:4]), int(month[5:])
    return f"{year + number // 12:04d}-{number % 12 + 1:02d}"


def months_between(first: str, last: str) -> list[str]:
    """All months from the first to the last, both included; none where the last is before the first."""
    months = []
    while first <= last:
        months.append(first)
        first = next_month(first)
    return months


def last_day(month: str) -> date:
    """The last day of a month.

    Examples
    --------
    >>> last_day("2028-02").isoformat()
    '2028-02-29'
    """
    year, number = int(month[:4]), int(month[5:])
    return date(year, number, monthrange(year, number)[1])
