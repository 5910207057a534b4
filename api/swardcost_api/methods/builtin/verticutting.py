"""Vertical mowing with its debris: slits, and the thatch and soil thrown out of them."""

from pydantic import Field

from swardcost_api.engine.quantities.cultivation import linear_slicing
from swardcost_api.engine.quantities.debris import verticut_debris
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    share_of,
    steps_of_time,
)
from swardcost_api.methods.builtin.linear_slicing import LinearSlicing
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, GUARDS, SLOPES, TRAFFIC
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
from swardcost_api.methods.hole_work import COVERAGE
from swardcost_api.units import to_si


class Verticutting(LinearSlicing):
    """Parameters of vertical mowing whose debris is taken up."""

    thatch_depth: ShortLength = Field(
        description="Depth of the thatch from its top; blades that go deeper throw out soil as well.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )
    thatch_density: Density = Field(
        description="Bulk density of the thatch in place, at its moisture: weigh a plug, sand in it weighs most.",
        examples=[{"value": "30", "unit": "pound_per_cubic_foot"}],
    )
    soil_density: Density = Field(
        description="Bulk density in place of what lies below the thatch.",
        examples=[{"value": "95", "unit": "pound_per_cubic_foot"}],
    )
    swell_percent: SwellPercent
    loads: LoadSize | None = Field(default=None, description="Size of a load; gives loads and trips.")


def _take_off(parameters: Verticutting, area_m2: float) -> tuple[Measure, ...]:
    depth = to_si(parameters.depth, "length")
    slits = linear_slicing(
        area_m2=area_m2,
        blade_width_m=to_si(parameters.blade_width, "length"),
        blade_spacing_m=to_si(parameters.blade_spacing, "length"),
        depth_m=depth,
        directions=parameters.directions,
        passes=parameters.passes,
    )
    debris = verticut_debris(
        area_m2=area_m2,
        share_touched_once=slits.share_touched_once,
        depth_m=depth,
        thatch_depth_m=to_si(parameters.thatch_depth, "length"),
        thatch_density_kg_per_m3=to_si(parameters.thatch_density, "density"),
        soil_density_kg_per_m3=to_si(parameters.soil_density, "density"),
        loose_factor=1 + share_of(parameters.swell_percent),
    )
    hours = steps_of_time(parameters, area_m2, parameters.directions * parameters.passes)
    steps = hours | slits.steps | debris.steps
    if parameters.loads is not None:
        steps |= steps_of_loads(parameters.loads, debris.loose_volume_m3, debris.mass_kg)
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    *COVERAGE,
    MeasureNote("slit_volume", "cubic_meter", "Volume of the slits, runs added up."),
    MeasureNote("thatch_volume", "cubic_meter", "Thatch thrown out, in place; ground met twice counts once."),
    MeasureNote(
        "soil_volume", "cubic_meter", "Soil thrown out from below the thatch, in place; may be none."
    ),
    MeasureNote("debris_volume", "cubic_meter", "Thatch and soil together, in place."),
    LOOSE_VOLUME,
    DEBRIS_MASS,
    *DEBRIS_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="verticutting",
    title="Vertical mowing with debris",
    summary="Share of surface by both conventions, thatch and soil thrown out, its mass and loads, and hours.",
    parameters=Verticutting,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of parallel strips",
        "Probability of independent passes",
        "K. A. Hurto, A. J. Turgeon and L. A. Spomer, Agronomy Journal 72, 1980 (thatch is lighter than soil)",
    ),
    example=Example(
        parameters={
            "blade_width": {"value": "3", "unit": "millimeter"},
            "blade_spacing": {"value": "1", "unit": "inch"},
            "depth": {"value": "0.75", "unit": "inch"},
            "directions": 1,
            "passes": 1,
            "thatch_depth": {"value": "0.5", "unit": "inch"},
            "thatch_density": {"value": "30", "unit": "pound_per_cubic_foot"},
            "soil_density": {"value": "95", "unit": "pound_per_cubic_foot"},
            "swell_percent": "100",
            "loads": {
                "box_volume": {"value": "2", "unit": "cubic_yard"},
                "payload": {"value": "2", "unit": "short_ton"},
            },
            "production_rate": {"value": "10000", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "6000", "unit": "square_foot"},
        expected={
            "area": 557.41824,
            "area_worked": 557.41824,
            "share_per_pass": 0.118110236,
            "share_sum_of_passes": 0.118110236,
            "share_touched_once": 0.118110236,
            "area_sum_of_passes": 65.8368,
            "area_touched_once": 65.8368,
            "slit_volume": 1.25419104,
            "thatch_volume": 0.83612736,
            "soil_volume": 0.41806368,
            "debris_volume": 1.25419104,
            "loose_volume": 2.50838208,
            "debris_mass": 1037.99435,
            "loads_by_volume": 2,
            "loads_by_mass": 1,
            "loads": 2,
            "trips": 2,
            "machine_time": 0.6,
            "crew_time": 1.2,
        },
        source="Geometry: 3 mm blades 1 in apart open 11.8 % of the surface in one direction",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, TRAFFIC, DUMPING, SLOPES, DEFER),
)
