"""capital plans and their projects

Revision ID: 0020
Revises: 0019
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "capital_plans",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("follows", sa.Uuid(), nullable=True),
        sa.Column("plan", JSON, nullable=False),
        sa.Column("assets", JSON, nullable=True),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("issued_by", sa.String(length=200), nullable=True),
        sa.Column("locked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("locked_by", sa.String(length=200), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_capital_plans_club_id")),
        sa.ForeignKeyConstraint(
            ["club_id", "follows"],
            ["capital_plans.club_id", "capital_plans.id"],
            name=op.f("fk_capital_plans_club_id_follows"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_capital_plans")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_capital_plans_club_id_name")),
    )
    op.create_table(
        "plan_projects",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("project", JSON, nullable=False),
        sa.Column("decision", JSON, nullable=True),
        sa.Column("carried_from", sa.Uuid(), nullable=True),
        sa.Column("opened_project_id", sa.Uuid(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "plan_id"],
            ["capital_plans.club_id", "capital_plans.id"],
            name=op.f("fk_plan_projects_club_id_plan_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_plan_projects")),
        sa.UniqueConstraint(
            "club_id", "plan_id", "number", name=op.f("uq_plan_projects_club_id_plan_id_number")
        ),
        sa.UniqueConstraint("club_id", "plan_id", "name", name=op.f("uq_plan_projects_club_id_plan_id_name")),
    )


def downgrade() -> None:
    op.drop_table("plan_projects")
    op.drop_table("capital_plans")
