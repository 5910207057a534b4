"""Importing an export costs a small multiple of a bulk insert of its rows, in memory that does not grow."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from conftest import CLUB
from exports import export_of, save_profile, save_rules
from grounds import kind_of, open_budget, opened, writing
from import_once import STATUS
from measuring import best_by_turns, hold, timed
from swardcost_api.ledger.importing import import_file
from swardcost_api.storage.database import Database

pytestmark = pytest.mark.bench

ROWS = 100_000


def driver_of(session: Any) -> Any:
    """The driver's own connection."""
    return session.connection().connection.driver_connection


def empty_ledger(database: Database) -> None:
    with database.writing() as session:
        for table in ("postings", "imports"):
            verb = "delete from" if database.is_sqlite else "truncate table"
            more = "" if database.is_sqlite else " cascade"
            session.connection().exec_driver_sql(f"{verb} {table}{more}")


def insert_raw(database: Database, imports: Sequence[Any], postings: Sequence[Any]) -> float:
    """Insert these very rows into the same tables by the driver's quickest way, in one transaction."""
    with timed() as watch, database.writing() as session:
        driver = driver_of(session)
        if database.is_sqlite:
            for table, rows in (("imports", imports), ("postings", postings)):
                driver.executemany(f"insert into {table} values ({','.join('?' * len(rows[0]))})", rows)
        else:
            for table, rows in (("imports", imports), ("postings", postings)):
                with driver.cursor() as cursor, cursor.copy(f"copy {table} from stdin") as copy:
                    for one in rows:
                        copy.write_row(one)
    return watch.seconds


def rows_of(database: Database, table: str, order: str) -> list[Any]:
    with database.reading() as session:
        cursor = driver_of(session).cursor()
        cursor.execute(f"select * from {table} order by {order}")
        return list(cursor.fetchall())


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
            assert done.rows_assigned > ROWS // 10
            return watch.seconds

        ours()
        imports, postings = rows_of(database, "imports", "id"), rows_of(database, "postings", "row_number")
        assert len(postings) == ROWS

        def floor() -> float:
            empty_ledger(database)
            return insert_raw(database, imports, postings)

        hold(f"import of {ROWS:,} rows, {kind_of(database)}", *best_by_turns(floor, ours, 3), limit=6)


@pytest.mark.skipif(not STATUS.exists(), reason="reads the high-water mark of memory from /proc")
def test_a_file_four_times_as_long_takes_no_more_memory(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
        short, long = (_peak(empty_database_url, profile_id, rows) for rows in (50_000, 200_000))
        hold(f"memory of an import of 200,000 rows, {kind_of(database)}", short, long, limit=1.3, unit="MB")


def _peak(url: str, profile_id: UUID, rows: int) -> float:
    script = Path(__file__).with_name("import_once.py")
    done = subprocess.run(
        [sys.executable, str(script), url, CLUB, str(profile_id), str(rows)],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    print(done.stdout)
    return int(done.stdout.split()[0]) / 1e6
