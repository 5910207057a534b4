"""Topsoil stripped, piled up and spread again over the same areas."""

from decimal import Decimal

from pydantic import Field

from swardcost_api.engine.quantities.soil import strip_and_respread
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, SLOPES
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    ShortLengthOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.loose_material import LooseFactor, PartPercent
from swardcost_api.units import to_si


class TopsoilStrip(AreaWork):
    """Parameters of stripping and spreading topsoil."""

    strip_depth: ShortLength = Field(
        description="Depth of topsoil taken off.", examples=[{"value": "6", "unit": "inch"}]
    )
    respread_depth: ShortLengthOrZero = Field(
        description="Depth of topsoil spread again, settled; zero where none is.",
        examples=[{"value": "4", "unit": "inch"}],
    )
    loose_factor: LooseFactor = Field(
        description="Volume in the pile to one volume in place: 1.25 is a swell of 25 %.", examples=["1.25"]
    )
    loss_percent: PartPercent = Field(
        default=Decimal(0), validate_default=True,
        description="What is lost in stripping, piling and spreading, in percent of what is stripped.",
        examples=["5"],
    )  # fmt: skip


def _take_off(parameters: TopsoilStrip, area_m2: float) -> tuple[Measure, ...]:
    balance = strip_and_respread(
        area_m2=area_m2,
        strip_depth_m=to_si(parameters.strip_depth, "length"),
        respread_depth_m=to_si(parameters.respread_depth, "length"),
        loose_factor=float(parameters.loose_factor),
        loss_share=share_of(parameters.loss_percent),
    )
    return measures_of(MEASURES, steps_of_time(parameters, area_m2, 1) | balance.steps)


MEASURES = (
    AREA,
    MeasureNote("stripped_volume", "cubic_meter", "Topsoil taken off, in place."),
    MeasureNote("stockpile_volume", "cubic_meter", "The same in the pile, loose."),
    MeasureNote("respread_volume", "cubic_meter", "Topsoil spread again, settled."),
    MeasureNote("surplus_volume", "cubic_meter", "Topsoil left over after spreading, in place; else zero."),
    MeasureNote("shortfall_volume", "cubic_meter", "Topsoil still wanted, in place; else zero."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="topsoil_strip",
    title="Topsoil strip and respread",
    summary="Topsoil taken off, in the pile and spread again, and what is left over or wanting.",
    parameters=TopsoilStrip,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=("Geometry", "US Army FM 5-434, Earthmoving Operations (2000): volumes in place and loose"),
    example=Example(
        parameters={
            "strip_depth": {"value": "6", "unit": "inch"},
            "respread_depth": {"value": "4", "unit": "inch"},
            "loose_factor": "1.25",
            "loss_percent": "10",
            "production_rate": {"value": "2000", "unit": "square_foot_per_hour"},
            "crew_size": 1,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "stripped_volume": 14.158423296,
            "stockpile_volume": 17.69802912,
            "respread_volume": 9.438948864,
            "surplus_volume": 3.3036321024,
            "shortfall_volume": 0.0,
            "machine_time": 0.5,
            "crew_time": 0.5,
        },
        source="Geometry: 500 cubic feet off, 450 kept, 333.3 spread",
    ),
    cautions=(BURIED_UTILITIES, SLOPES, DUMPING, DEFER),
)
