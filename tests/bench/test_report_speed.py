"""A report over a million postings costs little more than the one query that adds them up."""

from uuid import UUID

import pytest
from conftest import CLUB
from exports import import_rows, save_profile
from grounds import driver_of, kind_of, open_budget, opened, writing
from measuring import hold_by_turns, timed
from orders_with_bills import POSTED_VENDOR
from swardcost_api.budgets.service import read_budget
from swardcost_api.reports.service import budget_report
from swardcost_api.storage.database import Database

pytestmark = pytest.mark.bench

POSTINGS = 1_000_000
_COLUMNS = (
    "club_id, fingerprint, occurrence, import_id, row_number, posted_on, month, account, amount_minor, "
    "description, vendor, reference, budget_line_id, raw"
)
_NUMBERS = {
    True: "with recursive numbers(n) as (select 1 union all select n + 1 from numbers where n < {count})",
    False: "with numbers as (select n from generate_series(1, {count}) as n)",
}
_VALUES = {
    True: "'{club}', printf('%032x', n), 1, '{imported}', n, date('2026-01-01', (n % 365) || ' days'),"
    " strftime('%Y-%m', '2026-01-01', (n % 365) || ' days'), '15' || (n % 12) || '0-10', n * 7919 % 900000 - 50000,"
    " 'Delivery ' || n, '{vendor}', 'INV-' || n / 3, lines.id, 'Delivery ' || n",
    False: "'{club}', lpad(to_hex(n), 32, '0')::uuid, 1, '{imported}', n, date '2026-01-01' + n % 365,"
    " to_char(date '2026-01-01' + n % 365, 'YYYY-MM'), '15' || (n % 12) || '0-10', n::bigint * 7919 % 900000 - 50000,"
    " 'Delivery ' || n, '{vendor}', 'INV-' || n / 3, lines.id, 'Delivery ' || n",
}
"""What makes a million rows inside the database, by whether it is SQLite."""

GROUP_BY = (
    f"select budget_line_id, account, month, sum(amount_minor), count(*) from postings where club_id = '{CLUB}'"
    " group by budget_line_id, account, month"
)


def fill_ledger(database: Database, budget_id: UUID) -> None:
    """A million postings over the lines of a budget, every seventh or so without a line."""
    with writing(database) as work:
        lines, profile_id = len(read_budget(work, budget_id).lines), save_profile(work)
    made = import_rows(database, profile_id, 1)
    on_sqlite = database.is_sqlite
    imported = made.id.hex if on_sqlite else str(made.id)
    statement = (
        f"{_NUMBERS[on_sqlite].format(count=POSTINGS - 1)} insert into postings ({_COLUMNS})"
        f" select {_VALUES[on_sqlite].format(club=CLUB, imported=imported, vendor=POSTED_VENDOR)}"
        f" from numbers left join (select id, number from budget_lines) as lines"
        f" on lines.number = n % {lines + lines // 6}"
    )
    with database.writing() as session:
        cursor = driver_of(session).cursor()
        if (
            not on_sqlite
        ):  # the rows refer to what is there; looking each up would take longer than all the rest
            cursor.execute("set local session_replication_role = replica")
        cursor.execute(statement)
    with database.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.exec_driver_sql("analyze" if on_sqlite else "vacuum analyze postings")


def test_a_report_costs_at_most_one_and_a_half_of_its_query(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            budget_id = open_budget(work, scope_items=10)
        fill_ledger(database, budget_id)

        def ours() -> float:
            with timed() as watch, writing(database) as work:
                report = budget_report(work, budget_id)
            assert report.total.postings == POSTINGS
            return watch.seconds

        def floor() -> float:
            with timed() as watch, database.reading() as session:
                cursor = driver_of(session).cursor()
                cursor.execute(GROUP_BY)
                groups = cursor.fetchall()
            assert sum(group[-1] for group in groups) == POSTINGS
            return watch.seconds

        hold_by_turns(
            f"report over {POSTINGS:,} postings, {kind_of(database)}", floor, ours, limit=1.5, repetitions=4
        )
