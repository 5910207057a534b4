"""Reports over a million postings cost little more than the queries that add up what they are made of."""

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import UUID

import pytest
from conftest import CLUB, new_database
from exports import import_rows, save_profile
from grounds import driver_of, kind_of, open_budget, opened, writing
from measuring import hold_by_turns, timed
from memory import resident
from orders_with_bills import (
    BILLS,
    FIRST,
    LINES_OF_AN_ORDER,
    ORDERS,
    POSTED_VENDOR,
    measure_lines,
    place_orders,
)
from pydantic import BaseModel
from swardcost_api.budgets.service import read_budget
from swardcost_api.engine.control.months import last_day
from swardcost_api.ledger.export import postings_csv
from swardcost_api.ledger.postings import PostingFilter
from swardcost_api.reports.cash import budget_cash_flow
from swardcost_api.reports.explaining import explanation
from swardcost_api.reports.forecasting import budget_forecast
from swardcost_api.reports.service import budget_report
from swardcost_api.reports.standing import budget_standing
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.control import BudgetStanding
from swardcost_model.reports import BudgetReport

pytestmark = pytest.mark.bench

POSTINGS = 1_000_000
LIMIT = 1.3
LIMIT_OF_FILE = 4.0
MEMORY_OF_FILE = 30_000_000
"""Bytes more while a file is sent; a million postings are ten times as many when they are held."""
THROUGH = "2026-12"
"""The month of the last posting."""

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
    " 'Delivery ' || n, '{vendor}', 'INV-' || (n / 3), lines.id, 'Delivery ' || n",
    False: "'{club}', lpad(to_hex(n), 32, '0')::uuid, 1, '{imported}', n, date '2026-01-01' + n % 365,"
    " to_char(date '2026-01-01' + n % 365, 'YYYY-MM'), '15' || (n % 12) || '0-10', n::bigint * 7919 % 900000 - 50000,"
    " 'Delivery ' || n, '{vendor}', 'INV-' || (n / 3), lines.id, 'Delivery ' || n",
}
"""What makes a million rows inside the database, by whether it is SQLite."""

GROUP_BY = (
    f"select budget_line_id, account, month, sum(amount_minor), count(*) from postings where club_id = '{CLUB}'"
    " group by budget_line_id, account, month"
)
FILE = (
    "select p.fingerprint, p.occurrence, q.number, p.month, p.posted_on, p.account, p.description, p.amount_minor,"
    " p.vendor, p.reference, p.project, p.journal_id, p.journal_line, p.late, p.budget_line_id, p.import_id"
    " from postings p left join posting_parts q on q.club_id = p.club_id and q.fingerprint = p.fingerprint"
    f" and q.occurrence = p.occurrence where p.club_id = '{CLUB}'"
    " order by p.month, p.posted_on, p.fingerprint, p.occurrence, q.number"
)
MEASURED_BY = last_day(FIRST.isoformat()[:7]).isoformat()
_OF_BUDGET = f"where c.club_id = '{CLUB}' and c.budget_id = '{{budget}}'{{by}}"
ORDERED = (
    "select l.* from commitments c join commitment_lines l on l.club_id = c.club_id and l.commitment_id = c.id"
    f" and l.revision = c.revision {_OF_BUDGET}"
)
RECEIVED = (
    "select r.commitment_id, l.line_number, sum(l.counted_micros) from commitments c"
    " join receipts r on r.club_id = c.club_id and r.commitment_id = c.id"
    f" join receipt_lines l on l.club_id = r.club_id and l.receipt_id = r.id {_OF_BUDGET}"
    " group by r.commitment_id, l.line_number"
)
BILLED = (
    "select i.*, l.* from commitments c join invoices i on i.club_id = c.club_id and i.commitment_id = c.id"
    f" join invoice_lines l on l.club_id = i.club_id and l.invoice_id = i.id {_OF_BUDGET}"
)


@dataclass(frozen=True)
class Ledger:
    """A database with a budget, its orders and a million postings."""

    database: Database
    budget_id: UUID

    @property
    def budget(self) -> str:
        """The budget's id as the database writes it."""
        return self.budget_id.hex if self.database.is_sqlite else str(self.budget_id)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def ledger(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ledger]:
    """One for all reports: it takes longer to fill than all of them take to measure."""
    for url in new_database(request.param, tmp_path_factory.mktemp("reports")):
        with opened(url) as database:
            with writing(database) as work:
                budget_id = open_budget(work, scope_items=14)
                place_orders(work, budget_id)
                measure_lines(work, budget_id)
            fill_ledger(database, budget_id)
            yield Ledger(database, budget_id)


def fill_ledger(database: Database, budget_id: UUID) -> None:
    """A million postings over the lines of a budget, every seventh or so without a line."""
    with writing(database) as work:
        lines, profile_id = len(read_budget(work, budget_id).lines), save_profile(work)
    made = import_rows(database, profile_id, 1)
    on_sqlite = database.is_sqlite
    imported = made.id.hex if on_sqlite else str(made.id)
    values = _VALUES[on_sqlite].format(club=CLUB, imported=imported, vendor=POSTED_VENDOR)
    statement = (
        f"{_NUMBERS[on_sqlite].format(count=POSTINGS - 1)} insert into postings ({_COLUMNS}) select {values}"
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
    if not on_sqlite:
        with database.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("vacuum analyze postings")


def rows_of(cursor: Any, statement: str) -> list[Any]:
    """All that a statement answers, as the driver gives it."""
    cursor.execute(statement)
    return list(cursor.fetchall())


def seconds_of_sums(ledger: Ledger) -> float:
    """The floor of a report on postings alone."""
    with timed() as watch, ledger.database.reading() as session:
        groups = rows_of(driver_of(session).cursor(), GROUP_BY)
    assert sum(group[-1] for group in groups) == POSTINGS
    return watch.seconds


def seconds_of_sums_and_orders(ledger: Ledger, *, measured: bool = False) -> float:
    """The floor of the others: the same, and what was ordered, received and billed.

    With `measured` also what was so by the end of the month in which lines were measured, to tell what they cost
    since. Which bills were posted is found by their numbers, a seek for each, and is left out of the floor: a report
    that reads all postings for it is too slow.
    """
    with timed() as watch, ledger.database.reading() as session:
        cursor = driver_of(session).cursor()
        groups = rows_of(cursor, GROUP_BY)
        ordered, received, billed = (
            rows_of(cursor, one.format(budget=ledger.budget, by="")) for one in (ORDERED, RECEIVED, BILLED)
        )
        if measured:
            for one, day in (
                (ORDERED, "c.signed_on"),
                (RECEIVED, "r.received_on"),
                (BILLED, "i.invoiced_on"),
            ):
                by = f" and {day} <= '{MEASURED_BY}'"
                rows_of(cursor, one.format(budget=ledger.budget, by=by))
    assert sum(group[-1] for group in groups) == POSTINGS
    assert len(ordered) == len(received) == ORDERS * LINES_OF_AN_ORDER
    assert len(billed) == ORDERS * BILLS
    return watch.seconds


Report = Callable[[UnitOfWork, UUID], BaseModel]


def seconds_of_report(ledger: Ledger, report: Report) -> float:
    """A report up to the bytes that are sent, all postings counted and bills found among them."""
    with timed() as watch, ledger.database.reading() as session:
        answer = report(UnitOfWork(session, CLUB, OPERATOR), ledger.budget_id)
        answer.model_dump_json().encode()
    if isinstance(answer, BudgetReport):
        assert answer.total.postings == POSTINGS
    if isinstance(answer, BudgetStanding):
        assert answer.total.postings + answer.unassigned_postings == POSTINGS
        assert answer.total.accrued.amount > 0
    return watch.seconds


REPORTS: dict[str, Report] = {
    "standing": partial(budget_standing, through=THROUGH),
    "forecast": partial(budget_forecast, through=THROUGH, method="as_budgeted"),
    "cash flow": partial(budget_cash_flow, through=THROUGH, method="as_budgeted"),
    "explanation": partial(explanation, through=THROUGH),
}


def test_budget_versus_actual_costs_little_more_than_its_query(ledger: Ledger) -> None:
    hold_by_turns(
        f"report over {POSTINGS:,} postings, {kind_of(ledger.database)}", partial(seconds_of_sums, ledger),
        partial(seconds_of_report, ledger, budget_report), limit=LIMIT, repetitions=8,
    )  # fmt: skip


@pytest.mark.parametrize("name", REPORTS)
def test_a_report_with_orders_costs_little_more_than_its_queries(ledger: Ledger, name: str) -> None:
    hold_by_turns(
        f"{name} over {POSTINGS:,} postings, {kind_of(ledger.database)}",
        partial(seconds_of_sums_and_orders, ledger, measured=name != "standing"),
        partial(seconds_of_report, ledger, REPORTS[name]),
        limit=LIMIT, repetitions=8,
    )  # fmt: skip


def seconds_of_raw_file(ledger: Ledger) -> float:
    """The floor of the file of all postings: the driver's rows through the standard library's writer, thrown away."""
    written = 0
    with timed() as watch, ledger.database.reading() as session:
        cursor = driver_of(session).cursor()
        cursor.execute(FILE)
        while rows := cursor.fetchmany(2000):
            out = io.StringIO()
            csv.writer(out).writerows(rows)
            written += len(out.getvalue().encode())
    assert written > POSTINGS * 50
    return watch.seconds


def seconds_of_file(ledger: Ledger) -> float:
    """The file as it is sent, piece by piece; memory stays where it is, however many pieces there are."""
    lines, most = 0, 0
    before = resident("VmRSS")
    with timed() as watch, ledger.database.reading() as session:
        for number, piece in enumerate(postings_csv(UnitOfWork(session, CLUB, OPERATOR), PostingFilter())):
            lines += piece.count("\r\n")
            len(piece.encode())
            if number % 50 == 0:
                most = max(most, resident("VmRSS") - before)
    assert lines == POSTINGS + 1
    assert most < MEMORY_OF_FILE, f"{most / 1e6:.0f} MB more while {POSTINGS:,} postings were sent"
    return watch.seconds


def test_the_file_of_all_postings_is_sent_in_constant_memory(ledger: Ledger) -> None:
    hold_by_turns(
        f"file of {POSTINGS:,} postings, {kind_of(ledger.database)}", partial(seconds_of_raw_file, ledger),
        partial(seconds_of_file, ledger), limit=LIMIT_OF_FILE, repetitions=1,
    )  # fmt: skip
