"""Spreading an amount over the months in which the work is done."""

from datetime import date, timedelta

from swardcost_api.engine.pricing.allocation import split_by_weights


def days_by_month(starts_on: date, ends_on: date) -> dict[str, int]:
    """Calendar days of the work in each month, first and last day included: ``{"2026-10": 12, ...}``."""
    if ends_on < starts_on:
        raise ValueError("expected an end on or after the start")
    days: dict[str, int] = {}
    first = starts_on
    while first <= ends_on:
        next_month = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
        last = min(ends_on, next_month - timedelta(days=1))
        days[f"{first:%Y-%m}"] = (last - first).days + 1
        first = next_month
    return days


def phase(amount_minor: int, starts_on: date, ends_on: date) -> dict[str, int]:
    """An amount in minor units by month, in proportion to the days of work; the months sum to the amount."""
    days = days_by_month(starts_on, ends_on)
    return dict(zip(days, split_by_weights(amount_minor, list(days.values())), strict=True))
