"""What a reader should know before relying on a schedule."""

from collections.abc import Iterator, Sequence
from datetime import date

from swardcost_model.schedule import Calendar, UnscheduledItem

from swardcost_api.engine.schedule.placing import Limits
from swardcost_api.engine.schedule.programme import Placed, Programme
from swardcost_api.estimates.service import ScopeEntry
from swardcost_api.schedule.answers import RULES, Telling
from swardcost_api.schedule.calendars import DaysOfWork
from swardcost_api.schedule.words import counted, listed

PLANNING = "Dates are for planning; weather, growth and what the ground shows decide."
MOST_NAMED = 3
"""Areas, or scope items, that a caution names before it counts the rest."""


def cautions_of(
    calendar: Calendar, days: DaysOfWork, closure: tuple[date, date], unscheduled: Sequence[UnscheduledItem]
) -> list[str]:
    """What the calendar does not say, and what the schedule leaves out."""
    cautions = []
    if unscheduled:
        cautions.append(f"Scope items not scheduled: {len(unscheduled)}. The reopening leaves them out.")
    first, last = closure
    if last <= days.working.days[-1] and not any(first <= day <= last for day in days.working.days):
        cautions.append(f"The closure has no working day from its first, {first}, to its last, {last}.")
    if calendar.weather_days is None:
        cautions.append("No days are allowed for weather.")
    if calendar.revenue_lost is None:
        cautions.append("Revenue lost on a closed day is not stated.")
    if days.holidays_until is not None:
        cautions.append(f"Holidays are known until {days.holidays_until} only.")
    return cautions


def cautions_of_methods(scope: Sequence[ScopeEntry]) -> list[str]:
    """That dates are for planning, and the cautions of the methods, ending with what each of them ends with."""
    of_methods = [caution for entry in scope for caution in entry.method.cautions[:-1]]
    at_the_end = [entry.method.cautions[-1] for entry in scope if entry.method.cautions]
    return [PLANNING, *of_methods, *at_the_end] if scope else []


def cautions_of_tasks(
    programme: Programme, telling: Telling, limits: Limits, closure_first_day: date
) -> Iterator[str]:
    """What the days of the tasks ask of the reader, task by task in the order of their numbers."""
    if programme.rule in ("best_found", "priority_rule"):
        yield RULES[programme.rule]
    placed = sorted(programme.placed, key=lambda one: one.task.key)
    invading = [one for one in placed if one.task.invaded]
    for one in placed:
        name = telling.entries[one.task.key].name
        invasive = telling.tasks[one.task.key].invasive
        starts_on = telling.days.date(one.start)
        if one.days_late:
            yield f"{name} finishes {counted(one.days_late, 'day')} after its latest finish."
        if starts_on < closure_first_day:
            what = "is invasive and starts" if invasive else f"starts on {starts_on},"
            yield f"{name} {what} before the closure."
        if invasive and not one.task.invaded:
            yield f"{name} is invasive but on no area, so nothing waits for its recovery."
        if not invasive:
            yield from _on_invaded_ground(one, invading, telling)
    unlimited = {r for one in programme.placed for r in (one.task.needs or {}) if r not in limits}
    for kind, name in sorted(unlimited):
        yield f"No limit is stated for {kind} {name}."


def _on_invaded_ground(one: Placed, invading: Sequence[Placed], telling: Telling) -> Iterator[str]:
    """Work that holds no area, and so waits for none, on areas that others work invasively or that recover."""
    days, entry = telling.days, telling.entries[one.task.key]
    under_way = [other for other in invading if one.start <= other.finish and other.start <= one.finish]
    recovering = [
        other
        for other in invading
        if max(one.start, other.finish + 1) <= min(one.finish, other.task.recovering_until(other.start, days))
    ]
    first, last = days.date(one.start), days.date(one.finish)
    when = f"on {first}" if first == last else f"from {first} to {last}"
    own = {area.id for area in entry.areas}
    for others, said in (
        (under_way, "where invasive work is under way"),
        (recovering, "still recovering from invasive work"),
    ):
        shared = {other.task.key: own & other.task.invaded for other in others}
        held = set().union(*shared.values())
        areas = [area.name for area in entry.areas if area.id in held]
        names = [telling.entries[key].name for key, both in shared.items() if both]
        if held:
            yield (
                f"{entry.name} is done {when} on {listed(areas, 'area', MOST_NAMED)}, {said}: "
                f"{listed(names, 'scope item', MOST_NAMED)}."
            )
