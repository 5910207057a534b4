"""what a price list says beside the unit price, and the vendors' terms in an edition

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_NEW_COLUMNS = (
    ("currency", sa.String(length=3)),
    ("low_micros", sa.BigInteger()),
    ("high_micros", sa.BigInteger()),
    ("cash_micros", sa.BigInteger()),
    ("tax_class", sa.String(length=60)),
    ("in_operating_budget", sa.Boolean()),
    ("valid_from", sa.Date()),
    ("reference", sa.String(length=2000)),
    ("terms", sa.JSON().with_variant(postgresql.JSONB(), "postgresql")),
)
_NEVER_NULL = ("currency", "tax_class", "in_operating_budget", "reference")


def upgrade() -> None:
    for name, kind in _NEW_COLUMNS:
        op.add_column("items", sa.Column(name, kind, nullable=True))
    # Until now every price was in the currency of its edition.
    op.execute(
        "update items set tax_class = 'standard', in_operating_budget = false, reference = '', currency = "
        "(select editions.currency from editions "
        "where editions.club_id = items.club_id and editions.id = items.edition_id)"
    )
    with op.batch_alter_table("items", schema=None) as batch_op:
        for name, kind in _NEW_COLUMNS:
            if name in _NEVER_NULL:
                batch_op.alter_column(name, existing_type=kind, nullable=False)
    op.create_table(
        "edition_vendors",
        sa.Column("club_id", sa.String(length=40), nullable=False),
        sa.Column("edition_id", sa.Uuid(), nullable=False),
        sa.Column("vendor_id", sa.Uuid(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("exchange_rate", sa.String(length=20), nullable=True),
        sa.Column("rate_date", sa.Date(), nullable=True),
        sa.Column("rate_source", sa.String(length=200), nullable=True),
        sa.Column("mobilization_micros", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "edition_id"],
            ["editions.club_id", "editions.id"],
            name=op.f("fk_edition_vendors_club_id_edition_id"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "vendor_id"],
            ["vendors.club_id", "vendors.id"],
            name=op.f("fk_edition_vendors_club_id_vendor_id"),
        ),
        sa.PrimaryKeyConstraint("club_id", "edition_id", "vendor_id", name=op.f("pk_edition_vendors")),
    )
    with op.batch_alter_table("edition_vendors", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_edition_vendors_club_id_vendor_id"), ["club_id", "vendor_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("edition_vendors", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_edition_vendors_club_id_vendor_id"))
    op.drop_table("edition_vendors")
    for name, _ in reversed(_NEW_COLUMNS):
        op.drop_column("items", name)
