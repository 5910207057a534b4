"""Comparisons of estimates, and studies of life-cycle cost, as they were put together."""

from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table


class ComparisonRow(Table):
    """Estimates that are compared, and what was said of each."""

    __tablename__ = "comparisons"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    comparison: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class LifeCycleStudyRow(Table):
    """What ways of having something cost over the years: the inputs of a study."""

    __tablename__ = "life_cycle_studies"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    study: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]
