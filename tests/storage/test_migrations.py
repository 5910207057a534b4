"""The schema: upgrade, downgrade, no drift, and many processes starting at once."""

import multiprocessing

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.tables import METADATA


def test_upgrade_makes_every_table_and_downgrade_removes_them(empty_database_url: str) -> None:
    database = Database(empty_database_url)
    migration.upgrade(database)
    assert set(METADATA.tables) | {"alembic_version"} == set(inspect(database.engine).get_table_names())
    migration.downgrade(database, "base")
    assert inspect(database.engine).get_table_names() == ["alembic_version"]
    migration.upgrade(database)
    database.close()


@pytest.mark.filterwarnings("ignore:autogenerate skipping metadata-specified expression-based index")
@pytest.mark.filterwarnings("ignore:Skipped unsupported reflection of expression-based index")
def test_migrations_and_tables_do_not_drift_apart(empty_database_url: str) -> None:
    database = Database(empty_database_url)
    migration.upgrade(database)
    with database.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
        assert migration.is_current(connection)
    database.close()


def test_every_table_leads_its_key_with_the_club() -> None:
    for name, table in METADATA.tables.items():
        first = next(iter(table.primary_key.columns)).name
        assert first == ("id" if name == "clubs" else "club_id"), name
        for index in table.indexes:
            assert next(iter(index.columns)).name == "club_id", index.name


def _upgrade(url: str) -> None:
    database = Database(url)
    migration.upgrade(database)
    database.close()


def test_many_processes_may_upgrade_at_once(empty_database_url: str) -> None:
    context = multiprocessing.get_context("spawn")
    processes = [context.Process(target=_upgrade, args=(empty_database_url,)) for _ in range(4)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(60)
    assert [process.exitcode for process in processes] == [0, 0, 0, 0]
