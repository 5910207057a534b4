"""Whole working days out of hours of work."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up


@dataclass(frozen=True, slots=True)
class Duration:
    """Working days that a task takes, and the hours it runs."""

    running_time_h: float
    duration_days: int
    steps: Steps = field(repr=False, compare=False)


def working_days_of(*, work_h: float, side_by_side: int, shift_h: float) -> Duration:
    """Working days of some hours of work.

    ::

        running time = hours of work / side by side
        duration = running time / shift, rounded up to whole working days

    Hours of one machine (or of all people together), the machines (or people) that share them, and the hours
    worked on a working day. Limits: a part of a day counts as a day, and the work divides evenly.

    Raises `ValueError` for hours that are not above zero or a count that is not whole.

    Examples
    --------
    >>> working_days_of(work_h=150, side_by_side=4, shift_h=8).duration_days
    5

    References
    ----------
    Arithmetic; whole working days are common practice.
    """
    work = Working()
    hours = work.given("hours of work", work_h, "hour")
    sharing = work.counted("side by side", side_by_side)
    shift = work.given("shift", shift_h, "hour")
    running = work.step(
        "running time",
        hours / sharing,
        "hour",
        "hours of work / side by side",
        "hours of work",
        "side by side",
    )
    days = whole_up(running / shift)
    work.step(
        "duration", days, "work_day", "running time / shift, rounded up to whole working days",
        "running time", "shift", source="common practice: whole working days",
    )  # fmt: skip
    return Duration(running, days, work.steps)
