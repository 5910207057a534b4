"""Hydromulching: mulch, tank loads and water."""

from decimal import Decimal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.seeding import bags_of, hydromulch
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import DEFER, GUARDS, SLOPES, TRAFFIC
from swardcost_api.methods.frame import (
    BoxVolume,
    Example,
    Mass,
    MassRate,
    Measure,
    MeasureNote,
    Method,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Hydromulching(AreaWork):
    """Parameters of hydromulching; the seed in the tank is priced by the method of seeding."""

    mulch_rate: MassRate = Field(
        description="Dry mulch to the area.", examples=[{"value": "2000", "unit": "pound_per_acre"}]
    )
    mulch_per_tank: Mass = Field(
        description="Dry mulch mixed into one tank; the makers of mulch and machine say how much it bears.",
        examples=[{"value": "250", "unit": "pound"}],
    )
    tank_volume: BoxVolume = Field(
        description="Water of one tank.", examples=[{"value": "600", "unit": "us_gallon"}]
    )
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Mulch blown past the areas, in percent.", examples=["5"],
    )  # fmt: skip
    bag_mass: Mass | None = Field(
        default=None, description="Mulch in one bag or bale; gives the bags.",
        examples=[{"value": "50", "unit": "pound"}],
    )  # fmt: skip


def _take_off(parameters: Hydromulching, area_m2: float) -> tuple[Measure, ...]:
    mulch = hydromulch(
        area_m2=area_m2,
        mulch_rate_kg_per_m2=to_si(parameters.mulch_rate, "mass_rate"),
        mulch_per_tank_kg=to_si(parameters.mulch_per_tank, "mass"),
        tank_volume_m3=to_si(parameters.tank_volume, "volume"),
        waste_share=share_of(parameters.waste_percent),
    )
    steps = steps_of_time(parameters, area_m2, 1) | mulch.steps
    if parameters.bag_mass is not None:
        bag_mass_kg = to_si(parameters.bag_mass, "mass")
        steps |= bags_of(mass_kg=mulch.mulch_mass_kg, bag_mass_kg=bag_mass_kg, product="mulch").steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("mulch_mass", "kilogram", "Dry mulch to buy."),
    MeasureNote("mulch_bags", "bag", "Whole bags or bales; given with `bag_mass`."),
    MeasureNote("tank_loads", "load", "Whole tanks to mix and drive."),
    MeasureNote("mulch_water", "cubic_meter", "Water of all tanks, the last one mixed for what is left."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="hydromulching",
    title="Hydromulching",
    summary="Mulch by mass and bags, whole tank loads, their water, and hours of spraying.",
    parameters=Hydromulching,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "USDA Natural Resources Conservation Service, Wyoming, Hydroseeding and Hydromulching fact sheet "
        "(1,500 to 2,000 lb of wood fiber an acre)",
    ),
    example=Example(
        parameters={
            "mulch_rate": {"value": "2000", "unit": "pound_per_acre"},
            "mulch_per_tank": {"value": "300", "unit": "pound"},
            "tank_volume": {"value": "600", "unit": "us_gallon"},
            "waste_percent": "5",
            "bag_mass": {"value": "50", "unit": "pound"},
            "production_rate": {"value": "0.5", "unit": "acre_per_hour"},
            "crew_size": 2,
        },
        area={"value": "1", "unit": "acre"},
        expected={
            "area": 4046.8564224,
            "mulch_mass": 952.543977,
            "mulch_bags": 42,
            "tank_loads": 7,
            "mulch_water": 15.8987294928,
            "machine_time": 2.0,
            "crew_time": 4.0,
        },
        source="NRCS fact sheet: 2,000 lb an acre; 2,100 lb with waste are 7 tanks of 300 lb",
    ),
    cautions=(GUARDS, SLOPES, TRAFFIC, DEFER),
)
