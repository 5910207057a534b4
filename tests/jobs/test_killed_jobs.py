"""An import that is killed at any point is taken up again, and nothing of it is lost or doubled."""

import io
import multiprocessing
import random
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest
from conftest import CLUB, Clock, found_club
from job_processes import run_jobs
from server import Server, run_command, running_server
from sqlalchemy import event, func, select
from swardcost_api.jobs import runner as runner_module
from swardcost_api.jobs.runner import CONNECTIONS, Runner
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

CLUB_PATH = f"/v1/clubs/{CLUB}"
COLUMNS = {"date": "Date", "account": "Account", "description": "Description", "amount": "Amount"}


def export(rows: int, file: int) -> bytes:
    """An export whose rows no other has, and each of whose rows is there twice; load n costs n.50."""
    lines = (
        f"2026-03-02,6410,Load {number // 2} of file {file},{number // 2}.50\n" for number in range(rows)
    )
    return ("Date,Account,Description,Amount\n" + "".join(lines)).encode()


def sum_of(rows: int) -> int:
    """What the rows of an export sum to, in cents."""
    return 2 * sum(load * 100 + 50 for load in range(rows // 2))


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
        self.database = Database(url)
        migration.upgrade(self.database)
        found_club(self.database, CLUB, Clock())
        self.transactions = Transactions(self.database, CLUB, OPERATOR)
        with self.transactions.writing() as work:
            columns = MappedColumns(**COLUMNS)
            self.profile_id = create_profile(work, NewProfile(name="Detail", columns=columns)).id
        self._process, self._count, self._last = Database(url, CONNECTIONS), 0, None
        for name in ("before_cursor_execute", "commit"):
            event.listen(self._process.engine, name, self._note)

    def begin(self, file: bytes) -> None:
        order = ImportOrder(profile_id=self.profile_id, filename="", media_type=CSV)
        with self.transactions.writing() as work:
            start_import(work, io.BytesIO(file), order)

    def dies(self, at: int | None) -> bool:
        """Whether a process that runs what waits came to its statement, or commit, of this number, and died."""
        self._count, self._last = 0, at
        process = Runner(
            self._process,
            {IMPORT_JOB.name: IMPORT_JOB},
            problem_of,
            self.transactions.clock,
            heartbeat_seconds=60,
        )
        try:
            process.run_waiting()
        except KilledError:
            return True
        finally:
            self._process.close()
        return False

    def _note(self, *_about: Any) -> None:
        self._count += 1
        if self._count == self._last:
            raise KilledError

    def close(self) -> None:
        self.database.close()


def test_an_import_that_dies_at_any_of_its_statements_is_done_once(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runner_module, "SILENT_BEATS", 0)  # so that nobody has to wait for a sign of life
    monkeypatch.setattr(runner_module, "MAX_ATTEMPTS", 1000)
    imports, statement, whole = Imports(empty_database_url), 1, (6, sum_of(6), 1, 0)
    imports.begin(export(6, 1))
    while imports.dies(at=statement):
        assert what_is_there(imports.database) in ((0, 0, 0, 1), whole), statement
        statement += 1
    assert what_is_there(imports.database) == whole
    assert statement > 20
    imports.close()


def test_an_import_whose_process_is_killed_again_and_again_is_done_once(empty_database_url: str) -> None:
    imports, rows, chance, moments = Imports(empty_database_url), 6000, random.Random(), []
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["swardcost_api.ledger.importing", "swardcost_api.web.problem_documents"])
    imports.begin(export(rows, 1))
    whole = (rows, sum_of(rows), 1, 0)
    while what_is_there(imports.database) != whole:
        process = context.Process(target=run_jobs, args=(empty_database_url, 100))
        process.start()
        # Whoever comes next needs half a second to see that the one before is dead.
        moments.append(chance.uniform(0.1, 0.8) + len(moments) / 4)
        process.join(moments[-1])
        assert process.exitcode is None
        process.kill()
        process.join(10)
        assert what_is_there(imports.database) in ((0, 0, 0, 1), whole), moments
        assert len(moments) < 20
    imports.close()


def test_a_killed_server_leaves_uploads_whole_or_undone_and_its_jobs_to_the_next(
    empty_database_url: str,
) -> None:
    prompt, rows = {"job_heartbeat_seconds": "0.2", "job_poll_seconds": "0.2"}, 8000
    with running_server(empty_database_url, **prompt) as server, ThreadPoolExecutor(1) as pool:
        headers = _with_a_key(server)
        profile = {"name": "Detail", "columns": COLUMNS}
        httpx.post(
            f"{server.url}{CLUB_PATH}/ledger/profiles", json=profile, headers=headers
        ).raise_for_status()
        left = _send(server, headers, "start", export(rows, 0)).headers["Location"]
        broken_off = pool.submit(_send, server, headers, "upload", export(rows, 1))
        time.sleep(random.uniform(0, 1.5))
        server.kill()
        answered = isinstance(broken_off.exception(), httpx.TransportError) is False
    with running_server(empty_database_url, workers="2", **prompt) as server:
        taken_up = _ended(server, headers, left)
        assert (taken_up["status"], taken_up["result"]["rows_posted"]) == ("done", rows)
        again = _send(server, headers, "upload", export(rows, 1)).json()
        counts = (again["rows_posted"], again["rows_known"])
        assert counts == (0, rows) if answered else counts in ((0, rows), (rows, 0))
        paths = [
            _send(server, headers, "start", export(200, file)).headers["Location"] for file in range(2, 8)
        ]
        jobs = [_ended(server, headers, path) for path in paths]
    assert {(job["attempts"], job["result"]["rows_posted"]) for job in jobs} == {(1, 200)}
    database = Database(empty_database_url)
    assert what_is_there(database) == (2 * rows + 1200, 2 * sum_of(rows) + 6 * sum_of(200), 8, 0)
    database.close()


def _with_a_key(server: Server) -> dict[str, str]:
    made = run_command(server.environment, "club", "create", CLUB, "--name", "Heron Mere Golf Club")
    assert made.returncode == 0, made.stderr
    return {"Authorization": f"Bearer {made.stdout.strip()}"}


def _send(server: Server, headers: dict[str, str], how: str, file: bytes) -> httpx.Response:
    """Upload an import, or start it as a job."""
    club = f"{server.url}{CLUB_PATH}"
    profile = httpx.get(f"{club}/ledger/profiles", headers=headers).json()["items"][0]["id"]
    sent = httpx.post(
        f"{club}/ledger/imports/{how}", params={"profile_id": profile}, content=file,
        headers=headers | {"Content-Type": CSV}, timeout=60,
    )  # fmt: skip
    assert sent.is_success, sent.text
    return sent


def _ended(server: Server, headers: dict[str, str], path: str) -> dict[str, Any]:
    until = time.monotonic() + 60
    while (job := httpx.get(server.url + path, headers=headers).json())["ended_at"] is None:
        assert time.monotonic() < until, job
        time.sleep(0.05)
    document: dict[str, Any] = job
    return document
