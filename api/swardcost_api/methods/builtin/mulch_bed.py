"""Mulch beds: bark, chips, straw or pine straw by depth, in bulk, bags or bales."""

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Quantity

from swardcost_api.engine.quantities.beds import bed_cover
from swardcost_api.engine.quantities.materials import packs_of
from swardcost_api.engine.quantities.working import fits
from swardcost_api.methods.area_work import AREA, CREW_TIME, MACHINE_TIME, AreaWork, steps_of_time
from swardcost_api.methods.cautions import DEFER, SLOPES, TRAFFIC
from swardcost_api.methods.feature_work import Material, steps_of_material
from swardcost_api.methods.frame import (
    BoxVolume,
    Coverage,
    Example,
    Measure,
    MeasureNote,
    Method,
    ShortLength,
    ShortLengthOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class MulchBed(Material, AreaWork):
    """Parameters of a cover over beds."""

    depth: ShortLength = Field(
        description="Depth after spreading.", examples=[{"value": "3", "unit": "inch"}]
    )
    old_depth: ShortLengthOrZero | None = Field(
        default=None, description="Depth of old cover that stays.", examples=[{"value": "1", "unit": "inch"}]
    )
    bag_volume: BoxVolume | None = Field(
        default=None,
        description="Volume of one bag; gives whole bags.",
        examples=[{"value": "3", "unit": "cubic_foot"}],
    )
    bale_coverage: Coverage | None = Field(
        default=None, description="Area that one bale covers at this depth, as the supplier states; gives whole bales.",
        examples=[{"value": "40", "unit": "square_foot"}],
    )  # fmt: skip

    @field_validator("old_depth")
    @classmethod
    def _there_is_room_for_new(cls, old: Quantity | None, info: ValidationInfo) -> Quantity | None:
        depth = info.data.get("depth")
        if old is not None and depth is not None and fits(to_si(depth, "length"), to_si(old, "length")):
            raise PydanticCustomError(
                "old_depth", "less than the depth of the cover, {value} {unit}",
                {"value": str(depth.value), "unit": depth.unit},
            )  # fmt: skip
        return old


def _take_off(parameters: MulchBed, area_m2: float) -> tuple[Measure, ...]:
    old, bag, bale = parameters.old_depth, parameters.bag_volume, parameters.bale_coverage
    cover = bed_cover(
        area_m2=area_m2,
        depth_m=to_si(parameters.depth, "length"),
        old_depth_m=0.0 if old is None else to_si(old, "length"),
    )
    steps = steps_of_time(parameters, area_m2, 1) | cover.steps
    steps |= steps_of_material("mulch", parameters, cover.volume_m3, "mulch volume")
    if bag is not None:
        steps |= packs_of(
            packs="bags", amount=steps["mulch to bring in"].value, amount_name="mulch to bring in",
            unit="cubic_meter", content=to_si(bag, "volume"), counted="bag",
        ).steps  # fmt: skip
    if bale is not None:
        steps |= packs_of(
            packs="bales",
            amount=area_m2,
            amount_name="area",
            unit="square_meter",
            content=to_si(bale, "area"),
        ).steps
    return measures_of(MEASURES, steps)


MEASURES = (
    AREA,
    MeasureNote("mulch_volume", "cubic_meter", "Cover in place, without what lies there."),
    MeasureNote("mulch_to_bring_in", "cubic_meter", "Cover to bring in, with allowance."),
    MeasureNote("mulch_mass", "kilogram", "Mass of that; given with its bulk density."),
    MeasureNote("bags", "bag", "Whole bags; given with `bag_volume`."),
    MeasureNote("bales", "each", "Whole bales; given with `bale_coverage`."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="mulch_bed",
    title="Mulch bed",
    summary="Bark, chips, straw or pine straw over the areas by depth: volume, bags or bales, and hours of spreading.",
    parameters=MulchBed,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of a layer",
        "University of Maine Cooperative Extension, table of mulch by depth; 1 cubic yard is nine bags of 3 cubic feet",
    ),
    example=Example(
        parameters={
            "depth": {"value": "3", "unit": "inch"},
            "allowance_percent": "10",
            "bulk_density": {"value": "25", "unit": "pound_per_cubic_foot"},
            "bag_volume": {"value": "3", "unit": "cubic_foot"},
            "bale_coverage": {"value": "40", "unit": "square_foot"},
            "production_rate": {"value": "270", "unit": "square_foot_per_hour"},
            "crew_size": 2,
        },
        area={"value": "1080", "unit": "square_foot"},
        expected={
            "area": 100.3352832,
            "mulch_volume": 7.64554858,
            "mulch_to_bring_in": 8.410103438,
            "mulch_mass": 3367.923347,
            "bags": 99,
            "bales": 27,
            "machine_time": 4.0,
            "crew_time": 8.0,
        },
        source="Geometry: a cubic yard covers 108 square feet at 3 in, so 1,080 square feet take 10",
    ),
    cautions=(SLOPES, TRAFFIC, DEFER),
)
