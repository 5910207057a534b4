"""The ledger as others see it: imports made, and what the postings come to by budget line, account and month."""

import string
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, and_, false, func, or_, select
from swardcost_model.ledger import Import, ImportFault
from swardcost_model.paging import Page
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.ledger.months import list_months as list_months
from swardcost_api.ledger.months import read_month as read_month
from swardcost_api.ledger.months import reconcile_month as reconcile_month
from swardcost_api.ledger.posting_totals import PostingTotal as PostingTotal
from swardcost_api.ledger.posting_totals import posting_totals as posting_totals
from swardcost_api.ledger.tables import ImportFaultRow, ImportRow, PostingRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

_IMPORT = tuple(c for c in ImportRow.__table__.c if c.name not in ("club_id", "profile_version"))
_FAULT = (ImportFaultRow.number, ImportFaultRow.row_number, ImportFaultRow.column_name, ImportFaultRow.expected,
          ImportFaultRow.got)  # fmt: skip
_ASCII_LOWER = str.maketrans(string.ascii_uppercase, string.ascii_lowercase)
_REFERENCES_AT_ONCE = 5000


def posted_references(work: UnitOfWork, references: Iterable[str]) -> dict[tuple[str, str], str]:
    """Which of these references postings have: by vendor and reference, both casefolded, the first accounting month.

    A posting that names no vendor is found under the vendor "".
    """
    folded = {one.casefold() for one in references}
    # Databases lower ASCII letters alone, or all, so each way is asked for and what is found is compared again.
    ways = {way.translate(_ASCII_LOWER) for one in folded for way in (one, one.upper())} | folded
    wanted = sorted(ways)
    found: dict[tuple[str, str], str] = {}
    for start in range(0, len(wanted), _REFERENCES_AT_ONCE):
        batch = wanted[start : start + _REFERENCES_AT_ONCE]
        statement = (
            select(PostingRow.vendor, PostingRow.reference, func.min(PostingRow.month))
            .where(PostingRow.club_id == work.club_id, func.lower(PostingRow.reference).in_(batch))
            .group_by(PostingRow.vendor, PostingRow.reference)
        )
        for vendor, reference, month in work.session.execute(statement):
            key = ((vendor or "").casefold(), (reference or "").casefold())
            if key[1] in folded:
                found[key] = min(found.get(key, month), month)
    return found


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


def in_import(work: UnitOfWork, made: Import) -> ColumnElement[bool]:
    """Whether a posting came with an import; its months and days let the index by them narrow the search."""
    if made.first_date is None or made.last_date is None:
        return false()
    last = f"{made.last_date:%Y-%m}"
    return and_(
        PostingRow.club_id == work.club_id, PostingRow.import_id == made.id,
        PostingRow.month >= f"{made.first_date:%Y-%m}",
        PostingRow.posted_on.between(made.first_date, made.last_date),
        PostingRow.month <= last if made.rows_late == 0 else or_(PostingRow.month <= last, PostingRow.late),
    )  # fmt: skip


def _import_of(row: Row[*tuple[Any, ...]], currency: str) -> Import:
    fields = dict(row._mapping)
    debits, credits_ = fields.pop("debits_minor"), fields.pop("credits_minor")
    return Import(
        **fields, debits=Money.of_minor(debits, currency), credits=Money.of_minor(credits_, currency)
    )
