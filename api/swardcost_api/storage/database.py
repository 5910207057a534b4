"""The database: one engine, and transactions for reading and for writing.

SQLite runs in WAL mode with foreign keys on; a writing transaction takes the write lock at its
start (`BEGIN IMMEDIATE`), so that two writers wait for each other instead of failing half way.
"""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from pydantic_core import from_json
from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.orm import Session

BUSY_TIMEOUT_SECONDS = 30
WAL_BYTES = 64 * 1024 * 1024
"""Size to which SQLite's write-ahead log is cut back after a checkpoint."""
IDLE_SECONDS = 2.0
"""After so long unused, a connection to a server is asked whether it still lives before it is used again."""


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
            # One for what is held while its transaction waits; one for reads that need no thread of their own.
            max_overflow=2 if self.is_sqlite else 1,
            pool_timeout=30,
            connect_args=connect_args,
            json_deserializer=from_json,  # several times faster than the standard library's
        )
        if self.is_sqlite:
            event.listen(self.engine, "connect", _prepare_sqlite)
            event.listen(self.engine, "begin", _begin_sqlite)
        else:
            event.listen(self.engine, "checkin", _note_use)
            event.listen(self.engine, "checkout", self._ping_if_idle)
        self._writer = self.engine.execution_options(sqlite_begin="IMMEDIATE")
        # On PostgreSQL a transaction costs two more trips; one statement alone needs none.
        self._reader = self._snapshot = self.engine
        if not self.is_sqlite:
            self._reader = self.engine.execution_options(isolation_level="AUTOCOMMIT")
            self._snapshot = self.engine.execution_options(isolation_level="REPEATABLE READ")

    @contextmanager
    def reading(self, *, snapshot: bool = True) -> Iterator[Session]:
        """A session that changes nothing, and whose statements all see the same moment.

        Without `snapshot` each statement sees what is committed when it runs, which is enough for one.
        """
        with Session(self._snapshot if snapshot else self._reader, autoflush=False) as session:
            yield session

    @contextmanager
    def writing(self, on: Connection | None = None) -> Iterator[Session]:
        """A session in a transaction that is committed at the end, or undone whole if anything fails.

        It runs `on` a connection that is held, where one is given.
        """
        if on is not None:
            on.execution_options(sqlite_begin="IMMEDIATE")
        with Session(on or self._writer, expire_on_commit=False) as session, session.begin():
            yield session

    def hold(self) -> Connection:
        """A connection for several transactions, with temporary tables of its own that outlast each of them.

        Its transactions take no write lock unless they are `writing` ones. `let_go` ends it.
        """
        return self.engine.connect()

    @staticmethod
    def let_go(connection: Connection) -> None:
        """Close a connection that was held for good, since what it has in temporary tables must not be found again."""
        connection.invalidate()
        connection.close()

    def _ping_if_idle(self, connection: Any, record: Any, _proxy: Any) -> None:
        """Have a connection replaced that died while it lay idle; asking each time would double a short read."""
        if time.monotonic() - record.info.get("used", 0.0) < IDLE_SECONDS:
            return
        try:
            alive = self.engine.dialect.do_ping(connection)
        except self.engine.dialect.loaded_dbapi.Error:
            alive = False
        if not alive:
            raise DisconnectionError

    def close(self) -> None:
        """Give back all connections."""
        self.engine.dispose()


def _note_use(_connection: Any, record: Any) -> None:
    record.info["used"] = time.monotonic()


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # transactions are begun by _begin_sqlite alone
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_SECONDS * 1000}")
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")  # what was acknowledged survives a power cut
    cursor.execute(f"PRAGMA journal_size_limit = {WAL_BYTES}")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    mode = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
    driver_connection = connection.connection.driver_connection
    assert driver_connection is not None
    driver_connection.execute(f"BEGIN {mode}")
