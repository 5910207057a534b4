"""The days of a project's work, as they are planned with the alternates that an estimate takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from swardcost_model import problems
from swardcost_model.problems import ProblemError
from swardcost_model.schedule import Schedule

from swardcost_api.schedule.service import NotSimulated, PlannedWork, find_planned_work, schedule_of
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True)
class PlannedDays:
    """The work of a project as its days are planned; solved when it is asked for."""

    planned: PlannedWork

    @property
    def any(self) -> bool:
        """Whether any scope item has a task."""
        return any(entry.id in self.planned.tasks for entry in self.planned.scope)

    @cached_property
    def schedule(self) -> Schedule | None:
        """The schedule; `None` where none can be made. Raises `unavailable` while others are solved."""
        try:
            return schedule_of(self.planned)
        except ProblemError as error:
            if error.kind is not problems.WRONG_STATE:
                raise
            return None


def planned_days(work: UnitOfWork, project_id: UUID, taken: Sequence[UUID]) -> PlannedDays | None:
    """The work of a project with these alternates; `None` without a calendar, or where these cannot be taken now."""
    try:
        planned = find_planned_work(work, project_id, taken)
    except ProblemError as error:
        if error.kind is not problems.INVALID_VALUES:
            raise
        return None
    return None if isinstance(planned, NotSimulated) else PlannedDays(planned)
