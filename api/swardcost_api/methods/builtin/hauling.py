"""Hauling: whole loads of a mass, the hours of the trips, the fleet that makes them and its fuel."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.hauling import (
    Haul,
    fuel_burnt,
    haul_time,
    loads_of_mass,
    payload_in_box,
    trip_range,
)  # fmt: skip
from swardcost_api.engine.quantities.production import crew_time
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.cautions import DEFER, DUMPING, SILICA_DUST, SLOPES, TRAFFIC
from swardcost_api.methods.frame import (
    Density,
    Duration,
    Example,
    Flow,
    Length,
    Mass,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    Speed,
    Volume,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.haul_cycle import FLEET_MEASURES, Fleet, fleet_steps
from swardcost_api.units import to_si


class HaulCycle(Parameters):
    """One round trip."""

    distance: Length = Field(
        description="Distance one way, from the pile to the work.",
        examples=[{"value": "0.5", "unit": "mile"}],
    )
    speed: Speed = Field(
        description="Average speed loaded, and empty too unless `empty_speed` says otherwise.",
        examples=[{"value": "6", "unit": "mile_per_hour"}],
    )
    empty_speed: Speed | None = Field(
        default=None, description="Average speed on the way back empty.",
        examples=[{"value": "8", "unit": "mile_per_hour"}],
    )  # fmt: skip
    loading_time: Duration = Field(
        description="Time to load once.", examples=[{"value": "5", "unit": "minute"}]
    )
    dumping_time: Duration = Field(
        description="Time to dump or spread once.", examples=[{"value": "3", "unit": "minute"}]
    )
    fuel_consumption: Flow | None = Field(
        default=None, description="Fuel that one hauling machine burns in an hour of its cycle; gives the fuel.",
        examples=[{"value": "1.5", "unit": "us_gallon_per_hour"}],
    )  # fmt: skip
    fleet: Fleet | None = Field(
        default=None,
        description="Haulers and the length of their shift; gives hours and shifts of the whole fleet.",
    )

    @field_validator("fleet")
    @classmethod
    def _a_cycle_fits_in_the_shift(cls, fleet: Fleet | None, info: ValidationInfo) -> Fleet | None:
        parts = ("distance", "speed", "loading_time", "dumping_time")
        if fleet is None or any(part not in info.data for part in parts):
            return fleet
        cycle = cycle_of(HaulCycle.model_construct(**info.data), trips=1).cycle_time_h
        if not fits(cycle, to_si(fleet.shift_time, "time")):
            raise PydanticCustomError(
                "shift_too_short",
                "a shift_time of at least one cycle, {hours} hour",
                {"hours": round(cycle, 4)},
            )
        return fleet


class Box(Parameters):
    """A box that may be full before the payload is reached."""

    volume: Volume = Field(
        description="Loose volume that the box holds.", examples=[{"value": "3", "unit": "cubic_yard"}]
    )
    bulk_density: Density = Field(
        description="Bulk density of the loose material, moist as it is hauled.",
        examples=[{"value": "100", "unit": "pound_per_cubic_foot"}],
    )


def cycle_of(cycle: HaulCycle, *, trips: int) -> Haul:
    """Times of that many trips."""
    return haul_time(
        trips=trips,
        distance_m=to_si(cycle.distance, "length"),
        speed_m_per_h=to_si(cycle.speed, "speed"),
        empty_speed_m_per_h=None if cycle.empty_speed is None else to_si(cycle.empty_speed, "speed"),
        loading_time_h=to_si(cycle.loading_time, "time"),
        dumping_time_h=to_si(cycle.dumping_time, "time"),
    )


class Hauling(Parameters):
    """Parameters of a haul."""

    mass: Mass = Field(
        description="What is hauled; say which ton.", examples=[{"value": "1500", "unit": "short_ton"}]
    )
    payload: Mass = Field(
        description="What one load carries; the lower end where loads vary.",
        examples=[{"value": "3", "unit": "short_ton"}],
    )
    payload_at_most: Mass | None = Field(
        default=None, description="What the largest load carries, where loads vary.",
        examples=[{"value": "4", "unit": "short_ton"}],
    )  # fmt: skip
    box: Box | None = Field(
        default=None, description="Box of the trailer or truck, where volume may bind before weight."
    )
    cycle: HaulCycle | None = Field(default=None, description="One round trip; gives the hours.")
    crew_size: int | None = Field(
        default=None, strict=True, ge=1, le=500,
        description="People to each hauling machine as long as it runs; needs a cycle.", examples=[1],
    )  # fmt: skip

    @field_validator("payload_at_most")
    @classmethod
    def _range_runs_upwards(cls, most: Quantity | None, info: ValidationInfo) -> Quantity | None:
        least = info.data.get("payload")
        if most is not None and least is not None and not fits(to_si(least, "mass"), to_si(most, "mass")):
            raise PydanticCustomError(
                "payload_range",
                "at least the payload, {value} {unit}",
                {"value": str(least.value), "unit": least.unit},
            )
        return most

    @field_validator("crew_size")
    @classmethod
    def _crew_follows_the_cycle(cls, crew_size: int | None, info: ValidationInfo) -> int | None:
        timed = info.data.get("cycle") is not None
        if crew_size is not None and not timed and "cycle" in info.data:
            raise PydanticCustomError(
                "no_cycle", "a cycle beside it, since crew time is machine time x crew size"
            )
        return crew_size


def _payloads(parameters: Hauling) -> tuple[float, float, dict[str, Step]]:
    """The smallest and the largest payload, and the steps that cut them down to the box."""
    most = parameters.payload if parameters.payload_at_most is None else parameters.payload_at_most
    small, large = to_si(parameters.payload, "mass"), to_si(most, "mass")
    if parameters.box is None:
        return small, large, {}
    volume, density = to_si(parameters.box.volume, "volume"), to_si(parameters.box.bulk_density, "density")
    boxed = [
        payload_in_box(
            rated_payload_kg=rated, box_volume_m3=volume, bulk_density_kg_per_m3=density, name=name
        )
        for rated, name in ((small, "payload"), (large, "payload at most"))
    ]
    return boxed[0].payload_kg, boxed[1].payload_kg, boxed[0].steps | boxed[1].steps


def _timed(cycle: HaulCycle, trips: int, crew_size: int | None) -> dict[str, Step]:
    haul = cycle_of(cycle, trips=trips)
    steps = haul.steps
    if crew_size is not None:
        steps = steps | crew_time(machine_time_h=haul.machine_time_h, crew_size=crew_size).steps
    if cycle.fuel_consumption is not None:
        burnt = fuel_burnt(
            machine_time_h=haul.machine_time_h, consumption_m3_per_h=to_si(cycle.fuel_consumption, "flow")
        )
        steps = steps | burnt.steps
    if cycle.fleet is not None:
        steps = steps | fleet_steps(
            cycle.fleet, trips=trips, cycle_time_h=haul.cycle_time_h,
            loading_time_h=to_si(cycle.loading_time, "time"),
        )  # fmt: skip
    return steps


def _take_off(parameters: Hauling, area_m2: float) -> tuple[Measure, ...]:
    mass = to_si(parameters.mass, "mass")
    hauled = Step("mass", mass, "kilogram", "mass as stated", source="the scope item")
    small, large, steps = _payloads(parameters)
    loads = loads_of_mass(mass_kg=mass, payload_kg=small)
    trips = trip_range(mass_kg=mass, payload_kg=small, payload_at_most_kg=large)
    steps = {hauled.name: hauled, **steps, **loads.steps, **trips.steps}
    if parameters.cycle is not None:
        steps |= _timed(parameters.cycle, loads.trips, parameters.crew_size)
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("mass", "kilogram", "What is hauled."),
    MeasureNote("loads", "load", "Whole loads, each at the payload given."),
    MeasureNote("trips", "trip", "Round trips, one to a load."),
    MeasureNote("fewest_trips", "trip", "Round trips with every load at the largest payload."),
    MeasureNote("most_trips", "trip", "Round trips with every load at the smallest payload."),
    MeasureNote("cycle_time", "hour", "Time of one round trip; given with `cycle`.", shared_by_area=False),
    MeasureNote("machine_time", "hour", "Hours of all hauling machines at their trips; given with `cycle`."),
    MeasureNote(
        "crew_time",
        "hour",
        "Hours of all people at the trips; given with `cycle` and `crew_size`. With a fleet, "
        "those who wait with their machine are there for its `fleet_time`.",
    ),
    MeasureNote("fuel_volume", "cubic_meter", "Fuel of all hauling machines; given with its consumption."),
    *FLEET_MEASURES,
)

METHOD = Method(
    name="hauling",
    title="Hauling",
    summary="Whole loads by payload or box, the range of trips, and hours, fleet, shifts and fuel from the cycle.",
    parameters=Hauling,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Common practice of whole loads and cycle times",
        "C. N. Burt and L. Caccetta, Match factor for heterogeneous truck and loader fleets, 2007",
    ),
    example=Example(
        parameters={
            "mass": {"value": "1500", "unit": "short_ton"},
            "payload": {"value": "3", "unit": "short_ton"},
            "payload_at_most": {"value": "4", "unit": "short_ton"},
            "cycle": {
                "distance": {"value": "0.5", "unit": "mile"},
                "speed": {"value": "6", "unit": "mile_per_hour"},
                "loading_time": {"value": "5", "unit": "minute"},
                "dumping_time": {"value": "3", "unit": "minute"},
                "fuel_consumption": {"value": "2", "unit": "us_gallon_per_hour"},
                "fleet": {"haulers": 3, "shift_time": {"value": "8", "unit": "hour"}},
            },
            "crew_size": 1,
        },
        area=None,
        expected={
            "mass": 1_360_777.11,
            "loads": 500,
            "trips": 500,
            "fewest_trips": 375,
            "most_trips": 500,
            "cycle_time": 0.3,
            "machine_time": 150.0,
            "crew_time": 150.0,
            "fuel_volume": 1.1356235352,
            "haulers_to_keep_busy": 4,
            "match_factor": 0.8333333333,
            "haulers_used": 3,
            "haul_duration": 50.1833333333,
            "fleet_time": 150.55,
            "trips_per_shift": 78,
            "shifts": 7,
        },
        source="Common practice: 1,500 tons by trailers of 3 to 4 tons are 375 to 500 trips",
    ),
    needs_areas=False,
    cautions=(TRAFFIC, SLOPES, DUMPING, SILICA_DUST, DEFER),
)
