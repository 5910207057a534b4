"""Postings as they are listed and read: with the parts they are split into, and who decided that."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, or_, select, tuple_
from swardcost_model.ledger import Posting, PostingDecision, PostingPart
from swardcost_model.paging import Page
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import read_club
from swardcost_api.ledger.assignments import ORDER, Key, Part, parts_of
from swardcost_api.ledger.service import in_import, read_import
from swardcost_api.ledger.tables import PostingPartRow, PostingRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

_POSTING = tuple(c for c in PostingRow.__table__.c if c.name != "club_id")
_POSTING_ID = re.compile(r"([0-9a-f]{32})-([1-9][0-9]{0,8})")


@dataclass(frozen=True, slots=True)
class PostingFilter:
    """Which postings to list; what is `None` does not matter."""

    month: str | None = None
    account: str | None = None
    project: str | None = None
    budget_line_id: UUID | None = None
    unassigned: bool | None = None
    late: bool | None = None
    import_id: UUID | None = None
    text: str | None = None


def list_postings(
    work: UnitOfWork, limit: int, cursor: str | None, wanted: PostingFilter, *, descending: bool = False
) -> Page[Posting]:
    """The club's postings by accounting month and date, all or those that are wanted."""
    statement = select(*_POSTING).where(PostingRow.club_id == work.club_id, *conditions_of(work, wanted))
    # Within a month the page after is found by its days alone, which lets SQLite use its index for it.
    order = ORDER if wanted.month is None else ORDER[1:]
    rows, following = read_page(work, statement, order, limit, cursor, descending=descending)
    return Page[Posting](items=_postings_of(work, rows), next=following)


def read_posting(work: UnitOfWork, posting_id: str) -> Posting:
    """One posting."""
    return _postings_of(work, [posting_row(work, posting_id)])[0]


def posting_row(work: UnitOfWork, posting_id: str) -> Row[*tuple[Any, ...]]:
    """The row of one posting. Raises `not-found`, also for what is no id of a posting."""
    key = key_in(posting_id)
    row = None
    if key is not None:
        row = work.session.execute(
            select(*_POSTING).where(
                PostingRow.club_id == work.club_id,
                PostingRow.fingerprint == key[0],
                PostingRow.occurrence == key[1],
            )
        ).first()
    if row is None:
        raise missing("posting")
    return row


def key_in(posting_id: str) -> Key | None:
    """The posting that an id names, or `None` where it has not the form of one."""
    match = _POSTING_ID.fullmatch(posting_id)
    return (UUID(match[1]), int(match[2])) if match is not None else None


def id_of(fingerprint: UUID, occurrence: int) -> str:
    """How callers name a posting."""
    return f"{fingerprint.hex}-{occurrence}"


def conditions_of(work: UnitOfWork, wanted: PostingFilter) -> list[ColumnElement[bool]]:
    """What a statement must ask so that it finds the wanted postings."""
    found: list[ColumnElement[bool]] = []
    if wanted.month is not None:
        found.append(PostingRow.month == wanted.month)
    if wanted.account is not None:
        found.append(PostingRow.account == wanted.account)
    if wanted.project is not None:
        found.append(PostingRow.project == wanted.project)
    if wanted.budget_line_id is not None:
        found.append(_of_line(work, wanted.budget_line_id))
    if wanted.unassigned is not None:
        none = PostingRow.budget_line_id.is_(None) & ~PostingRow.split
        found.append(none if wanted.unassigned else ~none)
    if wanted.late is not None:
        found.append(PostingRow.late.expression if wanted.late else ~PostingRow.late)
    if wanted.import_id is not None:
        found.append(in_import(work, read_import(work, wanted.import_id)))
    if wanted.text is not None:
        texts = (PostingRow.description, PostingRow.vendor, PostingRow.reference)
        found.append(or_(*(column.icontains(wanted.text, autoescape=True) for column in texts)))
    return found


def _of_line(work: UnitOfWork, budget_line_id: UUID) -> ColumnElement[bool]:
    """Whether a posting, or a part of it, is assigned to a budget line; each of the two is found by its index."""
    whole = select(PostingRow.fingerprint, PostingRow.occurrence).where(
        PostingRow.club_id == work.club_id, PostingRow.budget_line_id == budget_line_id
    )
    in_part = select(PostingPartRow.fingerprint, PostingPartRow.occurrence).where(
        PostingPartRow.club_id == work.club_id, PostingPartRow.budget_line_id == budget_line_id
    )
    return tuple_(PostingRow.fingerprint, PostingRow.occurrence).in_(whole.union_all(in_part))


def _postings_of(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]]) -> list[Posting]:
    currency = read_club(work).currency
    parts = parts_of(work, [(row.fingerprint, row.occurrence) for row in rows if row.split])
    return [_posting_of(row, parts.get((row.fingerprint, row.occurrence), ()), currency) for row in rows]


def _posting_of(row: Row[*tuple[Any, ...]], parts: Sequence[Part], currency: str) -> Posting:
    decided = row.decided_at is not None
    return Posting.model_construct(
        id=id_of(row.fingerprint, row.occurrence), import_id=row.import_id, row=row.row_number,
        posted_on=row.posted_on, month=row.month, late=row.late, account=row.account,
        amount=Money.of_minor(row.amount_minor, currency), description=row.description, vendor=row.vendor,
        reference=row.reference, journal_id=row.journal_id, journal_line=row.journal_line, project=row.project,
        budget_line_id=row.budget_line_id, parts=[_part_of(part, currency) for part in parts], rule_id=row.rule_id,
        assigned_by=row.assigned_by, reversal_id=row.pair_id, raw=row.raw,
        decision=PostingDecision(by=row.decided_by, at=row.decided_at, reason=row.reason) if decided else None,
    )  # fmt: skip


def _part_of(part: Part, currency: str) -> PostingPart:
    percent = None if part.percent_micros is None else from_micros(part.percent_micros)
    return PostingPart.model_construct(
        budget_line_id=part.budget_line_id,
        amount=Money.of_minor(part.amount_minor, currency),
        percent=percent,
    )
