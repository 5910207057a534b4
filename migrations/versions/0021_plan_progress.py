"""what approved projects of a capital plan were opened as, and that they are done

Revision ID: 0021
Revises: 0020
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    with op.batch_alter_table("plan_projects", schema=None) as batch_op:
        batch_op.add_column(sa.Column("completion", JSON, nullable=True))
        batch_op.create_foreign_key(
            batch_op.f("fk_plan_projects_club_id_opened_project_id"),
            "projects",
            ["club_id", "opened_project_id"],
            ["club_id", "id"],
        )
        batch_op.create_index(
            batch_op.f("ix_plan_projects_club_id_opened_project_id"),
            ["club_id", "opened_project_id"],
            unique=False,
        )


def downgrade() -> None:
    with op.batch_alter_table("plan_projects", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_plan_projects_club_id_opened_project_id"))
        batch_op.drop_constraint(batch_op.f("fk_plan_projects_club_id_opened_project_id"), type_="foreignkey")
        batch_op.drop_column("completion")
