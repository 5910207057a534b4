"""alternates of a scope, uncertainty of estimates, simulations, comparisons and life-cycle studies

Revision ID: 0018
Revises: 0017
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "alternates",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("project_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("choose_one", sa.String(length=200), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "project_id"],
            ["projects.club_id", "projects.id"],
            name=op.f("fk_alternates_club_id_project_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_alternates")),
        sa.UniqueConstraint(
            "club_id", "project_id", "number", name=op.f("uq_alternates_club_id_project_id_number")
        ),
        sa.UniqueConstraint(
            "club_id", "project_id", "name", name=op.f("uq_alternates_club_id_project_id_name")
        ),
    )
    op.create_table(
        "alternate_scope_items",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("alternate_id", sa.Uuid(), nullable=False),
        sa.Column("scope_item_id", sa.Uuid(), nullable=False),
        sa.Column("brings", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "alternate_id"],
            ["alternates.club_id", "alternates.id"],
            name=op.f("fk_alternate_scope_items_club_id_alternate_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "scope_item_id"],
            ["scope_items.club_id", "scope_items.id"],
            name=op.f("fk_alternate_scope_items_club_id_scope_item_id"),
        ),
        sa.PrimaryKeyConstraint(
            "club_id", "alternate_id", "scope_item_id", name=op.f("pk_alternate_scope_items")
        ),
    )
    op.create_index(
        op.f("ix_alternate_scope_items_club_id_scope_item_id"),
        "alternate_scope_items",
        ["club_id", "scope_item_id"],
    )
    op.create_table(
        "alternate_needs",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("alternate_id", sa.Uuid(), nullable=False),
        sa.Column("needed_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "alternate_id"],
            ["alternates.club_id", "alternates.id"],
            name=op.f("fk_alternate_needs_club_id_alternate_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "needed_id"],
            ["alternates.club_id", "alternates.id"],
            name=op.f("fk_alternate_needs_club_id_needed_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "alternate_id", "needed_id", name=op.f("pk_alternate_needs")),
    )
    op.create_index(op.f("ix_alternate_needs_club_id_needed_id"), "alternate_needs", ["club_id", "needed_id"])
    op.create_table(
        "estimate_uncertainties",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("estimate_id", sa.Uuid(), nullable=False),
        sa.Column("uncertainty", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "estimate_id"],
            ["estimates.club_id", "estimates.id"],
            name=op.f("fk_estimate_uncertainties_club_id_estimate_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "estimate_id", name=op.f("pk_estimate_uncertainties")),
    )
    op.create_table(
        "simulations",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("estimate_id", sa.Uuid(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("trials", sa.Integer(), nullable=False),
        sa.Column("asked", JSON, nullable=False),
        sa.Column("found", JSON, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "estimate_id"],
            ["estimates.club_id", "estimates.id"],
            name=op.f("fk_simulations_club_id_estimate_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_simulations")),
    )
    op.create_index(op.f("ix_simulations_club_id_estimate_id"), "simulations", ["club_id", "estimate_id"])
    op.create_table(
        "comparisons",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("comparison", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_comparisons_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_comparisons")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_comparisons_club_id_name")),
    )
    op.create_table(
        "life_cycle_studies",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("study", JSON, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["clubs.id"], name=op.f("fk_life_cycle_studies_club_id")),
        sa.PrimaryKeyConstraint("club_id", "id", name=op.f("pk_life_cycle_studies")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_life_cycle_studies_club_id_name")),
    )

    # Estimates priced before have no uncertainty written down; every new one begins with none.
    op.execute(
        "INSERT INTO estimate_uncertainties (club_id, estimate_id, uncertainty, version) "
        "SELECT club_id, id, '{}', 1 FROM estimates"
    )


def downgrade() -> None:
    op.drop_table("life_cycle_studies")
    op.drop_table("comparisons")
    op.drop_index(op.f("ix_simulations_club_id_estimate_id"), table_name="simulations")
    op.drop_table("simulations")
    op.drop_table("estimate_uncertainties")
    op.drop_index(op.f("ix_alternate_needs_club_id_needed_id"), table_name="alternate_needs")
    op.drop_table("alternate_needs")
    op.drop_index(op.f("ix_alternate_scope_items_club_id_scope_item_id"), table_name="alternate_scope_items")
    op.drop_table("alternate_scope_items")
    op.drop_table("alternates")
