"""Hauling from several stockpiles to several places of work: which pile serves which, trips and hours."""

import math
from dataclasses import replace
from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Name

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.hauling import haul_time
from swardcost_api.engine.quantities.production import crew_time
from swardcost_api.engine.quantities.stockpiles import PlanTrips, least_haul, nearest_first, trips_of_plan
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


class Pile(Parameters):
    """A stockpile."""

    name: Name = Field(description="What it is called.", examples=["Maintenance yard"])
    mass: Mass = Field(
        description="What it holds, or can hold, of the material.",
        examples=[{"value": "800", "unit": "short_ton"}],
    )


class Place(Parameters):
    """A place of work that is hauled to."""

    name: Name = Field(description="What it is called.", examples=["Holes 1 to 9"])
    mass: Mass = Field(description="What it needs.", examples=[{"value": "600", "unit": "short_ton"}])
    distances: dict[Name, Length] = Field(
        description="Distance one way from every pile, by the pile's name.",
        examples=[{"Maintenance yard": {"value": "0.5", "unit": "mile"}}],
    )


class TripTime(Parameters):
    """What a trip takes besides its distance."""

    speed: Speed = Field(
        description="Average speed there and back.", examples=[{"value": "6", "unit": "mile_per_hour"}]
    )
    loading_time: Duration = Field(
        description="Time to load once.", examples=[{"value": "5", "unit": "minute"}]
    )
    dumping_time: Duration = Field(
        description="Time to dump or spread once.", examples=[{"value": "3", "unit": "minute"}]
    )
    crew_size: int = Field(
        default=1, strict=True, ge=1, le=500, description="People to each hauling machine.", examples=[1]
    )


class StockpileHaul(Parameters):
    """Parameters of a haul from stockpiles."""

    piles: list[Pile] = Field(min_length=1, max_length=20, description="The stockpiles.")
    places: list[Place] = Field(min_length=1, max_length=40, description="The places of work.")
    plan: Literal["nearest_first", "least_haul"] = Field(
        default="nearest_first",
        description="Nearest pile first with the rest from the next nearest, or the least mass times distance.",
        examples=["nearest_first"],
    )
    payload: Mass = Field(
        description="What one load carries.", examples=[{"value": "4", "unit": "short_ton"}]
    )
    trip_time: TripTime | None = Field(
        default=None, description="Speed and times of a trip; gives the hours."
    )

    @field_validator("piles")
    @classmethod
    def _piles_are_told_apart(cls, piles: list[Pile]) -> list[Pile]:
        _told_apart([pile.name for pile in piles])
        return piles

    @field_validator("places")
    @classmethod
    def _every_way_is_known_and_the_piles_suffice(
        cls, places: list[Place], info: ValidationInfo
    ) -> list[Place]:
        _told_apart([place.name for place in places])
        piles: dict[str, Pile] = {pile.name: pile for pile in info.data.get("piles", ())}
        if not piles:
            return places
        for place in places:
            if set(place.distances) != set(piles):
                raise PydanticCustomError(
                    "distances",
                    "a distance from each pile to {place}, and from nowhere else: {piles}",
                    {"place": place.name, "piles": ", ".join(piles)},
                )
        held = math.fsum(to_si(pile.mass, "mass") for pile in piles.values())
        needed = math.fsum(to_si(place.mass, "mass") for place in places)
        if not fits(needed, held):
            raise PydanticCustomError(
                "piles_short",
                "places that need at most what the piles hold together, {held} kilogram",
                {"held": round(held, 3)},
            )
        return places


def _told_apart(names: list[str]) -> None:
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise PydanticCustomError("same_name", "names that differ; {name} is there twice", {"name": twice})


def _take_off(parameters: StockpileHaul, area_m2: float) -> tuple[Measure, ...]:
    piles_kg = {pile.name: to_si(pile.mass, "mass") for pile in parameters.piles}
    places_kg = {place.name: to_si(place.mass, "mass") for place in parameters.places}
    distances_m = {
        (pile, place.name): to_si(place.distances[pile], "length")
        for place in parameters.places
        for pile in piles_kg
    }
    nearest = nearest_first(piles_kg=piles_kg, places_kg=places_kg, distances_m=distances_m)
    least = least_haul(piles_kg=piles_kg, places_kg=places_kg, distances_m=distances_m)
    plan = nearest if parameters.plan == "nearest_first" else least
    trips = trips_of_plan(draws=plan.draws, payload_kg=to_si(parameters.payload, "mass"))
    steps = plan.steps | trips.steps
    if parameters.trip_time is not None:
        steps |= _timed(parameters.trip_time, trips)
    shortest = replace(least.steps["average haul distance"], name="least average haul distance")
    checked = Measure.of({**least.steps, shortest.name: shortest}, LEAST.name, shared_by_area=False)
    return (*measures_of(PLANNED, steps), checked)


def _timed(trip: TripTime, plan: PlanTrips) -> dict[str, Step]:
    haul = haul_time(
        trips=plan.trips,
        distance_m=plan.mean_distance_m,
        speed_m_per_h=to_si(trip.speed, "speed"),
        loading_time_h=to_si(trip.loading_time, "time"),
        dumping_time_h=to_si(trip.dumping_time, "time"),
    )
    return haul.steps | crew_time(machine_time_h=haul.machine_time_h, crew_size=trip.crew_size).steps


PLANNED = (
    MeasureNote("mass_hauled", "kilogram", "What all places draw together."),
    MeasureNote("trips", "trip", "Round trips: whole loads from every pile to every place it serves."),
    MeasureNote("travel_distance", "meter", "Way of all trips, there and back."),
    MeasureNote(
        "average_haul_distance",
        "meter",
        "One-way distance of a unit of mass on average.",
        shared_by_area=False,
    ),
    MeasureNote(
        "cycle_time", "hour", "Time of the average round trip; given with `trip_time`.", shared_by_area=False
    ),
    MeasureNote("machine_time", "hour", "Hours of all hauling machines; given with `trip_time`."),
    MeasureNote("crew_time", "hour", "Hours of all people together; given with `trip_time`."),
)
LEAST = MeasureNote(
    "least_average_haul_distance",
    "meter",
    "The shortest average haul that any plan has: what nearest-first loses to it, if anything.",
    shared_by_area=False,
)

METHOD = Method(
    name="stockpile_haul",
    title="Hauling from stockpiles",
    summary="Which stockpile serves which place, whole trips, distance and hours, beside the shortest haul there is.",
    parameters=StockpileHaul,
    take_off=_take_off,
    measures=(*PLANNED, LEAST),
    sources=(
        "Common practice: the nearest pile first",
        "R. K. Ahuja, T. L. Magnanti and J. B. Orlin, Network Flows, 1993 (transport problem)",
    ),
    example=Example(
        parameters={
            "piles": [
                {"name": "North pile", "mass": {"value": "300", "unit": "metric_ton"}},
                {"name": "South pile", "mass": {"value": "300", "unit": "metric_ton"}},
            ],
            "places": [
                {
                    "name": "Front nine",
                    "mass": {"value": "300", "unit": "metric_ton"},
                    "distances": {
                        "North pile": {"value": "500", "unit": "meter"},
                        "South pile": {"value": "600", "unit": "meter"},
                    },
                },
                {
                    "name": "Back nine",
                    "mass": {"value": "200", "unit": "metric_ton"},
                    "distances": {
                        "North pile": {"value": "700", "unit": "meter"},
                        "South pile": {"value": "2000", "unit": "meter"},
                    },
                },
            ],
            "payload": {"value": "4", "unit": "metric_ton"},
            "trip_time": {
                "speed": {"value": "10", "unit": "kilometer_per_hour"},
                "loading_time": {"value": "6", "unit": "minute"},
                "dumping_time": {"value": "3", "unit": "minute"},
            },
        },
        area=None,
        expected={
            "mass_hauled": 500_000.0,
            "trips": 125,
            "travel_distance": 275_000.0,
            "average_haul_distance": 1_100.0,
            "cycle_time": 0.37,
            "machine_time": 46.25,
            "crew_time": 46.25,
            "least_average_haul_distance": 620.0,
        },
        source=(
            "Arithmetic: nearest first takes the front nine from the north pile and leaves the back nine the far one; "
            "100 t from the north and 200 t from the south to the front nine make it 620 m"
        ),
    ),
    needs_areas=False,
    cautions=(TRAFFIC, SLOPES, DUMPING, SILICA_DUST, DEFER),
)
