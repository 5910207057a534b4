"""Runs the migrations on the connection it is given (see `swardcost_api.storage.migration`)."""

from alembic import context

from swardcost_api.tables import METADATA

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=METADATA,
    render_as_batch=connection.dialect.name == "sqlite",
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
