"""Running jobs: once, by one process, from the start again after a death, and all or nothing of what they change."""

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import timedelta

import pytest
from conftest import new_database
from job_factories import CLUB, DONE, HEARTBEAT, Queue, finishing, rename_the_club
from sqlalchemy import event
from sqlalchemy.exc import OperationalError
from swardcost_api.jobs import claims
from swardcost_api.jobs.attempt import Attempt
from swardcost_api.jobs.runner import MAX_ATTEMPTS, SILENT_BEATS
from swardcost_api.jobs.service import CHUNK_BYTES
from swardcost_api.settings import Settings
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.ids import new_id
from swardcost_api.web.observability import configure_logging
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def queue_of_module(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Queue]:
    for url in new_database(request.param, tmp_path_factory.mktemp("jobs")):
        configure_logging(Settings(log_level="error", log_format="text"))
        database = Database(url)
        migration.upgrade(database)
        yield Queue(database)
        database.close()


@pytest.fixture
def queue(queue_of_module: Queue) -> Iterator[Queue]:
    """A club without jobs; what a test lets run is stopped after it."""
    queue_of_module.empty()
    queue_of_module.shift = timedelta()
    yield queue_of_module
    for runner in queue_of_module.runners:
        runner.stop(10)
    queue_of_module.runners.clear()


class Gate:
    """Work that says when it is under way and waits to be let on, telling its progress meanwhile."""

    def __init__(self) -> None:
        self.reached, self.open = threading.Event(), threading.Event()

    def __call__(self, attempt: Attempt) -> None:
        self.reached.set()
        with attempt.upload() as upload:
            first = upload.read().decode().splitlines()[0]
        while not self.open.wait(0.01):
            attempt.progress(1, 3, "row", "reading")
        attempt.end(rename_the_club(first))


@contextmanager
def under_way(queue: Queue) -> Iterator[Gate]:
    """A runner whose work has begun."""
    gate = Gate()
    runner = queue.runner(gate)
    runner.start()
    try:
        assert gate.reached.wait(10)
        yield gate
    finally:
        gate.open.set()


def test_a_job_is_carried_out_once_with_its_file_and_its_result_is_kept(queue: Queue) -> None:
    file = b"Second\n" + b"x" * (3 * CHUNK_BYTES)
    job_id = queue.start(file)
    waiting = queue.read(job_id)
    assert (waiting.status, waiting.attempts, waiting.progress.total) == ("queued", 0, len(file))
    assert queue.chunks() == 4
    runner = queue.runner(finishing)
    assert (runner.run_waiting(), runner.run_waiting()) == (1, 0)
    job = queue.read(job_id)
    assert (job.status, job.attempts, job.result) == ("done", 1, DONE.model_dump())
    assert job.started_at is not None
    assert job.ended_at is not None
    assert (queue.chunks(), queue.club_name()) == (0, "Second")


def test_jobs_are_taken_in_the_order_in_which_they_were_started(queue: Queue) -> None:
    for name in ("a", "b", "c"):
        queue.start(name.encode())
    seen: list[bytes] = []

    def look(attempt: Attempt) -> None:
        with attempt.upload() as upload:
            seen.append(upload.read())
        attempt.end(lambda _work: DONE)

    assert queue.runner(look).run_waiting() == 3
    assert seen == [b"a", b"b", b"c"]


def test_a_runner_wakes_for_a_job_and_asks_nothing_while_it_is_idle(queue: Queue) -> None:
    runner = queue.runner(finishing)
    asked: list[str] = []
    event.listen(runner._database.engine, "before_cursor_execute", lambda *a: asked.append(a[2]))
    runner.start()
    time.sleep(0.2)
    asked.clear()
    time.sleep(0.3)
    assert asked == []
    job_id = queue.start()
    runner.wake()
    assert queue.ended(job_id, 2).status == "done"


def test_of_many_that_claim_a_job_at_once_one_gets_it(queue: Queue) -> None:
    queue.start()
    with queue.database.reading() as session:
        seen = claims.open_jobs(session)[0]
    together = threading.Barrier(6)

    def try_it(_: int) -> bool:
        together.wait(10)
        with queue.database.writing() as session:
            return claims.claim(session, seen, new_id(), queue.clock()) is not None

    with ThreadPoolExecutor(6) as pool:
        assert sorted(pool.map(try_it, range(6))) == [False] * 5 + [True]


def test_a_job_that_is_worked_on_is_left_to_its_process(queue: Queue) -> None:
    job_id = queue.start()
    with under_way(queue) as gate:
        other = queue.runner(finishing, poll_seconds=HEARTBEAT)
        other.start()
        time.sleep(1.5 * SILENT_BEATS * HEARTBEAT)
        assert queue.read(job_id).attempts == 1
        shown = queue.read(job_id).progress
        assert (shown.done, shown.total, shown.unit, shown.note) == (1, 3, "row", "reading")
        gate.open.set()
        assert queue.ended(job_id).attempts == 1


def test_a_job_whose_process_died_is_begun_again_by_another(queue: Queue) -> None:
    job_id = queue.start()
    queue.claimed_by_another()
    runner = queue.runner(finishing)
    assert runner.run_waiting() == 0, "it may still live"
    time.sleep(1.1 * SILENT_BEATS * HEARTBEAT)
    assert runner.run_waiting() == 1
    job = queue.read(job_id)
    assert (job.status, job.attempts, queue.club_name()) == ("done", 2, "one")


def test_a_process_that_was_thought_dead_changes_nothing_any_more(queue: Queue) -> None:
    job_id = queue.start()
    with under_way(queue) as sleeper:
        with queue.database.writing() as session:  # as another process would take it over
            seen = claims.open_jobs(session)[0]
            assert claims.claim(session, seen, new_id(), queue.clock()) is not None
        sleeper.open.set()
        queue.runners[-1].stop(10)
    assert (queue.read(job_id).status, queue.club_name(), queue.chunks()) == ("running", "First", 1)


def test_a_job_that_kills_its_process_again_and_again_is_given_up(queue: Queue) -> None:
    job_id = queue.start()
    runner = queue.runner(finishing)
    for _ in range(MAX_ATTEMPTS):
        queue.claimed_by_another()
    runner.run_waiting()
    time.sleep(1.1 * SILENT_BEATS * HEARTBEAT)
    runner.run_waiting()
    job = queue.read(job_id)
    assert job.problem is not None
    assert (job.status, job.problem.type) == ("failed", "/problems/internal-error")
    assert f"begun {MAX_ATTEMPTS} times" in job.problem.detail
    assert (queue.chunks(), queue.club_name()) == (0, "First")


def test_a_refusal_is_kept_as_a_problem_document_and_not_tried_again(queue: Queue) -> None:
    def refuse(attempt: Attempt) -> None:
        fault = Fault(pointer="row 2", expected="sand", got="clay")
        raise ProblemError(problems.BAD_ROWS, "Not so.", [fault], rows_bad=1)

    job_id = queue.start()
    queue.runner(refuse).run_waiting()
    job = queue.read(job_id)
    assert job.problem is not None
    assert job.problem.model_dump(exclude_none=True) == {
        "type": "/problems/bad-rows", "title": problems.BAD_ROWS.title, "status": 422, "detail": "Not so.",
        "instance": f"/v1/clubs/{CLUB}/jobs/{job_id}", "rows_bad": 1,
        "faults": [{"pointer": "row 2", "expected": "sand", "got": "clay"}],
    }  # fmt: skip
    assert (job.status, job.attempts, job.result, queue.chunks()) == ("failed", 1, None, 0)


@pytest.mark.parametrize(
    "error",
    [OperationalError("select", {}, Exception("gone")), RuntimeError("odd"),
     ProblemError(problems.CHANGED_MEANWHILE, "Again.")],
)  # fmt: skip
def test_what_may_pass_is_tried_again_so_often_and_no_oftener(queue: Queue, error: Exception) -> None:
    tried = 0

    def fail(attempt: Attempt) -> None:
        nonlocal tried
        tried += 1
        raise error

    job_id = queue.start()
    runner = queue.runner(fail)
    while queue.read(job_id).ended_at is None:
        assert runner.run_waiting() == 1
    assert (tried, queue.read(job_id).status) == (MAX_ATTEMPTS, "failed")
    queue.start()
    assert queue.runner(finishing).run_waiting() == 1


def test_what_fails_at_the_last_moment_is_undone_with_all_else(queue: Queue) -> None:
    def change_and_fail(attempt: Attempt) -> None:
        def change(work: object) -> object:
            rename_the_club("Half")(work)  # type: ignore[arg-type]
            raise ProblemError(problems.WRONG_STATE, "No.")

        attempt.end(change)  # type: ignore[arg-type]

    job_id = queue.start()
    queue.runner(change_and_fail).run_waiting()
    assert (queue.read(job_id).status, queue.club_name()) == ("failed", "First")


def test_a_queued_job_that_is_cancelled_is_never_begun(queue: Queue) -> None:
    job_id = queue.start()
    cancelled = queue.cancel(job_id)
    assert (cancelled.status, cancelled.attempts, queue.chunks()) == ("cancelled", 0, 0)
    assert queue.runner(finishing).run_waiting() == 0
    with pytest.raises(ProblemError) as refused:
        queue.cancel(job_id)
    assert refused.value.kind is problems.WRONG_STATE
    assert queue.club_name() == "First"


def test_a_running_job_that_is_cancelled_changes_nothing(queue: Queue) -> None:
    job_id = queue.start()
    with under_way(queue) as gate:
        assert queue.cancel(job_id).status == "cancelled"
        gate.open.set()
        queue.runners[-1].stop(10)
    assert (queue.read(job_id).status, queue.club_name(), queue.chunks()) == ("cancelled", "First", 0)


def test_a_cancelled_job_is_noticed_while_it_is_worked_on(queue: Queue) -> None:
    job_id = queue.start()
    with under_way(queue):
        queue.cancel(job_id)
        following = queue.start(b"Next")
        queue.runners[-1].wake()
        until = time.monotonic() + 10
        while queue.read(following).status == "queued" and time.monotonic() < until:
            time.sleep(0.01)
        assert queue.read(following).status == "running"


def test_a_runner_that_stops_puts_its_job_back_uncounted(queue: Queue) -> None:
    job_id = queue.start()
    with under_way(queue):
        started = time.monotonic()
        queue.runners[-1].stop(10)
        assert time.monotonic() - started < 1
    job = queue.read(job_id)
    assert (job.status, job.attempts, job.progress.note, queue.chunks()) == ("queued", 0, "waiting", 1)
    assert queue.runner(finishing).run_waiting() == 1


def test_a_heart_outlives_a_database_that_fails_it_for_a_while(
    queue: Queue, monkeypatch: pytest.MonkeyPatch
) -> None:
    job_id, beat, failed = queue.start(), claims.beat, threading.Event()

    def fail_first(*arguments: object, **progress: object) -> None:
        if not failed.is_set():
            failed.set()
            raise OperationalError("update", {}, Exception("locked"))
        beat(*arguments, **progress)  # type: ignore[arg-type]

    monkeypatch.setattr(claims, "beat", fail_first)
    with under_way(queue) as gate:
        assert failed.wait(10)
        before = queue.read(job_id)
        time.sleep(4 * HEARTBEAT)
        gate.open.set()
        assert (before.status, queue.ended(job_id).status) == ("running", "done")


def test_jobs_that_nobody_took_up_and_files_left_behind_are_swept(queue: Queue) -> None:
    ended, forgotten = queue.start(), queue.start()
    queue.cancel(ended)
    queue.leave_chunk(ended)
    queue.shift = claims.ABANDONED + timedelta(minutes=1)
    waiting = queue.start()
    runner = queue.runner(finishing)
    runner._sweep_now_and_then()
    assert [queue.read(one).status for one in (ended, forgotten, waiting)] == [
        "cancelled",
        "failed",
        "queued",
    ]
    problem = queue.read(forgotten).problem
    assert problem is not None
    assert problem.type == "/problems/unavailable"
    assert queue.chunks() == 1
    assert queue.club_name() == "First"
