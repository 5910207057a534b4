"""The season's reports, computed again from its data with decimals and fractions, and sums with SQLite.

Nothing of the service is used: the formulas are written from their definitions.
"""

import calendar
import sqlite3
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from season_data import CENT, FIRST, LAST, Season, cents

ZERO = Decimal(0)
CONTINGENCY, PUMP = "contingency", "pump"


def month_of(day: date) -> str:
    return f"{day.year}-{day.month:02d}"


def last_day(month: str) -> date:
    year, number = map(int, month.split("-"))
    return date(year, number, calendar.monthrange(year, number)[1])


def half_up(value: Fraction) -> Decimal:
    """To the cent, halves away from zero."""
    hundredths = abs(value) * 100
    whole = (2 * hundredths.numerator + hundredths.denominator) // (2 * hundredths.denominator)
    return (Decimal(-whole if value < 0 else whole) / 100).quantize(CENT)


def by_days(amount: Decimal) -> dict[str, Decimal]:
    """An amount over the months of the closure, by calendar days and largest remainder."""
    days = {"2026-08": 31, "2026-09": 30, "2026-10": 31}
    assert (LAST - FIRST).days + 1 == sum(days.values())
    exact = {month: Fraction(int(amount * 100) * count, 92) for month, count in days.items()}
    parts = {month: share.numerator // share.denominator for month, share in exact.items()}
    left = int(amount * 100) - sum(parts.values())
    for month in sorted(exact, key=lambda one: (-(exact[one] - parts[one]), one))[:left]:
        parts[month] += 1
    return {month: Decimal(part) / 100 for month, part in parts.items()}


@dataclass
class Line:
    """A budget line at the end of a month."""

    unit: str | None = None
    account: str = ""
    original: dict[str, Decimal] = field(default_factory=dict)
    adjusted: dict[str, Decimal] = field(default_factory=dict)
    quantity: Decimal | None = None
    actual: Decimal = ZERO
    other_accounts: Decimal = ZERO
    received_not_billed: Decimal = ZERO
    not_posted: Decimal = ZERO
    retained: Decimal = ZERO
    open: Decimal = ZERO
    used: Decimal | None = None
    priced: Decimal = ZERO
    done: Fraction | None = None
    measured_in: str | None = None
    cost_since: Decimal = ZERO

    @property
    def accrued(self) -> Decimal:
        return self.received_not_billed + self.not_posted + self.retained

    @property
    def cost(self) -> Decimal:
        return self.actual + self.accrued

    @property
    def budget(self) -> Decimal:
        return sum(self.adjusted.values(), ZERO)


def at_end_of(season: Season, month: str) -> dict[str, Line]:
    """Every line by its key."""
    day = last_day(month)
    lines = {
        one.key: Line(one.unit, one.account, by_days(one.amount), {}, one.quantity) for one in season.planned
    }
    lines[CONTINGENCY] = Line(None, "1590", by_days(season.contingency))
    for line in lines.values():
        line.adjusted = dict(line.original)
    for change in season.changes:
        if change.approved and change.effective_on <= day:
            for entry in change.entries:
                line = lines.setdefault(entry.key, Line(None, "1550"))
                line.adjusted[entry.month] = line.adjusted.get(entry.month, ZERO) + entry.amount
                if entry.quantity is not None and line.quantity is not None:
                    line.quantity += entry.quantity
    if PUMP not in lines:
        lines[PUMP] = Line(None, "1550")
    for key, amount, other in _posted(season, month):
        lines[key].actual += amount
        lines[key].other_accounts += other
    for order in season.orders:
        _commit(season, lines, order.key, day, month)
    for key, on, done in season.measures:
        if on <= day:
            planned = lines[key].quantity
            assert planned is not None
            lines[key].done = min(Fraction(done) / Fraction(planned), Fraction(1))
            lines[key].measured_in = month_of(on)
    for key, line in lines.items():
        if line.measured_in is not None and line.measured_in < month:
            line.cost_since = line.cost - at_end_of(season, line.measured_in)[key].cost
    return lines


def _posted(season: Season, month: str) -> list[tuple[str, Decimal, Decimal]]:
    """By line: all of it, and what came from other accounts than the line's; added up by SQLite."""
    accounts = {one.key: one.account for one in season.planned}
    with sqlite3.connect(":memory:") as connection:
        connection.execute("create table rows (line text, month text, cents integer, other integer)")
        connection.executemany(
            "insert into rows values (?, ?, ?, ?)",
            [(row.key, month_of(row.on), int(row.amount * 100), row.key and row.account != accounts[row.key])
             for row in season.postings],
        )  # fmt: skip
        found = connection.execute(
            "select line, sum(cents), coalesce(sum(cents) filter (where other), 0) from rows "
            "where line is not null and month <= ? group by line",
            (month,),
        )
        return [(key, Decimal(total) / 100, Decimal(other) / 100) for key, total, other in found]


def _commit(season: Season, lines: dict[str, Line], key: str, day: date, month: str) -> None:
    (order,) = (one for one in season.orders if one.key == key)
    line = lines[key]
    bills = [one for one in season.bills if one.key == key and one.on <= day]
    received = sum((one.quantity for one in season.tickets if one.key == key and one.on <= day), ZERO)
    billed = sum((one.quantity for one in bills), ZERO)
    ordered, came, charged = (
        cents(quantity * order.price) for quantity in (order.quantity, received, billed)
    )
    line.received_not_billed = max(came - charged, ZERO)
    line.open = max(ordered - max(came, charged), ZERO)
    line.retained = sum((one.withheld for one in bills), ZERO)
    line.not_posted = sum(
        (one.to_pay for one in bills if one.posted_on is None or month_of(one.posted_on) > month), ZERO
    )
    line.used = max(received, billed)
    line.priced = sum((one.amount for one in bills), ZERO) + line.received_not_billed


def up_to(by_month: dict[str, Decimal], month: str) -> Decimal:
    return sum((amount for one, amount in by_month.items() if one <= month), ZERO)


def earned(line: Line) -> Decimal:
    """Budget x share done; what was never measured counts as on budget, and so does the cost since."""
    if line.done is None:
        return max(min(line.cost, line.budget), ZERO)
    measured = half_up(Fraction(line.budget) * line.done)
    if line.cost_since <= 0 or line.budget <= 0:
        return measured
    return max(measured, min(line.cost, line.budget, measured + line.cost_since))


def at_completion(line: Line, method: str) -> tuple[Decimal | None, Decimal]:
    """By the method alone, and as reported: never less than cost and open commitments."""
    worth, floor = earned(line), line.cost + line.open
    as_budgeted = line.cost + line.budget - worth
    by_method: Decimal | None = as_budgeted
    if method == "current_rate":
        by_method = None
        if worth > 0 and line.cost >= 0:
            by_method = line.cost + half_up(
                Fraction(line.budget - worth) * Fraction(line.cost) / Fraction(worth)
            )
    return by_method, max(as_budgeted if by_method is None else by_method, floor)


def causes(line: Line, month: str) -> dict[str, Decimal]:
    """The difference of cost and original plan, by cause; zeros left out."""
    original, adjusted = up_to(line.original, month), up_to(line.adjusted, month)
    due = adjusted if line.done is None else earned(line)
    own = line.cost - line.other_accounts
    found = {"scope": adjusted - original, "timing": due - adjusted, "coding": line.other_accounts}
    if line.quantity and line.used is not None:
        planned = half_up(Fraction(line.used) * Fraction(line.budget) / Fraction(line.quantity))
        found["quantity"] = planned - due
        found["price"] = line.priced - planned if line.used else ZERO
        found["spending"] = own - line.priced if line.used else own
    else:
        found["spending"] = own - due
    assert sum(found.values()) == line.cost - original
    return {cause: amount for cause, amount in found.items() if amount}


def percent(part: Decimal, whole: Decimal) -> Decimal | None:
    return None if whole == 0 else (part * 100 / whole).quantize(Decimal("0.1"), ROUND_HALF_UP)
