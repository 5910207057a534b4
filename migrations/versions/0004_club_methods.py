"""club methods

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "club_methods",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_club_methods_club_id")),
        sa.PrimaryKeyConstraint("club_id", "name", name=op.f("pk_club_methods")),
    )
    op.create_table(
        "club_method_revisions",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("fields", sa.JSON().with_variant(postgresql.JSONB(), "postgresql"), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "name"],
            ["club_methods.club_id", "club_methods.name"],
            name=op.f("fk_club_method_revisions_club_id_name"),
        ),
        sa.PrimaryKeyConstraint("club_id", "name", "number", name=op.f("pk_club_method_revisions")),
    )
    op.create_table(
        "scope_methods",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("scope_item_id", sa.Uuid(), nullable=False),
        sa.Column("method", sa.String(length=60), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "method", "revision"],
            [
                "club_method_revisions.club_id",
                "club_method_revisions.name",
                "club_method_revisions.number",
            ],
            name=op.f("fk_scope_methods_club_id_method_revision"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "scope_item_id"],
            ["scope_items.club_id", "scope_items.id"],
            name=op.f("fk_scope_methods_club_id_scope_item_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "scope_item_id", name=op.f("pk_scope_methods")),
    )
    with op.batch_alter_table("scope_methods", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_scope_methods_club_id_method_revision"),
            ["club_id", "method", "revision"],
            unique=False,
        )


def downgrade() -> None:
    with op.batch_alter_table("scope_methods", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_scope_methods_club_id_method_revision"))
    op.drop_table("scope_methods")
    op.drop_table("club_method_revisions")
    op.drop_table("club_methods")
