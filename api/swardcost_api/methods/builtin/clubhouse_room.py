"""Clubhouse rooms done by the club's own trades: paint, floor, skirting, doors and windows, craft hours."""

from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent

from swardcost_api.engine.quantities.materials import packs_of
from swardcost_api.engine.quantities.rooms import craft_hours, paint, room_surfaces, wall_openings
from swardcost_api.engine.quantities.working import Steps
from swardcost_api.methods.cautions import DEFER, LADDERS, LICENSED_TRADES, OLD_BUILDINGS, STONE_DUST
from swardcost_api.methods.feature_work import stated, steps_of_goods
from swardcost_api.methods.frame import (
    AreaPace,
    Coverage,
    Duration,
    Example,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    Speed,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Openings(Parameters):
    """Doors or windows of one size."""

    count: int = Field(strict=True, ge=1, le=1000, description="How many.", examples=[2])
    width: ShortLength = Field(description="Width of one opening.", examples=[{"value": "3", "unit": "foot"}])
    height: ShortLength = Field(
        description="Height of one opening.", examples=[{"value": "7", "unit": "foot"}]
    )
    time_each: Duration | None = Field(
        default=None, description="Person-hours to set one; left out where they stay.",
        examples=[{"value": "3", "unit": "hour"}],
    )  # fmt: skip


class Coating(Parameters):
    """Paint on a surface."""

    coats: int = Field(default=2, strict=True, ge=1, le=20, description="Coats.", examples=[2])
    container_coverage: Coverage = Field(
        description="Area that one container, as it is bought, covers in one coat.",
        examples=[{"value": "350", "unit": "square_foot"}],
    )
    production_rate: AreaPace | None = Field(
        default=None, description="Area that one painter does in an hour and coat.",
        examples=[{"value": "150", "unit": "square_foot_per_hour"}],
    )  # fmt: skip


class Covering(Parameters):
    """Flooring or tiles over the floor."""

    waste_percent: Percent = Field(
        default=Decimal(0),
        validate_default=True,
        description="Waste in percent of the floor.",
        examples=["10"],
    )
    box_coverage: Coverage | None = Field(
        default=None, description="Area that one box covers; gives whole boxes.",
        examples=[{"value": "20", "unit": "square_foot"}],
    )  # fmt: skip
    production_rate: AreaPace | None = Field(
        default=None, description="Area that one craftsman lays in an hour.",
        examples=[{"value": "25", "unit": "square_foot_per_hour"}],
    )  # fmt: skip


class Skirting(Parameters):
    """Skirting along the walls."""

    waste_percent: Percent = Field(
        default=Decimal(0),
        validate_default=True,
        description="Waste in percent of the length.",
        examples=["10"],
    )
    production_rate: Speed | None = Field(
        default=None, description="Length that one craftsman fits in an hour.",
        examples=[{"value": "20", "unit": "foot_per_hour"}],
    )  # fmt: skip


class ClubhouseRoom(Parameters):
    """Parameters of a rectangular room."""

    length: ShortLength = Field(description="Length of the room.", examples=[{"value": "30", "unit": "foot"}])
    width: ShortLength = Field(description="Width of the room.", examples=[{"value": "20", "unit": "foot"}])
    height: ShortLength = Field(description="Height of the room.", examples=[{"value": "10", "unit": "foot"}])
    doors: Openings | None = Field(default=None, description="Doors and open doorways.")
    windows: Openings | None = Field(default=None, description="Windows.")
    wall_paint: Coating | None = Field(default=None, description="Paint on the walls.")
    ceiling_paint: Coating | None = Field(default=None, description="Paint on the ceiling.")
    flooring: Covering | None = Field(default=None, description="Flooring or floor tiles.")
    skirting: Skirting | None = Field(default=None, description="Skirting, without the doorways.")

    @field_validator("doors", "windows")
    @classmethod
    def _some_wall_remains(cls, given: Openings | None, info: ValidationInfo) -> Openings | None:
        if given is None or any(side not in info.data for side in ("length", "width", "height")):
            return given
        room = {side: to_si(info.data[side], "length") for side in ("length", "width", "height")}
        around = 2 * (room["length"] + room["width"])
        openings = sum(
            one.count * to_si(one.width, "length") * to_si(one.height, "length")
            for one in (given, info.data.get("doors"))
            if one is not None
        )
        doorways = given.count * to_si(given.width, "length") if info.field_name == "doors" else 0.0
        if openings >= around * room["height"] or doorways >= around:
            raise PydanticCustomError("openings_beyond_walls", "openings that leave some wall")
        return given


def _surfaces(parameters: ClubhouseRoom) -> Steps:
    sizes = {
        kind: (one.count, to_si(one.width, "length"), to_si(one.height, "length"))
        for kind, one in (("door", parameters.doors), ("window", parameters.windows))
        if one is not None
    }
    openings = wall_openings(openings=sizes) if sizes else None
    room = room_surfaces(
        length_m=to_si(parameters.length, "length"),
        width_m=to_si(parameters.width, "length"),
        height_m=to_si(parameters.height, "length"),
        openings_area_m2=0.0 if openings is None else openings.area_m2,
        doorways_width_m=0.0 if openings is None else openings.doorways_width_m,
    )
    return room.steps if openings is None else openings.steps | room.steps


def _take_off(parameters: ClubhouseRoom, area_m2: float) -> tuple[Measure, ...]:
    steps = _surfaces(parameters)
    for surface, coating in (("wall", parameters.wall_paint), ("ceiling", parameters.ceiling_paint)):
        if coating is not None:
            steps |= paint(
                surface=surface,
                area_m2=steps[f"{surface} area"].value,
                coats=coating.coats,
                coverage_m2=to_si(coating.container_coverage, "area"),
            ).steps
    if parameters.flooring is not None:
        steps |= _flooring(parameters.flooring, steps["floor area"].value)
    if parameters.skirting is not None:
        waste, length = parameters.skirting.waste_percent, steps["skirting length"].value
        steps |= steps_of_goods("skirting", length, "skirting length", "meter", waste)
    for kind, openings in (("doors", parameters.doors), ("windows", parameters.windows)):
        if openings is not None:
            steps |= stated(kind, openings.count, "each")
    return measures_of(MEASURES, steps | _craft(parameters, steps))


def _flooring(covering: Covering, floor_m2: float) -> Steps:
    steps = steps_of_goods("flooring", floor_m2, "floor area", "square_meter", covering.waste_percent)
    if covering.box_coverage is None:
        return steps
    return (
        steps
        | packs_of(
            packs="flooring boxes", amount=steps["flooring to order"].value, amount_name="flooring to order",
            unit="square_meter", content=to_si(covering.box_coverage, "area"),
        ).steps
    )  # fmt: skip


def _craft(parameters: ClubhouseRoom, steps: Steps) -> Steps:
    """Hours of what has a pace or a time; none where nothing has."""
    paces = (
        ("painting walls", "wall coated area", parameters.wall_paint, "area_pace"),
        ("painting the ceiling", "ceiling coated area", parameters.ceiling_paint, "area_pace"),
        ("flooring", "floor area", parameters.flooring, "area_pace"),
        ("skirting", "skirting length", parameters.skirting, "speed"),
    )
    surfaces = {
        task: (source, steps[source].value, steps[source].unit, to_si(work.production_rate, dimension))
        for task, source, work, dimension in paces
        if work is not None and work.production_rate is not None
    }
    fixtures = {
        kind: (openings.count, to_si(openings.time_each, "time"))
        for kind, openings in (("doors", parameters.doors), ("windows", parameters.windows))
        if openings is not None and openings.time_each is not None
    }
    if not surfaces and not fixtures:
        return {}
    return craft_hours(surfaces=surfaces, fixtures=fixtures).steps


MEASURES = (
    MeasureNote("floor_area", "square_meter", "Floor."),
    MeasureNote("ceiling_area", "square_meter", "Ceiling."),
    MeasureNote("wall_area", "square_meter", "Walls without openings."),
    MeasureNote("skirting_length", "meter", "Edge of the floor without doorways."),
    MeasureNote("wall_coated_area", "square_meter", "Walls, all coats; given with `wall_paint`."),
    MeasureNote("wall_paint_containers", "each", "Whole containers of paint for the walls."),
    MeasureNote("ceiling_coated_area", "square_meter", "Ceiling, all coats; given with `ceiling_paint`."),
    MeasureNote("ceiling_paint_containers", "each", "Whole containers of paint for the ceiling."),
    MeasureNote("flooring_to_order", "square_meter", "Flooring or tiles with waste; given with `flooring`."),
    MeasureNote("flooring_boxes", "each", "Whole boxes; given with the `box_coverage` of `flooring`."),
    MeasureNote("skirting_to_order", "meter", "Skirting with waste; given with `skirting`."),
    MeasureNote("doors", "each", "Doors; given with `doors`."),
    MeasureNote("windows", "each", "Windows; given with `windows`."),
    MeasureNote("craft_time", "hour", "Person-hours of everything that has a pace or a time for one."),
)

METHOD = Method(
    name="clubhouse_room",
    title="Clubhouse room",
    summary=(
        "Surfaces of a rectangular room, paint by coats, flooring, skirting, doors and windows, and hours of the "
        "club's own trades; sizes are stated."
    ),
    parameters=ClubhouseRoom,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Geometry of a rectangular room", "Definition of a production rate"),
    example=Example(
        parameters={
            "length": {"value": "30", "unit": "foot"},
            "width": {"value": "20", "unit": "foot"},
            "height": {"value": "10", "unit": "foot"},
            "doors": {
                "count": 2,
                "width": {"value": "3", "unit": "foot"},
                "height": {"value": "7", "unit": "foot"},
                "time_each": {"value": "3", "unit": "hour"},
            },
            "windows": {
                "count": 4,
                "width": {"value": "3", "unit": "foot"},
                "height": {"value": "4", "unit": "foot"},
                "time_each": {"value": "4", "unit": "hour"},
            },
            "wall_paint": {
                "coats": 2,
                "container_coverage": {"value": "350", "unit": "square_foot"},
                "production_rate": {"value": "130", "unit": "square_foot_per_hour"},
            },
            "ceiling_paint": {
                "coats": 2,
                "container_coverage": {"value": "350", "unit": "square_foot"},
                "production_rate": {"value": "120", "unit": "square_foot_per_hour"},
            },
            "flooring": {
                "waste_percent": "10",
                "box_coverage": {"value": "20", "unit": "square_foot"},
                "production_rate": {"value": "25", "unit": "square_foot_per_hour"},
            },
            "skirting": {
                "waste_percent": "10",
                "production_rate": {"value": "20", "unit": "foot_per_hour"},
            },
        },
        area=None,
        expected={
            "floor_area": 55.741824,
            "ceiling_area": 55.741824,
            "wall_area": 84.5417664,
            "skirting_length": 28.6512,
            "wall_coated_area": 169.0835328,
            "wall_paint_containers": 6,
            "ceiling_coated_area": 111.483648,
            "ceiling_paint_containers": 4,
            "flooring_to_order": 61.3160064,
            "flooring_boxes": 33,
            "skirting_to_order": 31.51632,
            "doors": 2,
            "windows": 4,
            "craft_time": 74.7,
        },
        source="Geometry: walls of 100 ft around and 10 ft high, less 90 square feet of openings, are 910",
    ),
    needs_areas=False,
    cautions=(OLD_BUILDINGS, LADDERS, STONE_DUST, LICENSED_TRADES, DEFER),
)
