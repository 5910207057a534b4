"""The unit of work: what a use case is given to do its job in one transaction."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from swardcost_api.storage.ids import new_id


@dataclass(frozen=True)
class Caller:
    """Who asks: the key used and its role; `key_id` is absent for the operator's own commands."""

    name: str
    role: str
    key_id: UUID | None = None


OPERATOR = Caller("operator", "owner")
"""Whoever runs commands on the machine itself."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class UnitOfWork:
    """One transaction for one caller of one club, with the moment it happens and its source of ids."""

    session: Session
    club_id: str
    caller: Caller
    now: datetime = field(default_factory=_now)
    new_id: Callable[[], UUID] = new_id
