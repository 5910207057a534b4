"""Import profiles, imports and their faults, postings, and assignment rules."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import (
    BigInteger,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class ProfileRow(Table):
    __tablename__ = "import_profiles"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    layout: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class ImportRow(Table):
    __tablename__ = "imports"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "profile_id"], ["import_profiles.club_id", "import_profiles.id"]),
        Index(None, "club_id", "profile_id", "sha256"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    profile_id: Mapped[UUID]
    profile_version: Mapped[int]
    filename: Mapped[str] = mapped_column(String(200))
    sha256: Mapped[str] = mapped_column(String(64))
    status: Mapped[str] = mapped_column(String(20))
    rows_read: Mapped[int]
    rows_posted: Mapped[int]
    rows_known: Mapped[int]
    rows_bad: Mapped[int]
    rows_assigned: Mapped[int]
    debits_minor: Mapped[int] = mapped_column(BigInteger)
    credits_minor: Mapped[int] = mapped_column(BigInteger)
    first_date: Mapped[date | None]
    last_date: Mapped[date | None]
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    actor: Mapped[str] = mapped_column(String(200))
    voided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    voided_by: Mapped[str | None] = mapped_column(String(200))
    void_reason: Mapped[str | None] = mapped_column(String(2000))
    weakened_by: Mapped[UUID | None]


class ImportFaultRow(Table):
    __tablename__ = "import_faults"
    __table_args__ = (ForeignKeyConstraint(["club_id", "import_id"], ["imports.club_id", "imports.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    import_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    row_number: Mapped[int]
    column_name: Mapped[str | None] = mapped_column(String(200))
    expected: Mapped[str] = mapped_column(String(200))
    got: Mapped[str | None] = mapped_column(String(200))


class PostingRow(Table):
    """A posting is told from all others by what it says: the fingerprint of its fields, and which of equal
    rows it is. The fingerprint's 16 bytes are kept in a UUID column, the type that stores and sorts them best.
    """

    __tablename__ = "postings"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "import_id"], ["imports.club_id", "imports.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "posted_on", "fingerprint", "occurrence"),
        Index(None, "club_id", "budget_line_id", "account", "month", "amount_minor"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    fingerprint: Mapped[UUID] = mapped_column(primary_key=True)
    occurrence: Mapped[int] = mapped_column(primary_key=True)
    import_id: Mapped[UUID]
    row_number: Mapped[int]
    posted_on: Mapped[date]
    month: Mapped[str] = mapped_column(String(7))
    account: Mapped[str] = mapped_column(String(60))
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    description: Mapped[str] = mapped_column(String(2000))
    vendor: Mapped[str | None] = mapped_column(String(300))
    reference: Mapped[str | None] = mapped_column(String(200))
    journal_id: Mapped[str | None] = mapped_column(String(100))
    journal_line: Mapped[str | None] = mapped_column(String(40))
    budget_line_id: Mapped[UUID | None]
    rule_id: Mapped[UUID | None]
    assigned_by: Mapped[str | None] = mapped_column(String(4))
    raw: Mapped[str] = mapped_column(Text)


class AssignmentRuleRow(Table):
    __tablename__ = "assignment_rules"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        UniqueConstraint("club_id", "budget_id", "name"),
        Index(None, "club_id", "budget_line_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    name: Mapped[str] = mapped_column(String(200))
    priority: Mapped[int]
    account: Mapped[str | None] = mapped_column(String(60))
    account_prefix: Mapped[str | None] = mapped_column(String(60))
    text_contains: Mapped[str | None] = mapped_column(String(200))
    vendor_contains: Mapped[str | None] = mapped_column(String(200))
    date_from: Mapped[date | None]
    date_to: Mapped[date | None]
    amount_min_minor: Mapped[int | None] = mapped_column(BigInteger)
    amount_max_minor: Mapped[int | None] = mapped_column(BigInteger)
    budget_line_id: Mapped[UUID]
    version: Mapped[int]
