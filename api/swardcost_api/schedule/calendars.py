"""Calendars of projects: when work can be done."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert
from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.projects import Project
from swardcost_model.schedule import WEEKDAYS, Calendar, CalendarChange, CalendarFields, Holidays, NewCalendar

from swardcost_api.access.service import record
from swardcost_api.engine.schedule.working_days import WorkingDays
from swardcost_api.estimates.service import hold_project, read_project
from swardcost_api.schedule.tables import CalendarRow
from swardcost_api.storage.rows import by_id, delete_row, edit_row, missing
from swardcost_api.storage.work import UnitOfWork

YEARS_SHOWN = 10
"""Years after the first day within which all work has to end."""
_BEFORE = timedelta(days=366)
_CALENDAR_BY_ID = by_id(CalendarRow, [c for c in CalendarRow.__table__.c if c.name != "club_id"])


@dataclass(frozen=True, slots=True)
class DaysOfWork:
    """The working days of a calendar, and why others are off."""

    working: WorkingDays
    off: Mapping[date, str]
    holidays_until: int | None
    """Last year for which holidays are known, where the days go on after it."""


def create_calendar(work: UnitOfWork, project_id: UUID, new: NewCalendar) -> Calendar:
    """Give a project its calendar. Raises `duplicate` where it has one, `invalid-values` with each fault's place."""
    hold_project(work, project_id)
    if find_calendar(work, project_id) is not None:
        raise ProblemError(problems.DUPLICATE, "This project has a calendar already; edit that one.")
    _check(read_project(work, project_id), new)
    calendar = Calendar(project_id=project_id, version=1, **dict(new))
    work.session.execute(
        insert(CalendarRow).values(club_id=work.club_id, id=project_id, version=1, **_columns(new))
    )
    record(work, "create", "calendar", project_id, after=calendar)
    return calendar


def read_calendar(work: UnitOfWork, project_id: UUID) -> Calendar:
    """The calendar of a project. Raises `not-found` where it has none."""
    calendar = find_calendar(work, project_id)
    if calendar is None:
        raise missing("calendar")
    return calendar


def find_calendar(work: UnitOfWork, project_id: UUID) -> Calendar | None:
    """The calendar of a project, if it has one."""
    row = work.session.execute(_CALENDAR_BY_ID, {"club": work.club_id, "id": project_id}).first()
    return None if row is None else _calendar(row)


def change_calendar(work: UnitOfWork, project_id: UUID, change: CalendarChange, if_match: int) -> Calendar:
    """Replace the calendar of a project."""
    before = read_calendar(work, project_id)
    _check(read_project(work, project_id), change)
    edit_row(work, CalendarRow, project_id, if_match, "calendar", **_columns(change))
    after = Calendar(project_id=project_id, version=if_match + 1, **dict(change))
    record(work, "change", "calendar", project_id, before, after)
    return after


def delete_calendar(work: UnitOfWork, project_id: UUID, if_match: int) -> None:
    """Take the calendar of a project away. Its tasks stay."""
    before = read_calendar(work, project_id)
    delete_row(work, CalendarRow, project_id, if_match, "calendar")
    record(work, "delete", "calendar", project_id, before)


def closure_of(calendar: CalendarFields | Calendar, project: Project) -> tuple[date, date]:
    """First and last day of the closure: those of the project where the calendar says nothing else."""
    return calendar.closure_first_day or project.starts_on, calendar.closure_last_day or project.ends_on


def days_of_work(calendar: Calendar, first: date) -> DaysOfWork:
    """The working days from a year before a date until `YEARS_SHOWN` years after it."""
    begin, end = first - _BEFORE, first + timedelta(days=366 * YEARS_SHOWN)
    off, known_until = holidays_between(calendar.holidays, begin, end)
    off |= {one.day: one.reason for one in calendar.closed_days}
    working = WorkingDays.between(
        first=begin,
        last=end,
        weekdays={WEEKDAYS.index(name) for name in calendar.working_weekdays},
        closed=off.keys(),
        worked=set(calendar.worked_days),
    )
    return DaysOfWork(working, off, known_until)


def holidays_between(rule: Holidays | None, first: date, last: date) -> tuple[dict[date, str], int | None]:
    """Public holidays with their names, and the last year for which they are known if that is before `last`.

    Raises `NotImplementedError` for a country or subdivision that is not known.
    """
    if rule is None:
        return {}, None
    # Loaded only where a calendar asks for it: it knows every country, and takes its time to load.
    from holidays import country_holidays

    years = range(first.year, last.year + 1)
    found = country_holidays(rule.country, subdiv=rule.subdivision, years=years, observed=rule.moved)
    return dict(sorted(found.items())), found.end_year if found.end_year < last.year else None


def _check(project: Project, fields: CalendarFields) -> None:
    faults = []
    first, last = closure_of(fields, project)
    if last < first:
        field = "closure_last_day" if fields.closure_last_day is not None else "closure_first_day"
        faults.append(
            Fault(pointer=f"/{field}", expected=f"a closure from {first} to a day that is not before it", got=str(last))
        )  # fmt: skip
    if fields.holidays is not None:
        faults += _holiday_faults(fields.holidays)
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "The calendar cannot be used; nothing was changed.", faults
        )


def _holiday_faults(rule: Holidays) -> list[Fault]:
    from holidays import list_supported_countries

    subdivisions = list_supported_countries().get(rule.country)
    if subdivisions is None:
        return [
            Fault(
                pointer="/holidays/country", expected="a country whose holidays are known", got=rule.country
            )
        ]
    if rule.subdivision is not None and rule.subdivision not in subdivisions:
        known = ", ".join(subdivisions) or "none"
        return [Fault(pointer="/holidays/subdivision", expected=f"one of: {known}", got=rule.subdivision)]
    return []


def _columns(fields: CalendarFields) -> dict[str, Any]:
    document = fields.model_dump(mode="json")
    return document | {
        "closure_first_day": fields.closure_first_day, "closure_last_day": fields.closure_last_day,
    }  # fmt: skip


def _calendar(row: Row[*tuple[Any, ...]]) -> Calendar:
    return Calendar.model_validate(dict(row._mapping))
