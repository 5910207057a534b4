"""Adjustments: proposed, then approved, declined or withdrawn; once approved they never change.

Whoever proposes or decides holds the budget's row, so that two at once cannot take the same money.
"""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, func, insert, select, update
from swardcost_model import problems
from swardcost_model.adjustments import (
    Adjustment,
    AdjustmentDecision,
    AdjustmentEntry,
    AdjustmentKind,
    AdjustmentStatus,
    AdjustmentSummary,
    LineToOpen,
    NewAdjustment,
)
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, plain

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.amounts import unit_price_micros
from swardcost_api.budgets.limits import refuse_approval, refuse_decision
from swardcost_api.budgets.proposals import Proposed, faults_of_balances, refuse_unusable
from swardcost_api.budgets.states import require_budget
from swardcost_api.budgets.tables import AdjustmentEntryRow, AdjustmentRow, BudgetLineRow, BudgetRow
from swardcost_api.engine.control.adjusting import amount_to_approve
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, missing, read_row
from swardcost_api.storage.work import UnitOfWork

_ADJUSTMENT = tuple(column for column in AdjustmentRow.__table__.c if column.name != "club_id")
_ADJUSTMENT_BY_ID = by_id(AdjustmentRow, _ADJUSTMENT)
_ENTRY = (
    AdjustmentEntryRow.budget_line_id, AdjustmentEntryRow.new_line, AdjustmentEntryRow.month,
    AdjustmentEntryRow.amount_minor, AdjustmentEntryRow.quantity, BudgetLineRow.number, BudgetLineRow.label,
    BudgetLineRow.unit,
)  # fmt: skip

FindsCommitment = Callable[[UnitOfWork, UUID, UUID], bool]
"""Whether a budget has a commitment of that id: unit of work, budget, commitment."""
_COMMITMENTS: list[FindsCommitment] = []


def finds_commitments(find: FindsCommitment) -> FindsCommitment:
    """Have the room that keeps commitments say which there are, so that an adjustment can name one."""
    _COMMITMENTS.append(find)
    return find


def hold_budget(work: UnitOfWork, budget_id: UUID) -> None:
    """Keep others who adjust or measure this budget waiting until this transaction ends. Raises `not-found`."""
    held = work.session.scalar(
        select(BudgetRow.id)
        .where(BudgetRow.club_id == work.club_id, BudgetRow.id == budget_id)
        .with_for_update(key_share=True)
    )
    if held is None:
        raise missing("budget")


def propose(work: UnitOfWork, budget_id: UUID, new: NewAdjustment) -> Adjustment:
    """Propose an adjustment. It changes nothing yet; it is refused where it does not balance or would overdraw.

    Raises `invalid-values` with the place of each fault.
    """
    hold_budget(work, budget_id)
    has_commitment = new.commitment_id is None or any(
        find(work, budget_id, new.commitment_id) for find in _COMMITMENTS
    )
    proposed = refuse_unusable(work, budget_id, new, has_commitment=has_commitment)
    highest = work.session.scalar(
        select(func.max(AdjustmentRow.number)).where(
            AdjustmentRow.club_id == work.club_id, AdjustmentRow.budget_id == budget_id
        )
    )
    adjustment_id = work.new_id()
    amounts = [one.amount_minor for one in proposed]
    work.session.execute(
        insert(AdjustmentRow).values(
            club_id=work.club_id, id=adjustment_id, budget_id=budget_id, number=(highest or 0) + 1, kind=new.kind,
            status=AdjustmentStatus.PROPOSED, effective_on=new.effective_on, reason=new.reason,
            reference=new.reference, commitment_id=new.commitment_id, unplanned=new.unplanned,
            new_lines=[one.model_dump(mode="json") for one in new.new_lines],
            amount_minor=amount_to_approve(amounts), net_minor=sum(amounts), proposed_by=work.caller.name,
            proposed_by_key=work.caller.key_id, proposed_at=work.now,
        )
    )  # fmt: skip
    work.session.execute(
        insert(AdjustmentEntryRow),
        [
            {
                "club_id": work.club_id, "adjustment_id": adjustment_id, "number": number,
                "budget_line_id": stated.budget_line_id, "new_line": stated.new_line, "month": one.month,
                "amount_minor": one.amount_minor,
                "quantity": None if one.quantity is None else plain(one.quantity),
            }
            for number, (stated, one) in enumerate(zip(new.entries, proposed, strict=True), start=1)
        ],
    )  # fmt: skip
    after = read_adjustment(work, adjustment_id)
    record(work, "propose", "adjustment", adjustment_id, after=after)
    return after


def list_adjustments(
    work: UnitOfWork,
    budget_id: UUID,
    limit: int,
    cursor: str | None,
    status: AdjustmentStatus | None = None,
    kind: AdjustmentKind | None = None,
    unplanned: bool | None = None,
) -> Page[AdjustmentSummary]:
    """The adjustments of a budget, by number."""
    require_budget(work, budget_id)
    statement = select(*_ADJUSTMENT).where(
        AdjustmentRow.club_id == work.club_id, AdjustmentRow.budget_id == budget_id
    )
    for column, wanted in (
        (AdjustmentRow.status, status),
        (AdjustmentRow.kind, kind),
        (AdjustmentRow.unplanned, unplanned),
    ):
        if wanted is not None:
            statement = statement.where(column == wanted)
    rows, following = read_page(work, statement, (AdjustmentRow.number,), limit, cursor)
    currency = read_club(work).currency
    return Page[AdjustmentSummary](
        items=[AdjustmentSummary(**_summary(row, currency)) for row in rows], next=following
    )


def read_adjustment(work: UnitOfWork, adjustment_id: UUID) -> Adjustment:
    """One adjustment with its entries."""
    return read_adjustments(work, [adjustment_id])[adjustment_id]


def read_adjustments(work: UnitOfWork, adjustment_ids: Sequence[UUID]) -> dict[UUID, Adjustment]:
    """Adjustments with their entries, by id. Raises `not-found` where one is missing."""
    currency = read_club(work).currency
    rows = work.session.execute(
        select(*_ADJUSTMENT).where(
            AdjustmentRow.club_id == work.club_id, AdjustmentRow.id.in_(adjustment_ids)
        )
    ).all()
    if len(rows) != len(set(adjustment_ids)):
        raise missing("adjustment")
    entries: dict[UUID, list[Any]] = {}
    for entry in _entries(work, adjustment_ids):
        entries.setdefault(entry.adjustment_id, []).append(entry)
    return {
        row.id: Adjustment(
            **_summary(row, currency), new_lines=[LineToOpen(**one) for one in row.new_lines],
            entries=[_entry(one, row.new_lines, currency) for one in entries.get(row.id, [])],
        )
        for row in rows
    }  # fmt: skip


def approve(work: UnitOfWork, adjustment_id: UUID, decision: AdjustmentDecision) -> Adjustment:
    """Approve an adjustment: from its day on the budget is as it says, and the lines it opens are there.

    Raises `forbidden` beyond the caller's limit, `wrong-state` where it is decided already or the money that it takes
    is no longer there.
    """
    row = _held(work, adjustment_id)
    refuse_approval(work, row)
    proposed = _proposed(work, adjustment_id)
    faults = faults_of_balances(work, row.budget_id, row.effective_on, proposed)
    if faults:
        raise ProblemError(
            problems.WRONG_STATE,
            "Since it was proposed, the budget has come to hold less than it takes. Withdraw it and propose another.",
            faults,
        )
    if row.new_lines:
        _open_lines(work, row, proposed)
    return _decide(work, row, AdjustmentStatus.APPROVED, "approve", decision.note)


def decline(work: UnitOfWork, adjustment_id: UUID, decision: AdjustmentDecision) -> Adjustment:
    """Decline an adjustment. Raises `forbidden` for a role without a limit of approval."""
    row = _held(work, adjustment_id)
    refuse_decision(work)
    return _decide(work, row, AdjustmentStatus.DECLINED, "decline", decision.note)


def withdraw(work: UnitOfWork, adjustment_id: UUID, decision: AdjustmentDecision) -> Adjustment:
    """Take back an adjustment that nobody has decided."""
    return _decide(work, _held(work, adjustment_id), AdjustmentStatus.WITHDRAWN, "withdraw", decision.note)


def _held(work: UnitOfWork, adjustment_id: UUID) -> Row[*tuple[Any, ...]]:
    """An adjustment still to be decided, in a budget that nobody else adjusts meanwhile."""
    hold_budget(work, read_row(work, _ADJUSTMENT_BY_ID, adjustment_id, "adjustment").budget_id)
    row = read_row(work, _ADJUSTMENT_BY_ID, adjustment_id, "adjustment")
    if row.status != AdjustmentStatus.PROPOSED:
        raise ProblemError(
            problems.WRONG_STATE, f"The adjustment is {row.status}; only a proposed one can be decided."
        )
    return row


def _decide(
    work: UnitOfWork, row: Row[*tuple[Any, ...]], status: AdjustmentStatus, action: str, note: str
) -> Adjustment:
    before = read_adjustment(work, row.id)
    work.session.execute(
        update(AdjustmentRow)
        .where(AdjustmentRow.club_id == work.club_id, AdjustmentRow.id == row.id)
        .values(status=status, decided_by=work.caller.name, decided_at=work.now, decision_note=note)
    )
    after = read_adjustment(work, row.id)
    record(work, action, "adjustment", row.id, before, after)
    return after


def _open_lines(work: UnitOfWork, row: Row[*tuple[Any, ...]], proposed: Sequence[Proposed]) -> None:
    """Open the lines that an adjustment asks for, after the last number there is."""
    last = work.session.scalar(
        select(func.max(BudgetLineRow.number)).where(
            BudgetLineRow.club_id == work.club_id, BudgetLineRow.budget_id == row.budget_id
        )
    )
    currency = read_club(work).currency
    for index, opened in enumerate(row.new_lines, start=1):
        line_id, unit = work.new_id(), opened["unit"]
        own = [one for one in proposed if one.line == index]
        quantity = sum((one.quantity for one in own if one.quantity is not None), Decimal(0))
        values = {
            "number": (last or 0) + index, "label": opened["label"], "account": opened["account"], "unit": unit,
            "quantity": None if unit is None else "0", "unplanned": row.unplanned, "opened_by": row.number,
            "unit_price_micros": unit_price_micros(sum(one.amount_minor for one in own), quantity, currency),
        }  # fmt: skip
        work.session.execute(
            insert(BudgetLineRow).values(
                club_id=work.club_id, id=line_id, budget_id=row.budget_id, scope_item_id=None, scope_item=None,
                markup=None, amount_minor=0, **values,
            )
        )  # fmt: skip
        work.session.execute(
            update(AdjustmentEntryRow)
            .where(
                AdjustmentEntryRow.club_id == work.club_id,
                AdjustmentEntryRow.adjustment_id == row.id,
                AdjustmentEntryRow.new_line == index,
            )
            .values(budget_line_id=line_id)
        )
        record(work, "open", "budget_line", line_id, after={"budget_id": str(row.budget_id)} | values)


def _proposed(work: UnitOfWork, adjustment_id: UUID) -> list[Proposed]:
    return [
        Proposed(
            entry.budget_line_id or entry.new_line, entry.month, entry.amount_minor,
            None if entry.quantity is None else Decimal(entry.quantity),
        )
        for entry in _entries(work, [adjustment_id])
    ]  # fmt: skip


def _entries(work: UnitOfWork, adjustment_ids: Sequence[UUID]) -> Sequence[Row[*tuple[Any, ...]]]:
    return work.session.execute(
        select(AdjustmentEntryRow.adjustment_id, *_ENTRY)
        .outerjoin(
            BudgetLineRow,
            (BudgetLineRow.club_id == AdjustmentEntryRow.club_id)
            & (BudgetLineRow.id == AdjustmentEntryRow.budget_line_id),
        )
        .where(
            AdjustmentEntryRow.club_id == work.club_id, AdjustmentEntryRow.adjustment_id.in_(adjustment_ids)
        )
        .order_by(AdjustmentEntryRow.adjustment_id, AdjustmentEntryRow.number)
    ).all()


def _entry(
    row: Row[*tuple[Any, ...]], new_lines: Sequence[Mapping[str, Any]], currency: str
) -> AdjustmentEntry:
    opened = {} if row.new_line is None else new_lines[row.new_line - 1]
    return AdjustmentEntry(
        budget_line_id=row.budget_line_id, line_number=row.number, new_line=row.new_line,
        label=row.label or opened["label"], month=row.month, amount=Money.of_minor(row.amount_minor, currency),
        quantity=None if row.quantity is None else Decimal(row.quantity), unit=row.unit or opened.get("unit"),
    )  # fmt: skip


def _summary(row: Row[*tuple[Any, ...]], currency: str) -> dict[str, Any]:
    return {
        name: getattr(row, name)
        for name in (
            "id", "budget_id", "number", "kind", "status", "effective_on", "reason", "reference", "commitment_id",
            "unplanned", "proposed_by", "proposed_at", "decided_by", "decided_at", "decision_note",
        )
    } | {
        "amount": Money.of_minor(row.amount_minor, currency), "net": Money.of_minor(row.net_minor, currency),
    }  # fmt: skip
