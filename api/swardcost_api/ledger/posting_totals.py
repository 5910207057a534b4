"""What the postings come to by budget line, account and month; each part of a split one counts with its own line."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import String, case, func, select, type_coerce

from swardcost_api.ledger.tables import PostingPartRow, PostingRow
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class PostingTotal:
    """The postings, and parts of split ones, of one budget line (or none), account and month: their sum and number."""

    budget_line_id: UUID | None
    account: str
    month: str
    amount_minor: int
    count: int


class _Ids(dict[Any, UUID | None]):
    """Ids as the database gives them, each made once: there are thousands of sums and few lines."""

    def __missing__(self, given: Any) -> UUID | None:
        found = self[given] = given if given is None or isinstance(given, UUID) else UUID(given)
        return found


def posting_totals(work: UnitOfWork, month: str | None = None) -> list[PostingTotal]:
    """All postings of the club, or of one accounting month, by budget line, account and month.

    Those without a line are there too. Each part of a split posting counts, and sums up, with its own line.
    """
    by = (type_coerce(PostingRow.budget_line_id, String), PostingRow.account, PostingRow.month)
    of_month = [PostingRow.month == month] if month is not None else []
    whole = (
        select(*by, func.sum(PostingRow.amount_minor), func.count())
        .where(PostingRow.club_id == work.club_id, *of_month)
        .group_by(*by)
    )
    by = (type_coerce(PostingPartRow.budget_line_id, String), PostingRow.account, PostingRow.month)
    in_parts = (
        select(*by, func.sum(PostingPartRow.amount_minor), func.count(),
               func.sum(case((PostingPartRow.number == 1, 1), else_=0)))
        .join_from(
            PostingPartRow,
            PostingRow,
            (PostingRow.club_id == PostingPartRow.club_id)
            & (PostingRow.fingerprint == PostingPartRow.fingerprint)
            & (PostingRow.occurrence == PostingPartRow.occurrence),
        )
        .where(PostingPartRow.club_id == work.club_id, *of_month)
        .group_by(*by)
    )  # fmt: skip
    parts = work.session.execute(in_parts).all()
    rows = work.session.execute(whole)
    ids = _Ids()
    if not parts:
        return [
            PostingTotal(ids[line], account, of, int(amount), count)
            for line, account, of, amount, count in rows
        ]
    totals = {(ids[line], account, of): [int(amount), count] for line, account, of, amount, count in rows}
    for line, account, of, amount, count, postings in parts:
        found = totals.setdefault((ids[line], account, of), [0, 0])
        found[0] += int(amount)
        found[1] += count
        # A split posting has no line of its own, so that it was summed up among those that have none.
        without = totals.setdefault((None, account, of), [0, 0])
        without[0] -= int(amount)
        without[1] -= int(postings)
    return [PostingTotal(*key, amount, count) for key, (amount, count) in totals.items() if count]
