"""Vendors, editions and items."""

from datetime import date, datetime
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, Table, UtcTime

_CODE = String(60).with_variant(String(60, collation="C"), "postgresql")
"""Codes sort by their characters on every database, so that an export has the same order everywhere."""


class VendorRow(Table):
    __tablename__ = "vendors"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    phone: Mapped[str | None] = mapped_column(String(200))
    email: Mapped[str | None] = mapped_column(String(200))
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class EditionRow(Table):
    __tablename__ = "editions"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    status: Mapped[str] = mapped_column(String(20))
    currency: Mapped[str] = mapped_column(String(3))
    price_date: Mapped[date]
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    published_at: Mapped[datetime | None] = mapped_column(UtcTime)
    version: Mapped[int]


class ItemRow(Table):
    __tablename__ = "items"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "edition_id"], ["editions.club_id", "editions.id"]),
        ForeignKeyConstraint(["club_id", "vendor_id"], ["vendors.club_id", "vendors.id"]),
        Index(None, "club_id", "vendor_id", "edition_id", "code"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    edition_id: Mapped[UUID] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(_CODE, primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    description: Mapped[str] = mapped_column(String(200))
    unit: Mapped[str] = mapped_column(String(60))
    price_micros: Mapped[int | None] = mapped_column(BigInteger)
    free: Mapped[bool]
    taxable: Mapped[bool]
    account: Mapped[str | None] = mapped_column(String(60))
    vendor_id: Mapped[UUID | None]
    price_source: Mapped[str | None] = mapped_column(String(20))
    priced_on: Mapped[date | None]
    valid_until: Mapped[date | None]
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]
