"""Green surrounds and approaches: old turf stripped, ground regraded, sod laid."""

from dataclasses import replace
from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.surrounds import strip_and_regrade, turf_with_strip
from swardcost_api.methods.area_work import CREW_TIME, MACHINE_TIME, AreaWork
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, LIFTING, SLOPES
from swardcost_api.methods.feature_work import (
    LOOSE_SPOIL,
    SOD_TO_ORDER,
    SPOIL_LOADS,
    STRIP_AREA,
    TURF_AREA,
    EdgeStrip,
    Spoil,
    steps_of_goods,
    steps_of_spoil,
    steps_of_strip,
    steps_of_surface_time,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class GreenSurround(EdgeStrip, AreaWork):
    """Parameters of work on green surrounds and approaches."""

    approach_area: Surface | None = Field(
        default=None, description="Approaches and other ground beyond the strip, done with it.",
        examples=[{"value": "1200", "unit": "square_foot"}],
    )  # fmt: skip
    strip_depth: ShortLength | None = Field(
        default=None,
        description="Depth of old turf that is cut off.",
        examples=[{"value": "1.5", "unit": "inch"}],
    )
    regrade_depth: ShortLength | None = Field(
        default=None, description="Mean depth of cut over all the ground, which fills the low parts.",
        examples=[{"value": "2", "unit": "inch"}],
    )  # fmt: skip
    spoil: Spoil | None = Field(
        default=None, description="The old turf, hauled off; needs a strip depth, else there is none."
    )
    sod_waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sod for cutting and rejects, in percent of the area to be covered.", examples=["5"],
    )  # fmt: skip

    @field_validator("spoil")
    @classmethod
    def _something_is_dug(cls, spoil: Spoil | None, info: ValidationInfo) -> Spoil | None:
        if spoil is not None and "strip_depth" in info.data and info.data["strip_depth"] is None:
            raise PydanticCustomError(
                "no_strip_depth", "a strip_depth beside it, since the old turf is what is hauled"
            )
        return spoil


def _take_off(parameters: GreenSurround, area_m2: float) -> tuple[Measure, ...]:
    approach, cut, moved = parameters.approach_area, parameters.strip_depth, parameters.regrade_depth
    steps = steps_of_strip(parameters)
    turf = turf_with_strip(
        strip_area_m2=steps["strip area"].value,
        area_m2=None if approach is None else to_si(approach, "area"),
        area_name="approach area",
    )
    ground = strip_and_regrade(
        area_m2=turf.area_m2,
        strip_depth_m=None if cut is None else to_si(cut, "length"),
        regrade_depth_m=None if moved is None else to_si(moved, "length"),
        area_name="turf area",
    )
    steps |= turf.steps | ground.steps
    if ground.stripped_volume_m3 is not None:
        steps |= steps_of_spoil(parameters.spoil, ground.stripped_volume_m3, "stripped volume")
    steps |= steps_of_goods("sod", turf.area_m2, "turf area", "square_meter", parameters.sod_waste_percent)
    steps |= steps_of_surface_time(parameters, turf.area_m2, "turf area")
    return measures_of(MEASURES, steps)


MEASURES = (
    STRIP_AREA,
    TURF_AREA,
    MeasureNote("stripped_volume", "cubic_meter", "Old turf cut off, in place; given with `strip_depth`."),
    replace(LOOSE_SPOIL, meaning="The old turf, loose; given with `spoil`."),
    SPOIL_LOADS,
    MeasureNote(
        "regraded_volume",
        "cubic_meter",
        "Ground moved from high to low parts, none off or in; given with `regrade_depth`.",
    ),
    SOD_TO_ORDER,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="green_surround",
    title="Green surrounds and approaches",
    summary=(
        "Strip along the edges of greens by its width, with approaches: old turf off, regrading, sod, and hours. "
        "Perimeter and approaches are stated, not read from the areas."
    ),
    parameters=GreenSurround,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Steiner's formula for the strip around a closed edge", "Geometry of layers"),
    example=Example(
        parameters={
            "perimeter": {"value": "300", "unit": "foot"},
            "width": {"value": "10", "unit": "foot"},
            "features": 1,
            "approach_area": {"value": "1200", "unit": "square_foot"},
            "strip_depth": {"value": "1.5", "unit": "inch"},
            "regrade_depth": {"value": "2", "unit": "inch"},
            "spoil": {"swell_percent": "20", "box_volume": {"value": "5", "unit": "cubic_yard"}},
            "sod_waste_percent": "5",
            "production_rate": {"value": "400", "unit": "square_foot_per_hour"},
            "crew_size": 4,
        },
        area=None,
        expected={
            "strip_area": 307.8954708,
            "turf_area": 419.3791188,
            "stripped_volume": 15.97834443,
            "loose_spoil": 19.17401331,
            "spoil_loads": 6,
            "regraded_volume": 21.30445923,
            "sod_to_order": 440.3480747,
            "machine_time": 11.28539816,
            "crew_time": 45.14159265,
        },
        source="Geometry: 10 ft around an edge of 300 ft are 3,000 square feet and a circle of 10 ft radius",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, GUARDS, SLOPES, LIFTING, DEFER),
)
