"""Undoing an import: its postings go, its record stays."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import delete, func, select, tuple_, update
from swardcost_model import problems
from swardcost_model.ledger import Import, Voiding
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.ledger.open_months import first_open, hold_assignments, refuse_closed
from swardcost_api.ledger.reversals import dissolve, reversal_months
from swardcost_api.ledger.service import in_import, read_import
from swardcost_api.ledger.tables import ImportRow, PostingPartRow, PostingRow
from swardcost_api.storage.work import UnitOfWork


def void_import(work: UnitOfWork, import_id: UUID, voiding: Voiding) -> Import:
    """Remove the postings that an import added, however they are assigned; the audit row says what they were.

    Pairs that they belong to are taken apart. Raises `wrong-state` for an import that is voided already, and for one
    that would change a closed month.
    """
    hold_assignments(work)
    before = read_import(work, import_id)
    mark = (
        update(ImportRow)
        .where(ImportRow.club_id == work.club_id, ImportRow.id == import_id, ImportRow.status != "voided")
        .values(status="voided", voided_at=work.now, voided_by=work.caller.name, void_reason=voiding.reason)
    )
    if work.session.execute(mark).rowcount != 1:  # type: ignore[attr-defined]
        raise ProblemError(problems.WRONG_STATE, "The import is voided; only one that is not can be voided.")
    _refuse_closed_months(work, before)
    removed = _remove_postings(work, before)
    weakened = _weaken_later_imports(work, before)
    after = read_import(work, import_id)
    told = {"removed": removed, "weakened": [str(one) for one in weakened]}
    record(work, "void", "import", import_id, before, after.model_dump(mode="json") | told)
    return after


def _weaken_later_imports(work: UnitOfWork, made: Import) -> Sequence[UUID]:
    """Mark the later imports that may have counted rows of this one as known; their files must be uploaded again."""
    if made.first_date is None:
        return []
    statement = (
        update(ImportRow)
        .where(
            ImportRow.club_id == work.club_id,
            ImportRow.id != made.id,
            ImportRow.status != "voided",
            ImportRow.created_at >= made.created_at,
            ImportRow.rows_known > 0,
            ImportRow.first_date <= made.last_date,
            ImportRow.last_date >= made.first_date,
        )
        .values(weakened_by=made.id)
        .returning(ImportRow.id)
        .execution_options(synchronize_session=False)
    )
    return sorted(work.session.scalars(statement))


def _remove_postings(work: UnitOfWork, made: Import) -> list[dict[str, Any]]:
    """Delete an import's postings; tells how many there were and what they added up to, by how they were assigned."""
    currency = read_club(work).currency
    going = select(PostingRow.assigned_by, PostingRow.amount_minor).where(in_import(work, made)).subquery()
    amount = going.c.amount_minor
    sums = (
        select(
            going.c.assigned_by,
            func.count(),
            func.coalesce(func.sum(amount).filter(amount > 0), 0),
            func.coalesce(-func.sum(amount).filter(amount < 0), 0),
        )
        .group_by(going.c.assigned_by)
        .order_by(going.c.assigned_by.nulls_last())
    )
    removed = [
        {
            "assigned_by": assigned_by,
            "postings": postings,
            "debits": Money.of_minor(int(debits), currency).model_dump(mode="json"),
            "credits": Money.of_minor(int(credits_), currency).model_dump(mode="json"),
        }
        for assigned_by, postings, debits, credits_ in work.session.execute(sums)
    ]
    _take_pairs_apart(work, made)
    keys = select(PostingRow.fingerprint, PostingRow.occurrence).where(
        in_import(work, made), PostingRow.split
    )
    in_parts = tuple_(PostingPartRow.fingerprint, PostingPartRow.occurrence).in_(keys)
    work.session.execute(delete(PostingPartRow).where(PostingPartRow.club_id == work.club_id, in_parts))
    work.session.execute(delete(PostingRow).where(in_import(work, made)))
    return removed


def _refuse_closed_months(work: UnitOfWork, made: Import) -> None:
    """Raise `wrong-state` where a posting of the import is in a closed month, or the reversal of one is."""
    opened = first_open(work)
    mine = in_import(work, made)
    months = [work.session.scalar(select(func.min(PostingRow.month)).where(mine, PostingRow.month < opened))]
    paired = select(PostingRow.pair_id).where(mine, PostingRow.pair_id.is_not(None))
    months += reversal_months(work, sorted(set(work.session.scalars(paired)))).values()
    refuse_closed(work, *(month for month in months if month is not None))


def _take_pairs_apart(work: UnitOfWork, made: Import) -> None:
    paired = select(PostingRow.fingerprint, PostingRow.occurrence, PostingRow.pair_id).where(
        in_import(work, made), PostingRow.pair_id.is_not(None)
    )
    rows = work.session.execute(paired).all()
    dissolve(work, sorted({row.pair_id for row in rows}), {(row.fingerprint, row.occurrence) for row in rows})
