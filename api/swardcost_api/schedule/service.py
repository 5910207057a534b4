"""The schedule of a project: when each scope item is done, when the course reopens, and what that costs."""

import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.problems import ProblemError
from swardcost_model.projects import Project
from swardcost_model.schedule import (
    WEEKDAYS,
    Calendar,
    ClosedDay,
    LaterReopening,
    Schedule,
    Task,
    UnscheduledItem,
)
from swardcost_model.values import Money, to_minor

from swardcost_api.access.service import read_club
from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.risk.simulated_schedule import OrderNotKept, SimulatedSchedule
from swardcost_api.engine.schedule import network
from swardcost_api.engine.schedule.network import Link, Resource
from swardcost_api.engine.schedule.placing import Limits, oversized
from swardcost_api.engine.schedule.programme import Programme, programme, revenue_lost
from swardcost_api.engine.schedule.working_days import BeyondCalendar, WorkingDays
from swardcost_api.estimates.service import (
    AlternateIds,
    ScopeEntry,
    alternates_named,
    load_scope,
    read_project,
)
from swardcost_api.schedule.answers import Telling, days_of, solution_of, task_answer
from swardcost_api.schedule.calendars import DaysOfWork, closure_of, days_of_work, find_calendar
from swardcost_api.schedule.cautions import cautions_of, cautions_of_methods, cautions_of_tasks
from swardcost_api.schedule.durations import NoDuration, duration_of
from swardcost_api.schedule.tasks import tasks_of
from swardcost_api.storage.work import UnitOfWork

WAIT_SECONDS = 1.0
_SOLVERS = threading.BoundedSemaphore(2)

DAYS_SHOWN_LATER = 7
"""Further lost days whose cost is told."""


@dataclass(frozen=True, slots=True)
class Timed:
    """A scope item that can be scheduled: its task as the engine takes it, and how its days came about."""

    entry: ScopeEntry
    task: Task
    timed: network.Task
    derivation: Derivation


@dataclass(frozen=True, slots=True)
class Question:
    """What is put to the solver; the same question has the same answer."""

    tasks: Sequence[network.Task]
    days: WorkingDays
    limits: Limits
    weather_days: int


@dataclass(frozen=True, slots=True)
class TimedWork:
    """Planned work as far as it can be scheduled, and what of it cannot."""

    timed: Sequence[Timed]
    unscheduled: Sequence[UnscheduledItem]
    days: DaysOfWork
    question: Question


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """What a schedule is made from, as it stands at one moment."""

    project: Project
    calendar: Calendar
    club: Club
    scope: Sequence[ScopeEntry]
    tasks: Mapping[UUID, Task]

    @property
    def limits(self) -> Limits:
        """People and machines there are each day."""
        crews = {("crew", one.name): one.people for one in self.calendar.crews}
        return crews | {("machine", one.name): one.machines for one in self.calendar.machines}

    @property
    def closure(self) -> tuple[date, date]:
        """First and last day of the closure."""
        return closure_of(self.calendar, self.project)


@dataclass(frozen=True, slots=True)
class ScheduleInTrials:
    """A solved schedule whose durations can vary: `key_of` is the task's key by the id of its scope item."""

    schedule: SimulatedSchedule
    key_of: Mapping[UUID, int]
    unscheduled: Sequence[UnscheduledItem]
    closure_last_day: date
    reopens_on: date


@dataclass(frozen=True, slots=True)
class NotSimulated:
    """Why the reopening of a project cannot be put into trials."""

    reason: str


def find_planned_work(
    work: UnitOfWork, project_id: UUID, alternate_ids: Sequence[UUID] = ()
) -> PlannedWork | NotSimulated:
    """The scope of a project with its calendar and tasks, or that it has no calendar. Raises as `load_scope`."""
    if find_calendar(work, project_id) is None:
        read_project(work, project_id)
        return NotSimulated("The project has no calendar of its working days.")
    return read_planned_work(work, project_id, alternate_ids)


def simulated_schedule_of(planned: PlannedWork) -> ScheduleInTrials | NotSimulated:
    """The solved schedule of planned work as it can be put into trials; it may take long and reads nothing.

    Raises as `schedule_of` does.
    """
    with refusing_endless_work():
        found = timed_work_of(planned)
        if not found.timed:
            return NotSimulated("No scope item has a task that can be scheduled.")
        question = found.question
        plan = answer_to(question)
        try:
            schedule = SimulatedSchedule.of(plan, question.days, question.limits, question.weather_days)
        except OrderNotKept as error:
            return NotSimulated(f"The order of the schedule cannot be varied: {error}.")
    key_of = {one.entry.id: one.timed.key for one in found.timed}
    return ScheduleInTrials(schedule, key_of, found.unscheduled, planned.closure[1], plan.opens_on)


def read_planned_work(work: UnitOfWork, project_id: UUID, alternate_ids: Sequence[UUID] = ()) -> PlannedWork:
    """The scope of a project, with these of its alternates, its calendar and tasks.

    Raises `wrong-state` for one without a calendar, `invalid-values` for alternates that cannot be taken together.
    """
    project = read_project(work, project_id)
    calendar = find_calendar(work, project_id)
    if calendar is None:
        raise ProblemError(
            problems.WRONG_STATE, "The project has no calendar of its working days; create it first."
        )
    scope = load_scope(work, project_id, alternate_ids)
    return PlannedWork(project, calendar, read_club(work), scope, tasks_of(work, project_id))


def read_schedule_question(
    work: UnitOfWork, project_id: UUID, alternate_ids: AlternateIds = None
) -> PlannedWork:
    """What a schedule is asked for: a project, and the ids of alternates with commas between them. Raises as
    `read_planned_work`."""
    return read_planned_work(work, project_id, alternates_named(alternate_ids))


def schedule_of(planned: PlannedWork) -> Schedule:
    """The schedule of planned work; it may take long and reads nothing.

    Raises `wrong-state` for work that does not end within ten years, `unavailable` while others are solved.
    """
    with refusing_endless_work():
        return _schedule(planned)


@contextmanager
def refusing_endless_work() -> Iterator[None]:
    """Raise `wrong-state` for work that does not end within the days of its calendar, or a calendar without end."""
    try:
        yield
    except BeyondCalendar as error:
        raise ProblemError(problems.WRONG_STATE, f"No schedule can be made: {error}.") from None
    except (OverflowError, NotImplementedError):
        raise ProblemError(
            problems.WRONG_STATE, "No schedule can be made with the calendar's dates and holidays."
        ) from None


def _schedule(planned: PlannedWork) -> Schedule:
    project, calendar, limits = planned.project, planned.calendar, planned.limits
    first, last = planned.closure
    found = timed_work_of(planned)
    timed, unscheduled, days = found.timed, found.unscheduled, found.days
    before = cautions_of(calendar, days, planned.closure, unscheduled)
    after = cautions_of_methods(planned.scope)
    if not timed:
        return _without_tasks(planned, unscheduled, [*before, *after])
    plan = answer_to(found.question)
    starts_on = days.working.date(min(one.start for one in plan.placed))
    finishes_on = days.working.date(max(one.finish for one in plan.placed))
    lost, later = _revenue(calendar, first, max(plan.opens_on, first))
    telling = Telling(
        {one.entry.number: one.entry for one in timed}, {one.entry.number: one.task for one in timed},
        {one.entry.number: one.derivation for one in timed}, days.working, planned.club,
    )  # fmt: skip
    days_over = (plan.opens_on - last).days - 1
    return Schedule(
        project_id=project.id, project=project.name, complete=not unscheduled, closure_first_day=first,
        closure_last_day=last, starts_on=starts_on, finishes_on=finishes_on, weather_days=calendar.weather_days,
        reopens_on=plan.opens_on, fits=days_over <= 0, days_over=days_over,
        days_closed=max((plan.opens_on - first).days, 0), revenue_lost=lost, later=later,
        tasks=[task_answer(one, telling) for one in plan.placed], work=days_of(plan, limits, days.working),
        off=_off(days, calendar, starts_on, finishes_on), unscheduled=list(unscheduled),
        solution=solution_of(plan),
        cautions=list(dict.fromkeys([*before, *cautions_of_tasks(plan, telling, limits, first), *after])),
    )  # fmt: skip


def timed_work_of(planned: PlannedWork) -> TimedWork:
    """What of planned work can be scheduled, and the question that it puts to the solver."""
    timed, unscheduled = _timed(planned)
    first, _ = planned.closure
    days = days_of_work(planned.calendar, min([first, *(one.timed.earliest for one in timed)]))
    question = Question(
        [one.timed for one in timed], days.working, planned.limits, planned.calendar.weather_days or 0
    )
    return TimedWork(timed, unscheduled, days, question)


def answer_to(question: Question) -> Programme:
    """When each task runs; it may take seconds. Raises `unavailable` while others are solved."""
    with _one_of_few_solvers():
        return programme(
            tasks=question.tasks,
            days=question.days,
            limits=question.limits,
            weather_days=question.weather_days,
        )


@contextmanager
def _one_of_few_solvers() -> Iterator[None]:
    """Schedules may take seconds: few are solved at a time in a process, so that other requests find threads."""
    if not _SOLVERS.acquire(timeout=WAIT_SECONDS):
        raise ProblemError(problems.UNAVAILABLE, "Other schedules are being solved just now.")
    try:
        yield
    finally:
        _SOLVERS.release()


def _without_tasks(
    planned: PlannedWork, unscheduled: Sequence[UnscheduledItem], cautions: Sequence[str]
) -> Schedule:
    first, last = planned.closure
    return Schedule(
        project_id=planned.project.id, project=planned.project.name, complete=not unscheduled,
        closure_first_day=first, closure_last_day=last, starts_on=None, finishes_on=None,
        weather_days=planned.calendar.weather_days, reopens_on=None, fits=None, days_over=None, days_closed=None,
        revenue_lost=None, later=[], tasks=[], work=[], off=[], unscheduled=list(unscheduled), solution=None,
        cautions=list(dict.fromkeys(cautions)),
    )  # fmt: skip


def _timed(planned: PlannedWork) -> tuple[list[Timed], list[UnscheduledItem]]:
    """Scope items that can be scheduled, and those that cannot with what waits for them."""
    scope, tasks, limits = planned.scope, planned.tasks, planned.limits
    first, _ = planned.closure
    number_of = {entry.id: entry.number for entry in scope}
    timed: dict[int, Timed] = {}
    unscheduled: dict[int, UnscheduledItem] = {}
    for entry in scope:
        task = tasks.get(entry.id)
        if task is None:
            unscheduled[entry.number] = _left_out(entry, "no_task", "It has no task.")
            continue
        try:
            duration, derivation = duration_of(entry, task, float(planned.calendar.shift_hours))
        except NoDuration as error:
            unscheduled[entry.number] = _left_out(entry, "no_duration", str(error))
            continue
        one = Timed(entry, task, _task(entry, task, duration, number_of, first), derivation)
        over = oversized(one.timed, limits)
        if over is not None:
            need, there = (one.timed.needs or {})[over], limits[over]
            text = f"It needs {need} of {over[1]} a day; there {'is' if there == 1 else 'are'} {there}."
            unscheduled[entry.number] = _left_out(entry, "over_limit", text)
            continue
        timed[entry.number] = one
    while stuck := [
        one for one in timed.values() if any(link.predecessor in unscheduled for link in one.timed.links)
    ]:
        for one in stuck:
            del timed[one.entry.number]
            unscheduled[one.entry.number] = _left_out(
                one.entry, "waits_for_unscheduled", "It waits for a scope item that is not scheduled."
            )
    return list(timed.values()), [unscheduled[number] for number in sorted(unscheduled)]


def _left_out(entry: ScopeEntry, reason: str, text: str) -> UnscheduledItem:
    return UnscheduledItem.model_validate(
        {
            "scope_item_id": entry.id,
            "number": entry.number,
            "name": entry.name,
            "reason": reason,
            "text": text,
        }
    )


def _task(
    entry: ScopeEntry, task: Task, duration: int, number_of: dict[UUID, int], first: date
) -> network.Task:
    needs: dict[Resource, int] = {}
    if task.crew is not None and task.people is not None:
        needs["crew", task.crew] = task.people
    if task.machine is not None and task.machines is not None:
        needs["machine", task.machine] = task.machines
    return network.Task(
        key=entry.number,
        duration=duration,
        earliest=task.earliest_start or first,
        latest_finish=task.latest_finish,
        links=tuple(
            Link(number_of[one.scope_item_id], one.kind, one.lag_days, one.lag_in == "calendar_days")
            for one in task.predecessors
            if one.scope_item_id in number_of  # nothing waits for work that is not in the scope
        ),
        invaded=frozenset(area.id for area in entry.areas) if task.invasive else frozenset(),
        recovery_days=task.recovery_days,
        needs=needs,
    )


def _revenue(calendar: Calendar, first: date, opens_on: date) -> tuple[Money | None, list[LaterReopening]]:
    """Revenue lost until the reopening, and with each further day."""
    rule = calendar.revenue_lost
    if rule is None:
        return None, []
    currency = rule.per_day.currency
    by_weekday = {
        n: to_minor(rule.by_weekday.get(name, rule.per_day).amount, currency)
        for n, name in enumerate(WEEKDAYS)
    }

    def lost(day: date) -> Money:
        minor = revenue_lost(closed_from=first, opens_on=day, minor_by_weekday=by_weekday)
        return Money.of_minor(minor, currency)

    later = [
        LaterReopening(
            days_later=n,
            opens_on=opens_on + timedelta(days=n),
            revenue_of_the_day=lost(opens_on + timedelta(days=n)) - lost(opens_on + timedelta(days=n - 1)),
            revenue_lost=lost(opens_on + timedelta(days=n)),
        )
        for n in range(1, DAYS_SHOWN_LATER + 1)
    ]
    return lost(opens_on), later


def _off(days: DaysOfWork, calendar: Calendar, first: date, last: date) -> list[ClosedDay]:
    """Holidays and closed days between two days that would have been worked."""
    weekdays = {WEEKDAYS.index(name) for name in calendar.working_weekdays}
    return [
        ClosedDay(day=day, reason=reason[:200])
        for day, reason in sorted(days.off.items())
        if first <= day <= last and day.weekday() in weekdays and day not in calendar.worked_days
    ]
