"""requests for quotes, and quotes received

Revision ID: 0010
Revises: 0009
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "quote_requests",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("project_id", sa.Uuid(), nullable=False),
        sa.Column("estimate_id", sa.Uuid(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("vendor_ids", JSON, nullable=False),
        sa.Column("items", JSON, nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("awards", JSON, nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("decided_by", sa.String(length=200), nullable=True),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "project_id"],
            ["projects.club_id", "projects.id"],
            name=op.f("fk_quote_requests_club_id_project_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "estimate_id"],
            ["estimates.club_id", "estimates.id"],
            name=op.f("fk_quote_requests_club_id_estimate_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_quote_requests")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_quote_requests_club_id_number")),
    )
    op.create_table(
        "quotes",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("request_id", sa.Uuid(), nullable=False),
        sa.Column("vendor_id", sa.Uuid(), nullable=False),
        sa.Column("quote", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "request_id"],
            ["quote_requests.club_id", "quote_requests.id"],
            name=op.f("fk_quotes_club_id_request_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "vendor_id"],
            ["vendors.club_id", "vendors.id"],
            name=op.f("fk_quotes_club_id_vendor_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_quotes")),
        sa.UniqueConstraint(
            "club_id", "request_id", "vendor_id", name=op.f("uq_quotes_club_id_request_id_vendor_id")
        ),
    )


def downgrade() -> None:
    for table in ("quotes", "quote_requests"):
        op.drop_table(table)
