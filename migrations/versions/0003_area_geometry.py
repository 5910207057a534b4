"""outline and perimeter of areas that came from a map

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("areas", sa.Column("perimeter_m", sa.Double(), nullable=True))
    op.add_column(
        "areas",
        sa.Column("geometry", sa.JSON().with_variant(postgresql.JSONB(), "postgresql"), nullable=True),
    )


def downgrade() -> None:
    op.drop_column("areas", "geometry")
    op.drop_column("areas", "perimeter_m")
