"""Alternates: options of a project's scope."""

from collections.abc import Iterator
from uuid import UUID

from swardcost_model.alternates import Alternate, AlternateChange, NewAlternate

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"


class Alternates:
    """Alternates of the club's projects."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, project_id: UUID, new: NewAlternate) -> Alternate:
        """Add an alternate to a project."""
        return self._session.post(Alternate, f"{_CLUB}/projects/{project_id}/alternates", new)

    def list(self, project_id: UUID) -> Iterator[Alternate]:
        """Every alternate of a project, in the order of their numbers."""
        return self._session.pages(Alternate, f"{_CLUB}/projects/{project_id}/alternates")

    def read(self, alternate_id: UUID) -> Alternate:
        """One alternate."""
        return self._session.get(Alternate, f"{_CLUB}/alternates/{alternate_id}")

    def change(self, alternate_id: UUID, change: AlternateChange, version: int) -> Alternate:
        """Replace the alternate that is still at `version`."""
        return self._session.replace(Alternate, f"{_CLUB}/alternates/{alternate_id}", change, version)

    def delete(self, alternate_id: UUID, version: int) -> None:
        """Delete an alternate that no other needs."""
        self._session.remove(f"{_CLUB}/alternates/{alternate_id}", version)
