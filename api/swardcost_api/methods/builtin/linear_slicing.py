"""Linear slicing and vertical mowing: slits at a spacing, in one direction or two."""

from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.quantities.cultivation import linear_slicing
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
from swardcost_api.units import to_si


class LinearSlicing(AreaWork):
    """Parameters of slicing or vertical mowing."""

    blade_width: ShortLength = Field(
        description="Width of the slit that a blade opens.", examples=[{"value": "2", "unit": "millimeter"}]
    )
    blade_spacing: ShortLength = Field(
        description="Distance of blades, centre to centre.", examples=[{"value": "2", "unit": "inch"}]
    )
    depth: ShortLength = Field(description="Depth of the slits.", examples=[{"value": "1", "unit": "inch"}])
    directions: Literal[1, 2] = Field(
        default=1, description="1, or 2 for runs in two directions that cross.", examples=[2]
    )
    passes: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often each direction is run.", examples=[1]
    )

    @field_validator("blade_spacing")
    @classmethod
    def _slits_stay_apart(cls, spacing: Quantity, info: ValidationInfo) -> Quantity:
        blade = info.data.get("blade_width")
        if blade is not None and not fits(to_si(blade, "length"), to_si(spacing, "length")):
            raise PydanticCustomError(
                "spacing_below_blade",
                "a spacing of at least the blade's width, {value} {unit}",
                {"value": str(blade.value), "unit": blade.unit},
            )
        return spacing


def _take_off(parameters: LinearSlicing, area_m2: float) -> tuple[Measure, ...]:
    slits = linear_slicing(
        area_m2=area_m2,
        blade_width_m=to_si(parameters.blade_width, "length"),
        blade_spacing_m=to_si(parameters.blade_spacing, "length"),
        depth_m=to_si(parameters.depth, "length"),
        directions=parameters.directions,
        passes=parameters.passes,
    )
    hours = steps_of_time(parameters, area_m2, parameters.directions * parameters.passes)
    return measures_of(MEASURES, hours | slits.steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    MeasureNote(
        "share_per_pass", "ratio", "Share of the surface that one run in one direction opens.",
        shared_by_area=False,
    ),
    MeasureNote(
        "share_sum_of_passes", "ratio", "Shares of all runs added up: the trade's convention.",
        shared_by_area=False,
    ),
    MeasureNote(
        "share_touched_once", "ratio",
        "Share of the surface that at least one run has met: exact for two crossing directions, repeated runs "
        "falling at random.",
        shared_by_area=False,
    ),
    MeasureNote("area_sum_of_passes", "square_meter", "Surface opened, runs added up."),
    MeasureNote("area_touched_once", "square_meter", "Surface that at least one run has met."),
    MeasureNote("slit_length", "meter", "Length of all slits together."),
    MeasureNote("slit_volume", "cubic_meter", "Volume of the slits, runs added up."),
    MACHINE_TIME,
    CREW_TIME,
)  # fmt: skip

METHOD = Method(
    name="linear_slicing",
    title="Linear slicing or vertical mowing",
    summary="Share of surface by both conventions, length and volume of slits, and hours.",
    parameters=LinearSlicing,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=("Geometry of parallel strips", "Probability of independent passes"),
    example=Example(
        parameters={
            "blade_width": {"value": "2", "unit": "millimeter"},
            "blade_spacing": {"value": "2", "unit": "inch"},
            "depth": {"value": "1", "unit": "inch"},
            "directions": 2,
            "production_rate": {"value": "10000", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "area_worked": 185.80608,
            "share_per_pass": 0.03937008,
            "share_sum_of_passes": 0.07874016,
            "share_touched_once": 0.07719015,
            "area_sum_of_passes": 7.3152,
            "area_touched_once": 7.17119962,
            "slit_length": 3657.6,
            "slit_volume": 0.18580608,
            "machine_time": 0.2,
            "crew_time": 0.4,
        },
        source="Geometry: 2 mm blades 2 in apart open 3.94 % of the surface in one direction",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SLOPES, DEFER),
)
