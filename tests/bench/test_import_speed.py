"""Importing an export costs a small multiple of a bulk insert of its rows, in memory that does not grow with them."""

import csv
import itertools
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from uuid import UUID

import pytest
from exports import import_rows, save_profile, save_rules
from grounds import driver_of, kind_of, open_budget, opened, writing
from measuring import hold, hold_by_turns, timed
from memory import STATUS
from swardcost_api.storage.database import Database

pytestmark = pytest.mark.bench

UPLOADED_ROWS = 100_000
STARTED_ROWS = int(os.environ.get("SWARDCOST_BENCH_ROWS", "1000000"))
TESTS = Path(__file__).parents[1]


def empty_ledger(database: Database) -> None:
    """Take all imports out, so that every run fills the same empty tables."""
    with database.writing() as session:
        for table in ("postings", "import_control_totals", "imports"):
            verb = "delete from" if database.is_sqlite or table != "postings" else "truncate"
            cascade = " cascade" if verb == "truncate" else ""
            session.connection().exec_driver_sql(f"{verb} {table}{cascade}")


def write_postings(database: Database, path: Path) -> None:
    """What an import posted as CSV, every column of every row, in the order of the file."""
    with database.reading() as session, path.open("w", newline="", encoding="utf-8") as file:
        cursor = driver_of(session).cursor()
        rows = "select * from postings order by row_number"
        if database.is_sqlite:
            csv.writer(file).writerows(cursor.execute(rows))
        else:
            with cursor.copy(f"copy ({rows}) to stdout (format csv)") as copy:
                for block in copy:
                    file.write(bytes(block).decode())


def insert_postings(database: Database, path: Path) -> float:
    """Seconds to parse the same rows by `csv` and put them into the same table by the driver's quickest way."""
    with database.writing() as session:  # they refer to the import, which stays
        session.connection().exec_driver_sql(
            "delete from postings" if database.is_sqlite else "truncate postings cascade"
        )
    with timed() as watch, database.writing() as session, path.open(newline="", encoding="utf-8") as file:
        cursor = driver_of(session).cursor()
        rows: Iterator[list[str | None]] = ([cell or None for cell in row] for row in csv.reader(file))
        if database.is_sqlite:
            first = next(rows)
            values = ",".join("?" * len(first))
            cursor.executemany(f"insert into postings values ({values})", itertools.chain([first], rows))
        else:
            with cursor.copy("copy postings from stdin") as copy:
                for row in rows:
                    copy.write_row(row)
    return watch.seconds


class Job(NamedTuple):
    """What an import as a job took, in a process of its own: seconds, most memory and growth in bytes."""

    seconds: float
    most: int
    growth: int


def by_job(url: str, profile_id: UUID, rows: int) -> Job:
    script = Path(__file__).with_name("import_once.py")
    done = subprocess.run(
        [sys.executable, str(script), url, str(profile_id), str(rows)],
        capture_output=True, text=True, timeout=900, check=False, env=os.environ | {"PYTHONPATH": str(TESTS)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    seconds, most, growth = done.stdout.split()
    return Job(float(seconds), int(most), int(growth))


def test_an_upload_costs_at_most_three_bulk_inserts(empty_database_url: str, tmp_path: Path) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
            save_rules(work, open_budget(work, scope_items=10))
        posted = tmp_path / "postings.csv"

        def ours() -> float:
            empty_ledger(database)
            with timed() as watch:
                done = import_rows(database, profile_id, UPLOADED_ROWS)
            assert (done.rows_posted, done.rows_bad) == (UPLOADED_ROWS, 0)
            assert UPLOADED_ROWS // 10 < done.rows_assigned < UPLOADED_ROWS
            write_postings(database, posted)
            return watch.seconds

        ours()
        what = f"upload of {UPLOADED_ROWS:,} rows, {kind_of(database)}"
        hold_by_turns(what, lambda: insert_postings(database, posted), ours, limit=3, repetitions=2)


@pytest.mark.skipif(not STATUS.exists(), reason="reads the high-water mark of memory from /proc")
def test_a_job_of_a_million_rows_costs_at_most_three_bulk_inserts_and_300_megabytes(
    empty_database_url: str, tmp_path: Path
) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
            save_rules(work, open_budget(work, scope_items=10))
        posted, taken = tmp_path / "postings.csv", []

        def ours() -> float:
            empty_ledger(database)
            taken.append(by_job(empty_database_url, profile_id, STARTED_ROWS))
            write_postings(database, posted)
            return taken[-1].seconds

        ours()
        what = f"job of {STARTED_ROWS:,} rows, {kind_of(database)}"
        hold_by_turns(what, lambda: insert_postings(database, posted), ours, limit=3, repetitions=1)
        hold(
            f"memory of that process, {kind_of(database)}", 300, max(job.most for job in taken) / 1e6, 1, "MB"
        )


@pytest.mark.skipif(not STATUS.exists(), reason="reads the high-water mark of memory from /proc")
def test_a_file_four_times_as_long_takes_no_more_memory(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            profile_id = save_profile(work)
        short, long = (by_job(empty_database_url, profile_id, rows).growth for rows in (50_000, 200_000))
        hold(
            f"memory for 200,000 rows, not 50,000, {kind_of(database)}", short / 1e6, long / 1e6, limit=1.3, unit="MB"
        )  # fmt: skip
