"""Requests for quotes, and the quotes received."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class QuoteRequestRow(Table):
    """What vendors were asked for. `items` are the quantities asked for, `left_out` what of the estimate is not asked
    for; `awards` what was chosen."""

    __tablename__ = "quote_requests"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
        UniqueConstraint("club_id", "number"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int]
    name: Mapped[str] = mapped_column(String(200))
    project_id: Mapped[UUID]
    estimate_id: Mapped[UUID]
    status: Mapped[str] = mapped_column(String(20))
    due_on: Mapped[date]
    vendor_ids: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    items: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    left_out: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    note: Mapped[str] = mapped_column(String(2000))
    awards: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    reason: Mapped[str | None] = mapped_column(String(2000))
    decided_by: Mapped[str | None] = mapped_column(String(200))
    decided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    version: Mapped[int]


class QuoteRow(Table):
    """A vendor's quote, as it was received."""

    __tablename__ = "quotes"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "request_id"], ["quote_requests.club_id", "quote_requests.id"]),
        ForeignKeyConstraint(["club_id", "vendor_id"], ["vendors.club_id", "vendors.id"]),
        UniqueConstraint("club_id", "request_id", "vendor_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    request_id: Mapped[UUID]
    vendor_id: Mapped[UUID]
    quote: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]
