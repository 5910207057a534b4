"""Bringing the database to the current schema; safe when several processes start at once."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from swardcost_api.storage.database import Database

_LOCK = 0x5357_4152_4443_4F53
"""Advisory lock number, the same in every process of this service."""


def migrations_folder() -> Path:
    """Where the migration scripts are: beside this file when installed, else at the project's top."""
    installed = Path(__file__).parent / "migrations"
    return installed if installed.is_dir() else Path(__file__).parents[3] / "migrations"


def upgrade(database: Database, revision: str = "head") -> None:
    """Upgrade the schema in one transaction.

    A second process waits (SQLite: for the write lock; PostgreSQL: for an advisory lock), then finds
    nothing left to do.
    """
    with _locked(database) as connection:
        command.upgrade(_config(connection), revision)


def downgrade(database: Database, revision: str) -> None:
    """Downgrade the schema to an earlier revision, in one transaction."""
    with _locked(database) as connection:
        command.downgrade(_config(connection), revision)


def is_current(connection: Connection) -> bool:
    """Whether the schema is the one that this code was written for."""
    version = connection.execute(text("select version_num from alembic_version")).scalar()
    return bool(version == ScriptDirectory(str(migrations_folder())).get_current_head())


@contextmanager
def _locked(database: Database) -> Iterator[Connection]:
    engine = database.engine.execution_options(sqlite_begin="IMMEDIATE")
    with engine.begin() as connection:
        if not database.is_sqlite:
            connection.execute(text("select pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        yield connection


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
