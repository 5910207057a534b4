"""The postings of a club as one file: each as often as it has parts, whatever their number."""

from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import and_, case, func, select
from swardcost_model.ledger import PostingExport
from swardcost_model.values import Money, from_minor

from swardcost_api.access.service import read_club
from swardcost_api.csv_files import write_pieces
from swardcost_api.ledger.assignments import ORDER
from swardcost_api.ledger.postings import PostingFilter, conditions_of, id_of
from swardcost_api.ledger.tables import PostingPartRow, PostingRow
from swardcost_api.storage.work import UnitOfWork

COLUMNS = (
    "id", "part", "month", "date", "account", "description", "amount", "currency", "vendor", "reference", "project",
    "journal_id", "journal_line", "late", "budget_line_id", "assigned_by", "import_id",
)  # fmt: skip
_AT_ONCE = 2000
_IN_PARTS = and_(
    PostingPartRow.club_id == PostingRow.club_id,
    PostingPartRow.fingerprint == PostingRow.fingerprint,
    PostingPartRow.occurrence == PostingRow.occurrence,
)


def count_postings(work: UnitOfWork, wanted: PostingFilter) -> PostingExport:
    """How many postings the file has and what they sum to, so that whoever takes it can check it."""
    signs = (case((PostingRow.amount_minor > 0, PostingRow.amount_minor), else_=0),
             case((PostingRow.amount_minor < 0, -PostingRow.amount_minor), else_=0))  # fmt: skip
    count, debits, credits = work.session.execute(
        select(func.count(), *(func.coalesce(func.sum(one), 0) for one in signs)).where(
            PostingRow.club_id == work.club_id, *conditions_of(work, wanted)
        )
    ).one()
    currency = read_club(work).currency
    return PostingExport(
        postings=count, debits=Money.of_minor(int(debits), currency), credits=Money.of_minor(int(credits), currency),
        net=Money.of_minor(int(debits) - int(credits), currency),
    )  # fmt: skip


def postings_csv(work: UnitOfWork, wanted: PostingFilter) -> Iterator[str]:
    """The postings as CSV, by accounting month and date: read as it is sent, a split one as a row for each part."""
    statement = (
        select(
            PostingRow.fingerprint, PostingRow.occurrence, PostingPartRow.number, PostingRow.month,
            PostingRow.posted_on, PostingRow.account, PostingRow.description,
            func.coalesce(PostingPartRow.amount_minor, PostingRow.amount_minor), PostingRow.vendor,
            PostingRow.reference, PostingRow.project, PostingRow.journal_id, PostingRow.journal_line,
            PostingRow.late, func.coalesce(PostingPartRow.budget_line_id, PostingRow.budget_line_id),
            PostingRow.assigned_by, PostingRow.import_id,
        )
        .join_from(PostingRow, PostingPartRow, _IN_PARTS, isouter=True)
        .where(PostingRow.club_id == work.club_id, *conditions_of(work, wanted))
        .order_by(*ORDER, PostingPartRow.number)
        .execution_options(yield_per=_AT_ONCE)
    )  # fmt: skip
    currency = read_club(work).currency
    rows = work.session.connection().execute(statement)
    return write_pieces(COLUMNS, (_cells(row, currency) for row in rows), _AT_ONCE)


def _cells(row: Sequence[Any], currency: str) -> Sequence[Any]:
    fingerprint, occurrence, part, month, day, account, text, minor, *middle, late, line, by, import_id = row
    return (
        id_of(fingerprint, occurrence), part, month, day.isoformat(), account, text,
        from_minor(minor, currency), currency, *middle, "yes" if late else "no", _text(line), by,
        _text(import_id),
    )  # fmt: skip


def _text(one: UUID | None) -> str | None:
    return None if one is None else str(one)
