"""Drains: the length of laterals over an area, and the trench with its pipe, gravel and cover."""

import math
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits

PARALLEL = "geometry: parallel lines at one spacing"
PRISM = "geometry: volume of a trench of one section"
CYLINDER = "geometry: volume of a cylinder"


@dataclass(frozen=True, slots=True)
class DrainLines:
    """Length of all drain lines; of the laterals where they lie at a spacing."""

    lateral_length_m: float | None
    length_m: float
    steps: Steps = field(repr=False, compare=False)


def drain_lines(
    *,
    main_length_m: float | None = None,
    drained_area_m2: float | None = None,
    lateral_spacing_m: float | None = None,
) -> DrainLines:
    """Length of drain lines: of mains as measured, of laterals from their spacing over an area.

    ::

        lateral length = drained area / lateral spacing
        drain length   = main length + lateral length

    Lengths in metres, area in square metres; give the main, or area and spacing, or all. Limits: laterals
    run parallel through the whole area; herringbones on narrow greens need a little more.

    Raises `ValueError` for figures that are not above zero, and where there is no line at all.

    Examples
    --------
    Laterals 15 ft apart need 66.7 ft to 1,000 square feet:

    >>> lines = drain_lines(drained_area_m2=92.90304, lateral_spacing_m=15 * 0.3048)
    >>> round(lines.length_m / 0.3048, 1)
    66.7

    References
    ----------
    Geometry. USGA, Recommendations for a Method of Putting Green Construction: laterals at most 15 ft apart.
    """
    work = Working()
    laterals = None
    parts = []
    if main_length_m is not None:
        work.given("main length", main_length_m, "meter")
        parts.append("main length")
    if (drained_area_m2 is None) != (lateral_spacing_m is None):
        raise ValueError(
            "lateral spacing: expected together with the drained area; got one without the other"
        )
    if drained_area_m2 is not None and lateral_spacing_m is not None:
        area = work.given("drained area", drained_area_m2, "square_meter")
        spacing = work.given("lateral spacing", lateral_spacing_m, "meter")
        laterals = work.step(
            "lateral length", area / spacing, "meter", "drained area / lateral spacing",
            "drained area", "lateral spacing", source=PARALLEL,
        )  # fmt: skip
        parts.append("lateral length")
    if not parts:
        raise ValueError("drain length: expected a main length, or an area and the spacing of laterals")
    total = work.step(
        "drain length", (main_length_m or 0.0) + (laterals or 0.0), "meter", " + ".join(parts), *parts
    )
    return DrainLines(laterals, total, work.steps)


@dataclass(frozen=True, slots=True)
class Trench:
    """A drain trench: what is dug, and what goes back in."""

    surface_m2: float
    volume_m3: float
    pipe_volume_m3: float | None
    cover_volume_m3: float | None
    gravel_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def drain_trench(
    *,
    length_m: float,
    width_m: float,
    depth_m: float,
    pipe_diameter_m: float | None = None,
    cover_depth_m: float | None = None,
) -> Trench:
    """Volumes of a drain trench that is filled with gravel around its pipe, under a cover if there is one.

    ::

        trench volume = drain length x trench width x trench depth
        pipe volume   = pi / 4 x pipe diameter^2 x drain length
        cover volume  = drain length x trench width x cover depth
        gravel volume = trench volume - cover volume - pipe volume

    Lengths in metres; the pipe by its *outside* diameter, left out for a drain of gravel alone; the cover is
    the soil, sand or root zone above the gravel. Limits: upright walls, one section all along; crumbling
    walls take more gravel, which belongs into its allowance.

    Raises `ValueError` for figures that are not above zero, and for a pipe that does not lie within the gravel.

    Examples
    --------
    100 ft of trench 6 in wide and 8 in deep around a 4 in pipe takes 0.911 cubic yards of gravel:

    >>> trench = drain_trench(length_m=30.48, width_m=0.1524, depth_m=0.2032, pipe_diameter_m=0.1016)
    >>> round(trench.gravel_volume_m3 / 0.9144**3, 3)
    0.911

    References
    ----------
    Geometry of the prism and the cylinder, on the dimensions of USGA, Recommendations for a Method of
    Putting Green Construction.
    """
    work = Working()
    length = work.given("drain length", length_m, "meter")
    width = work.given("trench width", width_m, "meter")
    depth = work.given("trench depth", depth_m, "meter")
    surface = work.step(
        "trench surface", length * width, "square_meter", "drain length x trench width",
        "drain length", "trench width", source=PRISM,
    )  # fmt: skip
    dug = work.step(
        "trench volume", surface * depth, "cubic_meter", "trench surface x trench depth",
        "trench surface", "trench depth", source=PRISM,
    )  # fmt: skip
    taken: list[str] = []
    pipe = cover = None
    if cover_depth_m is not None:
        if fits(depth, work.given("cover depth", cover_depth_m, "meter")):
            raise ValueError(f"cover depth: expected less than the trench depth; got {cover_depth_m!r} meter")
        cover = work.step(
            "cover volume", surface * cover_depth_m, "cubic_meter", "trench surface x cover depth",
            "trench surface", "cover depth", source=PRISM,
        )  # fmt: skip
        taken.append("cover volume")
    if pipe_diameter_m is not None:
        room = min(width, depth - (cover_depth_m or 0.0))
        if not fits(work.given("pipe diameter", pipe_diameter_m, "meter"), room):
            raise ValueError(
                f"pipe diameter: expected at most the width and depth of gravel, {room!r} meter; "
                f"got {pipe_diameter_m!r}"
            )
        pipe = work.step(
            "pipe volume", math.pi / 4 * pipe_diameter_m**2 * length, "cubic_meter",
            "pi / 4 x pipe diameter^2 x drain length", "pipe diameter", "drain length", source=CYLINDER,
        )  # fmt: skip
        taken.append("pipe volume")
    gravel = work.step(
        "gravel volume", dug - (cover or 0.0) - (pipe or 0.0), "cubic_meter",
        " - ".join(["trench volume", *taken]), "trench volume", *taken, source=PRISM,
    )  # fmt: skip
    return Trench(surface, dug, pipe, cover, gravel, work.steps)


@dataclass(frozen=True, slots=True)
class TrenchSpoil:
    """Soil of a drain trench that does not go back."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def trench_spoil(*, trench_volume_m3: float, soil_cover_volume_m3: float | None = None) -> TrenchSpoil:
    """Soil of a drain trench that is left over, in place.

    ::

        spoil volume = trench volume - cover volume

    Volumes in cubic metres. The cover is that of dug soil put back above the gravel; left out where gravel
    fills the trench or the cover is brought in, and then all that is dug is left over. Limits: what goes back
    is packed as it was.

    Raises `ValueError` for figures that are not above zero, or a cover that takes all the trench.

    Examples
    --------
    >>> trench_spoil(trench_volume_m3=1.0, soil_cover_volume_m3=0.25).volume_m3
    0.75

    References
    ----------
    Geometry.
    """
    work = Working()
    dug = work.given("trench volume", trench_volume_m3, "cubic_meter")
    if soil_cover_volume_m3 is None:
        left = work.step("spoil volume", dug, "cubic_meter", "trench volume", "trench volume", source=PRISM)
        return TrenchSpoil(left, work.steps)
    back = work.given("cover volume", soil_cover_volume_m3, "cubic_meter")
    if fits(dug, back):
        raise ValueError(
            f"cover volume: expected less than the trench volume, {dug!r} cubic_meter; got {back!r}"
        )
    left = work.step(
        "spoil volume", dug - back, "cubic_meter", "trench volume - cover volume", "trench volume", "cover volume",
        source=PRISM,
    )  # fmt: skip
    return TrenchSpoil(left, work.steps)
