"""Topdressing: a layer of sand by depth or by volume rate."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.sand import Layer, layer_by_depth, layer_by_rate, supply
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    AreaWork,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import DEFER, GUARDS, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import (
    Density,
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    VolumeRate,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Topdressing(AreaWork):
    """Parameters of a topdressing, of which exactly one of `depth` and `rate` is given."""

    depth: ShortLength | None = Field(
        default=None,
        description="Depth of the layer of one application. Exactly one of `depth` and `rate` is given.",
        examples=[{"value": "0.02", "unit": "inch"}],
    )  # fmt: skip
    rate: VolumeRate | None = Field(
        default=None,
        description="Volume of sand to the area in one application. Exactly one of `depth` and `rate` is given.",
        examples=[{"value": "1", "unit": "cubic_foot_per_thousand_square_feet"}],
    )  # fmt: skip
    bulk_density: Density = Field(
        description="Bulk density of the sand as it is weighed; ask the supplier, it differs with moisture.",
        examples=[{"value": "100", "unit": "pound_per_cubic_foot"}],
    )
    applications: int = Field(
        default=1, strict=True, ge=1, le=100, description="How often the areas are dressed.", examples=[8]
    )
    allowance_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Extra sand for waste and settlement, in percent of the volume of the layer.",
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_way_of_saying_how_much(self) -> Self:
        if (self.depth is None) == (self.rate is None):
            raise PydanticCustomError("depth_or_rate", "exactly one of depth and rate")
        return self


def _layer(parameters: Topdressing, area_m2: float) -> Layer:
    if parameters.depth is not None:
        return layer_by_depth(
            area_m2=area_m2,
            depth_m=to_si(parameters.depth, "length"),
            applications=parameters.applications,
        )
    assert parameters.rate is not None
    return layer_by_rate(
        area_m2=area_m2,
        rate_m3_per_m2=to_si(parameters.rate, "depth_rate"),
        applications=parameters.applications,
    )


def _take_off(parameters: Topdressing, area_m2: float) -> tuple[Measure, ...]:
    layer = _layer(parameters, area_m2)
    sand = supply(
        volume_m3=layer.volume_m3,
        bulk_density_kg_per_m3=to_si(parameters.bulk_density, "density"),
        allowance_share=share_of(parameters.allowance_percent),
    )
    hours = steps_of_time(parameters, area_m2, parameters.applications)
    return measures_of(MEASURES, hours | layer.steps | sand.steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    MeasureNote("layer_depth", "meter", "Depth of all applications together.", shared_by_area=False),
    MeasureNote("layer_volume", "cubic_meter", "Volume of the layer in place, without allowance."),
    MeasureNote("sand_volume", "cubic_meter", "Sand to bring in, with allowance."),
    MeasureNote("sand_mass", "kilogram", "Mass of that sand at the bulk density given."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="topdressing",
    title="Topdressing",
    summary="Sand by volume and mass for a layer by depth or by volume rate, and hours.",
    parameters=Topdressing,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=(
        "Geometry of a layer",
        "USGA Northeast Region update, 2014 (rates of light dressings)",
        "USGA Central Region update, 2018 (dry sand weighs about 100 lb to the cubic foot)",
    ),
    example=Example(
        parameters={
            "rate": {"value": "1", "unit": "cubic_foot_per_thousand_square_feet"},
            "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            "applications": 2,
            "allowance_percent": "5",
            "production_rate": {"value": "1", "unit": "acre_per_hour"},
            "crew_size": 1,
        },
        area={"value": "1", "unit": "acre"},
        expected={
            "area": 4046.8564224,
            "area_worked": 8093.7128448,
            "layer_depth": 0.0006096,
            "layer_volume": 2.46696368,
            "sand_volume": 2.59031186,
            "sand_mass": 4149.28156,
            "machine_time": 2.0,
            "crew_time": 2.0,
        },
        source="USGA Central Region update, 2018: 1 cubic foot of dry sand to 1,000 square feet is 100 lb",
    ),
    cautions=(SILICA_DUST, GUARDS, SLOPES, DEFER),
)
