"""While a schedule is solved, no connection is held and no other reader waits."""

import threading
from concurrent.futures import ThreadPoolExecutor
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


def test_reads_and_writes_pass_a_schedule_that_is_being_solved_with_one_connection(
    empty_database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    solving, go_on = threading.Event(), threading.Event()

    def slowly(**question: Any) -> Programme:
        solving.set()
        assert go_on.wait(SECONDS)
        return programme(**question)

    settings = Settings(database_url=empty_database_url, log_level="error", log_format="text", pool_size=1)
    app, clock = create_app(settings), Clock()
    with TestClient(app, raise_server_exceptions=False) as client, ThreadPoolExecutor(1) as pool:
        database: Database = app.state.runtime.database
        api = Api(client, database, clock, found_club(database, CLUB, clock))
        project = a_closure(api)
        an_item_of_work(api, project, days("2"), name="Drains")
        monkeypatch.setattr(service, "programme", slowly)
        asked = pool.submit(api.get, f"/projects/{project}/schedule")
        try:
            assert solving.wait(SECONDS)
            assert database.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
            assert api.get(f"/projects/{project}/tasks", timeout=SECONDS).status_code == 200
            an_item_of_work(api, project, days("1"), name="Sand")
            assert not asked.done()
        finally:
            go_on.set()
        answer = asked.result(SECONDS)
        assert answer.status_code == 200
        # It answers for the moment at which it read.
        assert [task["name"] for task in answer.json()["tasks"]] == ["Drains"]
