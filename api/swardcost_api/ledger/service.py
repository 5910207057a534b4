"""The ledger as others see it: imports made, postings, their totals, and assigning one by hand."""

import calendar
import re
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, and_, false, func, or_, select, update
from sqlalchemy.exc import IntegrityError
from swardcost_model.ledger import HandAssignment, Import, ImportFault, Posting
from swardcost_model.paging import Page
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.ledger.rules import unusable
from swardcost_api.ledger.tables import ImportFaultRow, ImportRow, PostingRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

_IMPORT = tuple(c for c in ImportRow.__table__.c if c.name not in ("club_id", "profile_version"))
_FAULT = (ImportFaultRow.number, ImportFaultRow.row_number, ImportFaultRow.column_name, ImportFaultRow.expected,
          ImportFaultRow.got)  # fmt: skip
_POSTING = tuple(c for c in PostingRow.__table__.c if c.name != "club_id")
_POSTING_ORDER = (PostingRow.posted_on, PostingRow.fingerprint, PostingRow.occurrence)
_POSTING_ID = re.compile(r"([0-9a-f]{32})-([1-9][0-9]{0,8})")


@dataclass(frozen=True, slots=True)
class PostingTotal:
    """The postings of one budget line (or none), account and month: their sum and number."""

    budget_line_id: UUID | None
    account: str
    month: str
    amount_minor: int
    count: int


@dataclass(frozen=True, slots=True)
class PostingFilter:
    """Which postings to list; what is `None` does not matter."""

    month: str | None = None
    account: str | None = None
    budget_line_id: UUID | None = None
    unassigned: bool | None = None
    import_id: UUID | None = None
    text: str | None = None


def posting_totals(work: UnitOfWork) -> list[PostingTotal]:
    """All postings of the club by budget line, account and month; those without a line are there too."""
    by = (PostingRow.budget_line_id, PostingRow.account, PostingRow.month)
    statement = (
        select(*by, func.sum(PostingRow.amount_minor), func.count())
        .where(PostingRow.club_id == work.club_id)
        .group_by(*by)
    )
    return [
        PostingTotal(line, account, month, int(amount), count)
        for line, account, month, amount, count in work.session.execute(statement)
    ]


def list_imports(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Import]:
    """The club's imports, latest first."""
    statement = select(*_IMPORT).where(ImportRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ImportRow.id,), limit, cursor, descending=True)
    currency = read_club(work).currency
    return Page[Import](items=[_import_of(row, currency) for row in rows], next=following)


def read_import(work: UnitOfWork, import_id: UUID) -> Import:
    """One import."""
    row = work.session.execute(
        select(*_IMPORT).where(ImportRow.club_id == work.club_id, ImportRow.id == import_id)
    ).first()
    if row is None:
        raise missing("import")
    return _import_of(row, read_club(work).currency)


def list_import_faults(
    work: UnitOfWork, import_id: UUID, limit: int, cursor: str | None
) -> Page[ImportFault]:
    """What was wrong with the rows that an import left out, in the order of the file."""
    read_import(work, import_id)
    statement = select(*_FAULT).where(
        ImportFaultRow.club_id == work.club_id, ImportFaultRow.import_id == import_id
    )
    rows, following = read_page(work, statement, (ImportFaultRow.number,), limit, cursor)
    return Page[ImportFault](
        items=[
            ImportFault(row=row.row_number, column=row.column_name, expected=row.expected, got=row.got)
            for row in rows
        ],
        next=following,
    )


def list_postings(
    work: UnitOfWork, limit: int, cursor: str | None, wanted: PostingFilter, *, descending: bool = False
) -> Page[Posting]:
    """The club's postings by date, all or those that are wanted."""
    statement = select(*_POSTING).where(PostingRow.club_id == work.club_id, *_conditions(work, wanted))
    rows, following = read_page(work, statement, _POSTING_ORDER, limit, cursor, descending=descending)
    currency = read_club(work).currency
    return Page[Posting](items=[_posting_of(row, currency) for row in rows], next=following)


def read_posting(work: UnitOfWork, posting_id: str) -> Posting:
    """One posting."""
    row = work.session.execute(select(*_POSTING).where(*_is_posting(work, posting_id))).first()
    if row is None:
        raise missing("posting")
    return _posting_of(row, read_club(work).currency)


def assign_posting(work: UnitOfWork, posting_id: str, assignment: HandAssignment) -> Posting:
    """Assign a posting by hand, or keep it unassigned; rules leave it alone from now on."""
    before = read_posting(work, posting_id)
    statement = update(PostingRow).where(*_is_posting(work, posting_id))
    try:
        work.session.execute(
            statement.values(budget_line_id=assignment.budget_line_id, rule_id=None, assigned_by="hand")
        )
    except IntegrityError:
        raise unusable(
            ("budget_line_id",), "the id of a budget line of this club", assignment.budget_line_id
        ) from None
    after = read_posting(work, posting_id)
    record(
        work, "assign", "posting", posting_id, _assignment(before), _assignment(after) | {"reason": assignment.reason}
    )  # fmt: skip
    return after


def in_import(work: UnitOfWork, made: Import) -> ColumnElement[bool]:
    """Whether a posting came with an import; its dates let the index by date narrow the search."""
    if made.first_date is None or made.last_date is None:
        return false()
    return and_(
        PostingRow.club_id == work.club_id, PostingRow.import_id == made.id,
        PostingRow.posted_on.between(made.first_date, made.last_date),
    )  # fmt: skip


def _conditions(work: UnitOfWork, wanted: PostingFilter) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    if wanted.month is not None:
        found.append(_in_month(wanted.month))
    if wanted.account is not None:
        found.append(PostingRow.account == wanted.account)
    if wanted.budget_line_id is not None:
        found.append(PostingRow.budget_line_id == wanted.budget_line_id)
    if wanted.unassigned is not None:
        none = PostingRow.budget_line_id.is_(None)
        found.append(none if wanted.unassigned else ~none)
    if wanted.import_id is not None:
        found.append(in_import(work, read_import(work, wanted.import_id)))
    if wanted.text is not None:
        texts = (PostingRow.description, PostingRow.vendor, PostingRow.reference)
        found.append(or_(*(column.icontains(wanted.text, autoescape=True) for column in texts)))
    return found


def _in_month(month: str) -> ColumnElement[bool]:
    """Whether a posting is of a month, as a range of days that the index by date can find."""
    year, number = int(month[:4]), int(month[5:])
    if year == 0:
        return false()
    last = calendar.monthrange(year, number)[1]
    return PostingRow.posted_on.between(date(year, number, 1), date(year, number, last))


def _is_posting(work: UnitOfWork, posting_id: str) -> tuple[ColumnElement[bool], ...]:
    match = _POSTING_ID.fullmatch(posting_id)
    if match is None:
        raise missing("posting")
    return (
        PostingRow.club_id == work.club_id,
        PostingRow.fingerprint == UUID(match[1]),
        PostingRow.occurrence == int(match[2]),
    )


def _assignment(posting: Posting) -> dict[str, Any]:
    return posting.model_dump(mode="json", include={"budget_line_id", "rule_id", "assigned_by"})


def _import_of(row: Row[*tuple[Any, ...]], currency: str) -> Import:
    fields = dict(row._mapping)
    debits, credits_ = fields.pop("debits_minor"), fields.pop("credits_minor")
    return Import(
        **fields, debits=Money.of_minor(debits, currency), credits=Money.of_minor(credits_, currency)
    )


def _posting_of(row: Row[*tuple[Any, ...]], currency: str) -> Posting:
    return Posting.model_construct(
        id=f"{row.fingerprint.hex}-{row.occurrence}", import_id=row.import_id, row=row.row_number,
        posted_on=row.posted_on, month=row.month, account=row.account,
        amount=Money.of_minor(row.amount_minor, currency), description=row.description, vendor=row.vendor,
        reference=row.reference, journal_id=row.journal_id, journal_line=row.journal_line,
        budget_line_id=row.budget_line_id, rule_id=row.rule_id, assigned_by=row.assigned_by, raw=row.raw,
    )  # fmt: skip
