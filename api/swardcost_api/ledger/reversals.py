"""Reversals: pairs that are proposed, and what follows once a person confirms one.

A confirmed reversal is assigned like its original, now and whenever that one is assigned otherwise, so that the two
leave nothing on any budget line. Nothing is paired by itself.
"""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Row, delete, func, insert, select, tuple_, update
from swardcost_model import problems
from swardcost_model.ledger_reversals import (
    NewReversal,
    PairedPosting,
    Reversal,
    ReversalProposal,
    ReversalProposals,
    UndoneReversal,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.engine.control.reversals import Candidate, propose
from swardcost_api.ledger.assignments import ASSIGNMENT, Assignment, Key, assignments_of, set_assignments
from swardcost_api.ledger.open_months import first_open, hold_assignments, refuse_closed
from swardcost_api.ledger.postings import id_of, key_in
from swardcost_api.ledger.tables import PostingRow, ReversalRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

_PAIR = tuple(c for c in ReversalRow.__table__.c if c.name != "club_id")
_PAIR_BY_ID = by_id(ReversalRow, _PAIR)
_SIDE = (
    PostingRow.fingerprint, PostingRow.occurrence, PostingRow.posted_on, PostingRow.month, PostingRow.account,
    PostingRow.amount_minor, PostingRow.description, PostingRow.vendor, PostingRow.reference, PostingRow.journal_id,
    PostingRow.pair_id,
)  # fmt: skip
_AT_ONCE = 400


def propose_reversals(
    work: UnitOfWork, within_days: int, month: str | None, account: str | None, limit: int
) -> ReversalProposals:
    """Postings of open months, or of one of them, that look like the reversal of an earlier posting."""
    currency = read_club(work).currency
    months = PostingRow.month == month if month is not None else PostingRow.month >= first_open(work)
    free = [PostingRow.club_id == work.club_id, PostingRow.pair_id.is_(None), PostingRow.amount_minor != 0]
    if account is not None:
        free.append(PostingRow.account == account)
    days = select(func.min(PostingRow.posted_on), func.max(PostingRow.posted_on)).where(*free, months)
    first, last = work.session.execute(days).one()
    if first is None:
        return ReversalProposals(found=0, items=[])
    earliest = first - timedelta(days=within_days)
    free += [PostingRow.month >= f"{earliest:%Y-%m}", PostingRow.posted_on.between(earliest, last)]
    opposites = select(PostingRow.account, -PostingRow.amount_minor).where(*free)
    alike = tuple_(PostingRow.account, PostingRow.amount_minor).in_(opposites)
    sides = {id_of(row.fingerprint, row.occurrence): row
             for row in work.session.execute(select(*_SIDE).where(*free, alike))}  # fmt: skip
    opened = first_open(work)
    found = [
        pair
        for pair in propose([_candidate(key, row) for key, row in sides.items()], within_days)
        if (now := sides[pair.reversal.key].month) >= opened and month in (None, now)
    ]
    return ReversalProposals(
        found=len(found),
        items=[
            ReversalProposal(
                account=pair.original.account, original=_side(sides[pair.original.key], currency),
                reversal=_side(sides[pair.reversal.key], currency), days=pair.days, ties=list(pair.ties),
            )
            for pair in found[:limit]
        ],
    )  # fmt: skip


def confirm_reversal(work: UnitOfWork, new: NewReversal) -> Reversal:
    """Pair a posting with the one that takes it back, which is assigned like it from now on.

    Raises `invalid-values` for postings that are no such pair, and `wrong-state` where one of them is paired already
    or the reversal's month is closed.
    """
    hold_assignments(work)
    original, reversal = (
        _named(work, new.original_id, "/original_id"),
        _named(work, new.reversal_id, "/reversal_id"),
    )
    _refuse_no_pair(original, reversal)
    for row in (original, reversal):
        if row.pair_id is not None:
            raise ProblemError(
                problems.WRONG_STATE,
                f"The posting {id_of(row.fingerprint, row.occurrence)} belongs to the pair {row.pair_id} already.",
                reversal_id=str(row.pair_id),
            )
    refuse_closed(work, reversal.month)
    keys = _key(original), _key(reversal)
    pair_id = work.new_id()
    before = assignments_of(work, keys)
    work.session.execute(
        insert(ReversalRow).values(
            club_id=work.club_id, id=pair_id, original_fingerprint=original.fingerprint,
            original_occurrence=original.occurrence, reversal_fingerprint=reversal.fingerprint,
            reversal_occurrence=reversal.occurrence, reason=new.reason, confirmed_at=work.now,
            confirmed_by=work.caller.name, before=ASSIGNMENT.dump_python(before[keys[1]], mode="json"),
        )
    )  # fmt: skip
    _mark(work, keys, pair_id)
    follow_originals(work, [pair_id])
    confirmed = read_reversal(work, pair_id)
    record(work, "confirm", "reversal", pair_id, after=confirmed)
    return confirmed


def list_reversals(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Reversal]:
    """The confirmed pairs, oldest first."""
    statement = select(*_PAIR).where(ReversalRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ReversalRow.id,), limit, cursor)
    return Page[Reversal](items=_reversals_of(work, rows), next=following)


def read_reversal(work: UnitOfWork, reversal_id: UUID) -> Reversal:
    """One confirmed pair."""
    return _reversals_of(work, [read_row(work, _PAIR_BY_ID, reversal_id, "reversal")])[0]


def undo_reversal(work: UnitOfWork, reversal_id: UUID, undoing: UndoneReversal) -> Reversal:
    """Take a pair apart: the reversal is assigned again as it was before. Gives the pair as it was.

    Raises `wrong-state` where the reversal's month is closed.
    """
    hold_assignments(work)
    row = read_row(work, _PAIR_BY_ID, reversal_id, "reversal")
    undone = _reversals_of(work, [row])[0]
    refuse_closed(work, undone.reversal.month)
    _take_apart(work, [row], restore=True)
    record(work, "undo", "reversal", reversal_id, undone, {"reason": undoing.reason})
    return undone


def follow_originals(work: UnitOfWork, pair_ids: Iterable[UUID | None]) -> None:
    """Assign the reversals of these pairs as their originals are assigned now."""
    pairs = _pairs(work, [pair_id for pair_id in pair_ids if pair_id is not None])
    originals = assignments_of(work, [_original(row) for row in pairs])
    set_assignments(
        work,
        {
            _reversal(row): Assignment(
                of.budget_line_id, of.rule_id, "pair", row.confirmed_at, row.confirmed_by, row.reason, of.opposite()
            )
            for row in pairs
            for of in (originals[_original(row)],)
        },
    )  # fmt: skip


def reversal_months(work: UnitOfWork, pair_ids: Sequence[UUID]) -> dict[UUID, str]:
    """The accounting months of the reversals of these pairs."""
    found: dict[UUID, str] = {}
    for start in range(0, len(pair_ids), _AT_ONCE):
        statement = (
            select(ReversalRow.id, PostingRow.month)
            .join_from(
                ReversalRow,
                PostingRow,
                (PostingRow.club_id == ReversalRow.club_id)
                & (PostingRow.fingerprint == ReversalRow.reversal_fingerprint)
                & (PostingRow.occurrence == ReversalRow.reversal_occurrence),
            )
            .where(
                ReversalRow.club_id == work.club_id, ReversalRow.id.in_(pair_ids[start : start + _AT_ONCE])
            )
        )
        found |= {row.id: row.month for row in work.session.execute(statement)}
    return found


def dissolve(work: UnitOfWork, pair_ids: Sequence[UUID], going: set[Key]) -> None:
    """Take apart the pairs of postings that are going; a reversal that stays is assigned again as it was before."""
    rows = _pairs(work, pair_ids)
    _take_apart(work, [row for row in rows if _reversal(row) in going], restore=False)
    _take_apart(work, [row for row in rows if _reversal(row) not in going], restore=True)


def _take_apart(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]], *, restore: bool) -> None:
    if restore:
        set_assignments(work, {_reversal(row): ASSIGNMENT.validate_python(row.before) for row in rows})
    for row in rows:
        _mark(work, (_original(row), _reversal(row)), None)
        work.session.execute(
            delete(ReversalRow).where(ReversalRow.club_id == work.club_id, ReversalRow.id == row.id)
        )


def _mark(work: UnitOfWork, keys: Sequence[Key], pair_id: UUID | None) -> None:
    work.session.execute(
        update(PostingRow)
        .where(
            PostingRow.club_id == work.club_id,
            tuple_(PostingRow.fingerprint, PostingRow.occurrence).in_(keys),
        )
        .values(pair_id=pair_id)
    )


def _pairs(work: UnitOfWork, pair_ids: Sequence[UUID]) -> list[Row[*tuple[Any, ...]]]:
    rows: list[Row[*tuple[Any, ...]]] = []
    for start in range(0, len(pair_ids), _AT_ONCE):
        statement = select(*_PAIR).where(
            ReversalRow.club_id == work.club_id, ReversalRow.id.in_(pair_ids[start : start + _AT_ONCE])
        )
        rows += work.session.execute(statement)
    return rows


def _named(work: UnitOfWork, posting_id: str, pointer: str) -> Row[*tuple[Any, ...]]:
    key = key_in(posting_id)
    row = None
    if key is not None:
        row = work.session.execute(
            select(*_SIDE).where(
                PostingRow.club_id == work.club_id,
                PostingRow.fingerprint == key[0],
                PostingRow.occurrence == key[1],
            )
        ).first()
    if row is None:
        raise _unusable(pointer, "the id of a posting of this club", posting_id)
    return row


def _refuse_no_pair(original: Row[*tuple[Any, ...]], reversal: Row[*tuple[Any, ...]]) -> None:
    if reversal.account != original.account:
        raise _unusable("/reversal_id", f"a posting to the account {original.account}", reversal.account)
    if reversal.amount_minor != -original.amount_minor or reversal.amount_minor == 0:
        raise _unusable("/reversal_id", "a posting of exactly the opposite amount", "another amount")
    if reversal.posted_on < original.posted_on:
        raise _unusable(
            "/reversal_id", f"a posting of {original.posted_on} or later", str(reversal.posted_on)
        )


def _unusable(pointer: str, expected: str, got: str) -> ProblemError:
    return ProblemError(
        problems.INVALID_VALUES, "These two postings cannot be paired.",
        [Fault(pointer=pointer, expected=expected, got=got)],
    )  # fmt: skip


def _key(row: Row[*tuple[Any, ...]]) -> Key:
    return row.fingerprint, row.occurrence


def _original(row: Row[*tuple[Any, ...]]) -> Key:
    return row.original_fingerprint, row.original_occurrence


def _reversal(row: Row[*tuple[Any, ...]]) -> Key:
    return row.reversal_fingerprint, row.reversal_occurrence


def _candidate(key: str, row: Row[*tuple[Any, ...]]) -> Candidate:
    return Candidate(
        key, row.account, row.amount_minor, row.posted_on.toordinal(), row.description, row.vendor or "",
        row.reference or "", row.journal_id or "",
    )  # fmt: skip


def _reversals_of(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]]) -> list[Reversal]:
    currency = read_club(work).currency
    keys = [key for row in rows for key in (_original(row), _reversal(row))]
    statement = select(*_SIDE).where(
        PostingRow.club_id == work.club_id, tuple_(PostingRow.fingerprint, PostingRow.occurrence).in_(keys)
    )
    sides = {_key(side): side for side in work.session.execute(statement)} if keys else {}
    return [
        Reversal(
            id=row.id, account=original.account, original=_side(original, currency),
            reversal=_side(reversal, currency), days=(reversal.posted_on - original.posted_on).days,
            reason=row.reason, confirmed_at=row.confirmed_at, confirmed_by=row.confirmed_by,
        )
        for row in rows
        for original, reversal in ((sides[_original(row)], sides[_reversal(row)]),)
    ]  # fmt: skip


def _side(row: Row[*tuple[Any, ...]], currency: str) -> PairedPosting:
    return PairedPosting(
        id=id_of(row.fingerprint, row.occurrence), posted_on=row.posted_on, month=row.month,
        amount=Money.of_minor(row.amount_minor, currency), description=row.description, vendor=row.vendor,
        reference=row.reference, journal_id=row.journal_id,
    )  # fmt: skip
