"""Cut against fill: what is left to haul away or must be brought in, in place, loose, by weight and in loads."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.soil import earth_balance
from swardcost_api.methods.area_work import share_of
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, DUMPING, SLOPES, TRAFFIC
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    VolumeOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.methods.loose_material import SoilStates
from swardcost_api.units import to_si


class CutAndFill(Parameters):
    """Parameters of a balance, of which at most one of `cut_volume` and `fill_volume` is zero."""

    cut_volume: VolumeOrZero = Field(
        description="Volume to dig, in place.", examples=[{"value": "500", "unit": "cubic_yard"}]
    )
    fill_volume: VolumeOrZero = Field(
        description="Volume to fill, compacted as it will lie.",
        examples=[{"value": "300", "unit": "cubic_yard"}],
    )
    factors: SoilStates = Field(description="How the soil swells and packs.")
    usable_percent: Annotated[Percent, Field(le=Decimal(100))] = Field(
        default=Decimal(100), validate_default=True,
        description="Part of the cut that is good enough to fill with, in percent.", examples=["80"],
    )  # fmt: skip

    @field_validator("fill_volume")
    @classmethod
    def _some_earth_moves(cls, fill: Quantity, info: ValidationInfo) -> Quantity:
        cut = info.data.get("cut_volume")
        if cut is not None and not cut.value and not fill.value:
            raise PydanticCustomError("no_earth", "more than zero, where the cut_volume is zero")
        return fill


def _take_off(parameters: CutAndFill, area_m2: float) -> tuple[Measure, ...]:
    factors = parameters.factors.factors()
    balance = earth_balance(
        cut_volume_m3=to_si(parameters.cut_volume, "volume"),
        fill_volume_m3=to_si(parameters.fill_volume, "volume"),
        loose_factor=factors.loose,
        compacted_factor=factors.compacted,
        usable_share=share_of(parameters.usable_percent),
        source=factors.source,
    )
    return measures_of(MEASURES, balance.steps)


MEASURES = (
    MeasureNote("fill_in_place", "cubic_meter", "What the fill takes, as volume in place of the cut."),
    MeasureNote("usable_cut", "cubic_meter", "Part of the cut that is fit to fill with, in place."),
    MeasureNote("surplus_volume", "cubic_meter", "Usable cut left over, in place; else zero."),
    MeasureNote("shortfall_volume", "cubic_meter", "Fill still wanted, as volume in place; else zero."),
    MeasureNote("spoil_volume", "cubic_meter", "To haul away, in place: the surplus and the unusable cut."),
    MeasureNote("spoil_loose_volume", "cubic_meter", "The same, loose in the truck."),
    MeasureNote("borrow_loose_volume", "cubic_meter", "Fill to bring in, loose in the truck."),
)

METHOD = Method(
    name="cut_and_fill",
    title="Cut and fill",
    summary="Balance of a cut in place against a compacted fill: surplus or shortfall, spoil and borrow.",
    parameters=CutAndFill,
    take_off=_take_off,
    measures=MEASURES,
    sources=("US Army FM 5-434, Earthmoving Operations (2000), chapter 1 and table 1-1 (typical factors)",),
    example=Example(
        parameters={
            "cut_volume": {"value": "1000", "unit": "cubic_meter"},
            "fill_volume": {"value": "630", "unit": "cubic_meter"},
            "factors": {"soil": "common_earth"},
            "usable_percent": "80",
        },
        area=None,
        expected={
            "fill_in_place": 700.0,
            "usable_cut": 800.0,
            "surplus_volume": 100.0,
            "shortfall_volume": 0.0,
            "spoil_volume": 300.0,
            "spoil_loose_volume": 375.0,
            "borrow_loose_volume": 0.0,
        },
        source="US Army FM 5-434, table 1-1: common earth 1.25 loose and 0.90 compacted",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SLOPES, TRAFFIC, DUMPING, DEFER),
)
