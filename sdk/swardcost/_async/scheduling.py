"""Calendar of the work, tasks and the schedule."""

from collections.abc import AsyncIterator, Sequence
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

from swardcost._async.session import AsyncSession

_CLUB = "/v1/clubs/{club}"


class AsyncCalendars:
    """Calendars of projects: working days, closure, people and machines."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, project_id: UUID, new: NewCalendar) -> Calendar:
        """Give a project its calendar."""
        return await self._session.post(Calendar, f"{_CLUB}/projects/{project_id}/calendar", new)

    async def read(self, project_id: UUID) -> Calendar:
        """The calendar of a project."""
        return await self._session.get(Calendar, f"{_CLUB}/projects/{project_id}/calendar")

    async def change(self, project_id: UUID, change: CalendarChange, version: int) -> Calendar:
        """Replace the calendar that is still at `version`."""
        path = f"{_CLUB}/projects/{project_id}/calendar"
        return await self._session.replace(Calendar, path, change, version)

    async def delete(self, project_id: UUID, version: int) -> None:
        """Delete the calendar; the tasks stay."""
        await self._session.remove(f"{_CLUB}/projects/{project_id}/calendar", version)


class AsyncTasks:
    """Tasks of scope items."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def create(self, scope_item_id: UUID, new: NewTask) -> Task:
        """Give a scope item its task."""
        return await self._session.post(Task, f"{_CLUB}/scope-items/{scope_item_id}/task", new)

    def list(self, project_id: UUID) -> AsyncIterator[Task]:
        """Every task of a project."""
        return self._session.pages(Task, f"{_CLUB}/projects/{project_id}/tasks")

    async def read(self, scope_item_id: UUID) -> Task:
        """The task of a scope item."""
        return await self._session.get(Task, f"{_CLUB}/scope-items/{scope_item_id}/task")

    async def change(self, scope_item_id: UUID, change: TaskChange, version: int) -> Task:
        """Replace the task that is still at `version`."""
        path = f"{_CLUB}/scope-items/{scope_item_id}/task"
        return await self._session.replace(Task, path, change, version)

    async def delete(self, scope_item_id: UUID, version: int) -> None:
        """Delete a task that no other waits for."""
        await self._session.remove(f"{_CLUB}/scope-items/{scope_item_id}/task", version)


class AsyncSchedules:
    """Schedules of projects."""

    def __init__(self, session: AsyncSession) -> None:
        self._session = session

    async def read(self, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> Schedule:
        """When each task runs, when the course reopens, and what the closure costs in revenue."""
        path = f"{_CLUB}/projects/{project_id}/schedule"
        return await self._session.get(Schedule, path, alternate_ids=list(alternate_ids) or None)

    async def take_dates(
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
        return await self._session.post(DatesTaken, path, which)

    async def csv(self, project_id: UUID) -> str:
        """The tasks as CSV."""
        return await self._session.text(f"{_CLUB}/projects/{project_id}/schedule")

    async def text(self, project_id: UUID) -> str:
        """The schedule to be read, with a bar for each task."""
        return await self._session.text(f"{_CLUB}/projects/{project_id}/schedule", accept="text/plain")
