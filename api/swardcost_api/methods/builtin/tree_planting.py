"""Tree planting: trees by count or spacing, pits, amendment, stakes, mulch rings and water."""

from dataclasses import replace
from decimal import Decimal
from typing import Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.paces import time_by_piece
from swardcost_api.engine.quantities.planting import mulch_rings, stakes_and_water, tree_pits, trees_on_grid
from swardcost_api.engine.quantities.working import Steps, fits
from swardcost_api.methods.area_work import share_of
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, OVERHEAD, SLOPES
from swardcost_api.methods.feature_work import (
    LOOSE_SPOIL,
    SPOIL_LOADS,
    Spoil,
    area_of,
    stated,
    steps_of_spoil,
)  # fmt: skip
from swardcost_api.methods.frame import (
    BoxVolume,
    Duration,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    Surface,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class TreeGrid(Parameters):
    """Trees at one spacing over an area."""

    spacing: ShortLength = Field(
        description="Distance of neighbouring trees.", examples=[{"value": "20", "unit": "foot"}]
    )
    pattern: Literal["square", "triangular"] = Field(
        default="square",
        description="Square, or triangular with every neighbour at the spacing.",
        examples=["square"],
    )
    area: Surface | None = Field(
        default=None, description="Area that is planted; left out, the sizes of the scope item's areas.",
        examples=[{"value": "0.5", "unit": "acre"}],
    )  # fmt: skip


class TreePit(Parameters):
    """Pit and root ball of one tree."""

    ball_diameter: ShortLength = Field(
        description="Diameter of the root ball.", examples=[{"value": "24", "unit": "inch"}]
    )
    ball_depth: ShortLength = Field(
        description="Depth of the root ball.", examples=[{"value": "18", "unit": "inch"}]
    )
    diameter: ShortLength = Field(
        description="Diameter of the pit; two to three times the ball is usual.",
        examples=[{"value": "60", "unit": "inch"}],
    )
    depth: ShortLength = Field(
        description="Depth of the pit; that of the ball is usual.", examples=[{"value": "18", "unit": "inch"}]
    )
    amendment_percent: Percent = Field(
        default=Decimal(0), validate_default=True, le=Decimal(100),
        description="Part of the backfill that is brought in, in percent.", examples=["25"],
    )  # fmt: skip

    @field_validator("diameter", "depth")
    @classmethod
    def _the_ball_fits(cls, pit: Quantity, info: ValidationInfo) -> Quantity:
        ball = info.data.get(f"ball_{info.field_name}")
        if ball is not None and not fits(to_si(ball, "length"), to_si(pit, "length")):
            raise PydanticCustomError(
                "pit_below_ball", "at least the root ball's, {value} {unit}",
                {"value": str(ball.value), "unit": ball.unit},
            )  # fmt: skip
        return pit


class MulchRing(Parameters):
    """Ring of mulch around each tree."""

    diameter: ShortLength = Field(
        description="Diameter of the ring.", examples=[{"value": "6", "unit": "foot"}]
    )
    depth: ShortLength = Field(description="Depth of the mulch.", examples=[{"value": "3", "unit": "inch"}])


class TreeWater(Parameters):
    """Water for each tree."""

    per_tree: BoxVolume = Field(
        description="Water for one tree and watering.", examples=[{"value": "15", "unit": "us_gallon"}]
    )
    waterings: int = Field(
        default=1, strict=True, ge=1, le=1000, description="How often it is given.", examples=[12]
    )


class TreePlanting(Parameters):
    """Parameters of tree planting, of which exactly one of `trees` and `grid` is given."""

    trees: int | None = Field(
        default=None, strict=True, ge=1, le=1_000_000,
        description="Number of trees. Exactly one of `trees` and `grid` is given.", examples=[40],
    )  # fmt: skip
    grid: TreeGrid | None = Field(
        default=None, description="Spacing over an area. Exactly one of `trees` and `grid` is given."
    )
    pit: TreePit | None = Field(default=None, description="Pit of each tree.")
    spoil: Spoil | None = Field(
        default=None, description="What is left over from the pits, hauled off; needs `pit`."
    )
    stakes_per_tree: int | None = Field(
        default=None, strict=True, ge=1, le=10, description="Stakes to each tree.", examples=[2]
    )
    mulch_ring: MulchRing | None = Field(default=None, description="Ring of mulch around each tree.")
    water: TreeWater | None = Field(default=None, description="Water for each tree.")
    time_per_tree: Duration | None = Field(
        default=None, description="Time to plant one tree with the whole crew; gives the hours.",
        examples=[{"value": "45", "unit": "minute"}],
    )  # fmt: skip
    crew_size: int = Field(
        default=1, strict=True, ge=1, le=500, description="People planting together.", examples=[3]
    )

    @field_validator("spoil")
    @classmethod
    def _something_is_dug(cls, spoil: Spoil | None, info: ValidationInfo) -> Spoil | None:
        if spoil is not None and "pit" in info.data and info.data["pit"] is None:
            raise PydanticCustomError(
                "no_pit", "a pit beside it, since what is left over comes from the pits"
            )
        return spoil

    @model_validator(mode="after")
    def _one_way_of_saying_how_many(self) -> Self:
        if (self.trees is None) == (self.grid is None):
            raise PydanticCustomError("trees_or_grid", "exactly one of trees and grid")
        return self


def _trees(parameters: TreePlanting, area_m2: float) -> Steps:
    if parameters.trees is not None:
        return stated("trees", parameters.trees, "tree")
    assert parameters.grid is not None
    area = area_of(parameters.grid.area, area_m2)
    if not area:
        return {}
    return trees_on_grid(
        area_m2=area["area"].value,
        spacing_m=to_si(parameters.grid.spacing, "length"),
        pattern=parameters.grid.pattern,
    ).steps


def _pits(parameters: TreePlanting, pit: TreePit, trees: int) -> Steps:
    pits = tree_pits(
        trees=trees,
        pit_diameter_m=to_si(pit.diameter, "length"),
        pit_depth_m=to_si(pit.depth, "length"),
        ball_diameter_m=to_si(pit.ball_diameter, "length"),
        ball_depth_m=to_si(pit.ball_depth, "length"),
        amendment_share=share_of(pit.amendment_percent),
    )
    return pits.steps | steps_of_spoil(parameters.spoil, pits.spoil_volume_m3, "pit spoil")


def _take_off(parameters: TreePlanting, area_m2: float) -> tuple[Measure, ...]:
    steps = _trees(parameters, area_m2)
    if not steps:
        return ()
    trees = round(steps["trees"].value)
    ring, water = parameters.mulch_ring, parameters.water
    if parameters.pit is not None:
        steps |= _pits(parameters, parameters.pit, trees)
    if ring is not None:
        steps |= mulch_rings(
            trees=trees, ring_diameter_m=to_si(ring.diameter, "length"), depth_m=to_si(ring.depth, "length")
        ).steps
    steps |= stakes_and_water(
        trees=trees,
        stakes_per_tree=parameters.stakes_per_tree,
        water_per_tree_m3=None if water is None else to_si(water.per_tree, "volume"),
        waterings=1 if water is None else water.waterings,
    ).steps
    if parameters.time_per_tree is not None:
        steps |= time_by_piece(
            pieces=trees, pieces_name="trees", unit="tree", time_each_h=to_si(parameters.time_per_tree, "time"),
            crew_size=parameters.crew_size, hours_name="crew time",
        ).steps  # fmt: skip
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("trees", "tree", "Trees: as stated, or the whole trees that the spacing takes."),
    MeasureNote("pit_volume", "cubic_meter", "Pits, dug; given with `pit`."),
    MeasureNote("backfill_volume", "cubic_meter", "Backfill around the root balls."),
    MeasureNote(
        "amendment_volume", "cubic_meter", "What is brought in and mixed into the backfill; or zero."
    ),
    MeasureNote(
        "pit_spoil", "cubic_meter", "What root balls and amendment leave over of the pits, in place."
    ),
    replace(LOOSE_SPOIL, meaning="What is left over, loose; given with `spoil`."),
    SPOIL_LOADS,
    MeasureNote("stakes", "each", "Stakes; given with `stakes_per_tree`."),
    MeasureNote("ring_volume", "cubic_meter", "Mulch in rings; given with `mulch_ring`."),
    MeasureNote("water_volume", "cubic_meter", "Water of all waterings; given with `water`."),
    MeasureNote("crew_time", "hour", "Hours of all people together; given with `time_per_tree`."),
)

METHOD = Method(
    name="tree_planting",
    title="Tree planting",
    summary=(
        "Trees by count, or by spacing over an area that is stated or the size of the areas: pits, amended backfill, "
        "stakes, mulch rings, water, and hours."
    ),
    parameters=TreePlanting,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "K. D. Coder, Number of trees per acre by spacing distance, University of Georgia",
        "Geometry of the cylinder",
    ),
    example=Example(
        parameters={
            "grid": {
                "spacing": {"value": "9", "unit": "foot"},
                "pattern": "square",
                "area": {"value": "1", "unit": "acre"},
            },
            "pit": {
                "ball_diameter": {"value": "24", "unit": "inch"},
                "ball_depth": {"value": "18", "unit": "inch"},
                "diameter": {"value": "48", "unit": "inch"},
                "depth": {"value": "18", "unit": "inch"},
                "amendment_percent": "25",
            },
            "spoil": {"swell_percent": "25", "box_volume": {"value": "10", "unit": "cubic_yard"}},
            "stakes_per_tree": 2,
            "mulch_ring": {
                "diameter": {"value": "6", "unit": "foot"},
                "depth": {"value": "3", "unit": "inch"},
            },
            "water": {"per_tree": {"value": "10", "unit": "us_gallon"}, "waterings": 3},
            "time_per_tree": {"value": "30", "unit": "minute"},
            "crew_size": 2,
        },
        area=None,
        expected={
            "trees": 538,
            "pit_volume": 287.162871,
            "backfill_volume": 215.3721533,
            "amendment_volume": 53.84303832,
            "pit_spoil": 125.6337561,
            "loose_spoil": 157.0421951,
            "spoil_loads": 21,
            "stakes": 1076,
            "ring_volume": 107.6860766,
            "water_volume": 61.09654619,
            "crew_time": 538.0,
        },
        source="K. D. Coder, University of Georgia: 9 x 9 ft takes about 538 trees to the acre",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, OVERHEAD, GUARDS, SLOPES, DEFER),
)
