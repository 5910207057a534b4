"""While a schedule is solved, no connection is held and no other reader waits."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
from conftest import CLUB, Api, Clock, found_club
from litestar.testing import TestClient
from schedule_factories import a_closure, an_item_of_work, days
from swardcost_api.engine.schedule.programme import Programme, programme
from swardcost_api.schedule import service
from swardcost_api.settings import Settings
from swardcost_api.storage.database import Database
from swardcost_api.web.app import create_app

SECONDS = 30


class Slowly:
    """A solver that starts and ends when the test says so."""

    def __init__(self) -> None:
        self.solving, self.go_on = threading.Event(), threading.Event()

    def __call__(self, **question: Any) -> Programme:
        self.solving.set()
        assert self.go_on.wait(SECONDS)
        return programme(**question)


@contextmanager
def one_connection(url: str) -> Iterator[tuple[Api, Database]]:
    """A service with one connection for everybody."""
    settings = Settings(database_url=url, log_level="error", log_format="text", pool_size=1)
    app, clock = create_app(settings), Clock()
    with TestClient(app, raise_server_exceptions=False) as client:
        database: Database = app.state.runtime.database
        yield Api(client, database, clock, found_club(database, CLUB, clock)), database


def test_reads_and_writes_pass_a_schedule_that_is_being_solved_with_one_connection(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    slowly = Slowly()
    with one_connection(empty_database_url) as (api, database), ThreadPoolExecutor(1) as pool:
        project = a_closure(api)
        an_item_of_work(api, project, days("2"), name="Drains")
        monkeypatch.setattr(service, "programme", slowly)
        asked = pool.submit(api.get, f"/projects/{project}/schedule")
        try:
            assert slowly.solving.wait(SECONDS)
            assert database.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
            assert api.get(f"/projects/{project}/tasks", timeout=SECONDS).status_code == 200
            an_item_of_work(api, project, days("1"), name="Sand")
            assert not asked.done()
        finally:
            slowly.go_on.set()
        answer = asked.result(SECONDS)
        assert answer.status_code == 200
        # It answers for the moment at which it read.
        assert [task["name"] for task in answer.json()["tasks"]] == ["Drains"]


@pytest.mark.parametrize("changes_the_work", [True, False])
def test_dates_are_taken_only_where_the_work_is_still_what_was_solved(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch, changes_the_work: bool
) -> None:
    slowly = Slowly()
    with one_connection(empty_database_url) as (api, database), ThreadPoolExecutor(1) as pool:
        project = a_closure(api)
        item = an_item_of_work(api, project, days("2"), name="Drains")
        monkeypatch.setattr(service, "programme", slowly)
        asked = pool.submit(api.post, f"/projects/{project}/schedule/take-dates", json={})
        try:
            assert slowly.solving.wait(SECONDS)
            assert database.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
            # A scope item without a task is no part of the question.
            an_item_of_work(api, project, days("1") if changes_the_work else None, name="Sand")
            assert not asked.done()
        finally:
            slowly.go_on.set()
        answer, now = asked.result(SECONDS), api.get(f"/scope-items/{item['id']}").json()
        if changes_the_work:
            assert (answer.status_code, answer.json()["type"]) == (409, "/problems/changed-meanwhile")
            assert (now["starts_on"], now["version"]) == (None, 1)
        else:
            assert answer.status_code == 200
            assert [one["name"] for one in answer.json()["kept"]] == ["Sand"]
            assert (now["starts_on"], now["ends_on"], now["version"]) == ("2026-09-14", "2026-09-15", 2)
