"""Assets of a club: the parts of its course and works."""

from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table


class AssetRow(Table):
    """A part of the course or its works; what is stated of it is kept as one document."""

    __tablename__ = "assets"
    __table_args__ = (UniqueConstraint("club_id", "code"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(60))
    name: Mapped[str] = mapped_column(String(200))
    kind: Mapped[str] = mapped_column(String(30))
    asset: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class AssetAreaRow(Table):
    """An area that an asset is, or lies on; it is not deleted while an asset names it."""

    __tablename__ = "asset_areas"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "asset_id"], ["assets.club_id", "assets.id"]),
        ForeignKeyConstraint(["club_id", "area_id"], ["areas.club_id", "areas.id"]),
        Index(None, "club_id", "area_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    asset_id: Mapped[UUID] = mapped_column(primary_key=True)
    area_id: Mapped[UUID] = mapped_column(primary_key=True)
