"""The club, its keys and audit trail; and the service's health."""

from collections.abc import Iterator
from uuid import UUID

from swardcost_model.access import AuditEntry, Club, ClubChange, IssuedKey, Key, NewKey
from swardcost_model.service import Health

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"


class Clubs:
    """The club of the key."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def read(self) -> Club:
        """The club."""
        return self._session.get(Club, _CLUB)

    def change(self, change: ClubChange, version: int) -> Club:
        """Change the club that is still at `version`; only what is given changes."""
        return self._session.replace(Club, _CLUB, change, version, verb="PATCH")

    def audit(self, subject: str | None = None, subject_id: str | None = None) -> Iterator[AuditEntry]:
        """The audit trail, latest first."""
        return self._session.pages(AuditEntry, f"{_CLUB}/audit", subject=subject, subject_id=subject_id)


class Keys:
    """Keys of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def issue(self, new: NewKey) -> IssuedKey:
        """Make a key; its secret is in the answer and nowhere else."""
        return self._session.post(IssuedKey, f"{_CLUB}/keys", new)

    def list(self) -> Iterator[Key]:
        """Every key, oldest first."""
        return self._session.pages(Key, f"{_CLUB}/keys")

    def revoke(self, key_id: UUID) -> Key:
        """Close a key."""
        return self._session.post(Key, f"{_CLUB}/keys/{key_id}/revoke")


class Service:
    """The service itself."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def live(self) -> Health:
        """Whether the process is alive."""
        return self._session.get(Health, "/health/live")

    def ready(self) -> Health:
        """Whether the service is ready for requests."""
        return self._session.get(Health, "/health/ready")
