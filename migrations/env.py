"""Runs the migrations on the connection it is given (see `swardcost_api.storage.migration`)."""

from typing import Any, Literal

from alembic import context
from alembic.autogenerate.api import AutogenContext
from swardcost_api.storage.columns import JSON_DOCUMENT, UtcTime
from swardcost_api.tables import METADATA


def render_type(kind: str, item: Any, autogen: AutogenContext) -> str | Literal[False]:
    """Our own column types as plain SQLAlchemy ones, so that a migration does not change when they do."""
    if kind == "type" and isinstance(item, UtcTime):
        return "sa.DateTime(timezone=True)"
    if kind == "type" and item is JSON_DOCUMENT:
        autogen.imports.add("from sqlalchemy.dialects import postgresql")
        return 'sa.JSON().with_variant(postgresql.JSONB(), "postgresql")'
    return False


connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=METADATA,
    render_as_batch=connection.dialect.name == "sqlite",
    render_item=render_type,
)
with context.begin_transaction():
    context.run_migrations()
