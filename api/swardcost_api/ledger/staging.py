"""Good rows on their way to the postings: collected in a temporary table, then posted in one statement.

The temporary table lives with the connection that the import holds. Filling it locks nothing: on SQLite too, others
write meanwhile. Rows get there by `COPY` on PostgreSQL and by `executemany` on SQLite, a batch at a time; both take
texts for days and ids.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple
from uuid import UUID

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Date,
    Integer,
    MetaData,
    Table,
    Text,
    Uuid,
    bindparam,
    func,
    select,
    text,
)
from sqlalchemy.schema import CreateTable

from swardcost_api.storage.work import UnitOfWork

_STAGE = Table(
    "staged_postings",
    MetaData(),
    Column("row_number", Integer),
    Column("fingerprint", Uuid),
    Column("posted_on", Date),
    Column("month", Text),
    Column("account", Text),
    Column("amount_minor", BigInteger),
    Column("description", Text),
    Column("vendor", Text),
    Column("reference", Text),
    Column("journal_id", Text),
    Column("journal_line", Text),
    Column("project", Text),
    Column("budget_line_id", Uuid),
    Column("rule_id", Uuid),
    Column("raw", Text),
    prefixes=["TEMPORARY"],
)
_COLUMNS = ", ".join(_STAGE.c.keys())
_BESIDE_MONTH = ", ".join(name for name in _STAGE.c.keys() if name != "month")  # noqa: SIM118
_COPY = f"copy {_STAGE.name} ({_COLUMNS}) from stdin"
_INSERT = f"insert into {_STAGE.name} ({_COLUMNS}) values ({', '.join('?' * len(_STAGE.c))})"

# Posting in the order of the key lets two imports at once wait for each other instead of locking each other
# out, and `where true` is what SQLite needs to tell the conflict clause from a join. A row of a closed month is late:
# it counts in the first open one.
_POST = text(
    f"""
    insert into postings (club_id, import_id, occurrence, assigned_by, split, late, month, {_BESIDE_MONTH})
    select :club_id, :import_id, occurrence, case when rule_id is not null then 'rule' end,
        rule_id is not null and budget_line_id is null, month < :first_open,
        case when month < :first_open then :first_open else month end, {_BESIDE_MONTH}
    from (
        select row_number() over (partition by fingerprint order by row_number) as occurrence, {_COLUMNS}
        from {_STAGE.name}
    ) as numbered
    where true
    order by fingerprint, occurrence
    on conflict do nothing
    """
).bindparams(bindparam("import_id", type_=Uuid()))

_TOTALS = text(
    f"""
    insert into import_control_totals (club_id, import_id, account, row_count, debits_minor, credits_minor)
    select :club_id, :import_id, account, count(*), coalesce(sum(amount_minor) filter (where amount_minor > 0), 0),
        coalesce(-sum(amount_minor) filter (where amount_minor < 0), 0)
    from {_STAGE.name}
    group by account
    """
).bindparams(bindparam("import_id", type_=Uuid()))

_MANY = 10_000

StagedRow = tuple[int, str, str, str, str, int, str, str | None, str | None, str | None, str | None,
                  str | None, str | None, str | None, str]  # fmt: skip
"""A row in the order of the table's columns: days in ISO 8601, ids in hexadecimal digits."""


class StagedTotals(NamedTuple):
    """What the staged rows add up to; the first and last day are absent where there are none."""

    rows: int
    assigned: int
    debits_minor: int
    credits_minor: int
    first_date: Any
    last_date: Any


class Stage:
    """The temporary table of one import, on a connection of its own."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        connection.execute(CreateTable(_STAGE))

    def add(self, rows: Sequence[StagedRow]) -> None:
        """Add a batch of rows, which may be none."""
        if not rows:
            return
        if self._connection.dialect.name == "sqlite":
            self._connection.exec_driver_sql(_INSERT, list(rows))
            return
        driver: Any = self._connection.connection.driver_connection
        with driver.cursor() as cursor, cursor.copy(_COPY) as copy:
            for row in rows:
                copy.write_row(row)

    def totals(self) -> StagedTotals:
        """Count and add up the staged rows."""
        amount = _STAGE.c.amount_minor
        debits = func.coalesce(func.sum(amount).filter(amount > 0), 0)
        credits_ = func.coalesce(-func.sum(amount).filter(amount < 0), 0)
        statement = select(
            func.count(), func.count(_STAGE.c.rule_id), debits, credits_, func.min(_STAGE.c.posted_on),
            func.max(_STAGE.c.posted_on),
        ).select_from(_STAGE)  # fmt: skip
        rows, assigned, debited, credited, first, last = self._connection.execute(statement).one()
        return StagedTotals(rows, assigned, int(debited), int(credited), first, last)

    def keep_totals(self, work: UnitOfWork, import_id: UUID) -> None:
        """Keep what the staged rows add up to in each account, in a transaction on this connection."""
        self._connection.execute(_TOTALS, {"club_id": work.club_id, "import_id": import_id})

    def post(self, work: UnitOfWork, import_id: UUID, first_open: str) -> int:
        """Post the rows that the club does not have yet, in a transaction on this connection; gives their number.

        `first_open` is the first month that takes postings, or '' where every month does.
        """
        wanted = {"club_id": work.club_id, "import_id": import_id, "first_open": first_open}
        posted = self._connection.execute(_POST, wanted).rowcount
        if posted >= _MANY and self._connection.dialect.name == "postgresql":
            # Without it, lists read just after a large import are planned for the table as it was before.
            self._connection.execute(text("analyze postings"))
        return posted
