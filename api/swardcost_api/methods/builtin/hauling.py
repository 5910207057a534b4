"""Hauling: whole loads of a mass, and the hours of the trips."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.hauling import haul_time, loads_of_mass, trip_range
from swardcost_api.engine.quantities.production import crew_time
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.cautions import DEFER, DUMPING, SILICA_DUST, SLOPES, TRAFFIC
from swardcost_api.methods.frame import (
    Duration,
    Example,
    Length,
    Mass,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    Speed,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class HaulCycle(Parameters):
    """One round trip."""

    distance: Length = Field(
        description="Distance one way, from the pile to the work.",
        examples=[{"value": "0.5", "unit": "mile"}],
    )
    speed: Speed = Field(
        description="Average speed there and back.", examples=[{"value": "6", "unit": "mile_per_hour"}]
    )
    loading_time: Duration = Field(
        description="Time to load once.", examples=[{"value": "5", "unit": "minute"}]
    )
    dumping_time: Duration = Field(
        description="Time to dump or spread once.", examples=[{"value": "3", "unit": "minute"}]
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


def _take_off(parameters: Hauling, area_m2: float) -> tuple[Measure, ...]:
    mass, payload = to_si(parameters.mass, "mass"), to_si(parameters.payload, "mass")
    hauled = Step("mass", mass, "kilogram", "mass as stated", source="the scope item")
    loads = loads_of_mass(mass_kg=mass, payload_kg=payload)
    steps = {hauled.name: hauled, **loads.steps}
    most = parameters.payload if parameters.payload_at_most is None else parameters.payload_at_most
    steps |= trip_range(mass_kg=mass, payload_kg=payload, payload_at_most_kg=to_si(most, "mass")).steps
    if parameters.cycle is not None:
        haul = haul_time(
            trips=loads.trips,
            distance_m=to_si(parameters.cycle.distance, "length"),
            speed_m_per_h=to_si(parameters.cycle.speed, "speed"),
            loading_time_h=to_si(parameters.cycle.loading_time, "time"),
            dumping_time_h=to_si(parameters.cycle.dumping_time, "time"),
        )
        steps |= haul.steps
        if parameters.crew_size is not None:
            steps |= crew_time(machine_time_h=haul.machine_time_h, crew_size=parameters.crew_size).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("mass", "kilogram", "What is hauled."),
    MeasureNote("loads", "load", "Whole loads, each at the payload given."),
    MeasureNote("trips", "trip", "Round trips, one to a load."),
    MeasureNote("fewest_trips", "trip", "Round trips with every load at the largest payload."),
    MeasureNote("most_trips", "trip", "Round trips with every load at the smallest payload."),
    MeasureNote("cycle_time", "hour", "Time of one round trip; given with `cycle`.", shared_by_area=False),
    MeasureNote("machine_time", "hour", "Hours of all hauling machines together; given with `cycle`."),
    MeasureNote("crew_time", "hour", "Hours of all people together; given with `cycle` and `crew_size`."),
)

METHOD = Method(
    name="hauling",
    title="Hauling",
    summary="Whole loads of a mass, the range of trips where payloads vary, and hours from the cycle of a trip.",
    parameters=Hauling,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Common practice of whole loads and cycle times",),
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
        },
        source="Common practice: 1,500 tons by trailers of 3 to 4 tons are 375 to 500 trips",
    ),
    needs_areas=False,
    cautions=(TRAFFIC, SLOPES, DUMPING, SILICA_DUST, DEFER),
)
