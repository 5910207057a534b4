"""Control totals of an import: what its file says of each account, beside what its rows add up to."""

from collections.abc import Mapping
from uuid import UUID

from sqlalchemy import bindparam, insert, select, update
from swardcost_model.ledger_profiles import ControlTotal, ControlTotals
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.ledger.service import read_import
from swardcost_api.ledger.tables import ControlTotalRow
from swardcost_api.storage.work import UnitOfWork

_AT_ONCE = 500


def keep_balances(
    work: UnitOfWork, import_id: UUID, openings: Mapping[str, int], closings: Mapping[str, int]
) -> None:
    """Keep the balances that a file states, in minor units, beside the totals of its rows that are kept already."""
    mine = (ControlTotalRow.club_id == work.club_id, ControlTotalRow.import_id == import_id)
    stated = sorted({*openings, *closings})
    known: set[str] = set()
    for start in range(0, len(stated), _AT_ONCE):
        batch = stated[start : start + _AT_ONCE]
        known.update(
            work.session.scalars(
                select(ControlTotalRow.account).where(*mine, ControlTotalRow.account.in_(batch))
            )
        )
    connection = work.session.connection()
    new = [
        {"club_id": work.club_id, "import_id": import_id, "account": account, "row_count": 0, "debits_minor": 0,
         "credits_minor": 0, "opening_minor": openings.get(account), "closing_minor": closings.get(account)}
        for account in stated if account not in known
    ]  # fmt: skip
    if new:
        connection.execute(insert(ControlTotalRow), new)
    if known:
        statement = (
            update(ControlTotalRow)
            .where(*mine, ControlTotalRow.account == bindparam("of_account"))
            .values(opening_minor=bindparam("opening"), closing_minor=bindparam("closing"))
        )
        connection.execute(
            statement,
            [{"of_account": account, "opening": openings.get(account), "closing": closings.get(account)}
             for account in sorted(known)],
        )  # fmt: skip


def control_totals(work: UnitOfWork, import_id: UUID) -> ControlTotals:
    """The control totals of an import, by account."""
    made = read_import(work, import_id)
    currency = read_club(work).currency
    rows = work.session.execute(
        select(*ControlTotalRow.__table__.c)
        .where(ControlTotalRow.club_id == work.club_id, ControlTotalRow.import_id == import_id)
        .order_by(ControlTotalRow.account)
    )

    def money(minor: int | None) -> Money | None:
        return None if minor is None else Money.of_minor(minor, currency)

    items = []
    for row in rows:
        movement = row.debits_minor - row.credits_minor
        both = row.opening_minor is not None and row.closing_minor is not None
        items.append(
            ControlTotal(
                account=row.account, rows=row.row_count, debits=Money.of_minor(row.debits_minor, currency),
                credits=Money.of_minor(row.credits_minor, currency), movement=Money.of_minor(movement, currency),
                opening=money(row.opening_minor), closing=money(row.closing_minor),
                difference=money(row.closing_minor - row.opening_minor - movement if both else None),
            )
        )  # fmt: skip
    return ControlTotals(
        import_id=import_id, items=items, rows=sum(item.rows for item in items), debits=made.debits,
        credits=made.credits, rows_skipped=made.rows_skipped, opening_balances=made.opening_balances,
    )  # fmt: skip
