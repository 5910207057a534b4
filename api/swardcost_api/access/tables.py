"""Clubs, keys, the audit trail and the answers kept for repeated requests."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class ClubRow(Table):
    __tablename__ = "clubs"

    id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    currency: Mapped[str] = mapped_column(String(3))
    locale: Mapped[str] = mapped_column(String(20))
    unit_system: Mapped[str] = mapped_column(String(20))
    ton: Mapped[str] = mapped_column(String(20))
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    version: Mapped[int]


class KeyRow(Table):
    __tablename__ = "keys"
    __table_args__ = (UniqueConstraint("club_id", "secret_hash"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    role: Mapped[str] = mapped_column(String(20))
    secret_hash: Mapped[str] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    expires_at: Mapped[datetime] = mapped_column(UtcTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcTime)


class AuditRow(Table):
    __tablename__ = "audit_entries"
    __table_args__ = (Index(None, "club_id", "subject", "subject_id"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcTime)
    key_id: Mapped[UUID | None]
    actor: Mapped[str] = mapped_column(String(200))
    action: Mapped[str] = mapped_column(String(40))
    subject: Mapped[str] = mapped_column(String(40))
    subject_id: Mapped[str] = mapped_column(String(80))
    before: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    after: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)


class RepeatRow(Table):
    """The answer to a request that came with an `Idempotency-Key`, kept for a day."""

    __tablename__ = "repeats"
    __table_args__ = (Index(None, "club_id", "created_at"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    caller: Mapped[str] = mapped_column(String(40), primary_key=True)
    idempotency_key: Mapped[str] = mapped_column(String(200), primary_key=True)
    request_hash: Mapped[str] = mapped_column(String(64))
    status: Mapped[int]
    body: Mapped[str | None]
    headers: Mapped[dict[str, str] | None] = mapped_column(JSON_DOCUMENT)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
