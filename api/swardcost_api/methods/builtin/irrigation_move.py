"""Irrigation moved in the course of other work: heads, pipe trench, fittings and wire."""

from decimal import Decimal

from pydantic import Field
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.irrigation import heads_moved, pipe_trench
from swardcost_api.engine.quantities.paces import time_by_piece
from swardcost_api.engine.quantities.working import Steps
from swardcost_api.methods.cautions import (
    BURIED_UTILITIES,
    DEFER,
    GUARDS,
    LICENSED_IRRIGATION,
    TRENCH_WALLS,
)  # fmt: skip
from swardcost_api.methods.feature_work import stated, steps_of_goods
from swardcost_api.methods.frame import (
    Duration,
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class HeadWire(Parameters):
    """Control wire to each head."""

    per_head: ShortLength = Field(
        description="Length from the splice to the head, with slack.",
        examples=[{"value": "20", "unit": "foot"}],
    )
    runs: int = Field(
        default=1, strict=True, ge=1, le=20, description="Conductors side by side.", examples=[2]
    )
    waste_percent: Percent = Field(
        default=Decimal(0),
        validate_default=True,
        description="Waste in percent of the length.",
        examples=["10"],
    )


class MovedPipe(Parameters):
    """Pipe that is laid anew, and its trench."""

    length: Length = Field(description="Length.", examples=[{"value": "150", "unit": "foot"}])
    trench_width: ShortLength = Field(
        description="Width of the trench.", examples=[{"value": "4", "unit": "inch"}]
    )
    trench_depth: ShortLength = Field(
        description="Depth of the trench.", examples=[{"value": "18", "unit": "inch"}]
    )
    waste_percent: Percent = Field(
        default=Decimal(0),
        validate_default=True,
        description="Waste in percent of the length.",
        examples=["5"],
    )


class IrrigationMove(Parameters):
    """Parameters of moving irrigation heads and pipe."""

    heads: int = Field(strict=True, ge=1, le=100_000, description="Heads that are moved.", examples=[6])
    fittings_per_head: int | None = Field(
        default=None, strict=True, ge=1, le=100, description="Fittings to each head.", examples=[4]
    )
    wire: HeadWire | None = Field(default=None, description="Control wire to each head.")
    pipe: MovedPipe | None = Field(default=None, description="Pipe that is laid anew.")
    time_per_head: Duration | None = Field(
        default=None, description="Time to move one head with its pipe and wire, with the whole crew.",
        examples=[{"value": "2", "unit": "hour"}],
    )  # fmt: skip
    crew_size: int = Field(
        default=1, strict=True, ge=1, le=500, description="People working together.", examples=[2]
    )


def _pipe(pipe: MovedPipe) -> Steps:
    length = to_si(pipe.length, "length")
    trench = pipe_trench(
        length_m=length,
        width_m=to_si(pipe.trench_width, "length"),
        depth_m=to_si(pipe.trench_depth, "length"),
    )
    return trench.steps | steps_of_goods("pipe", length, "pipe length", "meter", pipe.waste_percent)


def _take_off(parameters: IrrigationMove, area_m2: float) -> tuple[Measure, ...]:
    wire = parameters.wire
    moved = heads_moved(
        heads=parameters.heads,
        fittings_per_head=parameters.fittings_per_head,
        wire_per_head_m=None if wire is None else to_si(wire.per_head, "length"),
        wire_runs=1 if wire is None else wire.runs,
    )
    steps = stated("heads", parameters.heads, "head") | moved.steps
    if wire is not None and moved.wire_length_m is not None:
        steps |= steps_of_goods("wire", moved.wire_length_m, "wire length", "meter", wire.waste_percent)
    if parameters.pipe is not None:
        steps |= _pipe(parameters.pipe)
    if parameters.time_per_head is not None:
        steps |= time_by_piece(
            pieces=parameters.heads, pieces_name="heads", unit="head", crew_size=parameters.crew_size,
            time_each_h=to_si(parameters.time_per_head, "time"), hours_name="crew time",
        ).steps  # fmt: skip
    return measures_of(MEASURES, steps)


MEASURES = (
    MeasureNote("heads", "head", "Heads that are moved."),
    MeasureNote("fittings", "each", "Fittings; given with `fittings_per_head`."),
    MeasureNote("wire_length", "meter", "Wire in place, all conductors; given with `wire`."),
    MeasureNote("wire_to_order", "meter", "Wire with waste."),
    MeasureNote("trench_surface", "square_meter", "Surface that the trench takes up; given with `pipe`."),
    MeasureNote(
        "trench_volume", "cubic_meter", "Trench dug and all put back: the pipe leaves next to nothing over."
    ),
    MeasureNote("pipe_to_order", "meter", "Pipe with waste."),
    MeasureNote("crew_time", "hour", "Hours of all people together; given with `time_per_head`."),
)

METHOD = Method(
    name="irrigation_move",
    title="Irrigation moved",
    summary=(
        "Heads that are moved, with fittings, wire, pipe and trench, and hours, by counts and lengths that are stated. "
        "Where heads and pipe go is a matter of licensed or certified design."
    ),
    parameters=IrrigationMove,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Common practice", "Geometry of a trench"),
    example=Example(
        parameters={
            "heads": 6,
            "fittings_per_head": 4,
            "wire": {"per_head": {"value": "20", "unit": "foot"}, "runs": 2, "waste_percent": "10"},
            "pipe": {
                "length": {"value": "150", "unit": "foot"},
                "trench_width": {"value": "4", "unit": "inch"},
                "trench_depth": {"value": "18", "unit": "inch"},
                "waste_percent": "5",
            },
            "time_per_head": {"value": "2", "unit": "hour"},
            "crew_size": 2,
        },
        area=None,
        expected={
            "heads": 6,
            "fittings": 24,
            "wire_length": 73.152,
            "wire_to_order": 80.4672,
            "trench_surface": 4.645152,
            "trench_volume": 2.123763494,
            "pipe_to_order": 48.006,
            "crew_time": 24.0,
        },
        source="Geometry: 150 ft of trench 4 in wide and 18 in deep is 75 cubic feet",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, LICENSED_IRRIGATION, TRENCH_WALLS, GUARDS, DEFER),
)
