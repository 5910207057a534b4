"""The schedule as CSV and as text with bars."""

from collections.abc import Iterator
from datetime import date, timedelta

from swardcost_model.schedule import Schedule, ScheduledTask

from swardcost_api.csv_files import write_rows

COLUMNS = (
    "number", "scope_item", "starts_on", "finishes_on", "working_days", "opens_on", "earliest_starts_on",
    "latest_starts_on", "total_float", "free_float", "critical", "days_late", "crew", "people", "machine", "machines",
    "why",
)  # fmt: skip
MOST_WEEKS_BY_DAY = 12
"""Weeks up to which a bar has a character for each day; longer schedules have one for each week."""


def as_csv(schedule: Schedule) -> str:
    """The tasks, and after them the scope items without days."""
    rows = [
        (
            one.number, one.name, one.starts_on, one.finishes_on, one.working_days, one.opens_on,
            one.earliest_starts_on, one.latest_starts_on, one.total_float, one.free_float,
            "yes" if one.critical else "no", one.days_late, one.crew, one.people, one.machine, one.machines,
            one.why.text,
        )
        for one in schedule.tasks
    ]  # fmt: skip
    left_out = [
        (one.number, one.name, *[None] * (len(COLUMNS) - 3), f"not scheduled: {one.text}")
        for one in schedule.unscheduled
    ]
    return write_rows(COLUMNS, [*rows, *left_out])


def as_text(schedule: Schedule) -> str:
    """The schedule to be read: the answer first, then the bars, then what to know about them."""
    return "\n".join([*_head(schedule), *_bars(schedule), *_tail(schedule), ""])


def _head(schedule: Schedule) -> Iterator[str]:
    yield f"Schedule of {schedule.project}"
    yield f"Closure           {schedule.closure_first_day} to {schedule.closure_last_day}"
    if schedule.reopens_on is None or schedule.days_over is None:
        yield "Nothing is scheduled."
        return
    yield f"Work              {schedule.starts_on} to {schedule.finishes_on}"
    if schedule.weather_days is not None:
        yield f"For weather       {schedule.weather_days} working days"
    yield f"Course reopens    {schedule.reopens_on} ({_fit(schedule.days_over)})"
    yield f"Days closed       {schedule.days_closed}"
    if schedule.revenue_lost is not None:
        yield f"Revenue lost      {schedule.revenue_lost.amount} {schedule.revenue_lost.currency}"
        next_day = schedule.later[0].revenue_of_the_day
        yield f"A further day     {next_day.amount} {next_day.currency}"
    if schedule.solution is not None:
        yield schedule.solution.text


def _fit(days_over: int) -> str:
    if days_over > 0:
        return f"misses the window by {days_over} days"
    return f"fits with {-days_over} days to spare" if days_over else "fits to the day"


def _bars(schedule: Schedule) -> Iterator[str]:
    if not schedule.tasks or schedule.reopens_on is None or schedule.starts_on is None:
        return
    monday = schedule.starts_on - timedelta(days=schedule.starts_on.weekday())
    weeks = (schedule.reopens_on - monday).days // 7 + 1
    daily = weeks <= MOST_WEEKS_BY_DAY
    worked = {one.day for one in schedule.work}
    width = min(max(len(one.name) for one in schedule.tasks), 32)
    yield ""
    if daily:
        heads = [f"{monday + timedelta(weeks=n):%m-%d}  " for n in range(weeks)]
        yield f"{'week of':>{width + 5}}            " + " ".join(heads).rstrip()
    else:
        yield f"{'one sign a week, from':>{width + 5}}            {monday}"
    for one in schedule.tasks:
        marks = [_mark(one, monday + timedelta(days=n), worked) for n in range(weeks * 7)]
        by_week = ["".join(marks[n : n + 7]) for n in range(0, len(marks), 7)]
        bar = " ".join(by_week) if daily else "".join(_mark_of_week(week) for week in by_week)
        name = one.name if len(one.name) <= width else one.name[: width - 1] + "…"
        slack = "critical" if one.critical else f"float {one.total_float}"
        yield f"{one.number:>3}  {name:<{width}}  {slack:<9} {bar}".rstrip()
    yield ""
    yield "# work   o day off within the task   ~ recovery   . nothing"


def _mark(task: ScheduledTask, day: date, worked: set[date]) -> str:
    if task.starts_on <= day <= task.finishes_on:
        return "#" if day in worked else "o"
    return "~" if task.finishes_on < day < task.opens_on else "."


def _mark_of_week(week: str) -> str:
    return next((mark for mark in "#o~" if mark in week), ".")


def _tail(schedule: Schedule) -> Iterator[str]:
    if schedule.tasks:
        yield ""
        yield "Why it starts when it does"
        for one in schedule.tasks:
            loads = "".join(f"; {p.per_working_day} {p.unit}s a day" for p in one.per_day[:1])
            yield f"{one.number:>3}  {one.starts_on} to {one.finishes_on}  {one.why.text}{loads}"
    if schedule.off:
        yield ""
        yield "Days off"
        for closed in schedule.off:
            yield f"     {closed.day}  {closed.reason}"
    if schedule.unscheduled:
        yield ""
        yield "Not scheduled"
        for item in schedule.unscheduled:
            yield f"{item.number:>3}  {item.name}: {item.text}"
    if schedule.cautions:
        yield ""
        yield "Cautions"
        for caution in schedule.cautions:
            yield f"  -  {caution}"
