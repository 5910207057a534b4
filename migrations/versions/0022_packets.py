"""issued packets, their files, and links to them

Revision ID: 0022
Revises: 0021
"""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "packets",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("title", sa.String(length=300), nullable=False),
        sa.Column("through", sa.String(length=7), nullable=True),
        sa.Column("locale", sa.String(length=20), nullable=False),
        sa.Column("unit_system", sa.String(length=20), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("issued_by", sa.String(length=200), nullable=False),
        sa.Column("supersedes", sa.Uuid(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_packets_club_id")),
        sa.ForeignKeyConstraint(
            ["club_id", "supersedes"],
            ["packets.club_id", "packets.id"],
            name=op.f("fk_packets_club_id_supersedes"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_packets")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_packets_club_id_number")),
        sa.UniqueConstraint("club_id", "supersedes", name=op.f("uq_packets_club_id_supersedes")),
    )
    op.create_table(
        "packet_files",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("packet_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("media_type", sa.String(length=100), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "packet_id"],
            ["packets.club_id", "packets.id"],
            name=op.f("fk_packet_files_club_id_packet_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "packet_id", "name", name=op.f("pk_packet_files")),
    )
    op.create_table(
        "packet_links",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("packet_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "packet_id"],
            ["packets.club_id", "packets.id"],
            name=op.f("fk_packet_links_club_id_packet_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_packet_links")),
        sa.UniqueConstraint("club_id", "token_hash", name=op.f("uq_packet_links_club_id_token_hash")),
    )


def downgrade() -> None:
    op.drop_table("packet_links")
    op.drop_table("packet_files")
    op.drop_table("packets")
