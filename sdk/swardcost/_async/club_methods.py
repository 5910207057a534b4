"""The club's own methods of work."""

from collections.abc import AsyncIterator

from swardcost_model.club_methods import (
    ClubMethod,
    ClubMethodChange,
    ClubMethodRevision,
    ClubMethodSummary,
    NewClubMethod,
)

from swardcost._async.session import AsyncSession

_METHODS = "/v1/clubs/{club}/methods"


class AsyncClubMethods:
    """Methods of work that the club keeps, each in numbered revisions."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewClubMethod) -> ClubMethod:
        """Keep a method as its revision 1."""
        return await self._session.post(ClubMethod, _METHODS, new)

    def list(self) -> AsyncIterator[ClubMethodSummary]:
        """Every method of the club's own, by name."""
        return self._session.pages(ClubMethodSummary, _METHODS)

    async def read(self, name: str) -> ClubMethod:
        """A method in its latest revision."""
        return await self._session.get(ClubMethod, f"{_METHODS}/{name}")

    async def change(self, name: str, change: ClubMethodChange, version: int) -> ClubMethod:
        """Keep the next revision of the method that is still at `version`."""
        return await self._session.replace(ClubMethod, f"{_METHODS}/{name}", change, version)

    async def revision(self, name: str, number: int) -> ClubMethodRevision:
        """A revision as it was kept."""
        return await self._session.get(ClubMethodRevision, f"{_METHODS}/{name}/revisions/{number}")

    async def delete(self, name: str, version: int) -> None:
        """Delete a method that no scope uses."""
        await self._session.remove(f"{_METHODS}/{name}", version)
