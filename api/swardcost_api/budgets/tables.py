"""Budgets, their lines and months; adjustments, limits of approval, measured progress."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class BudgetRow(Table):
    __tablename__ = "budgets"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
        UniqueConstraint("club_id", "estimate_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    project_id: Mapped[UUID]
    estimate_id: Mapped[UUID]
    name: Mapped[str] = mapped_column(String(300))
    total_minor: Mapped[int] = mapped_column(BigInteger)
    created_at: Mapped[datetime] = mapped_column(UtcTime)


class BudgetLineRow(Table):
    """A line; amount and quantity are the original ones, which are nothing for a line that an adjustment opened."""

    __tablename__ = "budget_lines"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        UniqueConstraint("club_id", "budget_id", "number"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    number: Mapped[int]
    label: Mapped[str] = mapped_column(String(300))
    scope_item_id: Mapped[UUID | None]
    scope_item: Mapped[str | None] = mapped_column(String(200))
    markup: Mapped[str | None] = mapped_column(String(40))
    account: Mapped[str | None] = mapped_column(String(60))
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    quantity: Mapped[str | None] = mapped_column(String(30))
    unit: Mapped[str | None] = mapped_column(String(60))
    unit_price_micros: Mapped[int | None] = mapped_column(BigInteger)
    unplanned: Mapped[bool]
    opened_by: Mapped[int | None]


class BudgetMonthRow(Table):
    """The original amount of a line in a month."""

    __tablename__ = "budget_months"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "month"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    budget_line_id: Mapped[UUID] = mapped_column(primary_key=True)
    month: Mapped[str] = mapped_column(String(7), primary_key=True)
    amount_minor: Mapped[int] = mapped_column(BigInteger)


class AdjustmentRow(Table):
    """A numbered change to a budget. `new_lines` are the lines that it opens once approved."""

    __tablename__ = "budget_adjustments"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        UniqueConstraint("club_id", "budget_id", "number"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    number: Mapped[int]
    kind: Mapped[str] = mapped_column(String(20))
    status: Mapped[str] = mapped_column(String(20))
    effective_on: Mapped[date]
    reason: Mapped[str] = mapped_column(String(2000))
    reference: Mapped[str] = mapped_column(String(200))
    commitment_id: Mapped[UUID | None]
    unplanned: Mapped[bool]
    new_lines: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    net_minor: Mapped[int] = mapped_column(BigInteger)
    proposed_by: Mapped[str] = mapped_column(String(200))
    proposed_by_key: Mapped[UUID | None]
    proposed_at: Mapped[datetime] = mapped_column(UtcTime)
    decided_by: Mapped[str | None] = mapped_column(String(200))
    decided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    decision_note: Mapped[str | None] = mapped_column(String(2000))


class AdjustmentEntryRow(Table):
    """Money to or from a month of a line; of a line to be opened, the line is filled in when it is."""

    __tablename__ = "budget_adjustment_entries"
    __table_args__ = (
        ForeignKeyConstraint(
            ["club_id", "adjustment_id"], ["budget_adjustments.club_id", "budget_adjustments.id"]
        ),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    adjustment_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    budget_line_id: Mapped[UUID | None]
    new_line: Mapped[int | None]
    month: Mapped[str] = mapped_column(String(7))
    amount_minor: Mapped[int] = mapped_column(BigInteger)
    quantity: Mapped[str | None] = mapped_column(String(30))


class ApprovalLimitsRow(Table):
    """Who may approve what; a club without a row has the limits it began with."""

    __tablename__ = "approval_limits"

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    limits: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    another_person: Mapped[bool]
    version: Mapped[int]


class ProgressRow(Table):
    """How much of a line was done by a day: in its unit, or in percent where it has none."""

    __tablename__ = "budget_progress"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        UniqueConstraint("club_id", "budget_line_id", "measured_on"),
        Index(None, "club_id", "budget_id", "measured_on"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    budget_line_id: Mapped[UUID]
    measured_on: Mapped[date]
    done: Mapped[str] = mapped_column(String(30))
    correction: Mapped[bool]
    reason: Mapped[str] = mapped_column(String(2000))
    note: Mapped[str] = mapped_column(String(2000))
    measured_by: Mapped[str] = mapped_column(String(200))
    recorded_at: Mapped[datetime] = mapped_column(UtcTime)
    version: Mapped[int]
