"""Spreading an amount over the months in which the work is done."""

from calendar import monthrange
from collections.abc import Iterable
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


def phase_like(amount_minor: int, others: Iterable[tuple[int, date, date]]) -> dict[str, int]:
    """An amount in minor units by month, in proportion to what other amounts plan for each month.

    `others` are amounts with the first and last day of their work, each spread by days. The months are theirs and sum
    to the amount; there are none where nothing is planned.
    """
    weights: dict[str, float] = {}
    for other_minor, starts_on, ends_on in others:
        days = days_by_month(starts_on, ends_on)
        whole = sum(days.values())
        for month, count in days.items():
            weights[month] = weights.get(month, 0.0) + other_minor * count / whole
    if not any(weights.values()):
        return {}
    months = sorted(weights)
    parts = split_by_weights(amount_minor, [weights[month] for month in months])
    return dict(zip(months, parts, strict=True))
