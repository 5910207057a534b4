"""Hauling: whole loads, trips, the hours they take and the fuel they burn."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

WHOLE = "common practice: a part of a load is a trip like any other"
SPEED = "definition of speed"
CYCLE = "common practice: cycle time of a haul"


@dataclass(frozen=True, slots=True)
class Together:
    """Volumes that are hauled together."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def volumes_together(*, name: str, volumes_m3: Mapping[str, float]) -> Together:
    """One volume of several that share the loads.

    ::

        volume = the volumes added up

    Volumes in cubic metres by the names of their steps, all in the same state, in place or loose; `name` is that
    of the sum. Limits: what is hauled together is taken to swell alike.

    Raises `ValueError` for a volume that is not above zero, and where there is none.

    Examples
    --------
    >>> volumes_together(name="spoil volume", volumes_m3={"sand out volume": 28, "trench volume": 1}).volume_m3
    29.0

    References
    ----------
    Arithmetic.
    """
    if not volumes_m3:
        raise ValueError(f"{name}: expected one volume or more; got none")
    work = Working()
    volumes = [work.given(part, volume, "cubic_meter") for part, volume in volumes_m3.items()]
    total = work.step(name, math.fsum(volumes), "cubic_meter", " + ".join(volumes_m3), *volumes_m3)
    return Together(total, work.steps)


@dataclass(frozen=True, slots=True)
class Loads:
    """Whole loads, and the round trips that carry them, one to a load."""

    loads: int
    trips: int
    steps: Steps = field(repr=False, compare=False)


def loads_of_mass(*, mass_kg: float, payload_kg: float, mass_name: str = "mass") -> Loads:
    """Whole loads that carry a mass.

    ::

        loads = mass / payload, rounded up
        trips = loads

    Masses in kilograms; `mass_name` is the name of the step that the mass comes from. Limits: every load but
    the last is taken as full; where volume fills the box before the weight does, use `loads_of_either`.

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
    mass = work.given(mass_name, mass_kg, "kilogram")
    payload = work.given("payload", payload_kg, "kilogram")
    return _loads(
        work, mass / payload, f"{mass_name} / payload, rounded up to whole loads", mass_name, "payload"
    )


def loads_of_volume(*, volume_m3: float, box_volume_m3: float, volume_name: str = "loose volume") -> Loads:
    """Whole loads that carry a loose volume.

    ::

        loads = loose volume / box volume, rounded up
        trips = loads

    Volumes in cubic metres, in the same, loose state; `volume_name` is the name of the step that the volume
    comes from. Limits: the payload by weight is not looked at.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    volume = work.given(volume_name, volume_m3, "cubic_meter")
    box = work.given("box volume", box_volume_m3, "cubic_meter")
    return _loads(
        work,
        volume / box,
        f"{volume_name} / box volume, rounded up to whole loads",
        volume_name,
        "box volume",
    )


def _loads(work: Working, computed: float, formula: str, *inputs: str) -> Loads:
    loads = whole_up(computed)
    work.step("loads", loads, "load", formula, *inputs, source=WHOLE)
    work.step("trips", loads, "trip", "loads, one round trip each", "loads", source=WHOLE)
    return Loads(loads, loads, work.steps)


@dataclass(frozen=True, slots=True)
class BoundLoads:
    """Whole loads where both weight and box may be full first."""

    loads_by_mass: float
    loads_by_volume: float
    loads: int
    trips: int
    steps: Steps = field(repr=False, compare=False)

    @property
    def bound_by(self) -> str:
        """What fills a truck first: its payload (``"mass"``) or its box (``"volume"``)."""
        return "mass" if self.loads_by_mass >= self.loads_by_volume else "volume"


def loads_of_either(
    *,
    mass_kg: float,
    payload_kg: float,
    volume_m3: float,
    box_volume_m3: float,
    mass_name: str = "mass",
    volume_name: str = "loose volume",
) -> BoundLoads:
    """Whole loads of material that has both a mass and a loose volume, by whichever limit binds.

    ::

        loads = the larger of mass / payload and loose volume / box volume, rounded up
        trips = loads

    Masses in kilograms, loose volumes in cubic metres; the names are those of the steps that mass and volume
    come from. Limits: every load but the last is taken as full.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    Sand fills 20 tons before it fills 18 cubic yards; mulch fills the box first:

    >>> sand = loads_of_either(mass_kg=1e6, payload_kg=18_000, volume_m3=600, box_volume_m3=14)
    >>> (sand.loads, sand.bound_by)
    (56, 'mass')

    References
    ----------
    Common practice.
    """
    work = Working()
    mass = work.given(mass_name, mass_kg, "kilogram")
    payload = work.given("payload", payload_kg, "kilogram")
    volume = work.given(volume_name, volume_m3, "cubic_meter")
    box = work.given("box volume", box_volume_m3, "cubic_meter")
    by_mass = work.step(
        "loads by mass", mass / payload, "each", f"{mass_name} / payload", mass_name, "payload", source=WHOLE
    )
    by_volume = work.step(
        "loads by volume", volume / box, "each", f"{volume_name} / box volume", volume_name, "box volume",
        source=WHOLE,
    )  # fmt: skip
    loads = _loads(
        work,
        max(by_mass, by_volume),
        "max(loads by mass, loads by volume), rounded up to whole loads",
        "loads by mass",
        "loads by volume",
    ).loads
    return BoundLoads(by_mass, by_volume, loads, loads, work.steps)


@dataclass(frozen=True, slots=True)
class Payload:
    """What one load carries."""

    payload_kg: float
    steps: Steps = field(repr=False, compare=False)


def payload_in_box(
    *, rated_payload_kg: float, box_volume_m3: float, bulk_density_kg_per_m3: float, name: str = "payload"
) -> Payload:
    """Mass that one load carries when the box may be full before the rated payload is reached.

    ::

        payload = the smaller of rated payload and box volume x bulk density

    Masses in kilograms, volume in cubic metres, density of the loose material in kilograms to the cubic metre;
    `name` is that of the step. Limits: heaped or struck, the box is filled to the volume given.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    rated_name = f"rated {name}"
    rated = work.given(rated_name, rated_payload_kg, "kilogram")
    box = work.given("box volume", box_volume_m3, "cubic_meter")
    density = work.given("bulk density", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    carried = work.step(
        name, min(rated, box * density), "kilogram", f"min({rated_name}, box volume x bulk density)",
        rated_name, "box volume", "bulk density", source="common practice: weight or box, whichever is full first",
    )  # fmt: skip
    return Payload(carried, work.steps)


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
    *,
    trips: int,
    distance_m: float,
    speed_m_per_h: float,
    loading_time_h: float,
    dumping_time_h: float,
    empty_speed_m_per_h: float | None = None,
) -> Haul:
    """Machine hours of a haul from the cycle of one trip.

    ::

        travel time  = one-way distance / speed loaded + one-way distance / speed empty
        cycle time   = travel time + loading time + dumping time
        machine time = trips x cycle time

    Distance one way in metres, speeds in metres an hour, times in hours; without a speed for the way back
    empty, the one speed holds both ways. Machine time is the sum over all machines: two trailers side by side
    halve the days, not the hours. Limits: no waiting, no breaks, no turning; loading and dumping may be zero
    where the time is paid elsewhere.

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
    if empty_speed_m_per_h is None:
        travel = work.step(
            "travel time", 2 * distance / speed, "hour", "2 x one-way distance / speed", "one-way distance",
            "speed", source=SPEED,
        )  # fmt: skip
    else:
        empty = work.given("empty speed", empty_speed_m_per_h, "meter_per_hour")
        travel = work.step(
            "travel time", distance / speed + distance / empty, "hour",
            "one-way distance / speed + one-way distance / empty speed", "one-way distance", "speed",
            "empty speed", source=SPEED,
        )  # fmt: skip
    cycle = work.step(
        "cycle time", travel + loading + dumping, "hour", "travel time + loading time + dumping time",
        "travel time", "loading time", "dumping time", source=CYCLE,
    )  # fmt: skip
    hours = work.step(
        "machine time", count * cycle, "hour", "trips x cycle time", "trips", "cycle time", source=CYCLE
    )
    return Haul(travel, cycle, hours, work.steps)


@dataclass(frozen=True, slots=True)
class Fuel:
    """Fuel burnt."""

    fuel_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def fuel_burnt(*, machine_time_h: float, consumption_m3_per_h: float) -> Fuel:
    """Fuel of machines at a rate of consumption.

    ::

        fuel volume = machine time x fuel consumption

    Time in hours of all machines together, consumption of one in cubic metres an hour. Limits: one rate for
    loaded, empty and idling; take it from the club's own tanks where they are read.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Definition of a rate of consumption. A rate from engine power: USACE EP 1110-1-8.
    """
    work = Working()
    hours = work.given("machine time", machine_time_h, "hour")
    rate = work.given("fuel consumption", consumption_m3_per_h, "cubic_meter_per_hour")
    volume = work.step(
        "fuel volume", hours * rate, "cubic_meter", "machine time x fuel consumption",
        "machine time", "fuel consumption", source="definition of a rate of consumption",
    )  # fmt: skip
    return Fuel(volume, work.steps)
