"""the basis of an estimate, and offers chosen for a project's items

Revision ID: 0009
Revises: 0008
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "estimate_bases",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("estimate_id", sa.Uuid(), nullable=False),
        sa.Column("basis", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "estimate_id"],
            ["estimates.club_id", "estimates.id"],
            name=op.f("fk_estimate_bases_club_id_estimate_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "estimate_id", name=op.f("pk_estimate_bases")),
    )
    op.execute(
        "INSERT INTO estimate_bases (club_id, estimate_id, basis, version) SELECT club_id, id, '{}', 1 FROM estimates"
    )
    op.create_table(
        "chosen_prices",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("project_id", sa.Uuid(), nullable=False),
        sa.Column("item", sa.String(length=60), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("quote_request", sa.String(length=200), nullable=False),
        sa.Column("vendor_id", sa.Uuid(), nullable=False),
        sa.Column("vendor_name", sa.String(length=200), nullable=False),
        sa.Column("unit", sa.String(length=60), nullable=False),
        sa.Column("quantity", sa.String(length=30), nullable=False),
        sa.Column("price_micros", sa.BigInteger(), nullable=True),
        sa.Column("lump_minor", sa.BigInteger(), nullable=True),
        sa.Column("fixed_minor", sa.BigInteger(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=True),
        sa.Column("reference", sa.String(length=2000), nullable=False),
        sa.Column("offers_compared", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("chosen_by", sa.String(length=200), nullable=False),
        sa.Column("chosen_on", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "project_id"],
            ["projects.club_id", "projects.id"],
            name=op.f("fk_chosen_prices_club_id_project_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "project_id", "item", name=op.f("pk_chosen_prices")),
    )


def downgrade() -> None:
    for table in ("chosen_prices", "estimate_bases"):
        op.drop_table(table)
