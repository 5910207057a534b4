"""months, splits and reversals of the ledger; project codes; rules that split

Revision ID: 0016
Revises: 0015
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_FLAGS = ("late", "split")
_NULLABLE = {
    "project": sa.String(length=60),
    "pair_id": sa.Uuid(),
    "decided_at": sa.DateTime(timezone=True),
    "decided_by": sa.String(length=200),
    "reason": sa.String(length=2000),
}
_BY_DAY = "ix_postings_club_id_posted_on_fingerprint_occurrence"
_BY_MONTH = "ix_postings_club_id_month_posted_on_fingerprint_occurrence"


def upgrade() -> None:
    op.add_column("imports", sa.Column("rows_late", sa.Integer(), server_default="0", nullable=False))
    for flag in _FLAGS:
        op.add_column("postings", sa.Column(flag, sa.Boolean(), server_default=sa.false(), nullable=False))
    for name, kind in _NULLABLE.items():
        op.add_column("postings", sa.Column(name, kind, nullable=True))
    op.drop_index(op.f(_BY_DAY), table_name="postings")
    op.create_index(
        op.f(_BY_MONTH),
        "postings",
        ["club_id", "month", "posted_on", "fingerprint", "occurrence"],
        unique=False,
    )
    op.create_index(
        "ix_postings_late", "postings", ["club_id", "month", "posted_on", "fingerprint", "occurrence"], unique=False,
        postgresql_where=sa.text("late"), sqlite_where=sa.text("late = 1"),
    )  # fmt: skip
    _create_parts_and_pairs()
    _let_rules_split()
    _create_months()


def _create_parts_and_pairs() -> None:
    op.create_table(
        "posting_parts",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("fingerprint", sa.Uuid(), nullable=False),
        sa.Column("occurrence", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("percent_micros", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_posting_parts_club_id_budget_line_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "fingerprint", "occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
            name=op.f("fk_posting_parts_club_id_fingerprint_occurrence"),
        ),
        sa.PrimaryKeyConstraint(
            "club_id", "fingerprint", "occurrence", "number", name=op.f("pk_posting_parts")
        ),
    )
    op.create_index(
        op.f("ix_posting_parts_club_id_budget_line_id"),
        "posting_parts",
        ["club_id", "budget_line_id"],
        unique=False,
    )
    op.create_table(
        "reversals",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("original_fingerprint", sa.Uuid(), nullable=False),
        sa.Column("original_occurrence", sa.Integer(), nullable=False),
        sa.Column("reversal_fingerprint", sa.Uuid(), nullable=False),
        sa.Column("reversal_occurrence", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("confirmed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("confirmed_by", sa.String(length=200), nullable=False),
        sa.Column("before", JSON, nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "original_fingerprint", "original_occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
            name=op.f("fk_reversals_club_id_original_fingerprint_original_occurrence"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "reversal_fingerprint", "reversal_occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
            name=op.f("fk_reversals_club_id_reversal_fingerprint_reversal_occurrence"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_reversals")),
        sa.UniqueConstraint(
            "club_id",
            "original_fingerprint",
            "original_occurrence",
            name=op.f("uq_reversals_club_id_original_fingerprint_original_occurrence"),
        ),
        sa.UniqueConstraint(
            "club_id",
            "reversal_fingerprint",
            "reversal_occurrence",
            name=op.f("uq_reversals_club_id_reversal_fingerprint_reversal_occurrence"),
        ),
    )


def _let_rules_split() -> None:
    op.add_column("assignment_rules", sa.Column("project_code", sa.String(length=60), nullable=True))
    with op.batch_alter_table("assignment_rules") as batch_op:
        batch_op.alter_column("budget_line_id", existing_type=sa.Uuid(), nullable=True)
    op.create_table(
        "rule_shares",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("rule_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=False),
        sa.Column("percent_micros", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_rule_shares_club_id_budget_line_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "rule_id"],
            ["assignment_rules.club_id", "assignment_rules.id"],
            name=op.f("fk_rule_shares_club_id_rule_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "rule_id", "number", name=op.f("pk_rule_shares")),
    )
    op.create_index(
        op.f("ix_rule_shares_club_id_budget_line_id"),
        "rule_shares",
        ["club_id", "budget_line_id"],
        unique=False,
    )


def _create_months() -> None:
    op.create_table(
        "ledger_months",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("month", sa.String(length=7), nullable=False),
        sa.Column("closed", sa.Boolean(), nullable=False),
        sa.Column("trial_balance", JSON, nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_ledger_months_club_id")),
        sa.PrimaryKeyConstraint("club_id", "month", name=op.f("pk_ledger_months")),
    )
    op.create_table(
        "ledger_month_events",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("month", sa.String(length=7), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("action", sa.String(length=10), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("accept_unassigned", sa.String(length=2000), nullable=True),
        sa.Column("postings", sa.Integer(), nullable=False),
        sa.Column("debits_minor", sa.BigInteger(), nullable=False),
        sa.Column("credits_minor", sa.BigInteger(), nullable=False),
        sa.Column("unassigned_postings", sa.Integer(), nullable=False),
        sa.Column("unassigned_minor", sa.BigInteger(), nullable=False),
        sa.Column("late_postings", sa.Integer(), nullable=False),
        sa.Column("differences", JSON, nullable=False),
        sa.Column("fingerprint", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "month"],
            ["ledger_months.club_id", "ledger_months.month"],
            name=op.f("fk_ledger_month_events_club_id_month"),
        ),
        sa.PrimaryKeyConstraint("club_id", "month", "id", name=op.f("pk_ledger_month_events")),
    )


def downgrade() -> None:
    for table in ("ledger_month_events", "ledger_months", "rule_shares", "reversals", "posting_parts"):
        op.drop_table(table)
    # Rules that split have no line of their own; an earlier version has no place for them.
    op.execute("delete from assignment_rules where budget_line_id is null")
    with op.batch_alter_table("assignment_rules") as batch_op:
        batch_op.alter_column("budget_line_id", existing_type=sa.Uuid(), nullable=False)
    op.drop_column("assignment_rules", "project_code")
    op.drop_index("ix_postings_late", table_name="postings")
    op.drop_index(op.f(_BY_MONTH), table_name="postings")
    op.create_index(
        op.f(_BY_DAY), "postings", ["club_id", "posted_on", "fingerprint", "occurrence"], unique=False
    )
    for name in (*_FLAGS, *_NULLABLE):
        op.drop_column("postings", name)
    op.drop_column("imports", "rows_late")
