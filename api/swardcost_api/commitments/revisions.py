"""What becomes of an order: its lines revised, and the whole closed, cancelled or reopened."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, and_, func, insert, select
from swardcost_model import problems
from swardcost_model.commitments import (
    Commitment,
    CommitmentRevision,
    CommitmentStatus,
    NewCommitmentRevision,
    StatusChange,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_micros, from_minor, plain

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import approved_entries, read_budget
from swardcost_api.commitments.orders import (
    held,
    held_open,
    lines_to_store,
    ordered_line,
    read_commitment,
    store_revision,
)
from swardcost_api.commitments.positions import standings
from swardcost_api.commitments.standing import LUMP_SUM, Wanted, received_on
from swardcost_api.commitments.tables import CommitmentRow, OrderedLineRow, RevisionRow, StatusRow
from swardcost_api.commitments.words import figure
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import edit_row, stale
from swardcost_api.storage.work import UnitOfWork

_REVISION = (
    RevisionRow.revision, RevisionRow.made_on, RevisionRow.reason, RevisionRow.accept_less,
    RevisionRow.adjustment_number, RevisionRow.ordered_minor, RevisionRow.actor, RevisionRow.created_at,
)  # fmt: skip


def revise(work: UnitOfWork, commitment_id: UUID, new: NewCommitmentRevision) -> Commitment:
    """Put complete lines in the place of those in force.

    Raises `stale-version` where it was made from another revision, `wrong-state` for one that is not open,
    `invalid-values` for lines that cannot be: what was received or billed may neither go away, nor change its unit,
    nor (without a reason) be more than is ordered.
    """
    row = held_open(work, commitment_id)
    if row.revision != new.revises:
        raise stale("commitment", row.revision, new.revises)
    before = read_commitment(work, commitment_id)
    budget = read_budget(work, row.budget_id)
    currency = budget.total.currency
    rows, faults = lines_to_store(new.lines, {line.id for line in budget.lines}, currency)
    faults += _faults_of_dates(work, row, new)
    faults += _faults_of_adjustment(work, row, new)
    if not faults:
        faults = _faults_of_less(work, new, rows, commitment_id, currency)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The commitment was not revised.", faults)
    ordered = sum(line["amount_minor"] for line in rows)
    edit_row(
        work, CommitmentRow, commitment_id, row.version, "commitment", revision=row.revision + 1,
        ordered_minor=ordered,
    )  # fmt: skip
    store_revision(
        work, commitment_id, rows, revision=row.revision + 1, made_on=new.made_on, reason=new.reason,
        accept_less=new.accept_less, adjustment_number=new.adjustment_number, ordered_minor=ordered,
    )  # fmt: skip
    after = read_commitment(work, commitment_id)
    record(
        work,
        "revise",
        "commitment",
        commitment_id,
        before,
        after.model_dump(mode="json") | {"reason": new.reason},
    )
    return after


def _faults_of_dates(work: UnitOfWork, row: Row[Any], new: NewCommitmentRevision) -> list[Fault]:
    latest = work.session.scalar(
        select(func.max(RevisionRow.made_on)).where(
            RevisionRow.club_id == work.club_id, RevisionRow.commitment_id == row.id
        )
    )
    if latest is None or new.made_on >= latest:
        return []
    expected = f"{latest}, the day of the revision before, or later"
    return [Fault(pointer="/made_on", expected=expected, got=new.made_on.isoformat())]


def _faults_of_adjustment(work: UnitOfWork, row: Row[Any], new: NewCommitmentRevision) -> list[Fault]:
    if new.adjustment_number is None:
        return []
    approved = {entry.adjustment_number for entry in approved_entries(work, row.budget_id)}
    if new.adjustment_number in approved:
        return []
    expected = "the number of an approved adjustment of the commitment's budget"
    return [Fault(pointer="/adjustment_number", expected=expected, got=str(new.adjustment_number))]


def _faults_of_less(
    work: UnitOfWork, new: NewCommitmentRevision, rows: Sequence[Mapping[str, Any]], commitment_id: UUID,
    currency: str,
) -> list[Fault]:  # fmt: skip
    """What was received or billed and is not on the new lines."""
    wanted = Wanted(ids=[commitment_id])
    received = received_on(work, wanted, None)
    faults = []
    places = {line.number: index for index, line in enumerate(new.lines)}
    for standing in standings(work, wanted, None, currency)[0].lines:
        match, number, unit = standing.match, standing.row.number, standing.row.unit
        if (commitment_id, number) not in received and not standing.bills:
            continue
        index = places.get(number)
        if index is None:
            expected = f"line {number} too, which was received or billed"
            faults.append(Fault(pointer="/lines", expected=expected, got="no such line"))
            continue
        if new.lines[index].unit != unit:
            expected = f"{unit}, in which it was received or billed"
            faults.append(Fault(pointer=f"/lines/{index}/unit", expected=expected, got=new.lines[index].unit))
            continue
        if new.accept_less is not None:
            continue
        if unit == LUMP_SUM:
            least = from_minor(max(match.received_minor, match.billed_minor), currency)
            got, place = from_minor(rows[index]["amount_minor"], currency), "unit_price"
        else:
            least, got = max(match.received, match.billed), from_micros(rows[index]["quantity_micros"])
            place = "quantity"
        if got < least:
            expected = (
                f"{figure(least)} or more, which was received or billed already, or a reason in accept_less"
            )
            faults.append(Fault(pointer=f"/lines/{index}/{place}", expected=expected, got=plain(got)))
    return faults


def list_revisions(
    work: UnitOfWork, commitment_id: UUID, limit: int, cursor: str | None
) -> Page[CommitmentRevision]:
    """The revisions of a commitment with their lines, from the first."""
    read_commitment(work, commitment_id)
    of_it = (RevisionRow.club_id == work.club_id, RevisionRow.commitment_id == commitment_id)
    rows, following = read_page(
        work, select(*_REVISION).where(*of_it), (RevisionRow.revision,), limit, cursor
    )
    shown = [row.revision for row in rows]
    statement = select(*OrderedLineRow.__table__.c).where(
        and_(OrderedLineRow.club_id == work.club_id, OrderedLineRow.commitment_id == commitment_id),
        OrderedLineRow.revision.in_(shown),
    )
    lines: dict[int, list[Row[Any]]] = {}
    for line in work.session.execute(statement.order_by(OrderedLineRow.number)):
        lines.setdefault(line.revision, []).append(line)
    currency = read_club(work).currency
    return Page[CommitmentRevision](
        items=[
            CommitmentRevision(
                **{name: value for name, value in row._mapping.items() if name != "ordered_minor"},
                ordered=Money.of_minor(row.ordered_minor, currency),
                lines=[ordered_line(line, currency) for line in lines[row.revision]],
            )
            for row in rows
        ],
        next=following,
    )


def close(work: UnitOfWork, commitment_id: UUID, change: StatusChange) -> Commitment:
    """Nothing more is to come: the open amount is released. Raises `wrong-state` unless it is open."""
    return _move(work, held_open(work, commitment_id), CommitmentStatus.CLOSED, "close", change)


def cancel(work: UnitOfWork, commitment_id: UUID, change: StatusChange) -> Commitment:
    """Give up an order of which nothing came. Raises `wrong-state` where something was received or billed."""
    row = held_open(work, commitment_id)
    (standing,) = standings(work, Wanted(ids=[commitment_id]), None, read_club(work).currency)
    if standing.bills or any(line.match.received for line in standing.lines):
        raise ProblemError(
            problems.WRONG_STATE, "Something was received or billed already; close the commitment instead."
        )
    return _move(work, row, CommitmentStatus.CANCELLED, "cancel", change)


def reopen(work: UnitOfWork, commitment_id: UUID, change: StatusChange) -> Commitment:
    """What is still to come is expected again. Raises `wrong-state` for one that is open."""
    row = held(work, commitment_id)
    if row.status == CommitmentStatus.OPEN:
        raise ProblemError(problems.WRONG_STATE, "The commitment is open.")
    return _move(work, row, CommitmentStatus.OPEN, "reopen", change)


def _move(
    work: UnitOfWork, row: Row[Any], status: CommitmentStatus, action: str, change: StatusChange
) -> Commitment:
    before = read_commitment(work, row.id)
    earliest = before.statuses[-1].since if before.statuses else row.signed_on
    since = change.since or max(work.now.date(), earliest)
    if since < earliest:
        expected = f"{earliest} or later, the day of what it was before"
        raise ProblemError(
            problems.INVALID_VALUES, "The commitment was left as it was.",
            [Fault(pointer="/since", expected=expected, got=since.isoformat())],
        )  # fmt: skip
    work.session.execute(
        insert(StatusRow).values(
            club_id=work.club_id, commitment_id=row.id, number=len(before.statuses) + 1, status=status, since=since,
            reason=change.reason, actor=work.caller.name, created_at=work.now,
        )
    )  # fmt: skip
    edit_row(work, CommitmentRow, row.id, row.version, "commitment", status=status)
    after = read_commitment(work, row.id)
    record(work, action, "commitment", row.id, before, after)
    return after
