"""tax rates by place, exemption certificates, price indices

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "tax_rates",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=False),
        sa.Column("tax_class", sa.String(length=60), nullable=False),
        sa.Column("percent", sa.String(length=30), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=True),
        sa.Column("source", sa.String(length=200), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_tax_rates_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_tax_rates")),
    )
    op.create_index(
        op.f("ix_tax_rates_club_id_place_tax_class_valid_from"),
        "tax_rates",
        ["club_id", "place", "tax_class", "valid_from"],
    )
    op.create_table(
        "exemptions",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.String(length=200), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=True),
        sa.Column("tax_classes", JSON, nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_exemptions_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_exemptions")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_exemptions_club_id_number")),
    )
    op.create_table(
        "index_series",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("source", sa.String(length=200), nullable=False),
        sa.Column("value_by_month", JSON, nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_index_series_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_index_series")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_index_series_club_id_name")),
    )


def downgrade() -> None:
    for table in ("index_series", "exemptions", "tax_rates"):
        op.drop_table(table)
