"""assets

Revision ID: 0019
Revises: 0018
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "assets",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=30), nullable=False),
        sa.Column("asset", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_assets_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_assets")),
        sa.UniqueConstraint("club_id", "code", name=op.f("uq_assets_club_id_code")),
    )
    op.create_table(
        "asset_areas",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("asset_id", sa.Uuid(), nullable=False),
        sa.Column("area_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "asset_id"],
            ["assets.club_id", "assets.id"],
            name=op.f("fk_asset_areas_club_id_asset_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "area_id"], ["areas.club_id", "areas.id"], name=op.f("fk_asset_areas_club_id_area_id")
        ),
        sa.PrimaryKeyConstraint("club_id", "asset_id", "area_id", name=op.f("pk_asset_areas")),
    )
    op.create_index(op.f("ix_asset_areas_club_id_area_id"), "asset_areas", ["club_id", "area_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_asset_areas_club_id_area_id"), table_name="asset_areas")
    op.drop_table("asset_areas")
    op.drop_table("assets")
