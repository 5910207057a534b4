"""Spreading an amount over the months in which the work is done."""

from calendar import monthrange
from datetime import date, timedelta

from swardcost_api.engine.pricing.allocation import split_by_weights


def days_by_month(starts_on: date, ends_on: date) -> dict[str, int]:
    """Calendar days of the work in each month, first and last day included: ``{"2026-10": 12, ...}``."""
    if ends_on < starts_on:
        raise ValueError("expected an end on or after the start")
    days: dict[str, int] = {}
    first = starts_on
    while True:
        last = min(ends_on, first.replace(day=monthrange(first.year, first.month)[1]))
        days[first.isoformat()[:7]] = (last - first).days + 1
        if last == ends_on:
            break
        first = last + timedelta(days=1)
    return days


def phase(amount_minor: int, starts_on: date, ends_on: date) -> dict[str, int]:
    """An amount in minor units by month, in proportion to the days of work; the months sum to the amount."""
    days = days_by_month(starts_on, ends_on)
    return dict(zip(days, split_by_weights(amount_minor, list(days.values())), strict=True))
