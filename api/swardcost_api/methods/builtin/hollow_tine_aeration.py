"""Hollow-tine aeration: cores out, holes filled with sand where asked for."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.quantities.cultivation import hollow_tine_coring
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import Example, Measure, MeasureNote, Method, ShortLength, measures_of
from swardcost_api.methods.hole_work import HoleFill, steps_of_fill
from swardcost_api.units import to_si


class HollowTineAeration(AreaWork):
    """Parameters of a hollow-tine aeration."""

    tine_inside_diameter: ShortLength = Field(
        description="Inside diameter of the tine, which is what it takes out.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )
    spacing_along: ShortLength = Field(
        description="Distance of holes in the direction of travel, centre to centre.",
        examples=[{"value": "2", "unit": "inch"}],
    )
    spacing_across: ShortLength = Field(
        description="Distance of holes across the direction of travel, centre to centre.",
        examples=[{"value": "2", "unit": "inch"}],
    )
    depth: ShortLength = Field(description="Depth of the holes.", examples=[{"value": "4", "unit": "inch"}])
    passes: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often the areas are run over.", examples=[2]
    )
    fill: HoleFill | None = Field(
        default=None, description="Sand to fill the holes of every pass; leave out where holes stay open."
    )

    @field_validator("spacing_along", "spacing_across")
    @classmethod
    def _holes_stay_apart(cls, spacing: Quantity, info: ValidationInfo) -> Quantity:
        tine = info.data.get("tine_inside_diameter")
        if tine is not None and not fits(to_si(tine, "length"), to_si(spacing, "length")):
            raise PydanticCustomError(
                "spacing_below_tine",
                "a spacing of at least the tine's inside diameter, {value} {unit}",
                {"value": str(tine.value), "unit": tine.unit},
            )
        return spacing


def _take_off(parameters: HollowTineAeration, area_m2: float) -> tuple[Measure, ...]:
    coring = hollow_tine_coring(
        area_m2=area_m2,
        inside_diameter_m=to_si(parameters.tine_inside_diameter, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=to_si(parameters.spacing_across, "length"),
        depth_m=to_si(parameters.depth, "length"),
        passes=parameters.passes,
    )
    steps = steps_of_time(parameters, area_m2, parameters.passes) | coring.steps
    if parameters.fill is not None:
        steps |= steps_of_fill(parameters.fill, coring.fill_volume_m3, "fill volume")
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    MeasureNote("holes", "hole", "Holes of all passes."),
    MeasureNote(
        "share_per_pass", "ratio", "Share of the surface that one pass takes out.", shared_by_area=False
    ),
    MeasureNote(
        "share_sum_of_passes", "ratio", "Shares of all passes added up: the trade's convention.",
        shared_by_area=False,
    ),
    MeasureNote(
        "share_touched_once", "ratio",
        "Share of the surface that at least one pass has met, passes falling at random.", shared_by_area=False,
    ),
    MeasureNote("area_sum_of_passes", "square_meter", "Surface taken out, passes added up."),
    MeasureNote("area_touched_once", "square_meter", "Surface that at least one pass has met."),
    MeasureNote("core_volume", "cubic_meter", "Volume of the cores to collect or work in, passes added up."),
    MeasureNote("fill_volume", "cubic_meter", "Volume of the open holes when every pass is filled."),
    MeasureNote("sand_volume", "cubic_meter", "Sand to fill the holes, with allowance; given with `fill`."),
    MeasureNote("sand_mass", "kilogram", "Mass of that sand at the bulk density given; given with `fill`."),
    MACHINE_TIME,
    CREW_TIME,
)  # fmt: skip

METHOD = Method(
    name="hollow_tine_aeration",
    title="Hollow-tine aeration",
    summary="Holes, share of surface by both conventions, cores out, sand to fill, and hours.",
    parameters=HollowTineAeration,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "Geometry of circles on a grid",
        "Probability of independent passes",
        "Course superintendents' public notes on tine size, spacing and share of surface (2012, 2024)",
    ),
    example=Example(
        parameters={
            "tine_inside_diameter": {"value": "0.5", "unit": "inch"},
            "spacing_along": {"value": "2", "unit": "inch"},
            "spacing_across": {"value": "2.5", "unit": "inch"},
            "depth": {"value": "4", "unit": "inch"},
            "passes": 2,
            "fill": {
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
                "allowance_percent": "10",
            },
            "production_rate": {"value": "10000", "unit": "square_foot_per_hour"},
            "crew_size": 3,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "area_worked": 185.80608,
            "holes": 57_600,
            "share_per_pass": 0.03926991,
            "share_sum_of_passes": 0.07853982,
            "share_touched_once": 0.07699769,
            "area_sum_of_passes": 7.29658770,
            "area_touched_once": 7.15331953,
            "core_volume": 0.74133331,
            "fill_volume": 0.74133331,
            "sand_volume": 0.81546664,
            "sand_mass": 1306.25225,
            "machine_time": 0.2,
            "crew_time": 0.6,
        },
        source="A course superintendent's public note, 2012: 28.8 holes to the square foot, 3.93 % a pass",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SILICA_DUST, SLOPES, DEFER),
)
