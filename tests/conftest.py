"""Fixtures shared by all rooms: the service on each database, and a caller of its API."""

import os
import secrets
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import psycopg
import pytest
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings
from litestar.testing import TestClient
from sqlalchemy import make_url
from swardcost_api.access import service as access
from swardcost_api.settings import Settings
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_api.tables import METADATA
from swardcost_api.web.app import create_app
from swardcost_model.access import NewKey, Role

pytest_plugins = ["demo_played"]
THOROUGH = os.environ.get("SWARDCOST_TEST_THOROUGH") == "1"
"""Whether many more examples and requests are made up."""

hypothesis_settings.register_profile(
    "here",
    max_examples=200 if THOROUGH else 25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
hypothesis_settings.load_profile("here")

CLUB = "heron-mere"
MEMORY = Path("/dev/shm")
"""Where files are kept in memory, on systems that have such a place."""
POSTGRES = os.environ.get("SWARDCOST_TEST_POSTGRES", "postgresql+psycopg://postgres@127.0.0.1:5432/postgres")


def _libpq(url: str) -> str:
    return make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)


def _postgres_or_skip() -> None:
    try:
        psycopg.connect(_libpq(POSTGRES), connect_timeout=3).close()
    except psycopg.Error as error:
        reason = (
            f"no PostgreSQL to test on at {make_url(POSTGRES).render_as_string()} ({type(error).__name__})"
        )
        if os.environ.get("SWARDCOST_REQUIRE_POSTGRES"):
            pytest.fail(reason)
        pytest.skip(reason)


def new_database(kind: str, folder: Path) -> Iterator[str]:
    """The URL of a new, empty database of a kind; PostgreSQL's is dropped afterwards.

    What is written need not outlive the machine: SQLite's file is in memory where the system has a place for it, and
    PostgreSQL does not wait for its disk.
    """
    if kind == "sqlite":
        with tempfile.TemporaryDirectory(dir=MEMORY if os.access(MEMORY, os.W_OK) else folder) as place:
            yield f"sqlite:///{Path(place) / 'swardcost.db'}"
        return
    _postgres_or_skip()
    name = f"swardcost_test_{os.getpid()}_{secrets.token_hex(4)}"
    with psycopg.connect(_libpq(POSTGRES), autocommit=True) as admin:
        admin.execute(f'create database "{name}"')  # type: ignore[call-overload]
        admin.execute(f'alter database "{name}" set synchronous_commit to off')  # type: ignore[call-overload]
    try:
        yield make_url(POSTGRES).set(database=name).render_as_string(hide_password=False)
    finally:
        with psycopg.connect(_libpq(POSTGRES), autocommit=True) as admin:
            admin.execute(f'drop database "{name}" with (force)')  # type: ignore[call-overload]


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A database of each kind that the tests of this process share."""
    yield from new_database(request.param, tmp_path_factory.mktemp("shared"))


@pytest.fixture(
    scope="session",
    params=[
        pytest.param(kind, marks=pytest.mark.xdist_group(f"served on {kind}"))
        for kind in ("sqlite", "postgresql")
    ],
)
def served_database_url(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[str]:
    """A database of each kind that a server process of its own works on, for many tests."""
    yield from new_database(request.param, tmp_path_factory.mktemp("served"))


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A new, empty database of each kind for one test."""
    yield from new_database(request.param, tmp_path)


@dataclass
class Clock:
    """The service's clock: real time plus a shift that a test may move."""

    shift: timedelta = timedelta()

    def __call__(self) -> datetime:
        return datetime.now(UTC) + self.shift


@dataclass(frozen=True)
class Api:
    """A caller of the service with a key of one club; paths are below the club."""

    client: TestClient[Any]
    database: Database
    clock: Clock
    secret: str
    club: str = CLUB
    headers: dict[str, str] = field(default_factory=dict)

    def request(self, verb: str, path: str, **more: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.secret}"} | self.headers | more.pop("headers", {})
        url = path if path.startswith(("/v1", "/health")) else f"/v1/clubs/{self.club}{path}"
        return self.client.request(
            verb, url, headers={k: v for k, v in headers.items() if v is not None}, **more
        )

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.request("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self.request("POST", path, **more)

    def put(self, path: str, **more: Any) -> httpx.Response:
        return self.request("PUT", path, **more)

    def patch(self, path: str, **more: Any) -> httpx.Response:
        return self.request("PATCH", path, **more)

    def delete(self, path: str, **more: Any) -> httpx.Response:
        return self.request("DELETE", path, **more)

    def upload(self, path: str, text: str | bytes, **more: Any) -> httpx.Response:
        """Send a CSV file."""
        content = text if isinstance(text, bytes) else text.encode()
        return self.post(
            path, content=content, headers={"Content-Type": "text/csv"} | more.pop("headers", {}), **more
        )

    def created(self, path: str, json: Any) -> dict[str, Any]:
        """Post, insist on 201, and give back what was created."""
        response = self.post(path, json=json)
        assert response.status_code == 201, response.text
        document: dict[str, Any] = response.json()
        return document

    def as_role(self, role: str) -> "Api":
        """The same club through a new key of this role."""
        with self.database.writing() as session:
            work = UnitOfWork(session, self.club, OPERATOR, self.clock())
            return replace(self, secret=access.issue_key(work, NewKey(name=role, role=Role(role))).secret)

    def of_new_club(self, club: str, currency: str = "USD") -> "Api":
        """An owner of another club of the same service."""
        return replace(self, club=club, secret=found_club(self.database, club, self.clock, currency))


def found_club(database: Database, club: str, clock: Clock, currency: str = "USD") -> str:
    """Make a club and its owner's key."""
    with database.writing() as session:
        work = UnitOfWork(session, club, OPERATOR, clock())
        access.create_club(work, club.replace("-", " ").title(), currency)
        return access.issue_key(work, NewKey(name="Owner", role=Role.OWNER)).secret


@pytest.fixture(scope="session")
def service(database_url: str) -> Iterator[tuple[TestClient[Any], Database, Clock]]:
    """The service on this test process's database of each kind."""
    clock = Clock()
    app = create_app(Settings(database_url=database_url, log_level="error", log_format="text"), clock=clock)
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client, app.state.runtime.database, clock


@pytest.fixture
def api(service: tuple[TestClient[Any], Database, Clock]) -> Api:
    """An owner of the club heron-mere, in a service that holds nothing else."""
    client, database, clock = service
    clock.shift = timedelta()
    with database.writing() as session:
        for table in reversed(METADATA.sorted_tables):
            session.execute(table.delete())
    return Api(client, database, clock, found_club(database, CLUB, clock))
