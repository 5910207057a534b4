"""Runs the story against the service with a fixed clock and fixed ids, and records what was sent and answered.

`python tests/contract/recording.py` writes the examples of the OpenAPI document; a test checks that they are fresh.
"""

import json
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID

import httpx
from litestar import Litestar
from litestar.testing import TestClient
from swardcost_api.access import service as access
from swardcost_api.settings import Settings
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_api.web.app import create_app
from swardcost_api.web.rooms import ROOMS
from swardcost_model.access import NewKey, Role

CLUB = "heron-mere"
_SECRET = re.compile(r"((?:sward|view)_[a-z0-9-]+_)[A-Za-z0-9_-]{43}")
_DIGEST = re.compile(r'("size":)\d+(,"sha256":")[0-9a-f]{64}')
"""Pictures in the files of a packet are drawn with the fonts of the machine."""
_SHOWN_ITEMS = 3


def fixed_clock() -> Any:
    """Every look at the clock is a second after the one before."""
    ticks = count()
    start = datetime(2026, 8, 20, 14, 0, tzinfo=UTC)
    return lambda: start + timedelta(seconds=next(ticks))


def fixed_ids() -> Any:
    """Ids that count upwards, in the form of the real ones."""
    numbers = count(1)
    return lambda: UUID(f"019f0000-0000-7000-8000-{next(numbers):012d}")


@contextmanager
def fresh_service(database_url: str) -> Iterator[tuple[Litestar, "TestClient[Any]", str]]:
    """The service with fixed clock and ids on an empty database, and the secret of the club's owner.

    Its jobs run when they are asked about (see `run_jobs_asked_about`), so that the order is the same each time.
    """
    clock, ids = fixed_clock(), fixed_ids()
    settings = Settings(database_url=database_url, log_level="error", log_format="text", run_jobs=False)
    app = create_app(settings, clock=clock, new_id=ids)
    with TestClient(app) as client:
        with app.state.runtime.database.writing() as session:
            work = UnitOfWork(session, CLUB, OPERATOR, clock(), ids)
            access.create_club(work, "Heron Mere Golf Club", "USD")
            secret = access.issue_key(work, NewKey(name="Owner", role=Role.OWNER)).secret
        yield app, client, secret


def run_jobs_asked_about(app: Litestar, request: httpx.Request) -> None:
    """Run what waits before a request that reads a job."""
    if request.method == "GET" and "/jobs/" in request.url.path:
        app.state.runtime.jobs.run_waiting()


@dataclass
class Recorder:
    """What each operation was first sent and successfully answered."""

    exchanges: dict[str, dict[str, Any]] = field(default_factory=dict)
    _patterns: list[tuple[str, "re.Pattern[str]", str]] = field(init=False)

    def __post_init__(self) -> None:
        operations = [operation for room in ROOMS for operation in room.operations]
        fixed_first = sorted(operations, key=lambda operation: operation.path.count("{"))
        self._patterns = [
            (one.verb, re.compile(re.sub(r"\{\w+\}", "[^/]+", one.path)), one.id) for one in fixed_first
        ]

    def note(self, request: httpx.Request, response: httpx.Response) -> None:
        """Keep an exchange, the first of its operation."""
        operation = next(
            name
            for verb, path, name in self._patterns
            if verb == request.method and path.fullmatch(request.url.path)
        )
        kept = self.exchanges.setdefault(operation, {})
        content_type = response.headers.get("content-type", "")
        if request.content and "request" not in kept:
            is_json = request.headers["content-type"].endswith("json")
            kept["request"] = json.loads(request.content) if is_json else request.content.decode()
        if content_type.startswith("application/json") and response.content and "response" not in kept:
            kept["response"] = _shortened(json.loads(_masked(response.text)))


def _masked(text: str) -> str:
    """The answer without what is drawn by chance, and what differs from machine to machine."""
    return _DIGEST.sub(r"\g<1>100000\g<2>" + "0" * 64, _SECRET.sub(r"\1" + "x" * 43, text))


class RecordingTransport(httpx.BaseTransport):
    """Sends through another transport and shows every exchange to a recorder."""

    def __init__(self, app: Litestar, inner: httpx.BaseTransport, recorder: Recorder) -> None:
        self._app = app
        self._inner = inner
        self._recorder = recorder

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        request.read()
        run_jobs_asked_about(self._app, request)
        response = self._inner.handle_request(request)
        response.read()
        if response.is_success:
            self._recorder.note(request, response)
        return response


def _shortened(answer: Any) -> Any:
    """An example shows the first entries of a long list."""
    if isinstance(answer, dict):
        return {key: _shortened(value) for key, value in answer.items()}
    if isinstance(answer, list):
        return [_shortened(value) for value in answer[:_SHOWN_ITEMS]]
    return answer


def record(database_url: str) -> dict[str, dict[str, Any]]:
    """Tell the story to the service, and give every exchange by operation."""
    from story import tell
    from swardcost import Client

    recorder = Recorder()
    with fresh_service(database_url) as (app, test_client, secret):
        transport = RecordingTransport(app, test_client._transport, recorder)
        tell(Client("http://testserver.local", club=CLUB, key=secret, transport=transport))
    return recorder.exchanges


def write_examples(folder: Path) -> None:
    """Write one file an operation."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        exchanges = record(f"sqlite:///{scratch}/story.db")
    for old in folder.glob("*.json"):
        old.unlink()
    for operation, exchange in exchanges.items():
        text = json.dumps(exchange, indent=1, ensure_ascii=False) + "\n"
        (folder / f"{operation}.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    from paths import EXAMPLES

    write_examples(EXAMPLES)
