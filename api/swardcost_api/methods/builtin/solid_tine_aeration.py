"""Solid-tine aeration, shallow or deep: ground pressed aside, raised where tines kick, nothing removed."""

from decimal import Decimal

from pydantic import Field, field_validator
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.holes import heave, solid_tine_holes
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import Example, Measure, MeasureNote, Method, ShortLength, measures_of
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


class SolidTineAeration(SpacedHoles):
    """Parameters of solid tines; deep tines that raise the ground take `raised_by` too."""

    tine_outside_diameter: ShortLength = Field(
        description="Outside diameter of the tine, which is what it presses open.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )
    raised_by: ShortLength | None = Field(
        default=None,
        description="How much higher the surface stands after deep tines that heave, measured on the site.",
        examples=[{"value": "0.5", "unit": "inch"}],
    )  # fmt: skip
    open_percent: Percent = Field(
        default=Decimal(100), validate_default=True, gt=0, le=100,
        description="How much of the pressed volume is still open when sand is worked in, in percent.",
        examples=["80"],
    )  # fmt: skip
    fill: HoleFill | None = Field(
        default=None, description="Sand to fill the holes of every pass; leave out where holes stay open."
    )

    _stay_apart = field_validator("tine_outside_diameter")(within_spacing)


def _take_off(parameters: SolidTineAeration, area_m2: float) -> tuple[Measure, ...]:
    depth = to_si(parameters.depth, "length")
    tines = solid_tine_holes(
        area_m2=area_m2,
        outside_diameter_m=to_si(parameters.tine_outside_diameter, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=across(parameters),
        depth_m=depth,
        passes=parameters.passes,
        open_share=share_of(parameters.open_percent),
    )
    steps = steps_of_time(parameters, area_m2, parameters.passes) | tines.steps
    if parameters.fill is not None:
        steps |= steps_of_fill(parameters.fill, tines.fill_volume_m3, "fill volume")
    if parameters.raised_by is not None:
        steps |= heave(
            area_m2=area_m2, depth_m=depth, raised_by_m=to_si(parameters.raised_by, "length")
        ).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    HOLES,
    *COVERAGE,
    MeasureNote("pressed_volume", "cubic_meter", "Ground pressed aside, passes added up; none is removed."),
    MeasureNote("fill_volume", "cubic_meter", "Volume still open for sand, passes added up."),
    SAND_VOLUME,
    SAND_MASS,
    MeasureNote(
        "raised_volume", "cubic_meter",
        "What the surface was raised by, over the areas: void to be rolled down or topped up; given with `raised_by`.",
    ),
    MeasureNote(
        "added_void_share", "ratio", "Void added within the loosened depth; given with `raised_by`.",
        shared_by_area=False,
    ),
    MACHINE_TIME,
    CREW_TIME,
)  # fmt: skip

METHOD = Method(
    name="solid_tine_aeration",
    title="Solid-tine aeration, shallow or deep",
    summary="Holes, share of surface by both conventions, ground pressed aside or raised, sand to fill, and hours.",
    parameters=SolidTineAeration,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "Geometry of circles on a grid",
        "Probability of independent passes",
        "A course superintendent's public note on solid tines and share of surface (March 2012)",
    ),
    example=Example(
        parameters={
            "tine_outside_diameter": {"value": "0.5", "unit": "inch"},
            "spacing_along": {"value": "2", "unit": "inch"},
            "spacing_across": {"value": "2.5", "unit": "inch"},
            "depth": {"value": "8", "unit": "inch"},
            "passes": 1,
            "raised_by": {"value": "0.5", "unit": "inch"},
            "open_percent": "80",
            "fill": {
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
                "allowance_percent": "10",
            },
            "production_rate": {"value": "10000", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "area_worked": 92.90304,
            "holes": 28800,
            "share_per_pass": 0.0392699082,
            "share_sum_of_passes": 0.0392699082,
            "share_touched_once": 0.0392699082,
            "area_sum_of_passes": 3.64829385,
            "area_touched_once": 3.64829385,
            "pressed_volume": 0.74133331,
            "fill_volume": 0.593066648,
            "sand_volume": 0.652373313,
            "sand_mass": 1045.0018,
            "raised_volume": 1.17986861,
            "added_void_share": 0.0588235294,
            "machine_time": 0.1,
            "crew_time": 0.2,
        },
        source="A course superintendent's public note, 2012: half-inch solid tines at 2 x 2.5 in meet 3.93 %",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SILICA_DUST, SLOPES, DEFER),
)
