"""What a haul is timed by: the cycle without its distance, the fleet at the loader, and its fuel."""

from pydantic import Field

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.fleet import match_of_fleet, shifts_of_fleet, time_of_fleet
from swardcost_api.methods.frame import Duration, MeasureNote, Parameters
from swardcost_api.units import to_si

FLEET_MEASURES = (
    MeasureNote("haulers_to_keep_busy", "each", "Haulers that keep the loader busy; given with a fleet."),
    MeasureNote(
        "match_factor", "ratio", "Haulers x loading time / cycle time: below 1 the loader waits, above 1 they queue.",
        shared_by_area=False,
    ),
    MeasureNote("haulers_used", "each", "Haulers that have a trip to make: never more than the trips."),
    MeasureNote("haul_duration", "hour", "Hours that the fleet takes, with its queue at the loader."),
    MeasureNote(
        "fleet_time", "hour", "Hours of the haulers used, with their waiting: what hired ones are paid for."
    ),
    MeasureNote("trips_per_shift", "trip", "Whole trips of the fleet in a shift.", shared_by_area=False),
    MeasureNote("shifts", "work_day", "Whole shifts."),
)  # fmt: skip


class Fleet(Parameters):
    """Haulers that share one loader."""

    haulers: int = Field(strict=True, ge=1, le=200, description="Haulers at one loader.", examples=[3])
    shift_time: Duration = Field(
        description="Hours worked in a shift, without breaks.", examples=[{"value": "8", "unit": "hour"}]
    )


def fleet_steps(fleet: Fleet, *, trips: int, cycle_time_h: float, loading_time_h: float) -> dict[str, Step]:
    """Steps of the fleet's match, hours and shifts; the cycle time is the step of that name."""
    match = match_of_fleet(haulers=fleet.haulers, cycle_time_h=cycle_time_h, loading_time_h=loading_time_h)
    hours = time_of_fleet(
        trips=trips, haulers=fleet.haulers, cycle_time_h=cycle_time_h, loading_time_h=loading_time_h
    )
    shifts = shifts_of_fleet(
        trips=trips, haulers=fleet.haulers, cycle_time_h=cycle_time_h, loading_time_h=loading_time_h,
        shift_time_h=to_si(fleet.shift_time, "time"),
    )  # fmt: skip
    return match.steps | hours.steps | shifts.steps
