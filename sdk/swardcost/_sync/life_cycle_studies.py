"""Studies of life-cycle cost: what ways of having something cost over the years."""

from collections.abc import Iterator
from uuid import UUID

from swardcost_model.life_cycle import (
    LifeCycleFigures,
    LifeCycleStudy,
    LifeCycleStudyChange,
    NewLifeCycleStudy,
)

from swardcost._sync.session import Session

_STUDIES = "/v1/clubs/{club}/life-cycle-studies"


class LifeCycleStudies:
    """Life-cycle studies of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewLifeCycleStudy) -> LifeCycleStudy:
        """Keep a study; its first alternative is the base case."""
        return self._session.post(LifeCycleStudy, _STUDIES, new)

    def list(self) -> Iterator[LifeCycleStudy]:
        """Every study, in the order in which they were put together."""
        return self._session.pages(LifeCycleStudy, _STUDIES)

    def read(self, study_id: UUID) -> LifeCycleStudy:
        """One study, without its figures."""
        return self._session.get(LifeCycleStudy, f"{_STUDIES}/{study_id}")

    def change(self, study_id: UUID, change: LifeCycleStudyChange, version: int) -> LifeCycleStudy:
        """Replace the study that is still at `version`."""
        return self._session.replace(LifeCycleStudy, f"{_STUDIES}/{study_id}", change, version)

    def delete(self, study_id: UUID, version: int) -> None:
        """Delete a study; the estimates stay."""
        self._session.remove(f"{_STUDIES}/{study_id}", version)

    def figures(self, study_id: UUID) -> LifeCycleFigures:
        """What each alternative costs over the years, and what it saves against the first."""
        return self._session.get(LifeCycleFigures, f"{_STUDIES}/{study_id}/figures")

    def figures_csv(self, study_id: UUID) -> str:
        """The same as CSV: a row for each figure, a column for each alternative."""
        return self._session.text(f"{_STUDIES}/{study_id}/figures")
