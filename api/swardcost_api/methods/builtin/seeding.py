"""Seeding: seed out of the bag for a rate of pure live seed or of bulk seed."""

from decimal import Decimal
from typing import Literal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.seeding import bags_of, seed_to_buy
from swardcost_api.methods.area_work import (
    AREA,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import DEFER, GUARDS, SLOPES
from swardcost_api.methods.frame import Example, Mass, MassRate, Measure, MeasureNote, Method, measures_of
from swardcost_api.methods.loose_material import LabelPercent
from swardcost_api.units import to_si


class Seeding(AreaWork):
    """Parameters of seeding."""

    seed_rate: MassRate = Field(
        description="Seed to the area; `rate_of` says which seed.",
        examples=[{"value": "6", "unit": "pound_per_thousand_square_feet"}],
    )
    rate_of: Literal["pure_live_seed", "bulk_seed"] = Field(
        description="Whether the rate is of pure live seed, or of seed as it comes out of the bag.",
        examples=["bulk_seed"],
    )
    purity_percent: LabelPercent = Field(
        description="Pure seed of the kind wanted, from the label.", examples=["98"]
    )
    germination_percent: LabelPercent = Field(description="Germination, from the label.", examples=["85"])
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Seed lost at edges and in filling, in percent.", examples=["3"],
    )  # fmt: skip
    bag_mass: Mass | None = Field(
        default=None, description="Seed in one bag; gives the bags.",
        examples=[{"value": "50", "unit": "pound"}],
    )  # fmt: skip


def _take_off(parameters: Seeding, area_m2: float) -> tuple[Measure, ...]:
    seed = seed_to_buy(
        area_m2=area_m2,
        rate_kg_per_m2=to_si(parameters.seed_rate, "mass_rate"),
        purity_share=share_of(parameters.purity_percent),
        germination_share=share_of(parameters.germination_percent),
        rate_is_live_seed=parameters.rate_of == "pure_live_seed",
        waste_share=share_of(parameters.waste_percent),
    )
    steps = steps_of_time(parameters, area_m2, 1) | seed.steps
    if parameters.bag_mass is not None:
        bag_mass_kg = to_si(parameters.bag_mass, "mass")
        steps |= bags_of(mass_kg=seed.seed_mass_kg, bag_mass_kg=bag_mass_kg, product="seed").steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("pure_live_share", "ratio", "Purity times germination.", shared_by_area=False),
    MeasureNote("seed_mass", "kilogram", "Seed to buy, as it comes out of the bag."),
    MeasureNote("live_seed_mass", "kilogram", "Pure live seed in it."),
    MeasureNote("seed_bags", "bag", "Whole bags; given with `bag_mass`."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="seeding",
    title="Seeding",
    summary="Seed by mass and bags for a rate of pure live or bulk seed, and hours of sowing.",
    parameters=Seeding,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Pennsylvania State University Extension, Calculating the Price of Pure Live Seed",
        "Texas Department of Transportation, Pure live seed",
    ),
    example=Example(
        parameters={
            "seed_rate": {"value": "6.8", "unit": "pound_per_thousand_square_feet"},
            "rate_of": "pure_live_seed",
            "purity_percent": "85",
            "germination_percent": "80",
            "waste_percent": "5",
            "bag_mass": {"value": "50", "unit": "pound"},
            "production_rate": {"value": "20000", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "20000", "unit": "square_foot"},
        expected={
            "area": 1858.0608,
            "pure_live_share": 0.68,
            "seed_mass": 95.2543977,
            "live_seed_mass": 64.772990436,
            "seed_bags": 5,
            "machine_time": 1.0,
            "crew_time": 2.0,
        },
        source="Definition of pure live seed: 6.8 lb of it are 10 lb at 85 % purity and 80 % germination",
    ),
    cautions=(GUARDS, SLOPES, DEFER),
)
