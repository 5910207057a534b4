"""what quotes are asked on: needed quantities of estimate lines, hire by days, what is left out; what choices cover

Revision ID: 0011
Revises: 0010
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.add_column("estimate_lines", sa.Column("needed", sa.String(length=30), nullable=True))
    op.add_column("estimate_lines", sa.Column("needed_unit", sa.String(length=60), nullable=True))
    # What was priced by a chosen lump sum, or by rental terms, did not keep the quantity behind it.
    op.execute(
        "UPDATE estimate_lines SET needed = quantity, needed_unit = unit "
        "WHERE part = 'price' AND rounding_rule <> 'lump sum'"
    )
    op.add_column("quote_requests", sa.Column("left_out", JSON, nullable=False, server_default="[]"))
    op.add_column(
        "chosen_prices",
        sa.Column("lump_holds_percent", sa.String(length=30), nullable=False, server_default="10"),
    )
    op.add_column("chosen_prices", sa.Column("scope_item_ids", JSON, nullable=True))
    op.add_column("chosen_prices", sa.Column("rental", JSON, nullable=True))
    if op.get_bind().dialect.name == "postgresql":  # SQLite cannot drop a default; every insert states it
        op.alter_column("quote_requests", "left_out", server_default=None)
        op.alter_column("chosen_prices", "lump_holds_percent", server_default=None)


def downgrade() -> None:
    for name in ("rental", "scope_item_ids", "lump_holds_percent"):
        op.drop_column("chosen_prices", name)
    op.drop_column("quote_requests", "left_out")
    for name in ("needed_unit", "needed"):
        op.drop_column("estimate_lines", name)
