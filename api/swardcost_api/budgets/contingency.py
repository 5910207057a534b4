"""Contingency: the log of what it paid for, and taking from it for work that nobody could plan."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model.adjustments import AdjustmentStatus, ContingencyLog, ContingencyMove
from swardcost_model.estimates import MarkupKind
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.budgets.proposals import is_contingency
from swardcost_api.budgets.states import approved_entries, line_states, require_budget
from swardcost_api.budgets.tables import AdjustmentEntryRow, AdjustmentRow, BudgetLineRow
from swardcost_api.csv_files import write_rows
from swardcost_api.engine.control.adjusting import Entry, draw, takeable
from swardcost_api.storage.work import UnitOfWork

_MOVE = (
    AdjustmentRow.id, AdjustmentRow.number, AdjustmentRow.kind, AdjustmentRow.status, AdjustmentRow.effective_on,
    AdjustmentRow.reason, AdjustmentRow.reference, AdjustmentRow.unplanned, AdjustmentRow.proposed_by,
    AdjustmentRow.decided_by, AdjustmentRow.decided_at, AdjustmentRow.new_lines,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FromContingency:
    """What to take from a month of a contingency line, in minor units."""

    line_id: UUID
    month: str
    amount_minor: int


@dataclass(slots=True)
class _Move:
    adjustment: Row[*tuple[Any, ...]]
    amount_minor: int
    given_to: list[str]


def contingency_log(work: UnitOfWork, budget_id: UUID) -> ContingencyLog:
    """What a budget had for contingency, every approved move with what was left after it, and what is pending."""
    require_budget(work, budget_id)
    currency = read_club(work).currency

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    opening = sum(line.original_minor for line in line_states(work, budget_id) if is_contingency(line))
    moves = [one for one in _moves(work, budget_id) if one.amount_minor]
    approved = [one for one in moves if one.adjustment.status == AdjustmentStatus.APPROVED]
    # What adds comes first on its day, so that no balance is below what the day ended with.
    approved.sort(key=lambda one: (one.adjustment.effective_on, one.amount_minor < 0, one.adjustment.number))
    left, told = opening, []
    for one in approved:
        left += one.amount_minor
        row = one.adjustment
        told.append(
            ContingencyMove(
                adjustment_id=row.id, adjustment_number=row.number, kind=row.kind, effective_on=row.effective_on,
                reason=row.reason, reference=row.reference, unplanned=row.unplanned, given_to=one.given_to,
                amount=money(one.amount_minor), balance=money(left), proposed_by=row.proposed_by,
                approved_by=row.decided_by, approved_at=row.decided_at,
            )
        )  # fmt: skip
    return ContingencyLog(
        budget_id=budget_id, opening=money(opening), moves=told, left=money(left),
        drawn=money(-sum(one.amount_minor for one in approved if one.amount_minor < 0)),
        returned=money(sum(one.amount_minor for one in approved if one.amount_minor > 0)),
        percent_left=_percent(left, opening),
        pending=money(
            sum(one.amount_minor for one in moves if one.adjustment.status == AdjustmentStatus.PROPOSED)
        ),
    )  # fmt: skip


def fund_from_contingency(
    work: UnitOfWork, budget_id: UUID, amount_minor: int, month: str, effective_on: date
) -> list[FromContingency]:
    """What to take from contingency for work in a month, from a day on: as much as there is where there is less.

    The budget is held by the caller. What others have proposed to take is left until nothing else is.
    """
    lines = {line.id: line for line in line_states(work, budget_id) if is_contingency(line)}
    original = {
        (line.id, month): minor for line in lines.values() for month, minor in line.original_by_month.items()
    }
    approved = [
        Entry(one.line_id, one.month, one.amount_minor, one.effective_on)
        for one in approved_entries(work, budget_id)
    ]
    reserved: dict[tuple[UUID, str], int] = {}
    for row in _pending_takings(work, budget_id):
        cell = (row.budget_line_id, row.month)
        reserved[cell] = reserved.get(cell, 0) - row.amount_minor
    taken = draw(takeable(original, approved, lines, effective_on), reserved, amount_minor, month)
    return [FromContingency(line_id, month, minor) for (line_id, month), minor in taken.items()]


def _pending_takings(work: UnitOfWork, budget_id: UUID) -> Sequence[Row[*tuple[Any, ...]]]:
    return work.session.execute(
        select(AdjustmentEntryRow.budget_line_id, AdjustmentEntryRow.month, AdjustmentEntryRow.amount_minor)
        .join(
            AdjustmentRow,
            (AdjustmentRow.club_id == AdjustmentEntryRow.club_id)
            & (AdjustmentRow.id == AdjustmentEntryRow.adjustment_id),
        )
        .where(
            AdjustmentRow.club_id == work.club_id,
            AdjustmentRow.budget_id == budget_id,
            AdjustmentRow.status == AdjustmentStatus.PROPOSED,
            AdjustmentEntryRow.budget_line_id.is_not(None),
            AdjustmentEntryRow.amount_minor < 0,
        )
    ).all()


def _moves(work: UnitOfWork, budget_id: UUID) -> list[_Move]:
    """The approved and proposed adjustments of a budget with what each changes in contingency, by number."""
    rows = work.session.execute(
        select(
            *_MOVE, AdjustmentEntryRow.amount_minor, AdjustmentEntryRow.new_line, BudgetLineRow.label,
            BudgetLineRow.markup,
        )
        .join(
            AdjustmentEntryRow,
            (AdjustmentEntryRow.club_id == AdjustmentRow.club_id)
            & (AdjustmentEntryRow.adjustment_id == AdjustmentRow.id),
        )
        .outerjoin(
            BudgetLineRow,
            (BudgetLineRow.club_id == AdjustmentEntryRow.club_id)
            & (BudgetLineRow.id == AdjustmentEntryRow.budget_line_id),
        )
        .where(
            AdjustmentRow.club_id == work.club_id,
            AdjustmentRow.budget_id == budget_id,
            AdjustmentRow.status.in_((AdjustmentStatus.APPROVED, AdjustmentStatus.PROPOSED)),
        )
        .order_by(AdjustmentRow.number, AdjustmentEntryRow.number)
    )  # fmt: skip
    moves: dict[UUID, _Move] = {}
    for row in rows:
        move = moves.setdefault(row.id, _Move(row, 0, []))
        if row.markup == MarkupKind.CONTINGENCY:
            move.amount_minor += row.amount_minor
        else:
            label = row.label or row.new_lines[row.new_line - 1]["label"]
            if label not in move.given_to:
                move.given_to.append(label)
    return list(moves.values())


def _percent(left: int, opening: int) -> Decimal | None:
    if not opening:
        return None
    return (Decimal(left) * 100 / opening).quantize(Decimal("0.1"), ROUND_HALF_UP)


LOG_COLUMNS = (
    "adjustment", "effective_on", "kind", "reason", "reference", "given_to", "amount", "balance", "currency",
    "unplanned", "proposed_by", "approved_by", "approved_at",
)  # fmt: skip


def log_csv(log: ContingencyLog) -> str:
    """The log as a CSV file: the opening first, then every move."""
    return write_rows(LOG_COLUMNS, _cells(log))


def _cells(log: ContingencyLog) -> Iterable[Sequence[Any]]:
    opening = log.opening
    yield (
        None, None, "opening", None, None, None, None, opening.amount, opening.currency, None, None, None, None
    )  # fmt: skip
    for move in log.moves:
        yield (
            move.adjustment_number, move.effective_on, move.kind.value, move.reason, move.reference,
            "; ".join(move.given_to), move.amount.amount, move.balance.amount, move.balance.currency,
            "yes" if move.unplanned else "no", move.proposed_by, move.approved_by, move.approved_at.isoformat(),
        )  # fmt: skip
