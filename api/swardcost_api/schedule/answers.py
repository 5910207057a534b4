"""The programme of the engine told in the words of the trade."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.access import Club
from swardcost_model.schedule import (
    DayOfWork,
    InUse,
    LinkKind,
    PerDay,
    ScheduledTask,
    Solution,
    StartReason,
    Task,
)

from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.schedule.exact import SECONDS
from swardcost_api.engine.schedule.network import Link
from swardcost_api.engine.schedule.placing import Limits
from swardcost_api.engine.schedule.programme import Placed, Programme, in_use
from swardcost_api.engine.schedule.working_days import WorkingDays
from swardcost_api.estimates.service import ScopeEntry
from swardcost_api.schedule.words import counted, listed
from swardcost_api.units import exact

_LOADS = frozenset({"load", "trip"})
RULES = {
    "no_limit_in_the_way": "Every task starts as early as its links allow; no limit is in the way.",
    "proven_earliest": "People, machines and recovery hold tasks back; it is proven that no schedule of these tasks "
    "reopens the course earlier.",
    "best_found": "The search for the earliest reopening was given up; this is the best schedule it found, from the "
    "priority rule of the latest start.",
    "priority_rule": "The search for the earliest reopening was given up; this schedule is by the priority rule of the "
    "latest start: of the tasks that can start, the one that can wait least goes first.",
}
_HELD = {
    LinkKind.FINISH_TO_START: "Starts after the finish of",
    LinkKind.START_TO_START: "Starts with or after the start of",
    LinkKind.FINISH_TO_FINISH: "Finishes with or after the finish of",
}


@dataclass(frozen=True, slots=True)
class Telling:
    """What is known of scheduled scope items, by their number."""

    entries: Mapping[int, ScopeEntry]
    tasks: Mapping[int, Task]
    derivations: Mapping[int, Derivation]
    days: WorkingDays
    club: Club


def task_answer(placed: Placed, telling: Telling) -> ScheduledTask:
    """A task of the programme with its dates."""
    number = placed.task.key
    entry, task, days = telling.entries[number], telling.tasks[number], telling.days
    return ScheduledTask(
        scope_item_id=entry.id, number=number, name=entry.name, working_days=placed.task.duration,
        starts_on=days.date(placed.start), finishes_on=days.date(placed.finish),
        opens_on=placed.task.opens_on(placed.start, days), earliest_starts_on=days.date(placed.early_start),
        latest_starts_on=days.date(placed.late_start), total_float=placed.total_float,
        free_float=placed.free_float, critical=placed.critical, days_late=placed.days_late,
        why=_why(placed, telling), crew=task.crew, people=task.people, machine=task.machine, machines=task.machines,
        invasive=task.invasive, recovery_days=task.recovery_days,
        per_day=_per_day(entry, placed.task.duration),
        derivation=steps_for(telling.derivations[number], telling.club),
    )  # fmt: skip


def _why(placed: Placed, telling: Telling) -> StartReason:
    reason = placed.reason
    names = listed([f"{n} {telling.entries[n].name}" for n in reason.held_by]) if reason.held_by else ""
    ids = [telling.entries[n].id for n in reason.held_by]
    if reason.link is not None:
        return StartReason(kind="link", scope_item_ids=ids, text=_link_words(reason.link, names))
    if reason.area is not None:
        held = {area.id for n in reason.held_by for area in telling.entries[n].areas}
        # In the order of the scope item, since ids differ from one database to the next.
        first = next(area.name for area in telling.entries[placed.task.key].areas if area.id in held)
        text = f"{first} is held until it has recovered from {names}."
        return StartReason(kind="recovery", scope_item_ids=ids, text=text)
    if reason.resource is not None:
        text = f"Too few of {reason.resource[1]} are free; they are at work on {names}."
        return StartReason(kind="limit", scope_item_ids=ids, text=text)
    stated = telling.tasks[placed.task.key].earliest_start
    if stated is not None:
        return StartReason(kind="earliest_start", scope_item_ids=[], text=f"Not before {stated}, as stated.")
    return StartReason(kind="closure", scope_item_ids=[], text="First working day of the closure.")


def _link_words(link: Link, names: str) -> str:
    text = f"{_HELD[link.kind]} {names}"
    if link.lag_days:
        text += f", {counted(link.lag_days, 'calendar day' if link.calendar_days else 'working day')} later"
    return f"{text}."


def _per_day(entry: ScopeEntry, days: int) -> list[PerDay]:
    """Loads and trips on each working day, on average, to a tenth."""
    return [
        PerDay(
            measure=measure.name, unit=measure.unit, total=format(exact(measure.value).normalize(), "f"),
            per_working_day=str((exact(measure.value) / days).quantize(Decimal("0.1"), ROUND_HALF_UP)),
        )
        for measure in entry.take_off().values()
        if measure.unit in _LOADS
    ]  # fmt: skip


def days_of(programme: Programme, limits: Limits, days: WorkingDays) -> list[DayOfWork]:
    """People and machines at work on each working day."""
    return [
        DayOfWork(
            day=days.date(number),
            in_use=[
                InUse.model_validate(
                    {"kind": kind, "name": name, "at_work": at_work, "available": limits.get((kind, name))}
                )
                for (kind, name), at_work in sorted(use.items())
            ],
        )
        for number, use in in_use(programme).items()
    ]


def solution_of(programme: Programme) -> Solution:
    """How the days were found, and what is proven about them."""
    return Solution(
        rule=programme.rule, not_before=programme.bound, gap_days=(programme.opens_on - programme.bound).days,
        starts_proven=programme.tidy, seconds_at_most=Decimal(str(SECONDS)), text=RULES[programme.rule],
    )  # fmt: skip
