"""Studies of life-cycle cost: what ways of having something cost over the years."""

from collections.abc import AsyncIterator
from uuid import UUID

from swardcost_model.life_cycle import (
    LifeCycleFigures,
    LifeCycleStudy,
    LifeCycleStudyChange,
    NewLifeCycleStudy,
)

from swardcost._async.session import AsyncSession

_STUDIES = "/v1/clubs/{club}/life-cycle-studies"


class AsyncLifeCycleStudies:
    """Life-cycle studies of the club."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, new: NewLifeCycleStudy) -> LifeCycleStudy:
        """Keep a study; its first alternative is the base case."""
        return await self._session.post(LifeCycleStudy, _STUDIES, new)

    def list(self) -> AsyncIterator[LifeCycleStudy]:
        """Every study, in the order in which they were put together."""
        return self._session.pages(LifeCycleStudy, _STUDIES)

    async def read(self, study_id: UUID) -> LifeCycleStudy:
        """One study, without its figures."""
        return await self._session.get(LifeCycleStudy, f"{_STUDIES}/{study_id}")

    async def change(self, study_id: UUID, change: LifeCycleStudyChange, version: int) -> LifeCycleStudy:
        """Replace the study that is still at `version`."""
        return await self._session.replace(LifeCycleStudy, f"{_STUDIES}/{study_id}", change, version)

    async def delete(self, study_id: UUID, version: int) -> None:
        """Delete a study; the estimates stay."""
        await self._session.remove(f"{_STUDIES}/{study_id}", version)

    async def figures(self, study_id: UUID) -> LifeCycleFigures:
        """What each alternative costs over the years, and what it saves against the first."""
        return await self._session.get(LifeCycleFigures, f"{_STUDIES}/{study_id}/figures")

    async def figures_csv(self, study_id: UUID) -> str:
        """The same as CSV: a row for each figure, a column for each alternative."""
        return await self._session.text(f"{_STUDIES}/{study_id}/figures")
