"""The database: one engine, and transactions for reading and for writing.

SQLite runs in WAL mode with foreign keys on; a writing transaction takes the write lock at its
start (`BEGIN IMMEDIATE`), so that two writers wait for each other instead of failing half way.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.orm import Session

BUSY_TIMEOUT_SECONDS = 30


class Database:
    """An engine with its two kinds of transactions."""

    def __init__(self, url: str, pool_size: int = 10) -> None:
        parsed = make_url(url)
        self.is_sqlite = parsed.get_backend_name() == "sqlite"
        if self.is_sqlite and parsed.database:
            Path(parsed.database).parent.mkdir(parents=True, exist_ok=True)
        connect_args: dict[str, Any] = (
            {"timeout": BUSY_TIMEOUT_SECONDS} if self.is_sqlite else {"connect_timeout": 5}
        )
        self.engine: Engine = create_engine(
            parsed,
            pool_size=pool_size,
            max_overflow=0,
            pool_timeout=30,
            pool_pre_ping=not self.is_sqlite,
            connect_args=connect_args,
        )
        if self.is_sqlite:
            event.listen(self.engine, "connect", _prepare_sqlite)
            event.listen(self.engine, "begin", _begin_sqlite)
        self._writer = self.engine.execution_options(sqlite_begin="IMMEDIATE")

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session in a transaction that changes nothing."""
        with Session(self.engine, autoflush=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session in a transaction that is committed at the end, or undone whole if anything fails."""
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            yield session

    def close(self) -> None:
        """Give back all connections."""
        self.engine.dispose()


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin_sqlite alone
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_SECONDS * 1000}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = NORMAL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    mode = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
    driver_connection = connection.connection.driver_connection
    assert driver_connection is not None
    driver_connection.execute(f"BEGIN {mode}")
