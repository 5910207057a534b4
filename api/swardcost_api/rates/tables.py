"""Tax rates, exemption certificates and price indices."""

from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table


class TaxRateRow(Table):
    __tablename__ = "tax_rates"
    __table_args__ = (Index(None, "club_id", "place", "tax_class", "valid_from"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    place: Mapped[str] = mapped_column(String(200))
    tax_class: Mapped[str] = mapped_column(String(60))
    percent: Mapped[str] = mapped_column(String(30))
    valid_from: Mapped[date]
    valid_until: Mapped[date | None]
    source: Mapped[str] = mapped_column(String(200))
    version: Mapped[int]


class ExemptionRow(Table):
    __tablename__ = "exemptions"
    __table_args__ = (UniqueConstraint("club_id", "number"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(200))
    place: Mapped[str | None] = mapped_column(String(200))
    tax_classes: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    valid_from: Mapped[date]
    valid_until: Mapped[date | None]
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class IndexSeriesRow(Table):
    """A price index; `value_by_month` holds decimals as text by month."""

    __tablename__ = "index_series"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(String(200))
    value_by_month: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]
