"""Tables of jobs, and of the files that wait with them."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKey, ForeignKeyConstraint, Index, LargeBinary, String, text
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime

OPEN = text("status in ('queued', 'running')")
"""The jobs that are not over. Stated in full, so that a query which says the same finds them by their index alone."""


class JobRow(Table):
    """A job. Who runs it has written a `holder` of its own into it, and changes `beats` as long as it lives."""

    __tablename__ = "jobs"
    __table_args__ = (Index(None, "club_id", "status", "id", sqlite_where=OPEN, postgresql_where=OPEN),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(40))
    status: Mapped[str] = mapped_column(String(10))
    arguments: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    done: Mapped[int] = mapped_column(BigInteger)
    total: Mapped[int | None] = mapped_column(BigInteger)
    unit: Mapped[str] = mapped_column(String(10))
    note: Mapped[str] = mapped_column(String(60))
    attempts: Mapped[int]
    holder: Mapped[UUID | None]
    beats: Mapped[int] = mapped_column(BigInteger)
    actor: Mapped[str] = mapped_column(String(200))
    actor_role: Mapped[str] = mapped_column(String(20))
    actor_key_id: Mapped[UUID | None]
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    started_at: Mapped[datetime | None] = mapped_column(UtcTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcTime)
    result: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    problem: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)


class JobChunkRow(Table):
    """A part of the file that a job was started with, kept until the job ends."""

    __tablename__ = "job_chunks"
    __table_args__ = (ForeignKeyConstraint(["club_id", "job_id"], ["jobs.club_id", "jobs.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    job_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)
