"""Taking away what cultivation leaves on the turf: how it swells, how heavy it is, and in what loads."""

from typing import Annotated

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.debris import debris_loads
from swardcost_api.methods.frame import BoxVolume, Mass, MeasureNote, Parameters
from swardcost_api.units import to_si

SwellPercent = Annotated[
    Percent,
    Field(
        description="How much looser it lies on the turf than it lay in the ground, in percent of the volume in place."
    ),
]

LOOSE_VOLUME = MeasureNote("loose_volume", "cubic_meter", "Volume of it lying loose, with swell.")
DEBRIS_MASS = MeasureNote("debris_mass", "kilogram", "Mass of it at the bulk density in place.")
DEBRIS_LOADS = (
    MeasureNote("loads_by_volume", "load", "Whole loads if the box were the limit; given with `loads`."),
    MeasureNote("loads_by_mass", "load", "Whole loads if the payload were the limit; given with `loads`."),
    MeasureNote("loads", "load", "Whole loads by whichever limit comes first; given with `loads`."),
    MeasureNote("trips", "trip", "Round trips, one to a load; given with `loads`."),
)


class LoadSize(Parameters):
    """What one load holds and carries."""

    box_volume: BoxVolume = Field(
        description="Loose volume that the box or trailer holds.",
        examples=[{"value": "2", "unit": "cubic_yard"}],
    )
    payload: Mass = Field(
        description="Mass that it carries; say which ton.", examples=[{"value": "2", "unit": "short_ton"}]
    )


def steps_of_loads(size: LoadSize, loose_volume_m3: float, mass_kg: float) -> dict[str, Step]:
    """Steps from loose debris to whole loads and trips."""
    return debris_loads(
        loose_volume_m3=loose_volume_m3,
        mass_kg=mass_kg,
        box_volume_m3=to_si(size.box_volume, "volume"),
        payload_kg=to_si(size.payload, "mass"),
    ).steps
