"""Hauling: whole loads, trips, and the hours they take."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

WHOLE = "common practice: a part of a load is a trip like any other"


@dataclass(frozen=True, slots=True)
class Loads:
    """Whole loads, and the round trips that carry them, one to a load."""

    loads: int
    trips: int
    steps: Steps = field(repr=False, compare=False)


def loads_of_mass(*, mass_kg: float, payload_kg: float) -> Loads:
    """Whole loads that carry a mass.

    ::

        loads = mass / payload, rounded up
        trips = loads

    Masses in kilograms. Limits: every load but the last is taken as full; where volume fills the box before
    the weight does, use `loads_of_volume`.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    1,500 tons in loads of 20 tons:

    >>> loads_of_mass(mass_kg=1_500 * 907.18474, payload_kg=20 * 907.18474).loads
    75

    References
    ----------
    Common practice.
    """
    work = Working()
    mass = work.given("mass", mass_kg, "kilogram")
    payload = work.given("payload", payload_kg, "kilogram")
    return _loads(work, mass / payload, "mass / payload, rounded up to whole loads", "mass", "payload")


def loads_of_volume(*, volume_m3: float, box_volume_m3: float) -> Loads:
    """Whole loads that carry a loose volume.

    ::

        loads = loose volume / box volume, rounded up
        trips = loads

    Volumes in cubic metres, in the same, loose state. Limits: the payload by weight is not looked at.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    volume = work.given("loose volume", volume_m3, "cubic_meter")
    box = work.given("box volume", box_volume_m3, "cubic_meter")
    return _loads(
        work,
        volume / box,
        "loose volume / box volume, rounded up to whole loads",
        "loose volume",
        "box volume",
    )


def _loads(work: Working, computed: float, formula: str, *inputs: str) -> Loads:
    loads = whole_up(computed)
    work.step("loads", loads, "load", formula, *inputs, source=WHOLE)
    work.step("trips", loads, "trip", "loads, one round trip each", "loads", source=WHOLE)
    return Loads(loads, loads, work.steps)


@dataclass(frozen=True, slots=True)
class TripRange:
    """Trips when every load is the largest, and when every load is the smallest."""

    fewest: int
    most: int
    steps: Steps = field(repr=False, compare=False)


def trip_range(*, mass_kg: float, payload_kg: float, payload_at_most_kg: float) -> TripRange:
    """Trips between which a haul lies when the payload varies.

    ::

        most trips   = mass / smallest payload, rounded up
        fewest trips = mass / largest payload, rounded up

    Masses in kilograms. Limits: as for `loads_of_mass`.

    Raises `ValueError` for figures that are not above zero or a largest payload below the smallest.

    References
    ----------
    Common practice.
    """
    work = Working()
    mass = work.given("mass", mass_kg, "kilogram")
    small = work.given("payload", payload_kg, "kilogram")
    large = work.given("payload at most", payload_at_most_kg, "kilogram")
    if not fits(small, large):
        raise ValueError(f"payload at most: expected at least the payload, {small!r} kilogram; got {large!r}")
    most, fewest = whole_up(mass / small), whole_up(mass / large)
    work.step(
        "most trips",
        most,
        "trip",
        "mass / payload, rounded up to whole trips",
        "mass",
        "payload",
        source=WHOLE,
    )
    work.step(
        "fewest trips", fewest, "trip", "mass / payload at most, rounded up to whole trips",
        "mass", "payload at most", source=WHOLE,
    )  # fmt: skip
    return TripRange(fewest, most, work.steps)


@dataclass(frozen=True, slots=True)
class Haul:
    """The time of one round trip, and of all of them on one machine."""

    travel_time_h: float
    cycle_time_h: float
    machine_time_h: float
    steps: Steps = field(repr=False, compare=False)


def haul_time(
    *, trips: int, distance_m: float, speed_m_per_h: float, loading_time_h: float, dumping_time_h: float
) -> Haul:
    """Machine hours of a haul from the cycle of one trip.

    ::

        travel time  = 2 x one-way distance / speed
        cycle time   = travel time + loading time + dumping time
        machine time = trips x cycle time

    Distance one way in metres, average speed both ways in metres an hour, times in hours. Machine time is
    the sum over all machines: two trailers side by side halve the days, not the hours. Limits: no waiting,
    no breaks, no turning; loading and dumping may be zero where the time is paid elsewhere.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice of cycle times in earthmoving.
    """
    work = Working()
    count = work.counted("trips", trips)
    distance = work.given("one-way distance", distance_m, "meter")
    speed = work.given("speed", speed_m_per_h, "meter_per_hour")
    loading = work.given("loading time", loading_time_h, "hour", zero=True)
    dumping = work.given("dumping time", dumping_time_h, "hour", zero=True)
    travel = work.step(
        "travel time", 2 * distance / speed, "hour", "2 x one-way distance / speed", "one-way distance", "speed",
        source="definition of speed",
    )  # fmt: skip
    cycle = work.step(
        "cycle time", travel + loading + dumping, "hour", "travel time + loading time + dumping time",
        "travel time", "loading time", "dumping time", source="common practice: cycle time of a haul",
    )  # fmt: skip
    hours = work.step(
        "machine time", count * cycle, "hour", "trips x cycle time", "trips", "cycle time",
        source="common practice: cycle time of a haul",
    )  # fmt: skip
    return Haul(travel, cycle, hours, work.steps)
