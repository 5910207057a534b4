"""Vendors, editions, items, and the vendors' terms in an edition."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, BigInteger, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, Table, UtcTime

_CODE = String(60).with_variant(String(60, collation="C"), "postgresql")
"""Codes sort by their characters on every database, so that an export has the same order everywhere."""

_TERMS = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")
"""A JSON document, or nothing at all: an item without terms is found by `is null`."""


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
    currency: Mapped[str] = mapped_column(String(3))
    price_micros: Mapped[int | None] = mapped_column(BigInteger)
    low_micros: Mapped[int | None] = mapped_column(BigInteger)
    high_micros: Mapped[int | None] = mapped_column(BigInteger)
    cash_micros: Mapped[int | None] = mapped_column(BigInteger)
    free: Mapped[bool]
    taxable: Mapped[bool]
    tax_class: Mapped[str] = mapped_column(String(60))
    in_operating_budget: Mapped[bool]
    account: Mapped[str | None] = mapped_column(String(60))
    vendor_id: Mapped[UUID | None]
    price_source: Mapped[str | None] = mapped_column(String(20))
    priced_on: Mapped[date | None]
    valid_from: Mapped[date | None]
    valid_until: Mapped[date | None]
    reference: Mapped[str] = mapped_column(String(2000))
    terms: Mapped[dict[str, Any] | None] = mapped_column(_TERMS)
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class EditionVendorRow(Table):
    """What holds for all of a vendor's items in an edition."""

    __tablename__ = "edition_vendors"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "edition_id"], ["editions.club_id", "editions.id"]),
        ForeignKeyConstraint(["club_id", "vendor_id"], ["vendors.club_id", "vendors.id"]),
        Index(None, "club_id", "vendor_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    edition_id: Mapped[UUID] = mapped_column(primary_key=True)
    vendor_id: Mapped[UUID] = mapped_column(primary_key=True)
    currency: Mapped[str] = mapped_column(String(3))
    exchange_rate: Mapped[str | None] = mapped_column(String(20))
    rate_date: Mapped[date | None]
    rate_source: Mapped[str | None] = mapped_column(String(200))
    mobilization_micros: Mapped[int] = mapped_column(BigInteger)
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]
