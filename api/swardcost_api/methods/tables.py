"""The club's own methods and their revisions."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, ForeignKeyConstraint, String
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class ClubMethodRow(Table):
    """A method by its name; `version` is the number of its latest revision."""

    __tablename__ = "club_methods"

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    version: Mapped[int]


class ClubMethodRevisionRow(Table):
    """A revision. It never changes, and is not deleted while a scope uses it."""

    __tablename__ = "club_method_revisions"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "name"], ["club_methods.club_id", "club_methods.name"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    fields: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    created_by: Mapped[str] = mapped_column(String(200))
