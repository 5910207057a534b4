"""Whole price lists in and out cost a small multiple of moving the same rows raw, in memory that is bounded."""

import io
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from conftest import CLUB
from grounds import driver_of, kind_of, opened, writing
from measuring import hold, hold_by_turns, timed
from memory import STATUS
from price_lists import price_list
from psycopg.types.json import Jsonb
from swardcost_api.catalog.item_files import export_edition, put_items, write_items
from swardcost_api.catalog.item_workbook import write_edition
from swardcost_api.catalog.service import create_edition
from swardcost_api.operations import CSV, XLSX
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.catalog import EditionExport, NewEdition

pytestmark = pytest.mark.bench

ITEMS = 50_000
NAMES = {CSV: "CSV", XLSX: "a workbook"}
UPLOAD_LIMITS = {CSV: 14, XLSX: 18}
EXPORT_LIMITS = {CSV: 20, XLSX: 60}
MEMORY_LIMITS = {
    "upload as CSV": 1.6, "export as CSV": 4.4, "export as a workbook": 4.4, "upload as a workbook": 4.4,
}  # fmt: skip
WRITERS: dict[str, Callable[[EditionExport], str | bytes]] = {CSV: write_items, XLSX: write_edition}


def a_draft(database: Database) -> UUID:
    with writing(database) as work:
        return create_edition(work, NewEdition(name="Spring 2026", price_date=date(2026, 3, 1))).id


def empty_items(database: Database) -> None:
    """Take all items out, so that every run fills the same empty table."""
    with database.writing() as session:
        session.connection().exec_driver_sql("delete from items" if database.is_sqlite else "truncate items")


def read_raw(database: Database) -> list[tuple[Any, ...]]:
    """All items by the driver alone."""
    with database.reading() as session:
        cursor = driver_of(session).cursor()
        return list(cursor.execute("select * from items order by code").fetchall())


def insert_raw(database: Database, rows: list[tuple[Any, ...]]) -> None:
    """Put the same items into the same table, key and index by the driver alone."""
    mark = "?" if database.is_sqlite else "%s"
    with database.writing() as session:
        statement = f"insert into items values ({','.join([mark] * len(rows[0]))})"
        driver_of(session).cursor().executemany(statement, rows)


def upload(database: Database, edition_id: UUID, file: bytes, media_type: str) -> None:
    with writing(database) as work:
        put_items(work, edition_id, io.BytesIO(file), media_type)


def export(database: Database, edition_id: UUID, media_type: str) -> str | bytes:
    with database.reading() as session:
        exported = export_edition(UnitOfWork(session, CLUB, OPERATOR), edition_id)
    return WRITERS[media_type](exported)


def workbook(database: Database, edition_id: UUID) -> bytes:
    content = export(database, edition_id, XLSX)
    assert isinstance(content, bytes)
    return content


def test_a_price_list_in_and_out_costs_a_small_multiple_of_its_raw_rows(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        edition_id = a_draft(database)
        csv = price_list(ITEMS)
        upload(database, edition_id, csv, CSV)
        rows = [
            tuple(Jsonb(one) if isinstance(one, dict) else one for one in row) for row in read_raw(database)
        ]
        book = workbook(database, edition_id)

        def raw_insert() -> float:
            empty_items(database)
            with timed() as watch:
                insert_raw(database, rows)
            return watch.seconds

        def raw_read() -> float:
            with timed() as watch:
                read_raw(database)
            return watch.seconds

        for media_type, file in ((CSV, csv), (XLSX, book)):

            def ours_in(file: bytes = file, media_type: str = media_type) -> float:
                empty_items(database)
                with timed() as watch:
                    upload(database, edition_id, file, media_type)
                return watch.seconds

            def ours_out(media_type: str = media_type) -> float:
                with timed() as watch:
                    export(database, edition_id, media_type)
                return watch.seconds

            what = f"{ITEMS:,} items as {NAMES[media_type]}, {kind_of(database)}"
            hold_by_turns(f"upload of {what}", raw_insert, ours_in, UPLOAD_LIMITS[media_type], repetitions=1)
            hold_by_turns(f"export of {what}", raw_read, ours_out, EXPORT_LIMITS[media_type], repetitions=1)


@pytest.mark.skipif(not STATUS.exists(), reason="reads the high-water mark of memory from /proc")
def test_memory_grows_no_faster_than_the_list(empty_database_url: str, tmp_path: Path) -> None:
    with opened(empty_database_url) as database:
        edition_id = a_draft(database)
        grown: dict[str, list[int]] = {}
        for items in (ITEMS // 4, ITEMS):
            empty_items(database)
            csv, xlsx = tmp_path / f"{items}.csv", tmp_path / f"{items}.xlsx"
            csv.write_bytes(price_list(items))
            for task, media_type, file in (
                ("upload", CSV, csv), ("export", CSV, csv), ("export", XLSX, xlsx), ("upload", XLSX, xlsx),
            ):  # fmt: skip
                if task == "upload" and media_type == XLSX:
                    xlsx.write_bytes(workbook(database, edition_id))
                    empty_items(database)
                more = _growth(empty_database_url, task, str(edition_id), media_type, str(file))
                grown.setdefault(f"{task} as {NAMES[media_type]}", []).append(more)
        for what, (short, long) in grown.items():
            name = f"memory of {what} for {ITEMS:,}, not {ITEMS // 4:,}, {kind_of(database)}"
            hold(name, short / 1e6, long / 1e6, MEMORY_LIMITS[what], unit="MB")


def _growth(url: str, task: str, *about: str) -> int:
    """By how many bytes a process grows while it moves a list."""
    script = Path(__file__).with_name("price_list_once.py")
    done = subprocess.run(
        [sys.executable, str(script), url, CLUB, task, *about],
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip
    return int(done.stdout)
