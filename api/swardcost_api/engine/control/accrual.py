"""Accruals at month ends: received and not invoiced, invoiced and not posted, retainage held."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from swardcost_api.engine.control.matching import Billed, Match, Ordered, Tolerances, match_line
from swardcost_api.engine.control.months import last_day


@dataclass(frozen=True, slots=True)
class LineHistory:
    """An ordered line over time: each with its day, what was ordered from then on, received (returns below zero), and
    billed."""

    orders: Sequence[tuple[date, Ordered]]
    receipts: Sequence[tuple[date, Decimal]]
    billings: Sequence[tuple[date, Billed]]

    def match_on(self, day: date, tolerances: Tolerances, currency: str) -> Match | None:
        """The line three ways at the end of a day; `None` before it was ordered. `orders` are in order of time."""
        in_force = [ordered for since, ordered in self.orders if since <= day]
        if not in_force:
            return None
        received = sum((quantity for when, quantity in self.receipts if when <= day), Decimal(0))
        billings = [billed for when, billed in self.billings if when <= day]
        return match_line(in_force[-1], received, billings, tolerances, currency)


def received_not_invoiced(history: LineHistory, months: Iterable[str], currency: str) -> dict[str, int]:
    """What was received at the order's price and not billed by the end of each month, in minor units."""
    found = {}
    for month in months:
        match = history.match_on(last_day(month), Tolerances(), currency)
        found[month] = 0 if match is None else match.received_not_billed_minor
    return found


def invoiced_not_posted(
    entries: Iterable[tuple[date, str | None, int]], months: Iterable[str]
) -> dict[str, int]:
    """What was invoiced by the end of each month and not in the accounts by then, in minor units.

    `entries` are the day from which an invoice counts, the month of its first posting if it has one, and what it asks
    to be paid.
    """
    rows = list(entries)
    return {
        month: sum(
            amount
            for invoiced_on, posted, amount in rows
            if invoiced_on <= last_day(month) and (posted is None or posted > month)
        )
        for month in months
    }


def retainage_held(entries: Iterable[tuple[date, int]], months: Iterable[str]) -> dict[str, int]:
    """What was withheld and not yet released or given back at the end of each month, in minor units."""
    rows = list(entries)
    return {month: sum(amount for when, amount in rows if when <= last_day(month)) for month in months}
