"""How the client waits for a job: it shows what changes, and raises what the job came to."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import httpx
import pytest
from swardcost import Client, JobCancelled, JobError, JobFailed, NotDoneInTime, SwardcostError
from swardcost_model.jobs import Job

JOB = UUID("019f0000-0000-7000-8000-000000000001")
PROBLEM = {
    "type": "/problems/bad-rows", "title": "Some rows cannot be used", "status": 422, "detail": "1 of 2 rows.",
    "faults": [{"pointer": "row 2, date", "expected": "a date", "got": "soon"}],
}  # fmt: skip


def job(status: str, done: int = 0, **more: Any) -> dict[str, Any]:
    progress = {"done": done, "total": 10, "unit": "byte", "note": status}
    return {
        "id": str(JOB), "kind": "ledger_import", "status": status, "progress": progress, "attempts": 1, "actor": "Jo",
        "created_at": "2026-08-20T14:00:00Z", "started_at": None, "ended_at": None, "result": None, "problem": None,
        **more,
    }  # fmt: skip


def client_of(*answers: dict[str, Any]) -> Client:
    """A client of a service that gives these answers in turn, the last one again and again."""
    left: Iterator[dict[str, Any]] = iter(answers)

    def answer(_request: httpx.Request) -> httpx.Response:
        return httpx.Response(200, json=next(left, answers[-1]))

    return Client("http://127.0.0.1", club="heron-mere", key="k", transport=httpx.MockTransport(answer))


@pytest.fixture(autouse=True)
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The pauses that were made; none takes any time."""
    made: list[float] = []
    monkeypatch.setattr("swardcost._sync.jobs.wait_sync", made.append)
    return made


def test_each_change_is_shown_once_and_pauses_grow(pauses: list[float]) -> None:
    seen: list[Job] = []
    answers = [
        job("queued"),
        job("queued"),
        job("running", 4),
        job("running", 4),
        job("running", 9),
        job("done", 10),
    ]
    done = client_of(*answers).jobs.wait(JOB, seen.append, longest_pause=0.3)
    assert [(one.status, one.progress.done) for one in seen] == [
        ("queued", 0), ("running", 4), ("running", 9), ("done", 10)
    ]  # fmt: skip
    assert done == seen[-1]
    assert pauses == pytest.approx([0.1, 0.15, 0.225, 0.3, 0.3])


def test_a_job_that_failed_is_raised_with_its_problem() -> None:
    with pytest.raises(JobFailed) as failed:
        client_of(job("running"), job("failed", problem=PROBLEM)).jobs.wait(JOB)
    assert failed.value.problem.type == "/problems/bad-rows"
    assert failed.value.job.status == "failed"
    assert "row 2, date: expected a date, got soon" in str(failed.value)


def test_a_job_that_was_cancelled_or_takes_too_long_is_raised(pauses: list[float]) -> None:
    with pytest.raises(JobCancelled):
        client_of(job("cancelled")).jobs.wait(JOB)
    with pytest.raises(NotDoneInTime) as late:
        client_of(job("running", 3)).jobs.wait(JOB, seconds=0.05)
    assert (late.value.job.progress.done, pauses) == (3, [])
    assert issubclass(JobError, SwardcostError)


def test_a_workbook_is_started_as_one() -> None:
    sent: list[httpx.Request] = []

    def answer(request: httpx.Request) -> httpx.Response:
        sent.append(request)
        return httpx.Response(202, json=job("queued"))

    client = Client("http://127.0.0.1", club="heron-mere", key="k", transport=httpx.MockTransport(answer))
    media_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    assert client.imports.start(JOB, "march.xlsx", b"PK", media_type=media_type).status == "queued"
    assert client.imports.start(JOB, "march.csv", "date\n").id == JOB
    assert [one.headers["content-type"] for one in sent] == [media_type, "text/csv"]
    assert sent[0].url.path == "/v1/clubs/heron-mere/ledger/imports/start"
