"""The unit of work: what a use case is given to do its job in one transaction."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from uuid import UUID

from sqlalchemy import Connection
from sqlalchemy.orm import Session

from swardcost_api.storage.database import Database
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


@dataclass(frozen=True)
class Transactions:
    """Where work needs more than one transaction: those of one caller of one club, begun as they are needed."""

    database: Database
    club_id: str
    caller: Caller
    clock: Callable[[], datetime] = _now
    new_id: Callable[[], UUID] = new_id

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """A transaction that changes nothing, and whose statements all see the same moment."""
        with self.database.reading() as session:
            yield self._unit(session)

    @contextmanager
    def writing(self, on: Connection | None = None) -> Iterator[UnitOfWork]:
        """A transaction that is committed at the end, or undone whole if anything fails; perhaps `on` a held one."""
        with self.database.writing(on) as session:
            yield self._unit(session)

    def _unit(self, session: Session) -> UnitOfWork:
        return UnitOfWork(session, self.club_id, self.caller, self.clock(), self.new_id)
