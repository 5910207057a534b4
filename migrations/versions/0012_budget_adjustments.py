"""adjustments, approval limits and progress of budgets; quantities of their lines; unplanned work

Revision ID: 0012
Revises: 0011
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.add_column("budget_lines", sa.Column("scope_item", sa.String(length=200), nullable=True))
    # A line was a scope item as a whole before, and had its name.
    op.execute("UPDATE budget_lines SET scope_item = substr(label, 1, 200) WHERE scope_item_id IS NOT NULL")
    op.add_column("budget_lines", sa.Column("quantity", sa.String(length=30), nullable=True))
    op.add_column("budget_lines", sa.Column("unit", sa.String(length=60), nullable=True))
    op.add_column("budget_lines", sa.Column("unit_price_micros", sa.BigInteger(), nullable=True))
    op.add_column(
        "budget_lines", sa.Column("unplanned", sa.Boolean(), nullable=False, server_default=sa.false())
    )
    op.add_column("budget_lines", sa.Column("opened_by", sa.Integer(), nullable=True))
    if (
        op.get_bind().dialect.name == "postgresql"
    ):  # SQLite cannot drop a default; every insert states the value
        op.alter_column("budget_lines", "unplanned", server_default=None)
    _create_adjustments()
    op.create_table(
        "approval_limits",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("limits", JSON, nullable=False),
        sa.Column("another_person", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_approval_limits_club_id")),
        sa.PrimaryKeyConstraint("club_id", name=op.f("pk_approval_limits")),
    )
    op.create_table(
        "budget_progress",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("budget_id", sa.Uuid(), nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=False),
        sa.Column("measured_on", sa.Date(), nullable=False),
        sa.Column("done", sa.String(length=30), nullable=False),
        sa.Column("correction", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("measured_by", sa.String(length=200), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_budget_progress_club_id_budget_line_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_budget_progress")),
        sa.UniqueConstraint(
            "club_id",
            "budget_line_id",
            "measured_on",
            name=op.f("uq_budget_progress_club_id_budget_line_id_measured_on"),
        ),
    )
    op.create_index(
        op.f("ix_budget_progress_club_id_budget_id_measured_on"),
        "budget_progress",
        ["club_id", "budget_id", "measured_on"],
    )
    op.create_table(
        "unplanned_work",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("budget_id", sa.Uuid(), nullable=False),
        sa.Column("adjustment_id", sa.Uuid(), nullable=False),
        sa.Column("priced", JSON, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_id"],
            ["budgets.club_id", "budgets.id"],
            name=op.f("fk_unplanned_work_club_id_budget_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "adjustment_id"],
            ["budget_adjustments.club_id", "budget_adjustments.id"],
            name=op.f("fk_unplanned_work_club_id_adjustment_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_unplanned_work")),
    )


def _create_adjustments() -> None:
    op.create_table(
        "budget_adjustments",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("budget_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("effective_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("reference", sa.String(length=200), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=True),
        sa.Column("unplanned", sa.Boolean(), nullable=False),
        sa.Column("new_lines", JSON, nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("net_minor", sa.BigInteger(), nullable=False),
        sa.Column("proposed_by", sa.String(length=200), nullable=False),
        sa.Column("proposed_by_key", sa.Uuid(), nullable=True),
        sa.Column("proposed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("decided_by", sa.String(length=200), nullable=True),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("decision_note", sa.String(length=2000), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_id"],
            ["budgets.club_id", "budgets.id"],
            name=op.f("fk_budget_adjustments_club_id_budget_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_budget_adjustments")),
        sa.UniqueConstraint(
            "club_id", "budget_id", "number", name=op.f("uq_budget_adjustments_club_id_budget_id_number")
        ),
    )
    op.create_table(
        "budget_adjustment_entries",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("adjustment_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=True),
        sa.Column("new_line", sa.Integer(), nullable=True),
        sa.Column("month", sa.String(length=7), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("quantity", sa.String(length=30), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "adjustment_id"],
            ["budget_adjustments.club_id", "budget_adjustments.id"],
            name=op.f("fk_budget_adjustment_entries_club_id_adjustment_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_budget_adjustment_entries_club_id_budget_line_id"),
        ),
        sa.PrimaryKeyConstraint(
            "club_id", "adjustment_id", "number", name=op.f("pk_budget_adjustment_entries")
        ),
    )


def downgrade() -> None:
    for table in (
        "unplanned_work",
        "budget_progress",
        "approval_limits",
        "budget_adjustment_entries",
        "budget_adjustments",
    ):
        op.drop_table(table)
    for name in ("opened_by", "unplanned", "unit_price_micros", "unit", "quantity", "scope_item"):
        op.drop_column("budget_lines", name)
