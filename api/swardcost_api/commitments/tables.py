"""Commitments with their revisions and what became of them, receipts and invoices.

Quantities and unit prices are kept in millionths, money in minor units. Quantities and amounts of returns and credit
notes are kept below zero, so that sums need no case. A key such as `ticket_key` is the number casefolded while the
thing stands and null once it is voided: unique among what stands, and free to be used again.
"""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class CommitmentRow(Table):
    """A purchase order or contract; `revision`, `ordered_minor` and `status` say how it is now."""

    __tablename__ = "commitments"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        ForeignKeyConstraint(["club_id", "vendor_id"], ["vendors.club_id", "vendors.id"]),
        UniqueConstraint("club_id", "number_key"),
        Index(None, "club_id", "budget_id"),
        Index(None, "club_id", "vendor_key"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(60))
    number_key: Mapped[str] = mapped_column(String(200))
    kind: Mapped[str] = mapped_column(String(20))
    vendor: Mapped[str] = mapped_column(String(200))
    vendor_key: Mapped[str] = mapped_column(String(600))
    vendor_id: Mapped[UUID | None]
    budget_id: Mapped[UUID]
    title: Mapped[str] = mapped_column(String(200))
    signed_on: Mapped[date]
    status: Mapped[str] = mapped_column(String(20))
    retainage_percent: Mapped[str] = mapped_column(String(30))
    tolerance: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    note: Mapped[str] = mapped_column(String(2000))
    revision: Mapped[int]
    ordered_minor: Mapped[int] = mapped_column(BigInteger)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    version: Mapped[int]


class RevisionRow(Table):
    """A state of the ordered lines, in force from a day on."""

    __tablename__ = "commitment_revisions"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "commitment_id"], ["commitments.club_id", "commitments.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    commitment_id: Mapped[UUID] = mapped_column(primary_key=True)
    revision: Mapped[int] = mapped_column(primary_key=True)
    made_on: Mapped[date]
    reason: Mapped[str] = mapped_column(String(2000))
    accept_less: Mapped[str | None] = mapped_column(String(2000))
    adjustment_number: Mapped[int | None]
    ordered_minor: Mapped[int] = mapped_column(BigInteger)
    actor: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[datetime] = mapped_column(UtcTime)


class OrderedLineRow(Table):
    """A line of a revision. `per_load_micros` is what one load of it holds, in its unit."""

    __tablename__ = "commitment_lines"
    __table_args__ = (
        ForeignKeyConstraint(
            ["club_id", "commitment_id", "revision"],
            [
                "commitment_revisions.club_id",
                "commitment_revisions.commitment_id",
                "commitment_revisions.revision",
            ],
        ),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    commitment_id: Mapped[UUID] = mapped_column(primary_key=True)
    revision: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    budget_line_id: Mapped[UUID]
    description: Mapped[str] = mapped_column(String(200))
    unit: Mapped[str] = mapped_column(String(60))
    quantity_micros: Mapped[int] = mapped_column(BigInteger)
    unit_price_micros: Mapped[int] = mapped_column(BigInteger)
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    per_load_micros: Mapped[int | None] = mapped_column(BigInteger)
    expected_month: Mapped[str] = mapped_column(String(7))


class StatusRow(Table):
    """A commitment closed, cancelled or reopened, with the day and the reason."""

    __tablename__ = "commitment_statuses"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "commitment_id"], ["commitments.club_id", "commitments.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    commitment_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    status: Mapped[str] = mapped_column(String(20))
    since: Mapped[date]
    reason: Mapped[str] = mapped_column(String(2000))
    actor: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[datetime] = mapped_column(UtcTime)


class ReceiptRow(Table):
    """A delivery ticket, or goods sent back."""

    __tablename__ = "receipts"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "commitment_id"], ["commitments.club_id", "commitments.id"]),
        UniqueConstraint("club_id", "commitment_id", "ticket_key"),
        Index(None, "club_id", "received_on", "id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    commitment_id: Mapped[UUID]
    ticket: Mapped[str] = mapped_column(String(100))
    ticket_key: Mapped[str | None] = mapped_column(String(300))
    kind: Mapped[str] = mapped_column(String(20))
    received_on: Mapped[date]
    note: Mapped[str] = mapped_column(String(2000))
    actor: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    voided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    voided_by: Mapped[str | None] = mapped_column(String(200))
    void_reason: Mapped[str | None] = mapped_column(String(2000))


class ReceiptLineRow(Table):
    """What a ticket says of an ordered line, and the quantity that counts, in the order's unit."""

    __tablename__ = "receipt_lines"
    __table_args__ = (ForeignKeyConstraint(["club_id", "receipt_id"], ["receipts.club_id", "receipts.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    receipt_id: Mapped[UUID] = mapped_column(primary_key=True)
    line_number: Mapped[int] = mapped_column(primary_key=True)
    quantity: Mapped[str] = mapped_column(String(30))
    unit: Mapped[str] = mapped_column(String(60))
    per_load: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    counted_micros: Mapped[int] = mapped_column(BigInteger)
    counted_unit: Mapped[str] = mapped_column(String(60))


class InvoiceRow(Table):
    """A bill, a credit note, or a bill for retainage; one number is used once by a vendor."""

    __tablename__ = "invoices"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "commitment_id"], ["commitments.club_id", "commitments.id"]),
        UniqueConstraint("club_id", "vendor_key", "number_key"),
        Index(None, "club_id", "commitment_id"),
        Index(None, "club_id", "invoiced_on", "id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    commitment_id: Mapped[UUID]
    vendor_key: Mapped[str] = mapped_column(String(600))
    number: Mapped[str] = mapped_column(String(100))
    number_key: Mapped[str | None] = mapped_column(String(300))
    kind: Mapped[str] = mapped_column(String(20))
    invoiced_on: Mapped[date]
    due_on: Mapped[date | None]
    status: Mapped[str] = mapped_column(String(20))
    billed_minor: Mapped[int] = mapped_column(BigInteger)
    withheld_minor: Mapped[int] = mapped_column(BigInteger)
    note: Mapped[str] = mapped_column(String(2000))
    actor: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    decided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    decided_by: Mapped[str | None] = mapped_column(String(200))
    reason: Mapped[str | None] = mapped_column(String(2000))
    accepted_differences: Mapped[list[str]] = mapped_column(JSON_DOCUMENT)


class InvoiceLineRow(Table):
    """A billed line: of an ordered line, or without one and then of a budget line. Withheld below zero is paid out."""

    __tablename__ = "invoice_lines"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "invoice_id"], ["invoices.club_id", "invoices.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    invoice_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    line_number: Mapped[int | None]
    budget_line_id: Mapped[UUID | None]
    description: Mapped[str] = mapped_column(String(200))
    quantity_micros: Mapped[int | None] = mapped_column(BigInteger)
    unit_price_micros: Mapped[int | None] = mapped_column(BigInteger)
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    withheld_minor: Mapped[int] = mapped_column(BigInteger)
