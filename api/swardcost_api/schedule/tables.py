"""Calendars of projects and tasks of scope items."""

from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKeyConstraint, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table


class CalendarRow(Table):
    """The calendar of a project; the project is not deleted while it has one."""

    __tablename__ = "project_calendars"
    __table_args__ = (ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column("project_id", primary_key=True)
    working_weekdays: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    shift_hours: Mapped[str] = mapped_column(String(30))
    holidays: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    closed_days: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    worked_days: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    closure_first_day: Mapped[date | None]
    closure_last_day: Mapped[date | None]
    revenue_lost: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    weather_days: Mapped[int | None]
    crews: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    machines: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class TaskRow(Table):
    """The task of a scope item; the scope item is not deleted while it has one."""

    __tablename__ = "schedule_tasks"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "scope_item_id"], ["scope_items.club_id", "scope_items.id"]),
        ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),
        Index(None, "club_id", "project_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column("scope_item_id", primary_key=True)
    project_id: Mapped[UUID]
    duration: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    crew: Mapped[str | None] = mapped_column(String(200))
    people: Mapped[int | None]
    machine: Mapped[str | None] = mapped_column(String(200))
    machines: Mapped[int | None]
    invasive: Mapped[bool]
    recovery_days: Mapped[int]
    earliest_start: Mapped[date | None]
    latest_finish: Mapped[date | None]
    predecessors: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]
