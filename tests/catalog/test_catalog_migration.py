"""Prices stored before items had a currency of their own."""

from datetime import UTC, date, datetime
from uuid import UUID

from sqlalchemy import MetaData
from swardcost_api.catalog.items import all_items
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork

EDITION = UUID("019f0000-0000-7000-8000-000000000001")


def test_an_item_stored_before_terms_is_in_its_editions_currency_and_says_nothing_more(
    empty_database_url: str,
) -> None:
    database = Database(empty_database_url)
    migration.upgrade(database, "0005")
    before = MetaData()
    before.reflect(database.engine, only=["clubs", "editions", "items"])
    with database.engine.begin() as connection:
        connection.execute(
            before.tables["clubs"].insert().values(
                id="heron-mere", name="Heron Mere", currency="EUR", locale="en-US", unit_system="metric",
                ton="metric_ton", created_at=datetime(2026, 1, 1, tzinfo=UTC), version=1,
            )
        )  # fmt: skip
        id_of = EDITION.hex if database.is_sqlite else EDITION
        connection.execute(
            before.tables["editions"].insert().values(
                club_id="heron-mere", id=id_of, name="Spring", status="published", currency="EUR",
                price_date=date(2026, 3, 1), created_at=datetime(2026, 1, 1, tzinfo=UTC), version=1,
            )
        )  # fmt: skip
        connection.execute(
            before.tables["items"].insert().values(
                club_id="heron-mere", edition_id=id_of, code="SAND", kind="material", description="Sand",
                unit="metric_ton", price_micros=38_500_000, free=False, taxable=True, note="washed", version=3,
            )
        )  # fmt: skip
    migration.upgrade(database)
    with database.reading() as session:
        (item,) = all_items(UnitOfWork(session, "heron-mere", OPERATOR), EDITION)
    assert item.unit_price is not None
    assert (item.unit_price.amount * 2, item.unit_price.currency, item.currency) == (77, "EUR", "EUR")
    assert (item.tax_class, item.in_operating_budget, item.terms, item.reference) == (
        "standard",
        False,
        None,
        "",
    )
    assert (item.note, item.version) == ("washed", 3)
    migration.downgrade(database, "0005")
    migration.upgrade(database)
    database.close()
