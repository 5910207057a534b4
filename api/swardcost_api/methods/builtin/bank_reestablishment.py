"""Bank re-establishment: excavation, stone, fabric, toe rolls, live stakes, and sod or seed on the slope."""

import math
from dataclasses import replace
from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Positive, Quantity

from swardcost_api.engine.quantities.banks import Bank, bank_section, lapped_fabric, live_stakes
from swardcost_api.engine.quantities.materials import packs_of
from swardcost_api.engine.quantities.working import Steps, fits
from swardcost_api.methods.area_work import CREW_TIME, MACHINE_TIME
from swardcost_api.methods.cautions import (
    BESIDE_WATER,
    DEFER,
    SLOPES,
    STRUCTURES,
    TRENCH_WALLS,
    WATER_PERMITS,
)
from swardcost_api.methods.feature_work import (
    LOOSE_SPOIL,
    SOD_TO_ORDER,
    SPOIL_LOADS,
    LineWork,
    Material,
    Spoil,
    steps_of_goods,
    steps_of_line_time,
    steps_of_material,
    steps_of_spoil,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    ShortLengthOrZero,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class BankStone(Material):
    """Stone or riprap from the toe up."""

    slope_length: ShortLength = Field(
        description="How far up the slope it reaches, along the slope.",
        examples=[{"value": "4", "unit": "foot"}],
    )
    thickness: ShortLength = Field(
        description="Thickness, square to the slope.", examples=[{"value": "12", "unit": "inch"}]
    )


class Geotextile(Parameters):
    """Fabric in whole strips that run down the slope."""

    placement: Literal["under_stone", "whole_slope"] | None = Field(
        default=None,
        description="Where it is laid; left out, under the stone where there is stone, else over the whole slope.",
        examples=["under_stone"],
    )
    roll_width: ShortLength = Field(
        description="Width of the roll.", examples=[{"value": "12.5", "unit": "foot"}]
    )
    lap: ShortLengthOrZero = Field(
        description="Lap of neighbouring strips; at least 1 ft is usual, more under water.",
        examples=[{"value": "1", "unit": "foot"}],
    )
    toe_anchor: ShortLength | None = Field(
        default=None, description="Length of each strip in the anchor trench at the toe, which is dug and put back.",
        examples=[{"value": "2", "unit": "foot"}],
    )  # fmt: skip
    top_anchor: ShortLength | None = Field(
        default=None, description="Length of each strip in the anchor trench at the top of what it covers.",
        examples=[{"value": "2", "unit": "foot"}],
    )  # fmt: skip

    @field_validator("lap")
    @classmethod
    def _strips_cover_something(cls, lap: Quantity, info: ValidationInfo) -> Quantity:
        roll = info.data.get("roll_width")
        if roll is not None and fits(to_si(roll, "length"), to_si(lap, "length")):
            raise PydanticCustomError(
                "lap", "less than the width of the roll, {value} {unit}",
                {"value": str(roll.value), "unit": roll.unit},
            )  # fmt: skip
        return lap


class BankReestablishment(LineWork):
    """Parameters of a bank of one cross-section."""

    length: Length = Field(
        description="Length of the bank along the water.", examples=[{"value": "200", "unit": "foot"}]
    )
    height: ShortLength = Field(
        description="Height of the bank from toe to top.", examples=[{"value": "6", "unit": "foot"}]
    )
    run_per_rise: Positive = Field(
        description="Slope as run to one of rise: 3 for a slope of 3 to 1.", examples=["3"]
    )
    cut_depth: ShortLength | None = Field(
        default=None, description="Mean depth dug off the slope.", examples=[{"value": "6", "unit": "inch"}]
    )
    spoil: Spoil | None = Field(default=None, description="What is dug, hauled off; needs a cut depth.")
    stone: BankStone | None = Field(default=None, description="Stone or riprap.")
    geotextile: Geotextile | None = Field(
        default=None, description="Fabric under the stone or over the whole slope."
    )
    toe_roll_length: ShortLength | None = Field(
        default=None, description="Length of one coir roll or log at the toe.",
        examples=[{"value": "10", "unit": "foot"}],
    )  # fmt: skip
    stake_spacing: ShortLength | None = Field(
        default=None, description="Spacing of live stakes on the slope above the stone; 2 to 3 ft is usual.",
        examples=[{"value": "2.5", "unit": "foot"}],
    )  # fmt: skip
    sod_waste_percent: Percent | None = Field(
        default=None, description="Sod on the slope above the stone, waste in percent; left out where it is seeded.",
        examples=["5"],
    )  # fmt: skip

    @field_validator("spoil")
    @classmethod
    def _something_is_dug(cls, spoil: Spoil | None, info: ValidationInfo) -> Spoil | None:
        if spoil is not None and "cut_depth" in info.data and info.data["cut_depth"] is None:
            raise PydanticCustomError(
                "no_cut_depth", "a cut_depth beside it, since what is dug is what is hauled"
            )
        return spoil

    @field_validator("stone")
    @classmethod
    def _stone_lies_on_the_slope(cls, stone: BankStone | None, info: ValidationInfo) -> BankStone | None:
        height, run = info.data.get("height"), info.data.get("run_per_rise")
        if stone is None or height is None or run is None:
            return stone
        slope = to_si(height, "length") * math.hypot(1, float(run))
        if not fits(to_si(stone.slope_length, "length"), slope):
            raise PydanticCustomError(
                "stone_beyond_slope",
                "stone no longer than the slope, {slope} meter",
                {"slope": f"{slope:.3f}"},
            )
        return stone

    @field_validator("geotextile")
    @classmethod
    def _there_is_stone_to_lie_under(
        cls, fabric: Geotextile | None, info: ValidationInfo
    ) -> Geotextile | None:
        bare = "stone" in info.data and info.data["stone"] is None
        if fabric is not None and fabric.placement == "under_stone" and bare:
            raise PydanticCustomError("no_stone", "stone beside it, since the fabric is laid under the stone")
        return fabric


def _take_off(parameters: BankReestablishment, area_m2: float) -> tuple[Measure, ...]:
    cut, stone = parameters.cut_depth, parameters.stone
    length = to_si(parameters.length, "length")
    bank = bank_section(
        length_m=length,
        height_m=to_si(parameters.height, "length"),
        run_per_rise=float(parameters.run_per_rise),
        cut_depth_m=None if cut is None else to_si(cut, "length"),
        stone_slope_length_m=None if stone is None else to_si(stone.slope_length, "length"),
        stone_thickness_m=None if stone is None else to_si(stone.thickness, "length"),
    )
    steps = dict(bank.steps)
    if bank.excavation_m3 is not None:
        steps |= steps_of_spoil(parameters.spoil, bank.excavation_m3, "excavation volume")
    if stone is not None and bank.stone_volume_m3 is not None:
        steps |= steps_of_material("stone", stone, bank.stone_volume_m3, "stone volume")
    steps |= _fabric_and_toe(parameters, bank, length)
    if bank.planted_area_m2 > 0:
        steps |= _planting(parameters, bank.planted_area_m2)
    return measures_of(MEASURES, steps | steps_of_line_time(parameters, length, "bank length"))


def _fabric_and_toe(parameters: BankReestablishment, bank: Bank, length_m: float) -> Steps:
    steps: Steps = {}
    fabric, roll = parameters.geotextile, parameters.toe_roll_length
    if fabric is not None:
        stone = None if fabric.placement == "whole_slope" else parameters.stone
        toe, top = fabric.toe_anchor, fabric.top_anchor
        steps |= lapped_fabric(
            length_m=length_m,
            slope_length_m=bank.slope_length_m if stone is None else to_si(stone.slope_length, "length"),
            slope_name="slope length" if stone is None else "stone slope length",
            roll_width_m=to_si(fabric.roll_width, "length"),
            lap_m=to_si(fabric.lap, "length"),
            toe_anchor_m=None if toe is None else to_si(toe, "length"),
            top_anchor_m=None if top is None else to_si(top, "length"),
        ).steps
    if roll is not None:
        steps |= packs_of(
            packs="toe rolls", amount=length_m, amount_name="bank length", unit="meter",
            content=to_si(roll, "length"),
        ).steps  # fmt: skip
    return steps


def _planting(parameters: BankReestablishment, planted_m2: float) -> Steps:
    steps: Steps = {}
    if parameters.stake_spacing is not None:
        steps |= live_stakes(area_m2=planted_m2, spacing_m=to_si(parameters.stake_spacing, "length")).steps
    if parameters.sod_waste_percent is not None:
        steps |= steps_of_goods(
            "sod", planted_m2, "planted area", "square_meter", parameters.sod_waste_percent
        )
    return steps


MEASURES = (
    MeasureNote("slope_length", "meter", "Length of the slope from toe to top.", shared_by_area=False),
    MeasureNote("slope_area", "square_meter", "Area of the slope."),
    MeasureNote("excavation_volume", "cubic_meter", "Ground dug off, in place; given with `cut_depth`."),
    replace(LOOSE_SPOIL, meaning="The ground dug off, loose; given with `spoil`."),
    SPOIL_LOADS,
    MeasureNote("stone_area", "square_meter", "Slope under stone; given with `stone`."),
    MeasureNote("stone_volume", "cubic_meter", "Stone in place."),
    MeasureNote("stone_to_bring_in", "cubic_meter", "Stone to bring in, with allowance."),
    MeasureNote("stone_mass", "kilogram", "Mass of that stone; given with its bulk density."),
    MeasureNote("fabric_strips", "each", "Whole strips of fabric down the slope; given with `geotextile`."),
    MeasureNote("fabric_area", "square_meter", "Those strips of the roll's width, with laps and anchors."),
    MeasureNote("toe_rolls", "each", "Whole coir rolls or logs; given with `toe_roll_length`."),
    MeasureNote("planted_area", "square_meter", "Slope above the stone, for seed, sod or stakes."),
    MeasureNote("live_stakes", "each", "Whole live stakes; given with `stake_spacing`."),
    SOD_TO_ORDER,
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="bank_reestablishment",
    title="Bank re-establishment",
    summary=(
        "Excavation, stone, fabric, toe rolls, live stakes and planted slope of a bank by its length and cross-section "
        "as stated; and hours along it."
    ),
    parameters=BankReestablishment,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Geometry of rise and run",
        "USDA NRCS, Engineering Field Handbook, chapter 16 (stone, coir rolls and live stakes on banks; from memory)",
    ),
    example=Example(
        parameters={
            "length": {"value": "200", "unit": "foot"},
            "height": {"value": "6", "unit": "foot"},
            "run_per_rise": "0.75",
            "cut_depth": {"value": "6", "unit": "inch"},
            "spoil": {"swell_percent": "25", "box_volume": {"value": "10", "unit": "cubic_yard"}},
            "stone": {
                "slope_length": {"value": "4", "unit": "foot"},
                "thickness": {"value": "12", "unit": "inch"},
                "allowance_percent": "10",
                "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
            },
            "geotextile": {
                "roll_width": {"value": "12.5", "unit": "foot"},
                "lap": {"value": "2.5", "unit": "foot"},
                "toe_anchor": {"value": "6", "unit": "inch"},
                "top_anchor": {"value": "6", "unit": "inch"},
            },
            "toe_roll_length": {"value": "10", "unit": "foot"},
            "stake_spacing": {"value": "2", "unit": "foot"},
            "sod_waste_percent": "5",
            "production_rate": {"value": "10", "unit": "foot_per_hour"},
            "crew_size": 3,
        },
        area=None,
        expected={
            "slope_length": 2.286,
            "slope_area": 139.35456,
            "excavation_volume": 21.23763494,
            "loose_spoil": 26.54704368,
            "spoil_loads": 4,
            "stone_area": 74.322432,
            "stone_volume": 22.65347727,
            "stone_to_bring_in": 24.918825,
            "stone_mass": 39916.12856,
            "fabric_strips": 20,
            "fabric_area": 116.1288,
            "toe_rolls": 20,
            "planted_area": 65.032128,
            "live_stakes": 175,
            "sod_to_order": 68.2837344,
            "machine_time": 20.0,
            "crew_time": 60.0,
        },
        source="Geometry: a rise of 6 ft and a run of 4.5 ft make a slope of 7.5 ft",
    ),
    needs_areas=False,
    cautions=(BESIDE_WATER, WATER_PERMITS, SLOPES, TRENCH_WALLS, STRUCTURES, DEFER),
)
