"""Cut and fill under a grid of levelled points: borrow pits, tees, bunker floors."""

from decimal import Decimal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Amount, UnitName

from swardcost_api.engine.quantities.earthwork import grid_volume
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, SLOPES
from swardcost_api.methods.frame import (
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.units import UNITS, to_si, unit_named


class GridCut(Parameters):
    """Parameters of a grid."""

    cell_length: ShortLength = Field(
        description="Side of a cell along the rows of points.", examples=[{"value": "25", "unit": "foot"}]
    )
    cell_width: ShortLength = Field(
        description="Side of a cell from row to row.", examples=[{"value": "25", "unit": "foot"}]
    )
    depth_unit: UnitName = Field(description="Unit of all the depths: a length.", examples=["foot"])
    depths: list[list[Amount]] = Field(
        min_length=2, max_length=25,
        description=(
            "Rows of points, each the depth from the ground down to the finished level; negative where it is to be "
            "filled. At most 25 rows of 25 points."
        ),
    )  # fmt: skip

    @field_validator("depth_unit")
    @classmethod
    def _depths_are_lengths(cls, name: str) -> str:
        if unit_named(name).dimension != "length":
            raise PydanticCustomError("wrong_dimension", "the name of a unit of length")
        return name

    @field_validator("depths")
    @classmethod
    def _rows_make_a_grid(cls, depths: list[list[Decimal]]) -> list[list[Decimal]]:
        if not 2 <= len(depths[0]) <= 25 or len({len(row) for row in depths}) > 1:
            raise PydanticCustomError("no_grid", "rows of equally many points, 2 to 25")
        if not any(any(row) for row in depths):
            raise PydanticCustomError("no_earth", "at least one depth other than zero")
        return depths


def _take_off(parameters: GridCut, area_m2: float) -> tuple[Measure, ...]:
    factor = UNITS[parameters.depth_unit].si_factor
    grid = grid_volume(
        cell_length_m=to_si(parameters.cell_length, "length"),
        cell_width_m=to_si(parameters.cell_width, "length"),
        corner_cuts_m=[[float(depth) * factor for depth in row] for row in parameters.depths],
    )
    return measures_of(MEASURES, grid.steps)


MEASURES = (
    MeasureNote("cut_volume", "cubic_meter", "Volume to dig, in place."),
    MeasureNote("fill_volume", "cubic_meter", "Volume to fill, compacted."),
)

METHOD = Method(
    name="grid_cut",
    title="Cut and fill on a grid",
    summary="Volumes of cut and fill from depths at the corners of a grid, four corners to a cell.",
    parameters=GridCut,
    take_off=_take_off,
    measures=MEASURES,
    sources=(
        "Surveying texts (borrow pit or grid method)",
        "US Soil Conservation Service, National Engineering Handbook, section 15, Land Leveling (from memory)",
    ),
    example=Example(
        parameters={
            "cell_length": {"value": "50", "unit": "foot"},
            "cell_width": {"value": "50", "unit": "foot"},
            "depth_unit": "foot",
            "depths": [["1.4", "1.4"], ["1.2", "1.3"]],
        },
        area=None,
        expected={"cut_volume": 93.7995543, "fill_volume": 0.0},
        source="Construction estimating textbook, example 9-8: 3,313 cubic feet, exact 3,312.5",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, SLOPES, DEFER),
)
