"""Sprigging: sprigs by volume, in whichever bushel the grower sells."""

from decimal import Decimal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.seeding import sprigs_to_order
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SLOPES
from swardcost_api.methods.frame import Example, Measure, MeasureNote, Method, SprigRate, measures_of
from swardcost_api.units import to_si


class Sprigging(AreaWork):
    """Parameters of sprigging."""

    sprig_rate: SprigRate = Field(
        description=(
            "Sprigs to the area, in a named bushel: ask which one is meant. The US bushel holds 1.2445 cubic feet; "
            "sprigs are also sold by trade bushels of 0.4 and 0.32."
        ),
        examples=[{"value": "800", "unit": "sprig_bushel_0_4_cubic_foot_per_acre"}],
    )
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Sprigs that dry out or are lost, in percent of what the areas take.", examples=["5"],
    )  # fmt: skip


def _take_off(parameters: Sprigging, area_m2: float) -> tuple[Measure, ...]:
    sprigs = sprigs_to_order(
        area_m2=area_m2,
        rate_m3_per_m2=to_si(parameters.sprig_rate, "depth_rate"),
        waste_share=share_of(parameters.waste_percent),
    )
    return measures_of(MEASURES, steps_of_time(parameters, area_m2, 1) | sprigs.steps)


MEASURES = (
    AREA,
    MeasureNote("sprig_volume", "cubic_meter", "Sprigs to order; price it in the bushel of the grower."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="sprigging",
    title="Sprigging",
    summary="Volume of sprigs at a rate in a named bushel, and hours of planting.",
    parameters=Sprigging,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "NIST Handbook 44, Appendix C (US struck bushel)",
        "Grounds Maintenance news, and two sod growers (trade bushels of 0.4 and 0.32 cubic feet)",
    ),
    example=Example(
        parameters={
            "sprig_rate": {"value": "800", "unit": "us_bushel_per_acre"},
            "waste_percent": "5",
            "production_rate": {"value": "0.5", "unit": "acre_per_hour"},
            "crew_size": 4,
        },
        area={"value": "1", "unit": "acre"},
        expected={
            "area": 4046.8564224,
            "sprig_volume": 29.6008189402,
            "machine_time": 2.0,
            "crew_time": 8.0,
        },
        source="800 US bushels an acre, 36.9 cubic yards, and 5 % more",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SLOPES, DEFER),
)
