"""Collecting cores: what hollow tines leave on the turf, taken up and away."""

from decimal import Decimal

from pydantic import Field, field_validator
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.cultivation import hollow_tine_coring
from swardcost_api.engine.quantities.debris import collected_debris
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import DEFER, DUMPING, GUARDS, SLOPES, TRAFFIC
from swardcost_api.methods.debris_removal import (
    DEBRIS_LOADS,
    DEBRIS_MASS,
    LOOSE_VOLUME,
    LoadSize,
    SwellPercent,
    steps_of_loads,
)
from swardcost_api.methods.frame import (
    Density,
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    measures_of,
)
from swardcost_api.methods.hole_work import HOLES, SpacedHoles, across, within_spacing
from swardcost_api.units import to_si


class CoreCollection(SpacedHoles):
    """Parameters of collecting the cores of a hollow-tine aeration."""

    tine_inside_diameter: ShortLength = Field(
        description="Inside diameter of the tine, which is the diameter of the core.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )
    collected_percent: Percent = Field(
        default=Decimal(100), validate_default=True, gt=0, le=100,
        description="Cores taken away, in percent; the rest is worked back in.", examples=["90"],
    )  # fmt: skip
    swell_percent: SwellPercent
    bulk_density: Density = Field(
        description="Bulk density of the cores in place, at their moisture.",
        examples=[{"value": "95", "unit": "pound_per_cubic_foot"}],
    )
    loads: LoadSize | None = Field(default=None, description="Size of a load; gives loads and trips.")

    _stay_apart = field_validator("tine_inside_diameter")(within_spacing)


def _take_off(parameters: CoreCollection, area_m2: float) -> tuple[Measure, ...]:
    coring = hollow_tine_coring(
        area_m2=area_m2,
        inside_diameter_m=to_si(parameters.tine_inside_diameter, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=across(parameters),
        depth_m=to_si(parameters.depth, "length"),
        passes=parameters.passes,
    )
    debris = collected_debris(
        volume_m3=coring.core_volume_m3,
        loose_factor=1 + share_of(parameters.swell_percent),
        bulk_density_kg_per_m3=to_si(parameters.bulk_density, "density"),
        collected_share=share_of(parameters.collected_percent),
    )
    steps = steps_of_time(parameters, area_m2, parameters.passes) | coring.steps | debris.steps
    if parameters.loads is not None:
        steps |= steps_of_loads(parameters.loads, debris.loose_volume_m3, debris.mass_kg)
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    HOLES,
    MeasureNote("core_volume", "cubic_meter", "Volume of all cores in place, passes added up."),
    MeasureNote("collected_volume", "cubic_meter", "Volume in place of the cores taken away."),
    LOOSE_VOLUME,
    DEBRIS_MASS,
    *DEBRIS_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="core_collection",
    title="Collecting and removing cores",
    summary="Cores in place, loose and by mass, in whole loads by box or payload, and hours.",
    parameters=CoreCollection,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of cylinders on a grid",
        "Definitions of swell and bulk density",
        "US military soil conversion table (swell by kind of soil)",
    ),
    example=Example(
        parameters={
            "tine_inside_diameter": {"value": "0.5", "unit": "inch"},
            "spacing_along": {"value": "2", "unit": "inch"},
            "spacing_across": {"value": "2", "unit": "inch"},
            "depth": {"value": "4", "unit": "inch"},
            "passes": 1,
            "collected_percent": "90",
            "swell_percent": "25",
            "bulk_density": {"value": "95", "unit": "pound_per_cubic_foot"},
            "loads": {
                "box_volume": {"value": "2", "unit": "cubic_yard"},
                "payload": {"value": "2", "unit": "short_ton"},
            },
            "production_rate": {"value": "5000", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area={"value": "6000", "unit": "square_foot"},
        expected={
            "area": 557.41824,
            "area_worked": 557.41824,
            "holes": 216000,
            "core_volume": 2.77999991,
            "collected_volume": 2.50199992,
            "loose_volume": 3.1274999,
            "debris_mass": 3807.42844,
            "loads_by_volume": 3,
            "loads_by_mass": 3,
            "loads": 3,
            "trips": 3,
            "machine_time": 1.2,
            "crew_time": 3.6,
        },
        source="Geometry: half-inch cores at 2 x 2 in, 4 in deep, are 16.36 cubic feet to 1,000 square feet",
    ),
    cautions=(GUARDS, TRAFFIC, DUMPING, SLOPES, DEFER),
)
