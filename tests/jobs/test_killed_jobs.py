"""An import that is killed at any point is taken up again, and nothing of it is lost or doubled."""

import io
import random
import time
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import httpx
import pytest
from conftest import CLUB, Clock, found_club
from server import Server, run_command, running_server
from sqlalchemy import event, func, select
from swardcost_api.jobs import runner as runner_module
from swardcost_api.jobs.runner import Runner
from swardcost_api.jobs.tables import JobChunkRow
from swardcost_api.ledger.importing import IMPORT_JOB, ImportOrder, start_import
from swardcost_api.ledger.profiles import create_profile
from swardcost_api.ledger.tables import ImportRow, PostingRow
from swardcost_api.operations import CSV
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, Transactions
from swardcost_api.web.problem_documents import problem_of
from swardcost_model.ledger_profiles import MappedColumns, NewProfile

COLUMNS = {"date": "Date", "account": "Account", "description": "Description", "amount": "Amount"}


def export(rows: int, file: int) -> bytes:
    """An export whose rows no other has, and each of whose rows is there twice; load n costs n.50."""
    lines = (
        f"2026-03-02,6410,Load {number // 2} of file {file},{number // 2}.50\n" for number in range(rows)
    )
    return ("Date,Account,Description,Amount\n" + "".join(lines)).encode()


def what_is_there(database: Database) -> tuple[int, int, int, int]:
    """Postings and their sum, imports, and parts of files that are kept."""
    with database.reading() as session:
        total = func.coalesce(func.sum(PostingRow.amount_minor), 0)
        postings, minor = session.execute(select(func.count(), total).select_from(PostingRow)).one()
        others = (
            session.scalar(select(func.count()).select_from(table)) or 0 for table in (ImportRow, JobChunkRow)
        )
        return (postings, int(minor), *others)  # type: ignore[return-value]


class KilledError(BaseException):
    """Stands for the end of the process: nothing that runs a job catches it."""


class Imports:
    """A club that starts imports, and processes that run them until they end at one of their statements."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.database = Database(url)
        migration.upgrade(self.database)
        found_club(self.database, CLUB, Clock())
        self.transactions = Transactions(self.database, CLUB, OPERATOR)
        with self.transactions.writing() as work:
            columns = MappedColumns(**COLUMNS)
            self.profile_id: UUID = create_profile(work, NewProfile(name="Detail", columns=columns)).id

    def begin(self, file: bytes) -> None:
        order = ImportOrder(profile_id=self.profile_id, filename="", media_type=CSV)
        with self.transactions.writing() as work:
            start_import(work, io.BytesIO(file), order)

    def dies(self, at: int | None) -> bool:
        """Whether a process that runs what waits came to its statement, or commit, of this number, and died."""
        own, count = Database(self.url, 3), 0

        def note(*_about: Any) -> None:
            nonlocal count
            count += 1
            if count == at:
                raise KilledError

        for name in ("before_cursor_execute", "commit"):
            event.listen(own.engine, name, note)
        process = Runner(
            own, {IMPORT_JOB.name: IMPORT_JOB}, problem_of, lambda: datetime.now(UTC), heartbeat_seconds=60
        )
        try:
            process.run_waiting()
        except KilledError:
            return True
        finally:
            own.close()
        return False


def test_an_import_that_dies_at_any_of_its_statements_is_done_once(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runner_module, "SILENT_BEATS", 0)  # so that nobody has to wait for a sign of life
    imports, number, died = Imports(empty_database_url), 0, True
    while died:
        number += 1
        imports.begin(export(6, number))
        before = (6 * (number - 1), 900 * (number - 1), number - 1, 1)
        after = (6 * number, 900 * number, number, 0)
        died = imports.dies(at=number)
        assert what_is_there(imports.database) in ((before, after) if died else (after,)), number
        assert not imports.dies(at=None)
        assert what_is_there(imports.database) == after, number
    assert number > 20
    imports.database.close()


def test_an_import_whose_server_is_killed_again_and_again_is_done_once(empty_database_url: str) -> None:
    chance, rows, seconds = random.Random(), 16_000, []
    prompt = {"job_heartbeat_seconds": "0.1", "job_poll_seconds": "0.1", "stop_grace_seconds": "5"}
    headers, path = {}, ""
    for _ in range(2):
        with running_server(empty_database_url, **prompt) as server:
            if not path:
                headers = _with_a_key(server)
                path = _start(server, headers, export(rows, 1))
            # A silent process is thought dead after one second.
            seconds.append(chance.uniform(0, 1) + len(seconds))
            time.sleep(seconds[-1])
            server.kill()
    with running_server(empty_database_url, **prompt) as server:
        job = _ended(server, headers, path)
        assert server.stop() == 0
    database = Database(empty_database_url)
    each_load_twice = 2 * sum(load * 100 + 50 for load in range(rows // 2))
    assert job["status"] == "done", (job, seconds)
    assert what_is_there(database) == (rows, each_load_twice, 1, 0), seconds
    assert job["result"]["rows_posted"] == rows
    assert 1 <= job["attempts"] <= 3
    database.close()


def test_two_servers_share_the_jobs_of_a_database_and_run_each_once(empty_database_url: str) -> None:
    prompt = {"job_heartbeat_seconds": "0.5", "job_poll_seconds": "0.1"}
    with (
        running_server(empty_database_url, **prompt) as first,
        running_server(empty_database_url, **prompt) as second,
    ):
        headers = _with_a_key(first)
        paths = [
            _start(server, headers, export(400, file)) for file, server in enumerate([first, second] * 4)
        ]
        jobs = [_ended(second, headers, path) for path in paths]
    assert {(job["status"], job["attempts"], job["result"]["rows_posted"]) for job in jobs} == {
        ("done", 1, 400)
    }
    database = Database(empty_database_url)
    assert what_is_there(database)[::2] == (8 * 400, 8)
    database.close()


def _with_a_key(server: Server) -> dict[str, str]:
    made = run_command(server.environment, "club", "create", CLUB, "--name", "Heron Mere Golf Club")
    assert made.returncode == 0, made.stderr
    return {"Authorization": f"Bearer {made.stdout.strip()}"}


def _start(server: Server, headers: dict[str, str], file: bytes) -> str:
    """Start an import, and give the path of its job."""
    club = f"{server.url}/v1/clubs/{CLUB}"
    profiles = httpx.get(f"{club}/ledger/profiles", headers=headers).json()["items"]
    body = {"name": "Detail", "columns": COLUMNS}
    profile = profiles or [httpx.post(f"{club}/ledger/profiles", json=body, headers=headers).json()]
    started = httpx.post(
        f"{club}/ledger/imports/start", params={"profile_id": profile[0]["id"]}, content=file,
        headers=headers | {"Content-Type": CSV}, timeout=30,
    )  # fmt: skip
    assert started.status_code == 202, started.text
    return started.headers["Location"]


def _ended(server: Server, headers: dict[str, str], path: str) -> dict[str, Any]:
    until = time.monotonic() + 60
    while (job := httpx.get(server.url + path, headers=headers).json())["ended_at"] is None:
        assert time.monotonic() < until, job
        time.sleep(0.05)
    document: dict[str, Any] = job
    return document
