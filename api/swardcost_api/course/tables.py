"""Courses and areas."""

from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table


class CourseRow(Table):
    __tablename__ = "courses"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    version: Mapped[int]


class AreaRow(Table):
    __tablename__ = "areas"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "course_id"], ["courses.club_id", "courses.id"]),
        UniqueConstraint("club_id", "course_id", "name"),
        Index(None, "club_id", "name"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    course_id: Mapped[UUID]
    kind: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(String(200))
    hole: Mapped[int | None]
    size_value: Mapped[str | None] = mapped_column(String(30))
    size_unit: Mapped[str | None] = mapped_column(String(60))
    size_m2: Mapped[float | None]
    perimeter_m: Mapped[float | None]
    geometry: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    """A GeoJSON Polygon or MultiPolygon, sound and tidied."""
    version: Mapped[int]
