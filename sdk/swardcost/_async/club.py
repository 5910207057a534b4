"""The club, its keys and audit trail; and the service's health."""

from collections.abc import AsyncIterator
from uuid import UUID

from swardcost_model.access import AuditEntry, Club, ClubChange, IssuedKey, Key, NewKey
from swardcost_model.service import Health

from swardcost._async.session import AsyncSession

_CLUB = "/v1/clubs/{club}"


class AsyncClubs:
    """The club of the key."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def read(self) -> Club:
        """The club."""
        return await self._session.get(Club, _CLUB)

    async def change(self, change: ClubChange, version: int) -> Club:
        """Change the club that is still at `version`; only what is given changes."""
        return await self._session.replace(Club, _CLUB, change, version, verb="PATCH")

    def audit(self, subject: str | None = None, subject_id: str | None = None) -> AsyncIterator[AuditEntry]:
        """The audit trail, latest first."""
        return self._session.pages(AuditEntry, f"{_CLUB}/audit", subject=subject, subject_id=subject_id)


class AsyncKeys:
    """Keys of the club."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def issue(self, new: NewKey) -> IssuedKey:
        """Make a key; its secret is in the answer and nowhere else."""
        return await self._session.post(IssuedKey, f"{_CLUB}/keys", new)

    def list(self) -> AsyncIterator[Key]:
        """Every key, oldest first."""
        return self._session.pages(Key, f"{_CLUB}/keys")

    async def revoke(self, key_id: UUID) -> Key:
        """Close a key."""
        return await self._session.post(Key, f"{_CLUB}/keys/{key_id}/revoke")


class AsyncService:
    """The service itself."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def live(self) -> Health:
        """Whether the process is alive."""
        return await self._session.get(Health, "/health/live")

    async def ready(self) -> Health:
        """Whether the service is ready for requests."""
        return await self._session.get(Health, "/health/ready")
