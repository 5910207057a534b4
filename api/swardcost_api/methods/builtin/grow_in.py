"""Grow-in: what young turf is fed and watered over its weeks."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities.seeding import bags_of, product_for_nutrient, run_time, watering
from swardcost_api.methods.area_work import share_of
from swardcost_api.methods.cautions import DEFER, GUARDS
from swardcost_api.methods.frame import (
    Example,
    Flow,
    Mass,
    MassRate,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.loose_material import LabelPercent
from swardcost_api.units import to_si


class Feeding(Parameters):
    """Fertilizer by the rate of one nutrient."""

    nutrient_rate: MassRate = Field(
        description="Nutrient to the area in one feeding; phosphorus and potassium as oxides.",
        examples=[{"value": "0.5", "unit": "pound_per_thousand_square_feet"}],
    )
    nutrient_percent: LabelPercent = Field(
        description="That nutrient in the product, from the label.", examples=["24"]
    )
    feedings_per_week: int = Field(default=1, strict=True, ge=1, le=7, description="Feedings a week.")
    bag_mass: Mass | None = Field(
        default=None, description="Product in one bag; gives the bags.",
        examples=[{"value": "50", "unit": "pound"}],
    )  # fmt: skip


class Water(Parameters):
    """Water by depth."""

    depth_per_week: ShortLength = Field(
        description="Depth of water a week that rain does not bring.",
        examples=[{"value": "1.5", "unit": "inch"}],
    )
    efficiency_percent: LabelPercent = Field(
        default=Decimal(100), validate_default=True,
        description="Part of the water that reaches the turf it is meant for, in percent.", examples=["75"],
    )  # fmt: skip
    flow: Flow | None = Field(
        default=None, description="Flow of what runs at one time; gives the run time.",
        examples=[{"value": "300", "unit": "us_gallon_per_minute"}],
    )  # fmt: skip


class GrowIn(Parameters):
    """Parameters of a grow-in over whole weeks, of which at least one of `feeding` and `water` is given."""

    weeks: int = Field(strict=True, ge=1, le=104, description="Weeks of grow-in.", examples=[8])
    feeding: Feeding | None = Field(
        default=None, description="Fertilizer. At least one of `feeding` and `water` is given."
    )
    water: Water | None = Field(
        default=None, description="Water. At least one of `feeding` and `water` is given."
    )

    @model_validator(mode="after")
    def _fed_or_watered(self) -> Self:
        if self.feeding is None and self.water is None:
            raise PydanticCustomError("no_input", "at least one of feeding and water")
        return self


def _fed(feeding: Feeding, weeks: int, area_m2: float) -> dict[str, Step]:
    product = product_for_nutrient(
        area_m2=area_m2,
        nutrient_rate_kg_per_m2=to_si(feeding.nutrient_rate, "mass_rate"),
        nutrient_share=share_of(feeding.nutrient_percent),
        applications=weeks * feeding.feedings_per_week,
    )
    if feeding.bag_mass is None:
        return product.steps
    bag_mass_kg = to_si(feeding.bag_mass, "mass")
    bags = bags_of(mass_kg=product.product_mass_kg, bag_mass_kg=bag_mass_kg, product="product")
    return product.steps | bags.steps


def _watered(water: Water, weeks: int, area_m2: float) -> dict[str, Step]:
    volume = watering(
        area_m2=area_m2,
        depth_per_week_m=to_si(water.depth_per_week, "length"),
        weeks=weeks,
        efficiency_share=share_of(water.efficiency_percent),
    )
    if water.flow is None:
        return volume.steps
    hours = run_time(water_volume_m3=volume.water_volume_m3, flow_m3_per_h=to_si(water.flow, "flow"))
    return volume.steps | hours.steps


def _take_off(parameters: GrowIn, area_m2: float) -> tuple[Measure, ...]:
    area = Step("area", area_m2, "square_meter", "sizes of the areas added up", source="sizes of the areas")
    steps = {area.name: area}
    if parameters.feeding is not None:
        steps |= _fed(parameters.feeding, parameters.weeks, area_m2)
    if parameters.water is not None:
        steps |= _watered(parameters.water, parameters.weeks, area_m2)
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("area", "square_meter", "Total size of the areas."),
    MeasureNote("nutrient_mass", "kilogram", "Nutrient of all feedings; given with `feeding`."),
    MeasureNote("product_mass", "kilogram", "Product that holds it; given with `feeding`."),
    MeasureNote("product_bags", "bag", "Whole bags of it; given with the bag's mass."),
    MeasureNote("water_volume", "cubic_meter", "Water of all weeks; given with `water`."),
    MeasureNote("run_time", "hour", "Hours that the flow runs in all weeks; given with the flow."),
)

METHOD = Method(
    name="grow_in",
    title="Grow-in feeding and watering",
    summary="Fertilizer from a nutrient rate and its label, and water and run time from depth and flow, over weeks.",
    parameters=GrowIn,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "University of Maryland, Bay-Wise worksheet (product from a rate of nitrogen)",
        "US Geological Survey water conversion list, 1990",
    ),
    example=Example(
        parameters={
            "weeks": 4,
            "feeding": {
                "nutrient_rate": {"value": "0.5", "unit": "pound_per_thousand_square_feet"},
                "nutrient_percent": "20",
                "feedings_per_week": 1,
                "bag_mass": {"value": "50", "unit": "pound"},
            },
            "water": {
                "depth_per_week": {"value": "1.5", "unit": "inch"},
                "efficiency_percent": "75",
                "flow": {"value": "60", "unit": "us_gallon_per_minute"},
            },
        },
        area={"value": "6000", "unit": "square_foot"},
        expected={
            "area": 557.41824,
            "nutrient_mass": 5.44310844,
            "product_mass": 27.2155422,
            "product_bags": 2,
            "water_volume": 113.267386368,
            "run_time": 8.3116883117,
        },
        source="Arithmetic: 12 lb of nitrogen in 60 lb of 20 % product; 8 in of water over 6,000 square feet",
    ),
    cautions=(GUARDS, DEFER),
)
