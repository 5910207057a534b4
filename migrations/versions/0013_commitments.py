"""commitments, receipts and invoices

Revision ID: 0013
Revises: 0012
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "commitments",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("number_key", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("vendor", sa.String(length=200), nullable=False),
        sa.Column("vendor_key", sa.String(length=600), nullable=False),
        sa.Column("vendor_id", sa.Uuid(), nullable=True),
        sa.Column("budget_id", sa.Uuid(), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("signed_on", sa.Date(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("retainage_percent", sa.String(length=30), nullable=False),
        sa.Column("tolerance", JSON, nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("ordered_minor", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_id"],
            ["budgets.club_id", "budgets.id"],
            name=op.f("fk_commitments_club_id_budget_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "vendor_id"],
            ["vendors.club_id", "vendors.id"],
            name=op.f("fk_commitments_club_id_vendor_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_commitments")),
        sa.UniqueConstraint("club_id", "number_key", name=op.f("uq_commitments_club_id_number_key")),
    )
    op.create_index(op.f("ix_commitments_club_id_budget_id"), "commitments", ["club_id", "budget_id"])
    op.create_index(op.f("ix_commitments_club_id_vendor_key"), "commitments", ["club_id", "vendor_key"])
    op.create_table(
        "commitment_revisions",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("accept_less", sa.String(length=2000), nullable=True),
        sa.Column("adjustment_number", sa.Integer(), nullable=True),
        sa.Column("ordered_minor", sa.BigInteger(), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "commitment_id"],
            ["commitments.club_id", "commitments.id"],
            name=op.f("fk_commitment_revisions_club_id_commitment_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "commitment_id", "revision", name=op.f("pk_commitment_revisions")),
    )
    op.create_table(
        "commitment_lines",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("budget_line_id", sa.Uuid(), nullable=False),
        sa.Column("description", sa.String(length=200), nullable=False),
        sa.Column("unit", sa.String(length=60), nullable=False),
        sa.Column("quantity_micros", sa.BigInteger(), nullable=False),
        sa.Column("unit_price_micros", sa.BigInteger(), nullable=False),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("per_load_micros", sa.BigInteger(), nullable=True),
        sa.Column("expected_month", sa.String(length=7), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_commitment_lines_club_id_budget_line_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "commitment_id", "revision"],
            [
                "commitment_revisions.club_id",
                "commitment_revisions.commitment_id",
                "commitment_revisions.revision",
            ],
            name=op.f("fk_commitment_lines_club_id_commitment_id_revision"),
        ),
        sa.PrimaryKeyConstraint(
            "club_id", "commitment_id", "revision", "number", name=op.f("pk_commitment_lines")
        ),
    )
    op.create_table(
        "commitment_statuses",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "commitment_id"],
            ["commitments.club_id", "commitments.id"],
            name=op.f("fk_commitment_statuses_club_id_commitment_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "commitment_id", "number", name=op.f("pk_commitment_statuses")),
    )
    op.create_table(
        "receipts",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=False),
        sa.Column("ticket", sa.String(length=100), nullable=False),
        sa.Column("ticket_key", sa.String(length=300), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("voided_by", sa.String(length=200), nullable=True),
        sa.Column("void_reason", sa.String(length=2000), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "commitment_id"],
            ["commitments.club_id", "commitments.id"],
            name=op.f("fk_receipts_club_id_commitment_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_receipts")),
        sa.UniqueConstraint(
            "club_id",
            "commitment_id",
            "ticket_key",
            name=op.f("uq_receipts_club_id_commitment_id_ticket_key"),
        ),
    )
    op.create_index(op.f("ix_receipts_club_id_received_on_id"), "receipts", ["club_id", "received_on", "id"])
    op.create_table(
        "receipt_lines",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("receipt_id", sa.Uuid(), nullable=False),
        sa.Column("line_number", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=30), nullable=False),
        sa.Column("unit", sa.String(length=60), nullable=False),
        sa.Column("per_load", JSON, nullable=True),
        sa.Column("counted_micros", sa.BigInteger(), nullable=False),
        sa.Column("counted_unit", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "receipt_id"],
            ["receipts.club_id", "receipts.id"],
            name=op.f("fk_receipt_lines_club_id_receipt_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "receipt_id", "line_number", name=op.f("pk_receipt_lines")),
    )
    op.create_table(
        "invoices",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("commitment_id", sa.Uuid(), nullable=False),
        sa.Column("vendor_key", sa.String(length=600), nullable=False),
        sa.Column("number", sa.String(length=100), nullable=False),
        sa.Column("number_key", sa.String(length=300), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("invoiced_on", sa.Date(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("billed_minor", sa.BigInteger(), nullable=False),
        sa.Column("withheld_minor", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("decided_by", sa.String(length=200), nullable=True),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("accepted_differences", JSON, nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "commitment_id"],
            ["commitments.club_id", "commitments.id"],
            name=op.f("fk_invoices_club_id_commitment_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_invoices")),
        sa.UniqueConstraint(
            "club_id", "vendor_key", "number_key", name=op.f("uq_invoices_club_id_vendor_key_number_key")
        ),
    )
    op.create_index(op.f("ix_invoices_club_id_commitment_id"), "invoices", ["club_id", "commitment_id"])
    op.create_index(op.f("ix_invoices_club_id_invoiced_on_id"), "invoices", ["club_id", "invoiced_on", "id"])
    op.create_table(
        "invoice_lines",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("invoice_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("line_number", sa.Integer(), nullable=True),
        sa.Column("budget_line_id", sa.Uuid(), nullable=True),
        sa.Column("description", sa.String(length=200), nullable=False),
        sa.Column("quantity_micros", sa.BigInteger(), nullable=True),
        sa.Column("unit_price_micros", sa.BigInteger(), nullable=True),
        sa.Column("amount_minor", sa.BigInteger(), nullable=False),
        sa.Column("withheld_minor", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "budget_line_id"],
            ["budget_lines.club_id", "budget_lines.id"],
            name=op.f("fk_invoice_lines_club_id_budget_line_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "invoice_id"],
            ["invoices.club_id", "invoices.id"],
            name=op.f("fk_invoice_lines_club_id_invoice_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "invoice_id", "number", name=op.f("pk_invoice_lines")),
    )


def downgrade() -> None:
    for table in (
        "invoice_lines",
        "invoices",
        "receipt_lines",
        "receipts",
        "commitment_statuses",
        "commitment_lines",
        "commitment_revisions",
        "commitments",
    ):
        op.drop_table(table)
