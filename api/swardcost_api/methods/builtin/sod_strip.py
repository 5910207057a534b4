"""Sod stripping: volume and mass of the old turf, loose in the truck, and its loads."""

from decimal import Decimal

from pydantic import Field

from swardcost_api.engine.quantities.turf import sod_strip
from swardcost_api.methods.area_work import AREA, CREW_TIME, MACHINE_TIME, AreaWork, steps_of_time
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, LIFTING, SLOPES
from swardcost_api.methods.frame import (
    Density,
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    measures_of,
)
from swardcost_api.methods.loose_material import LOADS, LooseFactor, Truck, loads_of
from swardcost_api.units import to_si


class SodStrip(AreaWork):
    """Parameters of stripping sod."""

    thickness: ShortLength = Field(
        description="Thickness of the cut.", examples=[{"value": "1", "unit": "inch"}]
    )
    bulk_density: Density = Field(
        description="Bulk density of the sod in the ground, moist as it is cut: weigh a square foot.",
        examples=[{"value": "85", "unit": "pound_per_cubic_foot"}],
    )
    loose_factor: LooseFactor = Field(
        default=Decimal(1), validate_default=True,
        description="Volume in the truck or pile to the volume in the ground: 1.4 is a swell of 40 %.",
        examples=["1.4"],
    )  # fmt: skip
    truck: Truck | None = Field(default=None, description="What hauls it away; gives the loads.")


def _take_off(parameters: SodStrip, area_m2: float) -> tuple[Measure, ...]:
    strip = sod_strip(
        area_m2=area_m2,
        thickness_m=to_si(parameters.thickness, "length"),
        bulk_density_kg_per_m3=to_si(parameters.bulk_density, "density"),
        loose_factor=float(parameters.loose_factor),
    )
    steps = steps_of_time(parameters, area_m2, 1) | strip.steps
    if parameters.truck is not None:
        steps |= loads_of(
            parameters.truck, mass_kg=strip.mass_kg, mass_name="strip mass",
            volume_m3=strip.loose_volume_m3, volume_name="loose volume",
        )  # fmt: skip
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("strip_volume", "cubic_meter", "Sod and soil cut off, in the ground."),
    MeasureNote("loose_volume", "cubic_meter", "The same in the truck or pile."),
    MeasureNote("strip_mass", "kilogram", "Mass of the sod, moist as it is cut."),
    LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="sod_strip",
    title="Sod stripping",
    summary="Volume in the ground and loose, mass and loads of sod that is cut off, and hours.",
    parameters=SodStrip,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Geometry of a layer", "Definition of bulk density"),
    example=Example(
        parameters={
            "thickness": {"value": "1.2", "unit": "inch"},
            "bulk_density": {"value": "80", "unit": "pound_per_cubic_foot"},
            "loose_factor": "1.4",
            "truck": {
                "payload": {"value": "3", "unit": "short_ton"},
                "box_volume": {"value": "5", "unit": "cubic_yard"},
            },
            "production_rate": {"value": "2500", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area={"value": "5000", "unit": "square_foot"},
        expected={
            "area": 464.5152,
            "strip_volume": 14.158423296,
            "loose_volume": 19.8217926144,
            "strip_mass": 18143.6948,
            "loads": 7,
            "machine_time": 2.0,
            "crew_time": 6.0,
        },
        source="Geometry: a tenth of a foot over 5,000 square feet is 500 cubic feet, 20 tons at 80 lb",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, LIFTING, SLOPES, DEFER),
)
