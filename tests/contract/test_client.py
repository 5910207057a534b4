"""The client covers every operation, blocking and asynchronous alike, and the examples are what it records."""

import asyncio
import filecmp
import inspect
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
from paths import EXAMPLES, TOP
from recording import CLUB, Recorder, fresh_service, record, run_jobs_asked_about
from story import tell
from swardcost import AsyncClient, Client
from swardcost_api.web.rooms import ROOMS

OPERATIONS = {operation.id for room in ROOMS for operation in room.operations}


def test_the_blocking_client_covers_every_operation(empty_database_url: str) -> None:
    assert set(record(empty_database_url)) == OPERATIONS


def test_the_recorded_examples_are_fresh(tmp_path: Path) -> None:
    exchanges = record(f"sqlite:///{tmp_path / 'story.db'}")
    assert {path.stem for path in EXAMPLES.glob("*.json")} == set(exchanges)
    for operation, exchange in exchanges.items():
        committed = json.loads((EXAMPLES / f"{operation}.json").read_text(encoding="utf-8"))
        assert committed == exchange, f"{operation}: run `make openapi` and commit the outcome"


class Blocking:
    """An asynchronous client seen as a blocking one: every call is run to its end on one loop."""

    def __init__(self, target: Any, loop: asyncio.AbstractEventLoop) -> None:
        self._target = target
        self._loop = loop

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._target, name)
        if not callable(found):
            return Blocking(found, self._loop)

        def call(*arguments: Any, **named: Any) -> Any:
            outcome = found(*arguments, **named)
            if inspect.isasyncgen(outcome):
                return self._loop.run_until_complete(_collect(outcome))
            return self._loop.run_until_complete(outcome)

        return call


async def _collect(items: Any) -> list[Any]:
    return [item async for item in items]


class AsyncRecordingTransport(httpx.ASGITransport):
    """Sends to an application in this process and shows every exchange to a recorder."""

    def __init__(self, app: Any, recorder: Recorder) -> None:
        super().__init__(app=app)
        self._app = app
        self._recorder = recorder

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:
        await request.aread()
        run_jobs_asked_about(self._app, request)
        response = await super().handle_async_request(request)
        await response.aread()
        if response.is_success:
            self._recorder.note(request, response)
        return response


def test_the_asynchronous_client_covers_every_operation(tmp_path: Path) -> None:
    recorder = Recorder()
    with fresh_service(f"sqlite:///{tmp_path / 'story.db'}") as (app, _, secret):
        loop = asyncio.new_event_loop()
        transport = AsyncRecordingTransport(app, recorder)
        client = AsyncClient("http://testserver.local", club=CLUB, key=secret, transport=transport)
        try:
            tell(Blocking(client, loop))
            loop.run_until_complete(client.close())
        finally:
            loop.close()
    assert set(recorder.exchanges) == OPERATIONS


def test_the_blocking_client_is_the_one_written_from_the_asynchronous_one(tmp_path: Path) -> None:
    sys.path.insert(0, str(TOP / "tests" / "sdk"))
    from blocking_client import SDK, write_blocking_client

    write_blocking_client(tmp_path / "_sync")
    committed = sorted(path.name for path in (SDK / "_sync").glob("*.py"))
    assert sorted(path.name for path in (tmp_path / "_sync").glob("*.py")) == committed
    assert filecmp.cmpfiles(SDK / "_sync", tmp_path / "_sync", committed, shallow=False) == (
        committed,
        [],
        [],
    )


def test_the_client_imports_nothing_of_the_service() -> None:
    code = (
        "import sys, swardcost; "
        "bad = {'litestar','sqlalchemy','alembic','granian','pint','babel','psycopg','structlog','swardcost_api',"
        "'jinja2','numpy'} & set(sys.modules); "
        "sys.exit(', '.join(sorted(bad)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_client_is_a_context_manager_that_closes_its_connections() -> None:
    transport = httpx.MockTransport(lambda _: httpx.Response(200, json={"status": "live"}))
    with Client("http://127.0.0.1", club=CLUB, key="k", transport=transport) as client:
        assert client.service.live().status == "live"
    with pytest.raises(RuntimeError, match="closed"):
        client.service.live()
