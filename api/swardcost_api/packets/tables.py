"""Issued packets, their files as they were made, and the links by which they are shared."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKey, ForeignKeyConstraint, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, Table, UtcTime


class PacketRow(Table):
    """An issued packet; all that ever changes of it is that another takes its place."""

    __tablename__ = "packets"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "supersedes"], ["packets.club_id", "packets.id"]),
        UniqueConstraint("club_id", "number"),
        UniqueConstraint("club_id", "supersedes"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int]
    kind: Mapped[str] = mapped_column(String(20))
    subject_id: Mapped[UUID]
    title: Mapped[str] = mapped_column(String(300))
    through: Mapped[str | None] = mapped_column(String(7))
    locale: Mapped[str] = mapped_column(String(20))
    unit_system: Mapped[str] = mapped_column(String(20))
    status: Mapped[str] = mapped_column(String(20))
    issued_at: Mapped[datetime] = mapped_column(UtcTime)
    issued_by: Mapped[str] = mapped_column(String(200))
    supersedes: Mapped[UUID | None]
    version: Mapped[int]


class PacketFileRow(Table):
    """A form of a packet, byte for byte as it was issued."""

    __tablename__ = "packet_files"
    __table_args__ = (ForeignKeyConstraint(["club_id", "packet_id"], ["packets.club_id", "packets.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    packet_id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    media_type: Mapped[str] = mapped_column(String(100))
    size: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    content: Mapped[bytes] = mapped_column(LargeBinary)


class PacketLinkRow(Table):
    """A link to one packet; of its token only the hash is kept."""

    __tablename__ = "packet_links"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "packet_id"], ["packets.club_id", "packets.id"]),
        UniqueConstraint("club_id", "token_hash"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    packet_id: Mapped[UUID]
    name: Mapped[str] = mapped_column(String(200))
    token_hash: Mapped[str] = mapped_column(String(64))
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    created_by: Mapped[str] = mapped_column(String(200))
    expires_at: Mapped[datetime] = mapped_column(UtcTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcTime)
    version: Mapped[int]
