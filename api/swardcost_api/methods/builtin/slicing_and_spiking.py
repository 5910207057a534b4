"""Slicing and spiking: separate slits of knives on a turning shaft, nothing removed."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.quantities.cultivation import knife_slits
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SLOPES
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    measures_of,
)
from swardcost_api.methods.hole_work import COVERAGE
from swardcost_api.units import to_si


class SlicingAndSpiking(AreaWork):
    """Parameters of slicing and spiking."""

    spacing_along: ShortLength = Field(
        description="Distance of slits in the direction of travel, middle to middle.",
        examples=[{"value": "6", "unit": "inch"}],
    )
    spacing_across: ShortLength = Field(
        description="Distance of slits across the direction of travel, middle to middle.",
        examples=[{"value": "4", "unit": "inch"}],
    )
    slit_length: ShortLength = Field(
        description="Length of one slit at the surface.", examples=[{"value": "3", "unit": "inch"}]
    )
    knife_thickness: ShortLength = Field(
        description="Thickness of the knife, which is the width of the slit.",
        examples=[{"value": "5", "unit": "millimeter"}],
    )
    depth: ShortLength = Field(description="Depth of the slits.", examples=[{"value": "5", "unit": "inch"}])
    passes: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often the areas are run over.", examples=[2]
    )

    @field_validator("slit_length", "knife_thickness")
    @classmethod
    def _slits_stay_apart(cls, size: Quantity, info: ValidationInfo) -> Quantity:
        name = "spacing_along" if info.field_name == "slit_length" else "spacing_across"
        spacing = info.data.get(name)
        if spacing is not None and not fits(to_si(size, "length"), to_si(spacing, "length")):
            raise PydanticCustomError(
                "beyond_spacing",
                "a length of at most the {name}, {value} {unit}",
                {"name": name, "value": str(spacing.value), "unit": spacing.unit},
            )
        return size


def _take_off(parameters: SlicingAndSpiking, area_m2: float) -> tuple[Measure, ...]:
    slits = knife_slits(
        area_m2=area_m2,
        knife_thickness_m=to_si(parameters.knife_thickness, "length"),
        slit_length_m=to_si(parameters.slit_length, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=to_si(parameters.spacing_across, "length"),
        depth_m=to_si(parameters.depth, "length"),
        passes=parameters.passes,
    )
    return measures_of(MEASURES, steps_of_time(parameters, area_m2, parameters.passes) | slits.steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    MeasureNote("slits", "each", "Whole slits of all passes."),
    *COVERAGE,
    MeasureNote("slit_length", "meter", "Length of all slits together."),
    MeasureNote("slit_volume", "cubic_meter", "Ground that the knives press aside at most; none is removed."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="slicing_and_spiking",
    title="Slicing and spiking",
    summary="Separate slits by number and length, share of surface by both conventions, and hours.",
    parameters=SlicingAndSpiking,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Geometry of rectangles on a grid", "Probability of independent passes"),
    example=Example(
        parameters={
            "spacing_along": {"value": "6", "unit": "inch"},
            "spacing_across": {"value": "4", "unit": "inch"},
            "slit_length": {"value": "3", "unit": "inch"},
            "knife_thickness": {"value": "0.25", "unit": "inch"},
            "depth": {"value": "5", "unit": "inch"},
            "passes": 2,
            "production_rate": {"value": "1", "unit": "acre_per_hour"},
            "crew_size": 1,
        },
        area={"value": "1", "unit": "acre"},
        expected={
            "area": 4046.85642,
            "area_worked": 8093.71284,
            "slits": 522720,
            "share_per_pass": 0.03125,
            "share_sum_of_passes": 0.0625,
            "share_touched_once": 0.0615234375,
            "area_sum_of_passes": 252.928526,
            "area_touched_once": 248.976518,
            "slit_length": 39831.264,
            "slit_volume": 32.1219229,
            "machine_time": 2,
            "crew_time": 2,
        },
        source="Geometry: six slits of 3/4 square inch to the square foot, 3.125 % of the surface in a pass",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SLOPES, DEFER),
)
