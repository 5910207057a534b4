"""calendars of projects and tasks of scope items

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

DOCUMENT = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "project_calendars",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("project_id", sa.Uuid(), nullable=False),
        sa.Column("working_weekdays", DOCUMENT, nullable=False),
        sa.Column("shift_hours", sa.String(length=30), nullable=False),
        sa.Column("holidays", DOCUMENT, nullable=True),
        sa.Column("closed_days", DOCUMENT, nullable=False),
        sa.Column("worked_days", DOCUMENT, nullable=False),
        sa.Column("closure_first_day", sa.Date(), nullable=True),
        sa.Column("closure_last_day", sa.Date(), nullable=True),
        sa.Column("revenue_lost", DOCUMENT, nullable=True),
        sa.Column("weather_days", sa.Integer(), nullable=True),
        sa.Column("crews", DOCUMENT, nullable=False),
        sa.Column("machines", DOCUMENT, nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "project_id"],
            ["projects.club_id", "projects.id"],
            name=op.f("fk_project_calendars_club_id_project_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "project_id", name=op.f("pk_project_calendars")),
    )
    op.create_table(
        "schedule_tasks",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("scope_item_id", sa.Uuid(), nullable=False),
        sa.Column("project_id", sa.Uuid(), nullable=False),
        sa.Column("duration", DOCUMENT, nullable=False),
        sa.Column("crew", sa.String(length=200), nullable=True),
        sa.Column("people", sa.Integer(), nullable=True),
        sa.Column("machine", sa.String(length=200), nullable=True),
        sa.Column("machines", sa.Integer(), nullable=True),
        sa.Column("invasive", sa.Boolean(), nullable=False),
        sa.Column("recovery_days", sa.Integer(), nullable=False),
        sa.Column("earliest_start", sa.Date(), nullable=True),
        sa.Column("latest_finish", sa.Date(), nullable=True),
        sa.Column("predecessors", DOCUMENT, nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "project_id"],
            ["projects.club_id", "projects.id"],
            name=op.f("fk_schedule_tasks_club_id_project_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "scope_item_id"],
            ["scope_items.club_id", "scope_items.id"],
            name=op.f("fk_schedule_tasks_club_id_scope_item_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "scope_item_id", name=op.f("pk_schedule_tasks")),
    )
    op.create_index(op.f("ix_schedule_tasks_club_id_project_id"), "schedule_tasks", ["club_id", "project_id"])


def downgrade() -> None:
    op.drop_index(op.f("ix_schedule_tasks_club_id_project_id"), table_name="schedule_tasks")
    op.drop_table("schedule_tasks")
    op.drop_table("project_calendars")
