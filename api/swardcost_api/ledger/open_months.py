"""Which months take postings, and who may change them at the same time.

Months are closed in order, so that all up to the last closed one are closed. Whoever adds, removes or assigns postings
holds the months while doing so, together with others; whoever closes one holds them alone. So no posting slips into a
month that is being closed, and what was closed stays as it was.
"""

from hashlib import blake2b

from sqlalchemy import func, select, text
from swardcost_model import problems
from swardcost_model.problems import ProblemError

from swardcost_api.engine.control.months import next_month
from swardcost_api.ledger.tables import LedgerMonthRow
from swardcost_api.storage.work import UnitOfWork


def hold_months(work: UnitOfWork) -> None:
    """Keep months from being closed or reopened until this transaction ends. To be called before rows are locked."""
    _lock(work, "pg_advisory_xact_lock_shared", "months")


def hold_months_alone(work: UnitOfWork) -> None:
    """Wait for all who change postings, and keep others from it until this transaction ends."""
    _lock(work, "pg_advisory_xact_lock", "months")


def hold_assignments(work: UnitOfWork) -> None:
    """Hold the months, and keep others from changing what postings are assigned to until this transaction ends."""
    hold_months(work)
    _lock(work, "pg_advisory_xact_lock", "assignments")


def closed_through(work: UnitOfWork) -> str | None:
    """The last closed month; it and all before it are closed."""
    return work.session.scalar(
        select(func.max(LedgerMonthRow.month)).where(
            LedgerMonthRow.club_id == work.club_id, LedgerMonthRow.closed.is_(True)
        )
    )


def first_open(work: UnitOfWork) -> str:
    """The first month that takes postings, or '' where every month does."""
    last = closed_through(work)
    return next_month(last) if last is not None else ""


def refuse_closed(work: UnitOfWork, *months: str) -> None:
    """Raise `wrong-state` if one of these months is closed."""
    last = closed_through(work)
    closed = [month for month in months if last is not None and month <= last]
    if closed:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The month {min(closed)} is closed: months are closed through {last}. Reopen it first, or put things "
            "right in an open month.",
            month=min(closed),
        )


def _lock(work: UnitOfWork, function: str, what: str) -> None:
    """Take a lock of the club on PostgreSQL; on SQLite whoever writes is alone already."""
    connection = work.session.connection()
    if connection.dialect.name == "postgresql":
        name = f"swardcost {what} of {work.club_id}".encode()
        number = int.from_bytes(blake2b(name, digest_size=8).digest(), signed=True)
        connection.execute(text(f"select {function}(:number)"), {"number": number})
