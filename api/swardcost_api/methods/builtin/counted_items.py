"""Counted items: pieces of one kind, and the craft hours they take."""

from pydantic import Field

from swardcost_api.engine.quantities.paces import time_by_piece
from swardcost_api.methods.cautions import DEFER
from swardcost_api.methods.feature_work import stated
from swardcost_api.methods.frame import (
    Duration,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class CountedItems(Parameters):
    """Parameters of pieces that are counted."""

    count: int = Field(strict=True, ge=1, le=10_000_000, description="How many.", examples=[12])
    time_each: Duration | None = Field(
        default=None, description="Time for one with the whole crew; gives the craft hours.",
        examples=[{"value": "90", "unit": "minute"}],
    )  # fmt: skip
    crew_size: int = Field(
        default=1, strict=True, ge=1, le=500, description="People on one piece together.", examples=[2]
    )


def _take_off(parameters: CountedItems, area_m2: float) -> tuple[Measure, ...]:
    steps = stated("items", parameters.count, "each")
    if parameters.time_each is not None:
        steps |= time_by_piece(
            pieces=parameters.count, pieces_name="items", unit="each", crew_size=parameters.crew_size,
            time_each_h=to_si(parameters.time_each, "time"),
        ).steps  # fmt: skip
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("items", "each", "The pieces."),
    MeasureNote("craft_time", "hour", "Hours of all people together; given with `time_each`."),
)

METHOD = Method(
    name="counted_items",
    title="Counted items",
    summary="Benches, signs, basins, gates and whatever else is counted, with craft hours by the piece.",
    parameters=CountedItems,
    take_off=_take_off,
    measures=MEASURES,
    sources=("The caller's own count", "Common practice: time for one, times how many"),
    example=Example(
        parameters={"count": 12, "time_each": {"value": "90", "unit": "minute"}, "crew_size": 2},
        area=None,
        expected={"items": 12, "craft_time": 36},
        source="Arithmetic: 12 pieces at an hour and a half for two people",
    ),
    needs_areas=False,
    cautions=(DEFER,),
)
