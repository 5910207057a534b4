"""Ground covered by a swath: sweeping, blowing, rolling, dragging, mowing. Widths and speeds become a pace."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

CAPACITY = "agricultural engineering: effective field capacity = width x speed x field efficiency"


@dataclass(frozen=True, slots=True)
class TurningEfficiency:
    """The part of the time that a machine spends working, the rest being spent on turns."""

    turning_efficiency: float
    steps: Steps = field(repr=False, compare=False)


def efficiency_of_runs(
    *, run_length_m: float, speed_m_per_h: float, turning_time_h: float
) -> TurningEfficiency:
    """Turning efficiency from the length of a run and the time of a turn.

    ::

        turning efficiency = (run length / speed) / (run length / speed + time to turn)

    Length in metres, speed in metres an hour, time in hours. Limits: runs of one length; on a round green
    take the average run. Filling, emptying and breakdowns are not in it.

    Raises `ValueError` for figures that are not above zero (turning may take no time).

    Examples
    --------
    Runs of 20 m at 4 km/h take 18 s; with turns of 6 s three quarters of the time is work:

    >>> round(efficiency_of_runs(run_length_m=20, speed_m_per_h=4_000, turning_time_h=6 / 3600).turning_efficiency, 9)
    0.75

    References
    ----------
    Definition of field efficiency as time at work to time spent, for turns alone.
    """
    work = Working()
    length = work.given("run length", run_length_m, "meter")
    speed = work.given("speed", speed_m_per_h, "meter_per_hour")
    turn = work.given("time to turn", turning_time_h, "hour", zero=True)
    run = work.step(
        "time of a run", length / speed, "hour", "run length / speed", "run length", "speed",
        source="definition of speed",
    )  # fmt: skip
    efficiency = work.step(
        "turning efficiency", run / (run + turn), "ratio", "time of a run / (time of a run + time to turn)",
        "time of a run", "time to turn", source="definition of field efficiency, for turns alone",
    )  # fmt: skip
    return TurningEfficiency(efficiency, work.steps)


@dataclass(frozen=True, slots=True)
class SwathPace:
    """The pace of a swath, with overlap and turns."""

    effective_width_m: float
    pace_m2_per_h: float
    steps: Steps = field(repr=False, compare=False)


def swath_pace(
    *,
    swath_width_m: float,
    speed_m_per_h: float,
    overlap_share: float = 0.0,
    turning_efficiency: float = 1.0,
) -> SwathPace:
    """Area that a machine covers in an hour and pass.

    ::

        effective width = swath width x (1 - overlap)
        production rate = effective width x speed x turning efficiency

    Width in metres, speed in metres an hour; the overlap of neighbouring swaths and the efficiency are
    shares. Published field efficiencies take in overlap, turns, filling and stops: with one of those, leave
    the overlap at zero.

    Limits: one width, speed and efficiency for all the areas; small, round or steep ones go slower.

    Raises `ValueError` for figures that are not above zero, an overlap of 1 or more, an efficiency above 1.

    Examples
    --------
    A swath of 2 m at 5 km/h and 80 % covers 0.8 hectares in an hour:

    >>> swath_pace(swath_width_m=2, speed_m_per_h=5_000, turning_efficiency=0.8).pace_m2_per_h
    8000.0

    References
    ----------
    Effective field capacity: Iowa State University Extension, PM 696 / Ag Decision Maker A3-24, Estimating
    the Field Capacity of Farm Machines; University of Kentucky, AEN-73, 1991 (theoretical capacity in acres
    an hour = feet x miles an hour / 8.25). The definitions stand in ASABE EP496 (from memory).
    """
    work = Working()
    swath = work.given("swath width", swath_width_m, "meter")
    speed = work.given("speed", speed_m_per_h, "meter_per_hour")
    overlap = work.given("overlap", overlap_share, "ratio", zero=True)
    efficiency = work.given("turning efficiency", turning_efficiency, "ratio")
    if overlap >= 1:
        raise ValueError(f"overlap: expected a share below 1; got {overlap!r}")
    if efficiency > 1:
        raise ValueError(f"turning efficiency: expected at most 1; got {efficiency!r}")
    width = work.step(
        "effective width", swath * (1 - overlap), "meter", "swath width x (1 - overlap)", "swath width", "overlap",
        source=CAPACITY,
    )  # fmt: skip
    pace = work.step(
        "production rate", width * speed * efficiency, "square_meter_per_hour",
        "effective width x speed x turning efficiency", "effective width", "speed", "turning efficiency",
        source=CAPACITY,
    )  # fmt: skip
    return SwathPace(width, pace, work.steps)


@dataclass(frozen=True, slots=True)
class Travel:
    """The distance that a machine drives at work."""

    distance_m: float
    steps: Steps = field(repr=False, compare=False)


def travel_distance(*, area_worked_m2: float, effective_width_m: float) -> Travel:
    """Distance driven at work over an area, all passes together.

    ::

        travel distance = area worked / effective width

    Area in square metres with all passes, width in metres. Limits: turns and the way there are not in it.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry of strips.
    """
    work = Working()
    area = work.given("area worked", area_worked_m2, "square_meter")
    width = work.given("effective width", effective_width_m, "meter")
    distance = work.step(
        "travel distance", area / width, "meter", "area worked / effective width", "area worked", "effective width",
        source="geometry: strips of one width",
    )  # fmt: skip
    return Travel(distance, work.steps)
