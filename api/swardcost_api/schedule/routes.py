"""HTTP operations of the calendar of the work."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.paging import Page
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

from swardcost_api.operations import CLUB, Cursor, Face, Limit, Room
from swardcost_api.schedule import calendars, service, taking, tasks
from swardcost_api.schedule.faces import as_csv
from swardcost_api.schedule.service import PlannedWork
from swardcost_api.schedule.taking import Solved
from swardcost_api.schedule.text_face import as_text
from swardcost_api.storage.work import UnitOfWork

room = Room("Schedule", "When the work is done, when the course reopens, and what each lost day costs.")
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

PROJECT = CLUB + "/projects/{project_id}"
TASK = CLUB + "/scope-items/{scope_item_id}/task"


@room.create(PROJECT + "/calendar", "Give a project its calendar", needs=PLANNERS)
def create_calendar(work: UnitOfWork, project_id: UUID, data: NewCalendar) -> Calendar:
    """Working days and hours, the closure, people and machines there are, revenue lost on a closed day."""
    return calendars.create_calendar(work, project_id, data)


@room.read(PROJECT + "/calendar", "Read the calendar of a project")
def read_calendar(work: UnitOfWork, project_id: UUID) -> Calendar:
    return calendars.read_calendar(work, project_id)


@room.edit(PROJECT + "/calendar", "Edit the calendar of a project", needs=PLANNERS)
def change_calendar(work: UnitOfWork, project_id: UUID, data: CalendarChange, if_match: int) -> Calendar:
    return calendars.change_calendar(work, project_id, data, if_match)


@room.remove(PROJECT + "/calendar", "Delete the calendar of a project", needs=PLANNERS)
def delete_calendar(work: UnitOfWork, project_id: UUID, if_match: int) -> None:
    """The tasks of its scope items stay."""
    calendars.delete_calendar(work, project_id, if_match)


@room.create(TASK, "Give a scope item its task", needs=PLANNERS)
def create_task(work: UnitOfWork, scope_item_id: UUID, data: NewTask) -> Task:
    """How long the work takes, with whom, how the turf recovers, and what it waits for."""
    return tasks.create_task(work, scope_item_id, data)


@room.read(TASK, "Read the task of a scope item")
def read_task(work: UnitOfWork, scope_item_id: UUID) -> Task:
    return tasks.read_task(work, scope_item_id)


@room.edit(TASK, "Edit the task of a scope item", needs=PLANNERS)
def change_task(work: UnitOfWork, scope_item_id: UUID, data: TaskChange, if_match: int) -> Task:
    return tasks.change_task(work, scope_item_id, data, if_match)


@room.remove(TASK, "Delete the task of a scope item", needs=PLANNERS, problems=[problems.IN_USE])
def delete_task(work: UnitOfWork, scope_item_id: UUID, if_match: int) -> None:
    """Refused while another task waits for it."""
    tasks.delete_task(work, scope_item_id, if_match)


@room.read(PROJECT + "/tasks", "List the tasks of a project")
def list_tasks(work: UnitOfWork, project_id: UUID, limit: Limit = 50, cursor: Cursor = None) -> Page[Task]:
    return tasks.list_tasks(work, project_id, limit, cursor)


@room.read(
    PROJECT + "/schedule",
    "Schedule a project",
    problems=[problems.WRONG_STATE, problems.INVALID_VALUES],
    faces=[Face("text/csv", as_csv), Face("text/plain", as_text)],
    reads=service.read_schedule_question,
)
def read_schedule(planned: PlannedWork) -> Schedule:
    """Each task with its days and why it starts then, the reopening, and what the closure costs in revenue.

    Limits of people and machines are kept, and invasive works never meet on an area. Needs a calendar.
    """
    return service.schedule_of(planned)


@room.act(
    PROJECT + "/schedule/take-dates",
    "Take the schedule's days into the scope",
    needs=PLANNERS,
    problems=[problems.WRONG_STATE],
    reads=taking.read_work_to_date,
    solves=taking.solve,
)
def take_dates(work: UnitOfWork, project_id: UUID, data: DatesToTake, solved: Solved) -> DatesTaken:
    """The first and last day of each task become those of its scope item, for rental days, escalation and months.

    They are written as computed and told where they lie outside the project's days. Scope items that the schedule
    gives no days keep what they have. Taking the same days again changes nothing. Refused where nothing can be
    scheduled, where a scope item that is named cannot be, and where the work was changed while it was scheduled.
    """
    return taking.take_dates(work, project_id, data, solved)
