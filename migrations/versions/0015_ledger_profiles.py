"""control totals of imports, and rows that are no postings

Revision ID: 0015
Revises: 0014
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("imports", sa.Column("rows_skipped", sa.Integer(), server_default="0", nullable=False))
    op.add_column("imports", sa.Column("opening_balances", sa.Integer(), server_default="0", nullable=False))
    op.create_table(
        "import_control_totals",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("import_id", sa.Uuid(), nullable=False),
        sa.Column("account", sa.String(length=60), nullable=False),
        sa.Column("row_count", sa.Integer(), nullable=False),
        sa.Column("debits_minor", sa.BigInteger(), nullable=False),
        sa.Column("credits_minor", sa.BigInteger(), nullable=False),
        sa.Column("opening_minor", sa.BigInteger(), nullable=True),
        sa.Column("closing_minor", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "import_id"],
            ["imports.club_id", "imports.id"],
            name=op.f("fk_import_control_totals_club_id_import_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "import_id", "account", name=op.f("pk_import_control_totals")),
    )


def downgrade() -> None:
    op.drop_table("import_control_totals")
    op.drop_column("imports", "opening_balances")
    op.drop_column("imports", "rows_skipped")
