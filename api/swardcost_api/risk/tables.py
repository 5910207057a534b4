"""What of an estimate is uncertain, and the simulations that were run of it."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKeyConstraint, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class UncertaintyRow(Table):
    """The ranges, events and scenarios of an estimate, as somebody wrote them down."""

    __tablename__ = "estimate_uncertainties"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    estimate_id: Mapped[UUID] = mapped_column(primary_key=True)
    uncertainty: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class SimulationRow(Table):
    """A simulation: what was asked with the uncertainty as it stood then, and what came of it. Never changed."""

    __tablename__ = "simulations"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
        Index(None, "club_id", "estimate_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    estimate_id: Mapped[UUID]
    seed: Mapped[int] = mapped_column(BigInteger)
    trials: Mapped[int]
    asked: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    found: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    created_by: Mapped[str] = mapped_column(String(200))
