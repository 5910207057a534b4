"""Assets of a club, capital plans, and the projects of each plan."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


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


class CapitalPlanRow(Table):
    """A capital plan; a draft can be changed, an issued one only decided on, a locked one not at all."""

    __tablename__ = "capital_plans"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "follows"], ["capital_plans.club_id", "capital_plans.id"]),
        UniqueConstraint("club_id", "name"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    status: Mapped[str] = mapped_column(String(20))
    follows: Mapped[UUID | None]
    plan: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    assets: Mapped[list[Any] | None] = mapped_column(JSON_DOCUMENT)
    """The assets as they stood when it was issued; none while it is a draft."""
    issued_at: Mapped[datetime | None] = mapped_column(UtcTime)
    issued_by: Mapped[str | None] = mapped_column(String(200))
    locked_at: Mapped[datetime | None] = mapped_column(UtcTime)
    locked_by: Mapped[str | None] = mapped_column(String(200))
    version: Mapped[int]


class PlanProjectRow(Table):
    """A project of a capital plan, with what was decided on it."""

    __tablename__ = "plan_projects"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "plan_id"], ["capital_plans.club_id", "capital_plans.id"]),
        ForeignKeyConstraint(["club_id", "opened_project_id"], ["projects.club_id", "projects.id"]),
        Index(None, "club_id", "opened_project_id"),
        UniqueConstraint("club_id", "plan_id", "number"),
        UniqueConstraint("club_id", "plan_id", "name"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    plan_id: Mapped[UUID]
    number: Mapped[int]
    name: Mapped[str] = mapped_column(String(200))
    project: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    decision: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    carried_from: Mapped[UUID | None]
    """The project of the plan before that this one goes on from."""
    opened_project_id: Mapped[UUID | None]
    """The project of the club that it was opened as, once approved."""
    completion: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    """That its work is done, and what it had cost."""
    version: Mapped[int]
