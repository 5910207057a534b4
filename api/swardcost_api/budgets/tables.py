"""Budgets, their lines, and the months of each line."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, Table, UtcTime


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
    markup: Mapped[str | None] = mapped_column(String(40))
    account: Mapped[str | None] = mapped_column(String(60))
    amount_minor: Mapped[int] = mapped_column(BigInteger)


class BudgetMonthRow(Table):
    __tablename__ = "budget_months"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "month"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    budget_line_id: Mapped[UUID] = mapped_column(primary_key=True)
    month: Mapped[str] = mapped_column(String(7), primary_key=True)
    amount_minor: Mapped[int] = mapped_column(BigInteger)
