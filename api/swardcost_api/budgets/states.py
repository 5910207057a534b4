"""The state of a budget's lines at any day: original, adjusted, current and pending."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model.adjustments import AdjustmentKind, AdjustmentStatus

from swardcost_api.budgets.tables import (
    AdjustmentEntryRow,
    AdjustmentRow,
    BudgetLineRow,
    BudgetMonthRow,
    BudgetRow,
)
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

_ENTRY = (
    AdjustmentRow.number, AdjustmentRow.kind, AdjustmentRow.status, AdjustmentRow.effective_on, AdjustmentRow.reason,
    AdjustmentRow.unplanned, AdjustmentRow.proposed_at, AdjustmentRow.decided_at, AdjustmentRow.decided_by,
    AdjustmentEntryRow.budget_line_id, AdjustmentEntryRow.month, AdjustmentEntryRow.amount_minor,
    AdjustmentEntryRow.quantity,
)  # fmt: skip

_BUDGET_BY_ID = by_id(BudgetRow, (BudgetRow.id,))


@dataclass(frozen=True, slots=True)
class LineState:
    """A budget line at a day; amounts in minor units, unit price in millionths, months as ``"2026-09"``.

    original + approved and in effect by the day = adjusted; + approved and in effect only later = current: in total
    and in each month. Pending is what proposed adjustments would change, and in none of the others. `quantity` is the
    original one, zero for a line that an adjustment opened; all quantities are `None` where the line has no unit.
    """

    id: UUID
    number: int
    label: str
    scope_item_id: UUID | None
    scope_item: str | None
    markup: str | None
    account: str | None
    unit: str | None
    quantity: Decimal | None
    adjusted_quantity: Decimal | None
    current_quantity: Decimal | None
    unit_price_micros: int | None
    original_minor: int
    adjusted_minor: int
    current_minor: int
    pending_minor: int
    original_by_month: dict[str, int]
    adjusted_by_month: dict[str, int]
    current_by_month: dict[str, int]
    unplanned: bool
    opened_by: int | None


@dataclass(frozen=True, slots=True)
class ApprovedEntry:
    """One entry of an approved adjustment: money (minor units) and quantity to or from a month of a line."""

    adjustment_number: int
    kind: AdjustmentKind
    effective_on: date
    approved_at: datetime
    approver: str
    reason: str
    unplanned: bool
    line_id: UUID
    month: str
    amount_minor: int
    quantity: Decimal | None


@dataclass(frozen=True, slots=True)
class Pending:
    """What proposed adjustments would change, in minor units: by line, and for lines yet to be opened."""

    by_line: dict[UUID, int]
    new_lines: int


def require_budget(work: UnitOfWork, budget_id: UUID) -> None:
    """Raise `not-found` where the club has no such budget."""
    read_row(work, _BUDGET_BY_ID, budget_id, "budget")


def line_states(
    work: UnitOfWork, budget_id: UUID, on: date | None = None, known_on: date | None = None
) -> list[LineState]:
    """The lines of a budget at a day (today if none), by number.

    With `known_on`, decisions taken after that day (UTC) do not count: the budget as it was known then.
    """
    states, _ = states_and_pending(work, budget_id, on, known_on)
    return states


def states_and_pending(
    work: UnitOfWork, budget_id: UUID, on: date | None, known_on: date | None
) -> tuple[list[LineState], Pending]:
    """The lines at a day, and what is pending for them and for lines yet to be opened."""
    day = on or work.now.date()
    rows = _entries(work, budget_id)
    approved = [_approved(row) for row in rows if _status_on(row, known_on) == AdjustmentStatus.APPROVED]
    open_by_then = {entry.adjustment_number for entry in approved}
    lines = [row for row in _lines(work, budget_id) if row.opened_by is None or row.opened_by in open_by_then]
    known = {line.id for line in lines}
    proposed = [row for row in rows if _status_on(row, known_on) == AdjustmentStatus.PROPOSED]
    by_line: dict[UUID, int] = {}
    for row in proposed:
        if row.budget_line_id in known:
            by_line[row.budget_line_id] = by_line.get(row.budget_line_id, 0) + row.amount_minor
    pending = Pending(by_line, sum(row.amount_minor for row in proposed) - sum(by_line.values()))
    original: dict[UUID, dict[str, int]] = {}
    for line_id, month, amount in planned_months(work, budget_id):
        original.setdefault(line_id, {})[month] = amount
    of_line: dict[UUID, list[ApprovedEntry]] = {}
    for entry in approved:
        of_line.setdefault(entry.line_id, []).append(entry)
    return [
        _state(line, original.get(line.id, {}), of_line.get(line.id, ()), day, by_line.get(line.id, 0))
        for line in lines
    ], pending


def approved_entries(work: UnitOfWork, budget_id: UUID) -> list[ApprovedEntry]:
    """Every entry of every approved adjustment of a budget, by the day from which it counts."""
    rows = _entries(work, budget_id)
    return [_approved(row) for row in rows if row.status == AdjustmentStatus.APPROVED]


def planned_months(work: UnitOfWork, budget_id: UUID) -> list[tuple[UUID, str, int]]:
    """Every month of every line of a budget at acceptance: line, month, amount in minor units."""
    statement = (
        select(BudgetMonthRow.budget_line_id, BudgetMonthRow.month, BudgetMonthRow.amount_minor)
        .join(
            BudgetLineRow,
            (BudgetLineRow.club_id == BudgetMonthRow.club_id)
            & (BudgetLineRow.id == BudgetMonthRow.budget_line_id),
        )
        .where(BudgetMonthRow.club_id == work.club_id, BudgetLineRow.budget_id == budget_id)
        .order_by(BudgetLineRow.number, BudgetMonthRow.month)
    )
    return [(line_id, month, amount) for line_id, month, amount in work.session.execute(statement)]


def _state(
    line: Row[*tuple[Any, ...]],
    original: dict[str, int],
    entries: Sequence[ApprovedEntry],
    day: date,
    pending_minor: int,
) -> LineState:
    by_day = [entry for entry in entries if entry.effective_on <= day]
    months = sorted({*original, *(entry.month for entry in entries)})
    adjusted, current = (_with(original, months, some) for some in (by_day, entries))
    quantity = None if line.quantity is None else Decimal(line.quantity)
    return LineState(
        line.id, line.number, line.label, line.scope_item_id, line.scope_item, line.markup, line.account,
        line.unit, quantity, _quantity_with(quantity, by_day), _quantity_with(quantity, entries),
        line.unit_price_micros, sum(original.values()), sum(adjusted.values()), sum(current.values()), pending_minor,
        {month: original.get(month, 0) for month in months}, adjusted, current, line.unplanned, line.opened_by,
    )  # fmt: skip


def _with(
    original: dict[str, int], months: Sequence[str], entries: Iterable[ApprovedEntry]
) -> dict[str, int]:
    amounts = {month: original.get(month, 0) for month in months}
    for entry in entries:
        amounts[entry.month] += entry.amount_minor
    return amounts


def _quantity_with(quantity: Decimal | None, entries: Iterable[ApprovedEntry]) -> Decimal | None:
    if quantity is None:
        return None
    return quantity + sum((entry.quantity for entry in entries if entry.quantity is not None), Decimal(0))


def _lines(work: UnitOfWork, budget_id: UUID) -> Sequence[Row[*tuple[Any, ...]]]:
    return work.session.execute(
        select(*BudgetLineRow.__table__.c)
        .where(BudgetLineRow.club_id == work.club_id, BudgetLineRow.budget_id == budget_id)
        .order_by(BudgetLineRow.number)
    ).all()


def _entries(work: UnitOfWork, budget_id: UUID) -> Sequence[Row[*tuple[Any, ...]]]:
    return work.session.execute(
        select(*_ENTRY)
        .join(
            AdjustmentEntryRow,
            (AdjustmentEntryRow.club_id == AdjustmentRow.club_id)
            & (AdjustmentEntryRow.adjustment_id == AdjustmentRow.id),
        )
        .where(AdjustmentRow.club_id == work.club_id, AdjustmentRow.budget_id == budget_id)
        .order_by(AdjustmentRow.effective_on, AdjustmentRow.number, AdjustmentEntryRow.number)
    ).all()


def _status_on(row: Row[*tuple[Any, ...]], known_on: date | None) -> str | None:
    """Where an adjustment stood at the end of a day (UTC), or stands now."""
    if known_on is None:
        return str(row.status)
    if row.proposed_at.date() > known_on:
        return None
    decided = row.decided_at is not None and row.decided_at.date() <= known_on
    return str(row.status) if decided else AdjustmentStatus.PROPOSED


def _approved(row: Row[*tuple[Any, ...]]) -> ApprovedEntry:
    return ApprovedEntry(
        row.number, AdjustmentKind(row.kind), row.effective_on, row.decided_at, row.decided_by, row.reason,
        row.unplanned, row.budget_line_id, row.month, row.amount_minor,
        None if row.quantity is None else Decimal(row.quantity),
    )  # fmt: skip
