"""The schedule as text with bars, for a reader of fixed-width lines."""

import unicodedata
from collections.abc import Iterator
from datetime import date, timedelta

from rich.cells import cell_len, chop_cells
from swardcost_model.schedule import Schedule, ScheduledTask

from swardcost_api.schedule.words import counted

MOST_WEEKS_BY_DAY = 12
"""Weeks up to which a bar has a character for each day; longer schedules have one for each week."""
MOST_COLUMNS = 120
"""Columns of a line of words; bars may be longer."""
MOST_COLUMNS_OF_A_NAME = 32
"""Columns of a name beside its bar; a longer one goes on below."""
_JOINERS = "\u200c\u200d"


def as_text(schedule: Schedule) -> str:
    """The schedule to be read: the answer first, then the bars, then what to know about them."""
    return "\n".join([*_head(schedule), *_bars(schedule), *_tail(schedule), ""])


def wrapped(text: str, columns: int) -> list[str]:
    """Lines of at most so many columns, broken between words, or within a word that is longer than a line.

    Wide characters take two columns. What moves the cursor or turns the direction of writing is left out.
    """
    lines = [""]
    for word in text.split():
        for piece in chop_cells(_plain(word), columns):
            longer = f"{lines[-1]} {piece}".lstrip()
            if cell_len(longer) <= columns:
                lines[-1] = longer
            else:
                lines.append(piece)
    return lines


def _plain(word: str) -> str:
    return "".join(c for c in word if c in _JOINERS or unicodedata.category(c) not in {"Cc", "Cf"})


def _hanging(start: str, text: str) -> Iterator[str]:
    """Words after a start of the line; the lines that follow are indented as far."""
    indent = len(start)
    for n, line in enumerate(wrapped(text, MOST_COLUMNS - indent)):
        yield f"{start if n == 0 else ' ' * indent}{line}"


def _head(schedule: Schedule) -> Iterator[str]:
    yield from wrapped(f"Schedule of {schedule.project}", MOST_COLUMNS)
    yield f"Closure           {schedule.closure_first_day} to {schedule.closure_last_day}"
    if schedule.reopens_on is None or schedule.days_over is None:
        yield "Nothing is scheduled."
        return
    yield f"Work              {schedule.starts_on} to {schedule.finishes_on}"
    if schedule.weather_days is not None:
        yield f"For weather       {counted(schedule.weather_days, 'working day')}"
    yield f"Course reopens    {schedule.reopens_on} ({_fit(schedule.days_over)})"
    yield f"Days closed       {schedule.days_closed}"
    if schedule.revenue_lost is not None:
        yield f"Revenue lost      {schedule.revenue_lost.amount} {schedule.revenue_lost.currency}"
        next_day = schedule.later[0].revenue_of_the_day
        yield f"A further day     {next_day.amount} {next_day.currency}"
    solution = schedule.solution
    if solution is not None:
        yield from wrapped(solution.text, MOST_COLUMNS)
        if solution.gap_days:
            gap = counted(solution.gap_days, "day")
            yield f"No schedule of these tasks reopens the course before {solution.not_before}, {gap} earlier."


def _fit(days_over: int) -> str:
    if days_over > 0:
        return f"misses the window by {counted(days_over, 'day')}"
    return f"fits with {counted(-days_over, 'day')} to spare" if days_over else "fits to the day"


def _bars(schedule: Schedule) -> Iterator[str]:
    if not schedule.tasks or schedule.reopens_on is None or schedule.starts_on is None:
        return
    monday = schedule.starts_on - timedelta(days=schedule.starts_on.weekday())
    weeks = (schedule.reopens_on - monday).days // 7 + 1
    daily = weeks <= MOST_WEEKS_BY_DAY
    worked = {one.day for one in schedule.work}
    names = [wrapped(one.name, MOST_COLUMNS_OF_A_NAME) for one in schedule.tasks]
    width = max(cell_len(line) for lines in names for line in lines)
    slacks = ["critical" if one.critical else f"float {one.total_float}" for one in schedule.tasks]
    slack_width = max(len("critical"), *map(len, slacks))
    numbers = _width_of_numbers(schedule)
    indent = " " * (numbers + 2)
    bars_begin = len(indent) + width + 2 + slack_width + 2
    yield ""
    if daily:
        heads = [f"{monday + timedelta(weeks=n):%m-%d}" for n in range(weeks)]
        yield f"{indent}{'week of':>{width}}".ljust(bars_begin) + "   ".join(heads)
    else:
        yield f"{indent}{'weeks from':>{width}}".ljust(bars_begin) + str(monday)
    for one, lines, slack in zip(schedule.tasks, names, slacks, strict=True):
        marks = [_mark(one, monday + timedelta(days=n), worked) for n in range(weeks * 7)]
        by_week = ["".join(marks[n : n + 7]) for n in range(0, len(marks), 7)]
        bar = " ".join(by_week) if daily else "".join(_mark_of_week(week) for week in by_week)
        name = lines[0] + " " * (width - cell_len(lines[0]))
        yield f"{one.number:>{numbers}}  {name}  {slack:<{slack_width}}  {bar}"
        yield from (indent + line for line in lines[1:])
    yield ""
    signs = "# work   o day off within the task   ~ recovery   . nothing"
    yield signs if daily else f"{signs}   (one sign a week)"


def _width_of_numbers(schedule: Schedule) -> int:
    numbers = [one.number for one in schedule.tasks] + [one.number for one in schedule.unscheduled]
    return max(3, len(str(max(numbers, default=0))))


def _mark(task: ScheduledTask, day: date, worked: set[date]) -> str:
    if task.starts_on <= day <= task.finishes_on:
        return "#" if day in worked else "o"
    return "~" if task.finishes_on < day < task.opens_on else "."


def _mark_of_week(week: str) -> str:
    return next((mark for mark in "#o~" if mark in week), ".")


def _tail(schedule: Schedule) -> Iterator[str]:
    numbers = _width_of_numbers(schedule)
    if schedule.tasks:
        yield ""
        yield "Why it starts when it does"
        for one in schedule.tasks:
            loads = "".join(
                f" {p.per_working_day} {p.unit}{'' if p.per_working_day == '1.0' else 's'} a day."
                for p in one.per_day[:1]
            )
            yield from _hanging(
                f"{one.number:>{numbers}}  {one.starts_on} to {one.finishes_on}  ", one.why.text + loads
            )
    if schedule.off:
        yield ""
        yield "Days off"
        for closed in schedule.off:
            yield from _hanging(f"{' ' * numbers}  {closed.day}  ", closed.reason)
    if schedule.unscheduled:
        yield ""
        yield "Not scheduled"
        for item in schedule.unscheduled:
            yield from _hanging(f"{item.number:>{numbers}}  ", f"{item.name}: {item.text}")
    if schedule.cautions:
        yield ""
        yield "Cautions"
        for caution in schedule.cautions:
            yield from _hanging("  -  ", caution)
