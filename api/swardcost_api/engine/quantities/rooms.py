"""Clubhouse rooms done by the club's own trades: surfaces, paint by coats, skirting, and craft hours."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up

BOX = "geometry: surfaces of a rectangular room"
PACE = "definition of a production rate"
PIECES = "common practice: time for one, times how many"


@dataclass(frozen=True, slots=True)
class Openings:
    """Doors and windows as openings in the walls."""

    area_m2: float
    doorways_width_m: float
    steps: Steps = field(repr=False, compare=False)


def wall_openings(*, openings: Mapping[str, tuple[int, float, float]]) -> Openings:
    """Area of openings in walls, and the width of those that reach the floor.

    ::

        openings = doors x door width x door height + windows x window width x window height
        doorways = doors x door width

    `openings` gives for ``"door"`` and ``"window"``, or one of them, the count, width and height in metres.
    Limits: one size to a kind.

    Raises `ValueError` for no openings, other kinds, or figures that are not above zero.

    References
    ----------
    Geometry.
    """
    if not openings or not set(openings) <= {"door", "window"}:
        raise ValueError(f"openings: expected door, window or both; got {', '.join(openings) or 'none'}")
    work = Working()
    terms: list[str] = []
    inputs: list[str] = []
    area = 0.0
    for kind, (count, width, height) in openings.items():
        names = (f"{kind}s", f"{kind} width", f"{kind} height")
        work.counted(names[0], count)
        work.given(names[1], width, "meter")
        work.given(names[2], height, "meter")
        area += count * width * height
        terms.append(" x ".join(names))
        inputs += names
    total = work.step("openings", area, "square_meter", " + ".join(terms), *inputs, source="geometry")
    doorways = 0.0
    if "door" in openings:
        count, width, _ = openings["door"]
        doorways = work.step(
            "doorways", count * width, "meter", "doors x door width", "doors", "door width", source="geometry"
        )
    return Openings(total, doorways, work.steps)


@dataclass(frozen=True, slots=True)
class Room:
    """Surfaces of a room. Walls are without their openings."""

    floor_area_m2: float
    ceiling_area_m2: float
    wall_area_m2: float
    skirting_length_m: float
    steps: Steps = field(repr=False, compare=False)


def room_surfaces(
    *,
    length_m: float,
    width_m: float,
    height_m: float,
    openings_area_m2: float = 0.0,
    doorways_width_m: float = 0.0,
) -> Room:
    """Floor, ceiling and walls of a rectangular room, and its skirting.

    ::

        floor area      = room length x room width
        ceiling area    = floor area
        room perimeter  = 2 x (room length + room width)
        wall area       = room perimeter x room height - openings
        skirting length = room perimeter - doorways

    Lengths in metres; openings are doors and windows together in square metres, doorways the widths of the
    doors together. Limits: flat ceilings; reveals are not counted.

    Raises `ValueError` for lengths that are not above zero, or openings that take up all of the walls.

    Examples
    --------
    >>> room_surfaces(length_m=5, width_m=4, height_m=2.5, openings_area_m2=5).wall_area_m2
    40.0

    References
    ----------
    Geometry.
    """
    work = Working()
    length = work.given("room length", length_m, "meter")
    width = work.given("room width", width_m, "meter")
    height = work.given("room height", height_m, "meter")
    openings = work.given("openings", openings_area_m2, "square_meter", zero=True)
    doorways = work.given("doorways", doorways_width_m, "meter", zero=True)
    around, walls = 2 * (length + width), 2 * (length + width) * height
    if not openings < walls:
        raise ValueError(f"openings: expected less than the walls, {walls!r} square_meter; got {openings!r}")
    if not doorways < around:
        raise ValueError(f"doorways: expected less than the perimeter, {around!r} meter; got {doorways!r}")
    floor = work.step(
        "floor area", length * width, "square_meter", "room length x room width", "room length", "room width",
        source=BOX,
    )  # fmt: skip
    ceiling = work.step("ceiling area", floor, "square_meter", "floor area", "floor area", source=BOX)
    work.step(
        "room perimeter",
        around,
        "meter",
        "2 x (room length + room width)",
        "room length",
        "room width",
        source=BOX,
    )
    wall = work.step(
        "wall area", walls - openings, "square_meter", "room perimeter x room height - openings",
        "room perimeter", "room height", "openings", source=BOX,
    )  # fmt: skip
    skirting = work.step(
        "skirting length", around - doorways, "meter", "room perimeter - doorways", "room perimeter", "doorways",
        source=BOX,
    )  # fmt: skip
    return Room(floor, ceiling, wall, skirting, work.steps)


@dataclass(frozen=True, slots=True)
class Paint:
    """Paint for surfaces: the area of all coats, and whole containers."""

    coated_area_m2: float
    containers: int
    steps: Steps = field(repr=False, compare=False)


def paint(*, surface: str, area_m2: float, coats: int, coverage_m2: float) -> Paint:
    """Whole containers of paint for a surface in several coats.

    ::

        coated area = area x coats
        containers  = coated area / coverage of one container, rounded up

    Areas in square metres; the coverage is that of one container as it is bought. `surface` is the step
    that the area comes from, without "area": ``"wall"``. Limits: one coverage for all coats; the first coat
    on bare plaster takes more.

    Raises `ValueError` for figures that are not above zero or coats that are not whole.

    Examples
    --------
    >>> paint(surface="wall", area_m2=40, coats=2, coverage_m2=35).containers
    3

    References
    ----------
    Common practice; a gallon of wall paint covers 350 to 400 square feet (from memory).
    """
    work = Working()
    name, one = f"{surface} area", f"{surface} coverage of one container"
    area = work.given(name, area_m2, "square_meter")
    count = work.counted(f"{surface} coats", coats)
    coverage = work.given(one, coverage_m2, "square_meter")
    coated = work.step(
        f"{surface} coated area",
        area * count,
        "square_meter",
        f"{name} x {surface} coats",
        name,
        f"{surface} coats",
    )
    containers = whole_up(coated / coverage)
    work.step(
        f"{surface} paint containers", containers, "each",
        f"{surface} coated area / {one}, rounded up to whole containers", f"{surface} coated area", one,
        source="common practice: sold whole",
    )  # fmt: skip
    return Paint(coated, containers, work.steps)


@dataclass(frozen=True, slots=True)
class Craft:
    """Hours of all crafts together."""

    craft_time_h: float
    steps: Steps = field(repr=False, compare=False)


def craft_hours(
    *,
    surfaces: Mapping[str, tuple[str, float, str, float]],
    fixtures: Mapping[str, tuple[int, float]],
) -> Craft:
    """Person-hours of surfaces at the pace of one craftsman, and of fixtures by the time for one.

    ::

        time for painting walls = wall coated area / pace for painting walls
        time for doors          = doors x time for one of the doors
        craft time              = all of these together

    `surfaces` gives for each task the step that its surface or length comes from, that figure, its unit
    (square metres or metres), and the pace in that unit an hour; `fixtures` gives for each kind its count
    and the person-hours for one. Limits: setting up, drying and waiting are not in it.

    Raises `ValueError` for no task at all or figures that are not above zero.

    References
    ----------
    Definition of a production rate.
    """
    if not surfaces and not fixtures:
        raise ValueError("craft time: expected at least one surface or fixture; got none")
    work = Working()
    hours: dict[str, float] = {}
    for task, (source, figure, unit, pace) in surfaces.items():
        rate, name = f"pace for {task}", f"time for {task}"
        work.given(source, figure, unit)
        work.given(rate, pace, f"{unit}_per_hour")
        hours[name] = work.step(name, figure / pace, "hour", f"{source} / {rate}", source, rate, source=PACE)
    for kind, (count, each_h) in fixtures.items():
        each, name = f"time for one of the {kind}", f"time for {kind}"
        work.counted(kind, count)
        work.given(each, each_h, "hour")
        hours[name] = work.step(name, count * each_h, "hour", f"{kind} x {each}", kind, each, source=PIECES)
    total = work.step("craft time", math.fsum(hours.values()), "hour", " + ".join(hours), *hours)
    return Craft(total, work.steps)
