"""who voided an import, when and why, and which others it weakened

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("imports", sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("imports", sa.Column("voided_by", sa.String(length=200), nullable=True))
    op.add_column("imports", sa.Column("void_reason", sa.String(length=2000), nullable=True))
    op.add_column("imports", sa.Column("weakened_by", sa.Uuid(), nullable=True))


def downgrade() -> None:
    op.drop_column("imports", "weakened_by")
    op.drop_column("imports", "void_reason")
    op.drop_column("imports", "voided_by")
    op.drop_column("imports", "voided_at")
