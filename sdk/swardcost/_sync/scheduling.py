"""Calendar of the work, tasks and the schedule."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from swardcost_model.schedule import (
    Calendar,
    CalendarChange,
    NewCalendar,
    NewTask,
    Schedule,
    Task,
    TaskChange,
)
from swardcost_model.schedule_dates import DatesTaken, DatesToTake

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"


class Calendars:
    """Calendars of projects: working days, closure, people and machines."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, project_id: UUID, new: NewCalendar) -> Calendar:
        """Give a project its calendar."""
        return self._session.post(Calendar, f"{_CLUB}/projects/{project_id}/calendar", new)

    def read(self, project_id: UUID) -> Calendar:
        """The calendar of a project."""
        return self._session.get(Calendar, f"{_CLUB}/projects/{project_id}/calendar")

    def change(self, project_id: UUID, change: CalendarChange, version: int) -> Calendar:
        """Replace the calendar that is still at `version`."""
        path = f"{_CLUB}/projects/{project_id}/calendar"
        return self._session.replace(Calendar, path, change, version)

    def delete(self, project_id: UUID, version: int) -> None:
        """Delete the calendar; the tasks stay."""
        self._session.remove(f"{_CLUB}/projects/{project_id}/calendar", version)


class Tasks:
    """Tasks of scope items."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, scope_item_id: UUID, new: NewTask) -> Task:
        """Give a scope item its task."""
        return self._session.post(Task, f"{_CLUB}/scope-items/{scope_item_id}/task", new)

    def list(self, project_id: UUID) -> Iterator[Task]:
        """Every task of a project."""
        return self._session.pages(Task, f"{_CLUB}/projects/{project_id}/tasks")

    def read(self, scope_item_id: UUID) -> Task:
        """The task of a scope item."""
        return self._session.get(Task, f"{_CLUB}/scope-items/{scope_item_id}/task")

    def change(self, scope_item_id: UUID, change: TaskChange, version: int) -> Task:
        """Replace the task that is still at `version`."""
        path = f"{_CLUB}/scope-items/{scope_item_id}/task"
        return self._session.replace(Task, path, change, version)

    def delete(self, scope_item_id: UUID, version: int) -> None:
        """Delete a task that no other waits for."""
        self._session.remove(f"{_CLUB}/scope-items/{scope_item_id}/task", version)


class Schedules:
    """Schedules of projects."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def read(self, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> Schedule:
        """When each task runs, when the course reopens, and what the closure costs in revenue."""
        path = f"{_CLUB}/projects/{project_id}/schedule"
        return self._session.get(Schedule, path, alternate_ids=list(alternate_ids) or None)

    def take_dates(
        self,
        project_id: UUID,
        scope_item_ids: Sequence[UUID] | None = None,
        alternate_ids: Sequence[UUID] = (),
    ) -> DatesTaken:
        """Write each task's first and last day into its scope item; only those named, where some are."""
        which = DatesToTake(
            scope_item_ids=None if scope_item_ids is None else list(scope_item_ids),
            alternate_ids=list(alternate_ids),
        )
        path = f"{_CLUB}/projects/{project_id}/schedule/take-dates"
        return self._session.post(DatesTaken, path, which)

    def csv(self, project_id: UUID) -> str:
        """The tasks as CSV."""
        return self._session.text(f"{_CLUB}/projects/{project_id}/schedule")

    def text(self, project_id: UUID) -> str:
        """The schedule to be read, with a bar for each task."""
        return self._session.text(f"{_CLUB}/projects/{project_id}/schedule", accept="text/plain")
