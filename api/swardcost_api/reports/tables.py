"""The superintendent's own figures to complete, and the layouts of files for the accounts."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class OwnForecastRow(Table):
    """A stated figure; it is never changed, and the last by a day counts."""

    __tablename__ = "own_forecasts"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        ForeignKeyConstraint(["club_id", "budget_line_id"], ["budget_lines.club_id", "budget_lines.id"]),
        Index(None, "club_id", "budget_id", "budget_line_id", "stated_on"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    budget_line_id: Mapped[UUID]
    stated_on: Mapped[date]
    to_complete_minor: Mapped[int] = mapped_column(BigInteger)
    reason: Mapped[str] = mapped_column(String(2000))
    stated_by: Mapped[str] = mapped_column(String(200))
    stated_at: Mapped[datetime] = mapped_column(UtcTime)


class LayoutRow(Table):
    """How a file for the accounts is laid out."""

    __tablename__ = "account_layouts"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    layout: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]
