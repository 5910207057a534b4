"""The days of the work, without money: when it is done, when the course reopens, and what holds it."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Any

from babel.dates import format_skeleton
from swardcost_model.schedule import Schedule, ScheduledTask, UnscheduledItem

from swardcost_api.charts import Mark, vega_lite_of
from swardcost_api.packets.days.bars import DayBar, day_bars
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Figure,
    Figures,
    Kind,
    Listing,
    Paragraph,
    Part,
    Row,
    Table,
)
from swardcost_api.packets.telling import Told

TASKS = "tasks"
_MOST_BARS = 30
_MOST_TICKS = 6


def told_days(telling: Told[Any], found: Schedule) -> Iterator[Part]:
    """The days of the work without money: main days, the table and bars of tasks, and what has no days."""
    say = telling.say
    yield Paragraph(
        say(
            "The days are those of the work as it is planned at the moment of this packet, which may still move."
        )
    )
    if found.tasks:
        yield Figures(tuple(_main_days(telling, found)))
        yield Paragraph(_closure_sentence(telling, found), "lead")
        yield Paragraph(_proven(telling, found))
        if found.weather_days is None:
            yield Paragraph(say("No days are allowed for weather."))
        else:
            yield Paragraph(
                telling.counted(
                    "%(number)s working day is allowed for weather after all work.",
                    "%(number)s working days are allowed for weather after all work.", found.weather_days,
                )
            )  # fmt: skip
        yield _bars(telling, found)
        yield _reasons(telling, found)
    if found.unscheduled:
        yield Paragraph(say("This work has no days, and the reopening leaves it out:"))
        yield Listing(telling.entries([_unscheduled(telling, one) for one in found.unscheduled]))


def _main_days(telling: Told[Any], found: Schedule) -> Iterator[Figure]:
    say = telling.say
    for label, day in (
        (say("Work begins"), found.starts_on), (say("Work ends"), found.finishes_on),
        (say("Course open again"), found.reopens_on),
    ):  # fmt: skip
        if day is not None:
            yield Figure(label, day)
    if found.days_closed is not None:
        yield Figure(say("Days closed"), found.days_closed)


def _closure_sentence(telling: Told[Any], found: Schedule) -> str:
    say = telling.say
    assert found.days_over is not None
    last = telling.shown(found.closure_last_day)
    if found.days_over > 0:
        return telling.counted(
            "The course reopens %(number)s day later than the closure allows, which ends on %(last)s.",
            "The course reopens %(number)s days later than the closure allows, which ends on %(last)s.",
            found.days_over, last=last,
        )  # fmt: skip
    if not found.days_over:
        return say("The course reopens on the day after the closure, which ends on %(last)s; no day is to spare.",
                   last=last)  # fmt: skip
    return telling.counted(
        "The work fits the closure, which ends on %(last)s, with %(number)s day to spare.",
        "The work fits the closure, which ends on %(last)s, with %(number)s days to spare.",
        -found.days_over, last=last,
    )  # fmt: skip


def _proven(telling: Told[Any], found: Schedule) -> str:
    say, solution = telling.say, found.solution
    assert solution is not None
    return {
        "no_limit_in_the_way": say(
            "Each task starts as early as those before it allow; no lack of people or machines holds it back."
        ),
        "proven_earliest": say(
            "People, machines and recovering turf hold tasks back; it is proven that no other order of this work "
            "reopens the course earlier."
        ),
        "best_found": say(
            "People, machines and recovering turf hold tasks back; these are the best days that were found, and "
            "earlier ones are not ruled out."
        ),
        "priority_rule": say(
            "The task that can wait least goes first; earlier days for the reopening are not ruled out."
        ),
    }[solution.rule]


def _task_table(telling: Told[Any], found: Schedule) -> Table:
    say = telling.say
    columns = (
        Column("what", say("Work")), Column("days", say("Working days"), Kind.COUNT),
        Column("first", say("First day"), Kind.DATE), Column("last", say("Last day"), Kind.DATE),
        Column("recovered", say("Recovered by"), Kind.DATE), Column("spare", say("Working days to spare"), Kind.COUNT),
    )  # fmt: skip
    rows = []
    for one in found.tasks:
        title = say("Working days: %(name)s", name=one.name)
        why = telling.why(f"task-{one.number}", title, one.derivation)
        note = "" if not one.days_late else telling.counted(
            "It ends %(number)s day after the day asked for.", "It ends %(number)s days after the day asked for.",
            one.days_late,
        )  # fmt: skip
        rows.append(
            Row(_key(one), (
                Cell(one.name), Cell(one.working_days, why), Cell(one.starts_on), Cell(one.finishes_on),
                Cell(one.opens_on), Cell(one.total_float),
            ), note=note)
        )  # fmt: skip
    notes = [say("Where no day is to spare, a day lost is a day lost to the reopening.")]
    left_out = len(found.tasks) - _MOST_BARS
    if left_out > 0:
        notes.append(
            telling.counted("%(number)s more is not drawn.", "%(number)s more are not drawn.", left_out)
        )
    return Table(TASKS, say("The work over the days"), columns, tuple(rows), tuple(notes))


def _reasons(telling: Told[Any], found: Schedule) -> Table:
    say = telling.say
    columns = (Column("what", say("Work")), Column("why", say("Why not earlier")))
    names = {one.scope_item_id: one.name for one in found.tasks}
    rows = []
    for one in found.tasks:
        held_by = [names[each] for each in one.why.scope_item_ids if each in names]
        rows.append(Row(_key(one), (Cell(one.name), Cell(_why(telling, one, held_by)))))
    return Table("reasons", say("Why work does not begin earlier"), columns, tuple(rows))


def _why(telling: Told[Any], task: ScheduledTask, held_by: Sequence[str]) -> str:
    say, names = telling.say, telling.listed(held_by)
    match task.why.kind:
        case "closure":
            return say("First working day of the closure")
        case "earliest_start":
            return say("Not before the day stated for it")
        case "link":
            return say("Waits for: %(names)s", names=names)
        case "recovery":
            return say("Ground recovers from: %(names)s", names=names)
    return say("People or machines are at work on: %(names)s", names=names)


def _unscheduled(telling: Told[Any], one: UnscheduledItem) -> str:
    say = telling.say
    reason = {
        "no_task": say("nobody has said how long it takes and who does it"),
        "no_duration": say("how long it takes does not follow from what is known"),
        "over_limit": say("it needs more people or machines than there are"),
        "waits_for_unscheduled": say("it waits for work that has no days"),
    }[one.reason]
    return say("%(name)s: %(reason)s.", name=one.name, reason=reason)


def _bars(telling: Told[Any], found: Schedule) -> Chart:
    say, shown = telling.say, found.tasks[:_MOST_BARS]
    assert found.reopens_on is not None
    first = min(one.starts_on for one in shown)
    end = max([one.finishes_on for one in shown] + [found.reopens_on])
    bars = [
        DayBar(one.name, (one.starts_on - first).days, (one.finishes_on - first).days, one.critical)
        for one in shown
    ]
    opening = Mark(
        (found.reopens_on - first).days,
        say("Dashed: open again on %(day)s", day=telling.shown(found.reopens_on)),
    )
    data = _task_table(telling, found)
    words = say(
        "Bars over the days from %(first)s to %(last)s, one for each task; the tasks on which the reopening rests are "
        "dark. The course is open again on %(opens)s.",
        first=telling.shown(first), last=telling.shown(end), opens=telling.shown(found.reopens_on),
    )  # fmt: skip
    drawing = day_bars(
        data.caption,
        bars,
        _ticks(telling, first, end),
        opening,
        say("Dark: a day lost there delays the reopening"),
    )
    return Chart("schedule-bars", data.caption, vega_lite_of(drawing), words, data)


def _ticks(telling: Told[Any], first: date, end: date) -> list[Mark]:
    """Days along the axis, a whole number of weeks apart where there are many."""
    span = (end - first).days
    step = max(1, -(-span // _MOST_TICKS))
    step = step if step < 4 else -(-step // 7) * 7
    locale = telling.writing.format.locale
    return [
        Mark(days, format_skeleton("MMMd", first + timedelta(days=days), locale=locale))
        for days in range(0, span + 1, step)
    ]


def _key(task: ScheduledTask) -> str:
    return f"task-{task.number}"
