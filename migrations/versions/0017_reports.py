"""own figures to complete, layouts of files for the accounts, and postings by reference

Revision ID: 0017
Revises: 0016
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "own_forecasts",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("budget_id", sa.Uuid(), nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=False),
        sa.Column("stated_on", sa.Date(), nullable=False),
        sa.Column("to_complete_minor", sa.BigInteger(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("stated_by", sa.String(length=200), nullable=False),
        sa.Column("stated_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_id"],
            ["budgets.club_id", "budgets.id"],
            name=op.f("fk_own_forecasts_club_id_budget_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_own_forecasts_club_id_budget_line_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_own_forecasts")),
    )
    op.create_index(
        op.f("ix_own_forecasts_club_id_budget_id_budget_line_id_stated_on"),
        "own_forecasts",
        ["club_id", "budget_id", "budget_line_id", "stated_on"],
    )
    op.create_table(
        "account_layouts",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("layout", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_account_layouts_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_account_layouts")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_account_layouts_club_id_name")),
    )

    # What invoices are found by among the postings.
    op.create_index("ix_postings_reference", "postings", ["club_id", sa.text("lower(reference)")])


def downgrade() -> None:
    op.drop_index("ix_postings_reference", table_name="postings")
    op.drop_table("account_layouts")
    op.drop_index(
        op.f("ix_own_forecasts_club_id_budget_id_budget_line_id_stated_on"), table_name="own_forecasts"
    )
    op.drop_table("own_forecasts")
