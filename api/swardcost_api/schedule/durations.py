"""Working days of a task, from its scope item's measures or as stated."""

from swardcost_model.schedule import Task

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.quantities.working import whole_up
from swardcost_api.engine.schedule.durations import working_days_of
from swardcost_api.estimates.service import ScopeEntry
from swardcost_api.units import UNITS

MOST_DAYS = 1_000
"""Working days of a task beyond which it is not scheduled."""
_TASK = "the task as stated"


class NoDuration(Exception):
    """A task whose working days cannot be told, and why."""


def duration_of(entry: ScopeEntry, task: Task, shift_h: float) -> tuple[int, Derivation]:
    """Whole working days of a task with the steps that lead to them. Raises `NoDuration`."""
    stated = task.duration.stated
    if stated is not None and stated.unit == "work_day":
        days, steps = _stated_days(float(stated.value))
    else:
        hours = _stated_hours(task) if stated is not None else _measured_hours(entry, task)
        found = working_days_of(
            work_h=hours[-1].value, side_by_side=task.duration.side_by_side, shift_h=shift_h
        )
        days, steps = found.duration_days, (*hours, *found.steps.values())
    if days > MOST_DAYS:
        raise NoDuration(f"It takes {days:,} working days, more than the {MOST_DAYS:,} that are scheduled.")
    return days, steps


def _stated_days(stated: float) -> tuple[int, Derivation]:
    days = whole_up(stated)
    step = Step(
        "duration", days, "work_day", "stated duration, rounded up to whole working days",
        (Input("stated duration", stated, "work_day"),), _TASK,
    )  # fmt: skip
    return days, (step,)


def _stated_hours(task: Task) -> Derivation:
    stated = task.duration.stated
    assert stated is not None
    hours = float(stated.value) * UNITS[stated.unit].si_factor
    return (
        Step(
            "hours of work",
            hours,
            "hour",
            "stated duration",
            (Input("stated duration", hours, "hour"),),
            _TASK,
        ),
    )


def _measured_hours(entry: ScopeEntry, task: Task) -> Derivation:
    wanted = task.duration.measure
    try:
        measure = entry.take_off().get(wanted or "")
    except (ValueError, OverflowError) as error:
        raise NoDuration(f"Its quantities cannot be computed: {error}") from None
    if measure is None or measure.unit != "hour" or measure.value <= 0:
        sizes = [area.name for area in entry.areas if not area.size_m2]
        why = (
            f"Without sizes: {', '.join(sizes[:5])}."
            if sizes
            else "Its method gives none with these parameters."
        )
        raise NoDuration(f"There is no measure {wanted} in hours. {why}")
    if any(not area.size_m2 for area in entry.areas) and entry.method.needs_areas:
        sizes = [area.name for area in entry.areas if not area.size_m2]
        raise NoDuration(f"Its hours are not known while these areas have no size: {', '.join(sizes[:5])}.")
    words = measure.derivation[-1].name
    taken = Step(
        "hours of work",
        measure.value,
        "hour",
        words,
        (Input(words, measure.value, "hour"),),
        "the scope item",
    )
    return (*measure.derivation, taken)
