"""Holes that are pressed, drilled or injected: their number, share of surface, volume and sand."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.surface import CYLINDER, Grid, hole_grid, holes_of, repeated, share_given
from swardcost_api.engine.quantities.working import Steps, Working

PLACED = "definition: sand placed by the hole"


@dataclass(frozen=True, slots=True)
class SolidTines:
    """What solid tines do to an area. Shares are of the surface, from 0 to 1."""

    holes: float
    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    pressed_volume_m3: float
    fill_volume_m3: float
    surface_per_hole_m2: float
    steps: Steps = field(repr=False, compare=False)


def solid_tine_holes(
    *,
    area_m2: float,
    outside_diameter_m: float,
    spacing_along_m: float,
    spacing_across_m: float | None,
    depth_m: float,
    passes: int = 1,
    open_share: float = 1.0,
) -> SolidTines:
    """Holes, share of surface, and volume pressed aside by solid tines, shallow or deep.

    ::

        holes          = area / surface per hole x passes
        share          = (pi / 4 x outside diameter^2) / surface per hole
        pressed volume = holes x pi / 4 x outside diameter^2 x depth
        fill volume    = pressed volume x open share

    Lengths in metres, the area in square metres; the surface per hole is spacing along x spacing across, or
    that of a triangular pattern where no spacing across is given. A solid tine touches by its *outside*
    diameter and removes nothing: the volume is ground pressed aside. The open share is how much of it is
    still open when sand is worked in.

    Limits: straight, round holes of full depth; ground that springs back leaves less. Tines that kick or
    lever open a wider hole below than at the surface and raise the ground, see `heave`.

    Raises `ValueError` for figures that are not above zero, a tine wider than its spacing, or an open share
    above 1.

    Examples
    --------
    Half-inch solid tines at 2 x 2.5 in meet 3.93 % of the surface:

    >>> tines = solid_tine_holes(area_m2=1, outside_diameter_m=0.0127, spacing_along_m=0.0508,
    ...                          spacing_across_m=0.0635, depth_m=0.1)
    >>> round(tines.share_per_pass, 4)
    0.0393

    References
    ----------
    Geometry of the circle and the cylinder. The example is printed in a course superintendent's public note
    (March 2012).
    """
    work = Working()
    grid, holes, covered, volume = _holes(
        work, area_m2, ("tine outside diameter", outside_diameter_m), spacing_along_m, spacing_across_m, depth_m,
        passes, "pressed volume",
    )  # fmt: skip
    left = share_given(work, "open share", open_share)
    fill = work.step(
        "fill volume", volume * left, "cubic_meter", "pressed volume x open share", "pressed volume", "open share",
        source="the share of the holes that stays open, as given",
    )  # fmt: skip
    return SolidTines(holes, grid.share, *covered, volume, fill, grid.surface_per_hole_m2, work.steps)


@dataclass(frozen=True, slots=True)
class Heave:
    """Ground raised by deep tines."""

    raised_volume_m3: float
    added_void_share: float
    steps: Steps = field(repr=False, compare=False)


def heave(*, area_m2: float, depth_m: float, raised_by_m: float) -> Heave:
    """Void that deep tines add by raising the ground.

    ::

        raised volume    = area x raised by
        added void share = raised by / (depth + raised by)

    Area in square metres, lengths in metres: the depth of the tines and how much higher the surface stands
    afterwards, measured on the site. The ground itself keeps its volume, so what it rises by is void.

    Limits: rolling and traffic press much of it down again, and the surface is rough until then; the rise
    is never known beforehand, since it depends on moisture, rooting and the angle of the tines.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("depth", depth_m, "meter")
    rise = work.given("raised by", raised_by_m, "meter")
    volume = work.step(
        "raised volume",
        area * rise,
        "cubic_meter",
        "area x raised by",
        "area",
        "raised by",
        source="geometry",
    )
    void = work.step(
        "added void share", rise / (depth + rise), "ratio", "raised by / (depth + raised by)",
        "raised by", "depth", source="geometry: the ground keeps its volume, what is added is void",
    )  # fmt: skip
    return Heave(volume, void, work.steps)


@dataclass(frozen=True, slots=True)
class Drilling:
    """What drills do to an area. Shares are of the surface, from 0 to 1."""

    holes: float
    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    removed_volume_m3: float
    fill_volume_m3: float
    surface_per_hole_m2: float
    steps: Steps = field(repr=False, compare=False)


def drilled_holes(
    *,
    area_m2: float,
    drill_diameter_m: float,
    spacing_along_m: float,
    spacing_across_m: float | None,
    depth_m: float,
    passes: int = 1,
) -> Drilling:
    """Holes, share of surface, ground removed and volume to fill of drilling and filling.

    ::

        holes          = area / surface per hole x passes
        share          = (pi / 4 x drill diameter^2) / surface per hole
        removed volume = holes x pi / 4 x drill diameter^2 x depth
        fill volume    = removed volume

    Lengths in metres, the area in square metres; the surface per hole is spacing along x spacing across, or
    that of a triangular pattern where no spacing across is given. An auger lifts all of its hole out, and
    the hole is refilled to the surface.

    Limits: volumes are in place; what lies on the turf is looser (see `debris`). Holes that wander or cave
    in take more sand, holes that the machine leaves short are filled by hand.

    Raises `ValueError` for figures that are not above zero and for a drill wider than its spacing.

    References
    ----------
    Geometry of the circle and the cylinder.
    """
    work = Working()
    grid, holes, covered, volume = _holes(
        work, area_m2, ("drill diameter", drill_diameter_m), spacing_along_m, spacing_across_m, depth_m, passes,
        "removed volume",
    )  # fmt: skip
    fill = work.step(
        "fill volume", volume, "cubic_meter", "removed volume, every pass filled before the next", "removed volume",
        source="common practice: drilled holes are filled to the surface",
    )  # fmt: skip
    return Drilling(holes, grid.share, *covered, volume, fill, grid.surface_per_hole_m2, work.steps)


@dataclass(frozen=True, slots=True)
class Injection:
    """What sand injection does to an area. Shares are of the surface, from 0 to 1.

    `hole_filling` is the sand of a hole over the room of a straight hole: above 1 where the jet opens a cavity.
    """

    holes: float
    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    hole_volume_m3: float
    volume_per_hole_m3: float
    hole_filling: float
    placed_volume_m3: float
    surface_per_hole_m2: float
    steps: Steps = field(repr=False, compare=False)


def sand_injection(
    *,
    area_m2: float,
    hole_diameter_m: float,
    spacing_along_m: float,
    spacing_across_m: float | None,
    depth_m: float,
    passes: int = 1,
    mass_per_hole_kg: float | None = None,
    bulk_density_kg_per_m3: float | None = None,
    rate_m3_per_m2: float | None = None,
) -> Injection:
    """Holes, share of surface, and sand placed by injection with water or air.

    ::

        room of a hole = pi / 4 x hole diameter^2 x depth
        sand of a hole = mass in a hole / bulk density, or rate x surface per hole, or the room of a hole
        placed volume  = holes x sand of a hole
        hole filling   = sand of a hole / room of a hole

    Lengths in metres, the area in square metres, the rate in cubic metres of sand to the square metre and
    pass, the mass in kilograms with its bulk density. Give at most one of the mass in a hole and the rate;
    with neither, holes count as filled to their diameter and depth. Without a spacing across the pattern is triangular.

    Limits: the hole at the surface is narrower than the cavity that a jet opens below, so that the share
    of surface says little about the sand; a rate taken from loads used says more. Nothing is removed.

    Raises `ValueError` for figures that are not above zero, a hole wider than its spacing, sand given twice,
    or a mass without its density.

    References
    ----------
    Geometry of the circle and the cylinder.
    """
    if mass_per_hole_kg is not None and rate_m3_per_m2 is not None:
        raise ValueError("sand placed: expected the mass in a hole or the rate to the area; got both")
    if mass_per_hole_kg is not None and bulk_density_kg_per_m3 is None:
        raise ValueError("bulk density: expected one beside the mass in a hole; got none")
    work = Working()
    grid, holes, covered, room_of_all = _holes(
        work, area_m2, ("hole diameter", hole_diameter_m), spacing_along_m, spacing_across_m, depth_m, passes,
        "hole volume",
    )  # fmt: skip
    room = work.step(
        "room of a hole", grid.section_m2 * depth_m, "cubic_meter", "hole section x depth", "hole section", "depth",
        source=CYLINDER,
    )  # fmt: skip
    each = _sand_of_a_hole(work, grid, room, mass_per_hole_kg, bulk_density_kg_per_m3, rate_m3_per_m2)
    filling = work.step(
        "hole filling", each / room, "ratio", "sand of a hole / room of a hole", "sand of a hole", "room of a hole",
        source=PLACED,
    )  # fmt: skip
    placed = work.step(
        "placed volume", holes * each, "cubic_meter", "holes x sand of a hole", "holes", "sand of a hole",
        source=PLACED,
    )  # fmt: skip
    return Injection(
        holes, grid.share, *covered, room_of_all, each, filling, placed, grid.surface_per_hole_m2, work.steps
    )


def _sand_of_a_hole(
    work: Working, grid: Grid, room: float, mass_kg: float | None, density: float | None, rate: float | None
) -> float:
    name, unit = "sand of a hole", "cubic_meter"
    if mass_kg is not None and density is not None:
        mass = work.given("mass in a hole", mass_kg, "kilogram")
        weighed = work.given("bulk density", density, "kilogram_per_cubic_meter")
        return work.step(
            name, mass / weighed, unit, "mass in a hole / bulk density", "mass in a hole", "bulk density",
            source="definition of bulk density: mass / volume",
        )  # fmt: skip
    if rate is not None:
        placed = work.given("rate per pass", rate, "cubic_meter_per_square_meter")
        return work.step(
            name, placed * grid.surface_per_hole_m2, unit, "rate per pass x surface per hole",
            "rate per pass", "surface per hole", source=PLACED,
        )  # fmt: skip
    return work.step(name, room, unit, "room of a hole", "room of a hole", source=CYLINDER)


def _holes(
    work: Working,
    area_m2: float,
    diameter: tuple[str, float],
    spacing_along_m: float,
    spacing_across_m: float | None,
    depth_m: float,
    passes: int,
    volume_name: str,
) -> tuple[Grid, float, tuple[float, float, float, float], float]:
    area = work.given("area", area_m2, "square_meter")
    grid = hole_grid(
        work, diameter_m=diameter[1], diameter_name=diameter[0], spacing_along_m=spacing_along_m,
        spacing_across_m=spacing_across_m,
    )  # fmt: skip
    depth = work.given("depth", depth_m, "meter")
    count = work.counted("passes", passes)
    holes = holes_of(work, area, grid, count)
    covered = repeated(work, area, grid.share, count)
    volume = work.step(
        volume_name, holes * grid.section_m2 * depth, "cubic_meter", "holes x hole section x depth",
        "holes", "hole section", "depth", source=CYLINDER,
    )  # fmt: skip
    return grid, holes, covered, volume
