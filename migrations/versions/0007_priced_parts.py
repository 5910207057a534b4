"""days and headings of scope items; parts, cash and ranges of estimate lines

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_NEW_ON_LINES = (
    "group", "resource", "part", "price_source", "priced_on", "cash_minor", "low_minor", "high_minor",
    "starts_on", "ends_on",
)  # fmt: skip


def upgrade() -> None:
    op.add_column("scope_items", sa.Column("starts_on", sa.Date(), nullable=True))
    op.add_column("scope_items", sa.Column("ends_on", sa.Date(), nullable=True))
    op.add_column("scope_items", sa.Column("group", sa.String(length=200), nullable=True))
    # What was priced before had one line for each resource, was all cash, and was done in the days of its project.
    op.add_column("estimates", sa.Column("cash_minor", sa.BigInteger(), nullable=False, server_default="0"))
    op.execute("UPDATE estimates SET cash_minor = total_minor")
    op.add_column("estimate_lines", sa.Column("group", sa.String(length=200), nullable=True))
    op.add_column("estimate_lines", sa.Column("resource", sa.Integer(), nullable=False, server_default="0"))
    op.add_column(
        "estimate_lines", sa.Column("part", sa.String(length=20), nullable=False, server_default="price")
    )
    op.add_column("estimate_lines", sa.Column("price_source", sa.String(length=20), nullable=True))
    op.add_column("estimate_lines", sa.Column("priced_on", sa.Date(), nullable=True))
    for name in ("cash_minor", "low_minor", "high_minor"):
        op.add_column("estimate_lines", sa.Column(name, sa.BigInteger(), nullable=True))
    for name in ("starts_on", "ends_on"):
        op.add_column(
            "estimate_lines", sa.Column(name, sa.Date(), nullable=False, server_default="1970-01-01")
        )
    op.add_column(
        "estimate_lines",
        sa.Column("rounding_rule", sa.String(length=200), nullable=False, server_default=""),
    )
    op.execute("UPDATE estimate_lines SET rounding_rule = rounding")
    op.drop_column("estimate_lines", "rounding")
    op.execute(
        "UPDATE estimate_lines SET cash_minor = amount_minor, low_minor = amount_minor, high_minor = amount_minor, "
        "resource = number"
    )
    for name in ("starts_on", "ends_on"):
        op.execute(
            f"UPDATE estimate_lines SET {name} = (SELECT projects.{name} FROM estimates JOIN projects "
            "ON projects.club_id = estimates.club_id AND projects.id = estimates.project_id "
            "WHERE estimates.club_id = estimate_lines.club_id AND estimates.id = estimate_lines.estimate_id)"
        )
    if (
        op.get_bind().dialect.name == "postgresql"
    ):  # SQLite cannot drop a default; every insert states the value
        op.alter_column("estimates", "cash_minor", server_default=None)
        for name in ("resource", "part", "starts_on", "ends_on", "rounding_rule"):
            op.alter_column("estimate_lines", name, server_default=None)


def downgrade() -> None:
    op.add_column(
        "estimate_lines",
        sa.Column("rounding", sa.String(length=40), nullable=False, server_default=""),
    )
    op.execute("UPDATE estimate_lines SET rounding = substr(rounding_rule, 1, 40)")
    op.drop_column("estimate_lines", "rounding_rule")
    if op.get_bind().dialect.name == "postgresql":
        op.alter_column("estimate_lines", "rounding", server_default=None)
    for name in _NEW_ON_LINES:
        op.drop_column("estimate_lines", name)
    op.drop_column("estimates", "cash_minor")
    for name in ("group", "ends_on", "starts_on"):
        op.drop_column("scope_items", name)
