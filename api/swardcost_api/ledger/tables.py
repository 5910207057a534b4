"""Import profiles, imports and their faults, postings with their parts and pairs, rules, and months."""

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
    false,
    text,
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
    rows_late: Mapped[int] = mapped_column(server_default="0")
    rows_skipped: Mapped[int] = mapped_column(server_default="0")
    opening_balances: Mapped[int] = mapped_column(server_default="0")
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


class ControlTotalRow(Table):
    """What the good rows of an import add up to in one account, and the balances that its file states."""

    __tablename__ = "import_control_totals"
    __table_args__ = (ForeignKeyConstraint(["club_id", "import_id"], ["imports.club_id", "imports.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    import_id: Mapped[UUID] = mapped_column(primary_key=True)
    account: Mapped[str] = mapped_column(String(60), primary_key=True)
    row_count: Mapped[int]
    debits_minor: Mapped[int] = mapped_column(BigInteger)
    credits_minor: Mapped[int] = mapped_column(BigInteger)
    opening_minor: Mapped[int | None] = mapped_column(BigInteger)
    closing_minor: Mapped[int | None] = mapped_column(BigInteger)


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

    `month` is the accounting month: that of the day, or where `late` the first open one after it. A posting that is
    `split` has no line of its own but parts; one with a `pair_id` is an original or a reversal.
    """

    __tablename__ = "postings"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "import_id"], ["imports.club_id", "imports.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "month", "posted_on", "fingerprint", "occurrence"),
        Index(None, "club_id", "budget_line_id", "account", "month", "amount_minor"),
        Index(
            "ix_postings_late",
            "club_id",
            "month",
            "posted_on",
            "fingerprint",
            "occurrence",
            postgresql_where=text("late"),
            sqlite_where=text("late = 1"),
        ),
        Index("ix_postings_reference", "club_id", text("lower(reference)")),
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
    project: Mapped[str | None] = mapped_column(String(60))
    late: Mapped[bool] = mapped_column(server_default=false())
    budget_line_id: Mapped[UUID | None]
    split: Mapped[bool] = mapped_column(server_default=false())
    pair_id: Mapped[UUID | None]
    rule_id: Mapped[UUID | None]
    assigned_by: Mapped[str | None] = mapped_column(String(4))
    decided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    decided_by: Mapped[str | None] = mapped_column(String(200))
    reason: Mapped[str | None] = mapped_column(String(2000))
    raw: Mapped[str] = mapped_column(Text)


class PostingPartRow(Table):
    """What of a split posting goes to one budget line; the parts of a posting sum to it."""

    __tablename__ = "posting_parts"
    __table_args__ = (
        ForeignKeyConstraint(
            ["club_id", "fingerprint", "occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
        ),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "budget_line_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    fingerprint: Mapped[UUID] = mapped_column(primary_key=True)
    occurrence: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    budget_line_id: Mapped[UUID]
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    percent_micros: Mapped[int | None] = mapped_column(BigInteger)


class ReversalRow(Table):
    """A confirmed pair. `before` is how the reversal was assigned until then."""

    __tablename__ = "reversals"
    __table_args__ = (
        ForeignKeyConstraint(
            ["club_id", "original_fingerprint", "original_occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
        ),
        ForeignKeyConstraint(
            ["club_id", "reversal_fingerprint", "reversal_occurrence"],
            ["postings.club_id", "postings.fingerprint", "postings.occurrence"],
        ),
        UniqueConstraint("club_id", "original_fingerprint", "original_occurrence"),
        UniqueConstraint("club_id", "reversal_fingerprint", "reversal_occurrence"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    original_fingerprint: Mapped[UUID]
    original_occurrence: Mapped[int]
    reversal_fingerprint: Mapped[UUID]
    reversal_occurrence: Mapped[int]
    reason: Mapped[str] = mapped_column(String(2000))
    confirmed_at: Mapped[datetime] = mapped_column(UtcTime)
    confirmed_by: Mapped[str] = mapped_column(String(200))
    before: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)


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
    project_code: Mapped[str | None] = mapped_column(String(60))
    budget_line_id: Mapped[UUID | None]
    version: Mapped[int]


class RuleShareRow(Table):
    __tablename__ = "rule_shares"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "rule_id"], ["assignment_rules.club_id", "assignment_rules.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "budget_line_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    rule_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    budget_line_id: Mapped[UUID]
    percent_micros: Mapped[int] = mapped_column(BigInteger)


class LedgerMonthRow(Table):
    """An accounting month that has, or had, a trial balance or was closed; others are open without a row."""

    __tablename__ = "ledger_months"

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    month: Mapped[str] = mapped_column(String(7), primary_key=True)
    closed: Mapped[bool]
    trial_balance: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class MonthEventRow(Table):
    """A closing or reopening of a month, with what the month came to at that moment."""

    __tablename__ = "ledger_month_events"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "month"], ["ledger_months.club_id", "ledger_months.month"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    month: Mapped[str] = mapped_column(String(7), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    action: Mapped[str] = mapped_column(String(10))
    at: Mapped[datetime] = mapped_column(UtcTime)
    actor: Mapped[str] = mapped_column(String(200))
    reason: Mapped[str] = mapped_column(String(2000))
    accept_unassigned: Mapped[str | None] = mapped_column(String(2000))
    postings: Mapped[int]
    debits_minor: Mapped[int] = mapped_column(BigInteger)
    credits_minor: Mapped[int] = mapped_column(BigInteger)
    unassigned_postings: Mapped[int]
    unassigned_minor: Mapped[int] = mapped_column(BigInteger)
    late_postings: Mapped[int]
    differences: Mapped[list[dict[str, Any]]] = mapped_column(JSON_DOCUMENT)
    fingerprint: Mapped[str] = mapped_column(String(32))
