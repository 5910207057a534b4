"""Brush mulching: machine hours and days by the density of the stand, and chips."""

from typing import Literal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.brush import chips_left, machine_days, mulching_time
from swardcost_api.engine.quantities.production import crew_time
from swardcost_api.methods.area_work import AREA, CREW_TIME, share_of
from swardcost_api.methods.cautions import (
    BURIED_UTILITIES,
    DEFER,
    GUARDS,
    OVERHEAD,
    SLOPES,
    THROWN_DEBRIS,
    WATER_PERMITS,
)  # fmt: skip
from swardcost_api.methods.feature_work import area_of
from swardcost_api.methods.frame import (
    AreaPace,
    Duration,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Stand(Parameters):
    """Brush of one density."""

    density: Literal["light", "medium", "heavy"] = Field(
        description="Density of the stand; what it means is the club's or the contractor's to say.",
        examples=["light"],
    )
    percent: Percent = Field(gt=0, description="Its part of the areas, in percent.", examples=["60"])
    production_rate: AreaPace = Field(
        description="Area that the machine does in an hour in it.",
        examples=[{"value": "0.25", "unit": "acre_per_hour"}],
    )


class BrushMulching(Parameters):
    """Parameters of brush mulching."""

    stands: list[Stand] = Field(
        min_length=1, max_length=3, description="Densities of the brush; their parts add up to 100 percent."
    )
    day_length: Duration | None = Field(
        default=None, description="Hours that the machine works in a day; gives whole machine days.",
        examples=[{"value": "7", "unit": "hour"}],
    )  # fmt: skip
    chip_depth: ShortLength | None = Field(
        default=None, description="Mean depth of chips as they lie; gives their volume.",
        examples=[{"value": "2", "unit": "inch"}],
    )  # fmt: skip
    crew_size: int | None = Field(
        default=None,
        strict=True,
        ge=1,
        le=500,
        description="People on the work as long as it runs.",
        examples=[2],
    )

    @field_validator("stands")
    @classmethod
    def _stands_make_up_the_areas(cls, stands: list[Stand]) -> list[Stand]:
        if len({stand.density for stand in stands}) < len(stands):
            raise PydanticCustomError("stand_twice", "each density once")
        total = sum(stand.percent for stand in stands)
        if total != 100:
            raise PydanticCustomError(
                "stands_total", "parts that add up to 100 percent, not {total}", {"total": str(total)}
            )
        return stands


def _take_off(parameters: BrushMulching, area_m2: float) -> tuple[Measure, ...]:
    mulching = mulching_time(
        area_m2=area_m2,
        stands={
            stand.density: (share_of(stand.percent), to_si(stand.production_rate, "area_pace"))
            for stand in parameters.stands
        },
    )
    steps = area_of(None, area_m2) | mulching.steps
    if parameters.day_length is not None:
        steps |= machine_days(
            machine_time_h=mulching.machine_time_h, day_h=to_si(parameters.day_length, "time")
        ).steps
    if parameters.crew_size is not None:
        steps |= crew_time(machine_time_h=mulching.machine_time_h, crew_size=parameters.crew_size).steps
    if parameters.chip_depth is not None:
        steps |= chips_left(area_m2=area_m2, depth_m=to_si(parameters.chip_depth, "length")).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("machine_time", "hour", "Hours of one machine in all stands."),
    MeasureNote("machine_days", "work_day", "Whole days of the machine; given with `day_length`."),
    CREW_TIME,
    MeasureNote("chip_volume", "cubic_meter", "Chips as they lie; given with `chip_depth`."),
)

METHOD = Method(
    name="brush_mulching",
    title="Brush mulching",
    summary=(
        "Machine hours over the areas at a pace for each density of the stand, whole machine days, and chips. Days "
        "that are simply agreed are a stated quantity."
    ),
    parameters=BrushMulching,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Definition of a production rate", "Geometry of a layer"),
    example=Example(
        parameters={
            "stands": [
                {
                    "density": "light",
                    "percent": "50",
                    "production_rate": {"value": "0.5", "unit": "acre_per_hour"},
                },
                {
                    "density": "heavy",
                    "percent": "50",
                    "production_rate": {"value": "0.125", "unit": "acre_per_hour"},
                },
            ],
            "day_length": {"value": "7", "unit": "hour"},
            "chip_depth": {"value": "2", "unit": "inch"},
            "crew_size": 2,
        },
        area={"value": "4", "unit": "acre"},
        expected={
            "area": 16187.42569,
            "machine_time": 20.0,
            "machine_days": 3,
            "crew_time": 40.0,
            "chip_volume": 822.321225,
        },
        source="Arithmetic: 2 acres at 0.5 and 2 at 0.125 acres an hour take 20 hours, 3 days of 7",
    ),
    cautions=(THROWN_DEBRIS, GUARDS, OVERHEAD, SLOPES, WATER_PERMITS, BURIED_UTILITIES, DEFER),
)
