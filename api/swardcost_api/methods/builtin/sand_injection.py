"""Sand injection by water or air: holes on a pattern, sand placed in them, nothing removed."""

from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.holes import sand_injection
from swardcost_api.engine.quantities.sand import supply
from swardcost_api.methods.area_work import (
    AREA,
    AREA_WORKED,
    CREW_TIME,
    MACHINE_TIME,
    share_of,
    steps_of_time,
)  # fmt: skip
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, SILICA_DUST, SLOPES
from swardcost_api.methods.frame import (
    Density,
    Example,
    Mass,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    VolumeRate,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.hole_work import (
    COVERAGE,
    HOLES,
    SAND_MASS,
    SAND_VOLUME,
    SpacedHoles,
    across,
    within_spacing,
)  # fmt: skip
from swardcost_api.units import to_si


class InjectedSand(Parameters):
    """Sand that is injected: by the hole, by the area, or as much as the holes hold.

    At most one of `mass_per_hole` and `rate` is given.
    """

    bulk_density: Density = Field(
        description="Bulk density of the sand as it is weighed, dry for injection; ask the supplier.",
        examples=[{"value": "100", "unit": "pound_per_cubic_foot"}],
    )
    mass_per_hole: Mass | None = Field(
        default=None,
        description="Sand placed in one hole. At most one of `mass_per_hole` and `rate` is given; neither where holes "
        "fill to diameter and depth.",
        examples=[{"value": "30", "unit": "gram"}],
    )  # fmt: skip
    rate: VolumeRate | None = Field(
        default=None,
        description="Sand placed on the area in one pass. At most one of `mass_per_hole` and `rate` is given.",
        examples=[{"value": "8", "unit": "cubic_foot_per_thousand_square_feet"}],
    )  # fmt: skip
    allowance_percent: Percent = Field(
        default=Decimal(0), validate_default=True,
        description="Extra sand for what is spilled and swept, in percent of the sand placed.",
    )  # fmt: skip

    @field_validator("rate")
    @classmethod
    def _one_way_of_saying_how_much(cls, rate: Quantity | None, info: ValidationInfo) -> Quantity | None:
        if rate is not None and info.data.get("mass_per_hole") is not None:
            raise PydanticCustomError(
                "mass_or_rate", "no rate beside a mass_per_hole: one of the two, or neither"
            )
        return rate


class SandInjection(SpacedHoles):
    """Parameters of a sand injection."""

    hole_diameter: ShortLength = Field(
        description="Diameter of the hole at the surface.", examples=[{"value": "0.5", "unit": "inch"}]
    )
    sand: InjectedSand = Field(description="The sand and how much of it is placed.")

    _stay_apart = field_validator("hole_diameter")(within_spacing)


def _take_off(parameters: SandInjection, area_m2: float) -> tuple[Measure, ...]:
    sand, density = parameters.sand, to_si(parameters.sand.bulk_density, "density")
    injected = sand_injection(
        area_m2=area_m2,
        hole_diameter_m=to_si(parameters.hole_diameter, "length"),
        spacing_along_m=to_si(parameters.spacing_along, "length"),
        spacing_across_m=across(parameters),
        depth_m=to_si(parameters.depth, "length"),
        passes=parameters.passes,
        mass_per_hole_kg=None if sand.mass_per_hole is None else to_si(sand.mass_per_hole, "mass"),
        bulk_density_kg_per_m3=density,
        rate_m3_per_m2=None if sand.rate is None else to_si(sand.rate, "depth_rate"),
    )
    bought = supply(
        volume_m3=injected.placed_volume_m3,
        bulk_density_kg_per_m3=density,
        allowance_share=share_of(sand.allowance_percent),
        volume_name="placed volume",
    )
    hours = steps_of_time(parameters, area_m2, parameters.passes)
    return measures_of(MEASURES, hours | injected.steps | bought.steps)


MEASURES = (
    AREA,
    AREA_WORKED,
    HOLES,
    *COVERAGE,
    MeasureNote("hole_volume", "cubic_meter", "Room of the holes as straight holes, passes added up."),
    MeasureNote("placed_volume", "cubic_meter", "Sand placed, passes added up."),
    MeasureNote(
        "hole_filling", "ratio", "Sand of a hole over the room of a straight hole; above 1 where a jet opens a cavity.",
        shared_by_area=False,
    ),
    SAND_VOLUME,
    SAND_MASS,
    MACHINE_TIME,
    CREW_TIME,
)  # fmt: skip

METHOD = Method(
    name="sand_injection",
    title="Sand injection by water or air",
    summary="Holes by pattern, share of surface, sand placed by the hole, by the area or by filling, and hours.",
    parameters=SandInjection,
    take_off=_take_off,
    scales_with_area=True,
    measures=MEASURES,
    sources=("Geometry of circles on a grid", "Probability of independent passes"),
    example=Example(
        parameters={
            "hole_diameter": {"value": "0.5", "unit": "inch"},
            "spacing_along": {"value": "3", "unit": "inch"},
            "spacing_across": {"value": "3", "unit": "inch"},
            "depth": {"value": "5", "unit": "inch"},
            "passes": 1,
            "sand": {
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
                "rate": {"value": "10", "unit": "cubic_foot_per_thousand_square_feet"},
                "allowance_percent": "10",
            },
            "production_rate": {"value": "5000", "unit": "square_foot_per_hour"},
            "crew_size": 4,
        },
        area={"value": "1000", "unit": "square_foot"},
        expected={
            "area": 92.90304,
            "area_worked": 92.90304,
            "holes": 16000,
            "share_per_pass": 0.0218166156,
            "share_sum_of_passes": 0.0218166156,
            "share_touched_once": 0.0218166156,
            "area_sum_of_passes": 2.02682992,
            "area_touched_once": 2.02682992,
            "hole_volume": 0.257407399,
            "placed_volume": 0.283168466,
            "hole_filling": 1.10007897,
            "sand_volume": 0.311485313,
            "sand_mass": 498.951607,
            "machine_time": 0.2,
            "crew_time": 0.8,
        },
        source="Geometry: 16 holes to the square foot, 2.18 % of the surface (D. Minner, Iowa State University, 2004)",
    ),
    cautions=(BURIED_UTILITIES, GUARDS, SILICA_DUST, SLOPES, DEFER),
)
