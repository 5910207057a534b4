"""Drilling and filling: augers lift ground out, sand goes in."""

from pydantic import Field, field_validator

from swardcost_api.engine.quantities.debris import collected_debris
from swardcost_api.engine.quantities.holes import drilled_holes
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SILICA_DUST, SLOPES
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
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.hole_work import (
    COVERAGE,
    HOLES,
    SAND_MASS,
    SAND_VOLUME,
    HoleFill,
    SpacedHoles,
    across,
    steps_of_fill,
    within_spacing,
)
from swardcost_api.units import to_si


class Spoil(Parameters):
    """What the augers lift out."""

    swell_percent: SwellPercent
    bulk_density: Density = Field(
        description="Bulk density of the ground in place, at its moisture.",
        examples=[{"value": "95", "unit": "pound_per_cubic_foot"}],
    )
    loads: LoadSize | None = Field(default=None, description="Size of a load; gives loads and trips.")


class DrillAndFill(SpacedHoles):
    """Parameters of drilling and filling."""

    drill_diameter: ShortLength = Field(
        description="Diameter of the hole that the drill leaves.", examples=[{"value": "1", "unit": "inch"}]
    )
    fill: HoleFill | None = Field(
        default=None, description="Sand that refills the holes; gives its volume and mass."
    )
    spoil: Spoil | None = Field(
        default=None, description="What is lifted out, where it is taken away; gives its loose volume and mass."
    )  # fmt: skip

    _stay_apart = field_validator("drill_diameter")(within_spacing)


def _take_off(parameters: DrillAndFill, area_m2: float) -> tuple[Measure, ...]:
    drilling = drilled_holes(
        area_m2=area_m2,
        drill_diameter_m=to_si(parameters.drill_diameter, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=across(parameters),
        depth_m=to_si(parameters.depth, "length"),
        passes=parameters.passes,
    )
    steps = steps_of_time(parameters, area_m2, parameters.passes) | drilling.steps
    if parameters.fill is not None:
        steps |= steps_of_fill(parameters.fill, drilling.fill_volume_m3, "fill volume")
    if parameters.spoil is not None:
        debris = collected_debris(
            volume_m3=drilling.removed_volume_m3,
            loose_factor=1 + share_of(parameters.spoil.swell_percent),
            bulk_density_kg_per_m3=to_si(parameters.spoil.bulk_density, "density"),
            volume_name="removed volume",
        )
        steps |= debris.steps
        if parameters.spoil.loads is not None:
            steps |= steps_of_loads(parameters.spoil.loads, debris.loose_volume_m3, debris.mass_kg)
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    HOLES,
    *COVERAGE,
    MeasureNote("removed_volume", "cubic_meter", "Ground lifted out, in place, passes added up."),
    MeasureNote("fill_volume", "cubic_meter", "Volume of the holes to refill."),
    SAND_VOLUME,
    SAND_MASS,
    LOOSE_VOLUME,
    DEBRIS_MASS,
    *DEBRIS_LOADS,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="drill_and_fill",
    title="Drilling and filling",
    summary="Holes, share of surface, ground lifted out and its loads, sand to refill, and hours.",
    parameters=DrillAndFill,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of circles on a grid",
        "Probability of independent passes",
        "A course superintendent's public note on drilling by template (September 2012)",
    ),
    example=Example(
        parameters={
            "drill_diameter": {"value": "0.75", "unit": "inch"},
            "spacing_along": {"value": "6", "unit": "inch"},
            "spacing_across": {"value": "6", "unit": "inch"},
            "depth": {"value": "8", "unit": "inch"},
            "passes": 1,
            "fill": {
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
                "allowance_percent": "10",
            },
            "spoil": {
                "swell_percent": "25",
                "bulk_density": {"value": "95", "unit": "pound_per_cubic_foot"},
                "loads": {
                    "box_volume": {"value": "0.5", "unit": "cubic_yard"},
                    "payload": {"value": "0.5", "unit": "short_ton"},
                },
            },
            "production_rate": {"value": "1000", "unit": "square_foot_per_hour"},
            "crew_size": 4,
        },
        area={"value": "3000", "unit": "square_foot"},
        expected={
            "area": 278.70912,
            "area_worked": 278.70912,
            "holes": 12000,
            "share_per_pass": 0.0122718463,
            "share_sum_of_passes": 0.0122718463,
            "share_touched_once": 0.0122718463,
            "area_sum_of_passes": 3.42027548,
            "area_touched_once": 3.42027548,
            "removed_volume": 0.694999978,
            "fill_volume": 0.694999978,
            "sand_volume": 0.764499976,
            "sand_mass": 1224.61149,
            "loose_volume": 0.868749973,
            "debris_mass": 1057.61901,
            "loads_by_volume": 3,
            "loads_by_mass": 3,
            "loads": 3,
            "trips": 3,
            "machine_time": 3,
            "crew_time": 12,
        },
        source="A course superintendent's public note, September 2012: 3/4 in holes on 6 in centers, 8 in deep",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SILICA_DUST, SLOPES, DEFER),
)
