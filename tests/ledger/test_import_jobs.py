"""Imports as jobs: what an upload does, done while nobody waits, and without keeping others from their work."""

import io
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from typing import Any
from uuid import UUID

import httpx
import pytest
from conftest import Api
from ledger_factories import (
    HEADER,
    REFUND,
    SAND,
    SOD,
    a_budget,
    a_profile,
    a_rule,
    audit_of,
    imported,
    postings,
    send,
)
from sqlalchemy import func, select
from swardcost_api.jobs.tables import JobChunkRow
from swardcost_api.ledger import importing
from swardcost_api.ledger.importing import ImportOrder, read_export
from swardcost_api.operations import CSV
from swardcost_api.storage.work import OPERATOR, Transactions
from swardcost_model.problems import Problem

SECONDS = 10
UNKNOWN = "00000000-0000-7000-8000-000000000000"


def begin(api: Api, profile: str, file: str | bytes, **more: Any) -> httpx.Response:
    query = {key: more.pop(key) for key in list(more) if key != "headers"}
    return api.upload("/ledger/imports/start", file, params={"profile_id": profile, **query}, **more)


def ended(api: Api, job: dict[str, Any]) -> dict[str, Any]:
    """The job when it is over."""
    until = time.monotonic() + SECONDS
    while (now := api.get(f"/jobs/{job['id']}").json())["ended_at"] is None:
        assert time.monotonic() < until, now
        time.sleep(0.01)
    document: dict[str, Any] = now
    return document


def run_job(api: Api, profile: str, file: str | bytes, **query: str) -> dict[str, Any]:
    response = begin(api, profile, file, **query)
    assert response.status_code == 202, response.text
    return ended(api, response.json())


def chunks(api: Api) -> int:
    with api.database.reading() as session:
        return session.scalar(select(func.count()).select_from(JobChunkRow)) or 0


class Reading:
    """Holds whoever reads an export in the middle of it."""

    def __init__(self, batches: Callable[..., Iterator[Any]]) -> None:
        self.reached, self.go_on = threading.Event(), threading.Event()
        self._batches = batches

    def __call__(self, rows: Any) -> Iterator[Any]:
        for batch in self._batches(rows):
            yield batch
            self.reached.set()
            assert self.go_on.wait(SECONDS)


@contextmanager
def held_while_reading(monkeypatch: pytest.MonkeyPatch) -> Iterator[Reading]:
    reading = Reading(importing.batches)
    monkeypatch.setattr(importing, "batches", reading)
    try:
        yield reading
    finally:
        reading.go_on.set()
        monkeypatch.undo()


def test_a_started_import_is_answered_at_once_and_posts_what_an_upload_would(api: Api) -> None:
    file = HEADER + SAND + SOD + SAND + REFUND
    response = begin(api, a_profile(api), file, filename="march.csv")
    job = response.json()
    assert (response.status_code, job["kind"]) == (202, "ledger_import")
    assert response.headers["location"] == f"/v1/clubs/{api.club}/jobs/{job['id']}"
    done = ended(api, job)
    assert (done["status"], done["attempts"], done["problem"], done["actor"]) == ("done", 1, None, "Owner")
    size = len(file.encode())
    assert done["progress"] == {"done": size, "total": size, "unit": "byte", "note": "done"}
    other = api.of_new_club("stone-weir")
    uploaded = imported(other, a_profile(other), file, filename="march.csv")
    own = ("id", "profile_id", "created_at")
    assert {k: v for k, v in done["result"].items() if k not in own} == {
        k: v for k, v in uploaded.items() if k not in own
    }
    assert done["result"]["id"] == api.get("/ledger/imports").json()["items"][0]["id"]

    def said(one: Api) -> list[dict[str, Any]]:
        return [{k: v for k, v in row.items() if k != "import_id"} for row in postings(one)]

    assert said(api) == said(other)
    assert chunks(api) == 0
    assert [(one["action"], one["actor"]) for one in audit_of(api, "import")] == [("import", "Owner")]
    assert [one["action"] for one in audit_of(api, "job")] == ["start"]


@pytest.mark.parametrize(
    "file", ["", HEADER + "2026-02-30,,Nothing,12.345,,\r\n" + SAND, HEADER + '2026-03-02,1520-10,"open,1,,\r\n']
)  # fmt: skip
def test_a_file_that_an_upload_would_refuse_fails_with_the_same_problem(api: Api, file: str) -> None:
    profile = a_profile(api)
    failed = run_job(api, profile, file)
    refused, problem = Problem(**send(api, profile, file).json()), Problem(**failed["problem"])
    assert (failed["status"], failed["result"]) == ("failed", None)
    assert problem.instance == f"/v1/clubs/{api.club}/jobs/{failed['id']}"
    elsewhere = {"instance": None, "request_id": None}
    assert problem.model_copy(update=elsewhere) == refused.model_copy(update=elsewhere)
    assert (postings(api), chunks(api)) == ([], 0)
    assert api.get("/ledger/imports").json()["items"] == []


def test_a_job_takes_the_good_rows_only_and_again_where_it_is_asked(api: Api) -> None:
    profile, other = a_profile(api), a_profile(api, "Other")
    file = HEADER + SAND + "too,few\r\n"
    done = run_job(api, profile, file, good_rows_only="true")["result"]
    assert (done["status"], done["rows_posted"], done["rows_bad"]) == ("partly_posted", 1, 1)
    faults = api.get(f"/ledger/imports/{done['id']}/faults").json()["items"]
    assert [(one["row"], one["column"], one["got"]) for one in faults] == [(3, None, "2 cells")]
    assert run_job(api, profile, file, good_rows_only="true")["result"]["repeated"] is True
    stands = run_job(api, other, file, good_rows_only="true")
    assert (stands["problem"]["type"], stands["problem"]["import_id"]) == (
        "/problems/wrong-state",
        done["id"],
    )
    again = run_job(api, other, file, good_rows_only="true", again="true")
    assert (again["status"], again["result"]["rows_known"]) == ("done", 1)


def test_a_job_is_not_started_for_a_profile_that_is_not_there_nor_twice_for_one_key(api: Api) -> None:
    assert begin(api, UNKNOWN, HEADER + SAND).json()["type"] == "/problems/not-found"
    assert api.get("/jobs").json()["items"] == []
    profile, headers = a_profile(api), {"Idempotency-Key": "one"}
    first = begin(api, profile, HEADER + SAND, headers=headers)
    again = begin(api, profile, HEADER + SAND, headers=headers)
    assert (again.status_code, again.json()["id"]) == (202, first.json()["id"])
    assert again.headers["location"] == first.headers["location"]
    assert ended(api, first.json())["result"]["rows_posted"] == 1
    assert len(api.get("/jobs").json()["items"]) == 1


def test_others_read_and_write_while_an_import_is_read(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    profile = a_profile(api)
    with held_while_reading(monkeypatch) as reading, ThreadPoolExecutor(1) as pool:
        job = begin(api, profile, HEADER + SAND).json()
        assert reading.reached.wait(SECONDS)
        assert api.post("/courses", json={"name": "Lower"}).status_code == 201
        assert (api.get(f"/jobs/{job['id']}").json()["status"], postings(api)) == ("running", [])
        reading.go_on.set()
        assert ended(api, job)["status"] == "done"
        reading.reached.clear()
        reading.go_on.clear()
        upload = pool.submit(imported, api, profile, HEADER + SOD)
        assert reading.reached.wait(SECONDS)
        assert api.post("/courses", json={"name": "Upper"}).status_code == 201
        assert not upload.done()
        reading.go_on.set()
        assert upload.result()["rows_posted"] == 1


def test_a_running_import_that_is_cancelled_leaves_the_ledger_alone(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    profile = a_profile(api)
    imported(api, profile, HEADER + SOD)
    before = postings(api)
    with held_while_reading(monkeypatch) as reading:
        job = begin(api, profile, HEADER + SAND + SOD).json()
        assert reading.reached.wait(SECONDS)
        cancelled = api.post(f"/jobs/{job['id']}/cancel")
        assert (cancelled.status_code, cancelled.json()["status"]) == (200, "cancelled")
        reading.go_on.set()
        following = run_job(api, profile, HEADER + REFUND)
    assert following["result"]["rows_posted"] == 1
    assert [one for one in postings(api) if one["import_id"] != following["result"]["id"]] == before
    assert len(api.get("/ledger/imports").json()["items"]) == 2
    assert chunks(api) == 0
    again = api.post(f"/jobs/{job['id']}/cancel")
    assert (again.status_code, again.json()["type"]) == (409, "/problems/wrong-state")


def test_what_changes_while_a_file_is_read_is_not_overlooked(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    budget, lines = a_budget(api)
    profile = a_profile(api)
    with held_while_reading(monkeypatch) as reading, ThreadPoolExecutor(1) as pool:
        upload = pool.submit(send, api, profile, HEADER + SAND)
        assert reading.reached.wait(SECONDS)
        a_rule(api, budget, lines[0])
        reading.go_on.set()
        refused = upload.result()
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/changed-meanwhile")
    assert postings(api) == []
    assert imported(api, profile, HEADER + SAND)["rows_assigned"] == 1


def test_one_file_started_twice_at_once_is_posted_once(api: Api) -> None:
    profile = a_profile(api)
    jobs = [begin(api, profile, HEADER + SAND + SOD).json() for _ in range(3)]
    results = [ended(api, job)["result"] for job in jobs]
    assert [(one["repeated"], one["rows_posted"]) for one in results] == [(False, 2), (True, 0), (True, 0)]


def test_jobs_of_one_club_are_hidden_from_another_and_from_no_role_of_their_own(api: Api) -> None:
    job = run_job(api, a_profile(api), HEADER + SAND)
    other = api.of_new_club("stone-weir")
    assert other.get(f"/jobs/{job['id']}").status_code == 404
    assert other.post(f"/jobs/{job['id']}/cancel").status_code == 404
    assert other.get("/jobs").json()["items"] == []
    reader = api.as_role("committee")
    assert reader.get(f"/jobs/{job['id']}").json() == job
    assert reader.post(f"/jobs/{job['id']}/cancel").status_code == 403
    started = begin(api.as_role("superintendent"), job["result"]["profile_id"], HEADER + SOD)
    assert started.status_code == 403


def test_only_its_starter_a_controller_or_an_owner_cancels_a_job(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    controller, superintendent = api.as_role("controller"), api.as_role("superintendent")
    profile = a_profile(api)
    with held_while_reading(monkeypatch) as reading:
        job = begin(api, profile, HEADER + SAND).json()
        assert reading.reached.wait(SECONDS)
        assert superintendent.post(f"/jobs/{job['id']}/cancel").json()["type"] == "/problems/forbidden"
        assert controller.post(f"/jobs/{job['id']}/cancel").json()["status"] == "cancelled"


def test_jobs_are_listed_latest_first_by_state_and_kind(api: Api) -> None:
    profile = a_profile(api)
    good, bad = run_job(api, profile, HEADER + SAND), run_job(api, profile, "nothing\r\n")
    listed = api.get("/jobs", params={"limit": 1}).json()
    rest = api.get("/jobs", params={"limit": 1, "cursor": listed["next"]}).json()
    assert [one["id"] for one in listed["items"] + rest["items"]] == [bad["id"], good["id"]]
    failed = api.get("/jobs", params={"status": "failed", "kind": "ledger_import"}).json()["items"]
    assert [one["id"] for one in failed] == [bad["id"]]
    assert api.get("/jobs", params={"status": "lost"}).status_code == 400


def test_progress_tells_the_bytes_that_were_read_of_all(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("swardcost_api.ledger.sorting.BATCH_ROWS", 500)
    file = (HEADER + SAND * 5000).encode()
    told: list[tuple[int, int, str]] = []
    order = ImportOrder(profile_id=UUID(a_profile(api)), filename="", media_type=CSV)
    transactions = Transactions(api.database, api.club, OPERATOR)
    with closing(
        read_export(transactions, io.BytesIO(file), order, lambda *so_far: told.append(so_far))
    ) as read:
        assert read.staged is not None
    done = [one[0] for one in told]
    assert (len(told), done[-1], {one[1:] for one in told}) == (10, len(file), {(len(file), "byte")})
    ahead = 3 * 8192  # text is decoded some kilobytes ahead
    for number, so_far in enumerate(done, start=1):
        read_bytes = len(HEADER) + number * 500 * len(SAND)
        assert read_bytes <= so_far <= read_bytes + ahead


def test_a_connection_held_for_an_import_leaves_nothing_behind(api: Api) -> None:
    profile = a_profile(api)
    for file in (HEADER + SAND, HEADER + "bad,,,,,\r\n", HEADER + SOD, ""):
        send(api, profile, file)
    with api.database.reading() as session:
        tables = (
            "sqlite_temp_master" if api.database.is_sqlite else "pg_class where relname = 'staged_postings'"
        )
        assert session.connection().exec_driver_sql(f"select count(*) from {tables}").scalar() == 0
    assert api.database.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
