"""jobs and the files they wait with

Revision ID: 0014
Revises: 0013
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
OPEN = sa.text("status in ('queued', 'running')")


def upgrade() -> None:
    op.create_table(
        "jobs",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("status", sa.String(length=10), nullable=False),
        sa.Column("arguments", JSON, nullable=False),
        sa.Column("done", sa.BigInteger(), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=True),
        sa.Column("unit", sa.String(length=10), nullable=False),
        sa.Column("note", sa.String(length=60), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("holder", sa.Uuid(), nullable=True),
        sa.Column("beats", sa.BigInteger(), nullable=False),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("actor_role", sa.String(length=20), nullable=False),
        sa.Column("actor_key_id", sa.Uuid(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("result", JSON, nullable=True),
        sa.Column("problem", JSON, nullable=True),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_jobs_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_jobs")),
    )
    op.create_index(
        op.f("ix_jobs_club_id_status_id"), "jobs", ["club_id", "status", "id"], unique=False,
        sqlite_where=OPEN, postgresql_where=OPEN,
    )  # fmt: skip
    op.create_table(
        "job_chunks",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "job_id"], ["jobs.club_id", "jobs.id"], name=op.f("fk_job_chunks_club_id_job_id")
        ),
        sa.PrimaryKeyConstraint("club_id", "job_id", "number", name=op.f("pk_job_chunks")),
    )
    if op.get_bind().dialect.name == "postgresql":
        # The bytes stay for seconds; packing them on the way in and out would take longer than the disk does.
        op.execute("alter table job_chunks alter column content set storage external")


def downgrade() -> None:
    for table in ("job_chunks", "jobs"):
        op.drop_table(table)
