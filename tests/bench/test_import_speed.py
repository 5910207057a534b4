"""Importing an export costs a small multiple of a bulk insert of its rows, in memory that does not grow."""

import subprocess
import sys
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from conftest import CLUB
from exports import export_of, save_profile, save_rules
from grounds import driver_of, kind_of, open_budget, opened, writing
from import_once import STATUS
from measuring import hold, hold_by_turns, timed
from swardcost_api.ledger.importing import import_file
from swardcost_api.storage.database import Database

pytestmark = pytest.mark.bench

ROWS = 100_000
_IN_ORDER = {"imports": "id", "postings": "row_number"}
"""The tables that an import fills, and what sorts their rows as in the file."""


def empty_ledger(database: Database) -> None:
    """Take all imports out, so that every run fills the same empty tables."""
    with database.writing() as session:
        if database.is_sqlite:
            for table in ("postings", "imports"):
                session.connection().exec_driver_sql(f"delete from {table}")
        else:
            session.connection().exec_driver_sql("truncate imports cascade")


def read_raw(database: Database) -> dict[str, list[Any]]:
    """What an import left, ready for `insert_raw`: rows on SQLite, blocks of `COPY` text on PostgreSQL."""
    found: dict[str, list[Any]] = {}
    with database.reading() as session:
        cursor = driver_of(session).cursor()
        for table, order in _IN_ORDER.items():
            rows = f"select * from {table} order by {order}"
            if database.is_sqlite:
                found[table] = cursor.execute(rows).fetchall()
            else:
                with cursor.copy(f"copy ({rows}) to stdout") as copy:
                    found[table] = [bytes(block) for block in copy]
    return found


def insert_raw(database: Database, tables: dict[str, list[Any]]) -> None:
    """Put the same rows into the same tables, keys and indexes by the driver's quickest way."""
    with database.writing() as session:
        cursor = driver_of(session).cursor()
        for table, rows in tables.items():
            if database.is_sqlite:
                cursor.executemany(f"insert into {table} values ({','.join('?' * len(rows[0]))})", rows)
            else:
                with cursor.copy(f"copy {table} from stdin") as copy:
                    for block in rows:
                        copy.write(block)


def test_an_import_costs_at_most_six_bulk_inserts(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
            save_rules(work, open_budget(work, scope_items=10))

        def ours() -> float:
            empty_ledger(database)
            with export_of(ROWS) as upload, timed() as watch, writing(database) as work:
                done = import_file(work, upload, profile_id, "export.csv", good_rows_only=False)
            assert (done.rows_posted, done.rows_bad) == (ROWS, 0)
            assert ROWS // 10 < done.rows_assigned < ROWS
            return watch.seconds

        ours()
        tables = read_raw(database)

        def floor() -> float:
            empty_ledger(database)
            with timed() as watch:
                insert_raw(database, tables)
            return watch.seconds

        hold_by_turns(f"import of {ROWS:,} rows, {kind_of(database)}", floor, ours, limit=6, repetitions=2)


@pytest.mark.skipif(not STATUS.exists(), reason="reads the high-water mark of memory from /proc")
def test_a_file_four_times_as_long_takes_no_more_memory(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
        short, long = (_growth(empty_database_url, profile_id, rows) for rows in (50_000, 200_000))
        hold(
            f"memory for 200,000 rows, not 50,000, {kind_of(database)}", short / 1e6, long / 1e6, limit=1.3, unit="MB"
        )  # fmt: skip


def _growth(url: str, profile_id: UUID, rows: int) -> int:
    """By how many bytes a process grows while it imports so many rows."""
    script = Path(__file__).with_name("import_once.py")
    done = subprocess.run(
        [sys.executable, str(script), url, CLUB, str(profile_id), str(rows)],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    return int(done.stdout)
