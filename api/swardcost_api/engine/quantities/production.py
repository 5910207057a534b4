"""Hours of machines and crews from the pace of the work."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

PACE = "definition of a production rate"


@dataclass(frozen=True, slots=True)
class GroundCovered:
    """The ground that a machine runs over in all its passes."""

    area_worked_m2: float
    steps: Steps = field(repr=False, compare=False)


def ground_covered(*, area_m2: float, passes: int = 1) -> GroundCovered:
    """Area times passes: what a machine runs over and what work by the pass is charged for.

    ::

        area worked = area x passes

    Area in square metres; `passes` counts every run over the whole area, in any direction. Limits: overlap
    of neighbouring runs and turning belong into the pace.

    Raises `ValueError` for an area that is not above zero or passes that are not whole.

    References
    ----------
    Arithmetic.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    count = work.counted("passes over the area", passes)
    worked = work.step(
        "area worked", area * count, "square_meter", "area x passes over the area",
        "area", "passes over the area",
    )  # fmt: skip
    return GroundCovered(worked, work.steps)


@dataclass(frozen=True, slots=True)
class MachineTime:
    """Hours of one machine."""

    machine_time_h: float
    steps: Steps = field(repr=False, compare=False)


def time_at_pace(*, area_worked_m2: float, pace_m2_per_h: float) -> MachineTime:
    """Machine hours of an area at a pace.

    ::

        machine time = area worked / pace

    Area in square metres, pace in square metres an hour, with turning, filling and breakdowns inside it.
    Limits: one pace for all the areas; many small ones go slower than one large one.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    >>> time_at_pace(area_worked_m2=6_000, pace_m2_per_h=1_500).machine_time_h
    4.0

    References
    ----------
    Definition of a production rate.
    """
    work = Working()
    area = work.given("area worked", area_worked_m2, "square_meter")
    pace = work.given("production rate", pace_m2_per_h, "square_meter_per_hour")
    hours = work.step(
        "machine time", area / pace, "hour", "area worked / production rate", "area worked", "production rate",
        source=PACE,
    )  # fmt: skip
    return MachineTime(hours, work.steps)


@dataclass(frozen=True, slots=True)
class CrewTime:
    """Hours of all people together."""

    crew_time_h: float
    steps: Steps = field(repr=False, compare=False)


def crew_time(*, machine_time_h: float, crew_size: int) -> CrewTime:
    """Hours of a crew that works as long as the machine.

    ::

        crew time = machine time x crew size

    Time in hours, crew in people. Limits: setting up, cleaning and travel are not in it.

    Raises `ValueError` for a time that is not above zero or a crew that is not whole.

    References
    ----------
    Arithmetic.
    """
    work = Working()
    hours = work.given("machine time", machine_time_h, "hour")
    crew = work.counted("crew size", crew_size)
    total = work.step(
        "crew time", hours * crew, "hour", "machine time x crew size", "machine time", "crew size"
    )
    return CrewTime(total, work.steps)
