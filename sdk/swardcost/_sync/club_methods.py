"""The club's own methods of work."""

from collections.abc import Iterator

from swardcost_model.club_methods import (
    ClubMethod,
    ClubMethodChange,
    ClubMethodRevision,
    ClubMethodSummary,
    NewClubMethod,
)

from swardcost._sync.session import Session

_METHODS = "/v1/clubs/{club}/methods"


class ClubMethods:
    """Methods of work that the club keeps, each in numbered revisions."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewClubMethod) -> ClubMethod:
        """Keep a method as its revision 1."""
        return self._session.post(ClubMethod, _METHODS, new)

    def list(self) -> Iterator[ClubMethodSummary]:
        """Every method of the club's own, by name."""
        return self._session.pages(ClubMethodSummary, _METHODS)

    def read(self, name: str) -> ClubMethod:
        """A method in its latest revision."""
        return self._session.get(ClubMethod, f"{_METHODS}/{name}")

    def change(self, name: str, change: ClubMethodChange, version: int) -> ClubMethod:
        """Keep the next revision of the method that is still at `version`."""
        return self._session.replace(ClubMethod, f"{_METHODS}/{name}", change, version)

    def revision(self, name: str, number: int) -> ClubMethodRevision:
        """A revision as it was kept."""
        return self._session.get(ClubMethodRevision, f"{_METHODS}/{name}/revisions/{number}")

    def delete(self, name: str, version: int) -> None:
        """Delete a method that no scope uses."""
        self._session.remove(f"{_METHODS}/{name}", version)
