"""Cultivation that opens the surface: cores of hollow tines, slits of blades and knives, passes to a goal.

What holes and slits cover, and what repeated passes come to, is worked in `surface`; holes that are pressed,
drilled or injected are in `holes`, several kinds of passes together in `program`.
"""

import math
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.surface import (
    CONVENTION,
    CYLINDER,
    OVERLAP,
    SLITS,
    STRIPS,
    hole_grid,
    holes_of,
    knife_grid,
    repeated,
    share_given,
)
from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up


@dataclass(frozen=True, slots=True)
class Coring:
    """What hollow-tine coring does to an area. Shares are of the surface, from 0 to 1."""

    holes: float
    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    core_volume_m3: float
    fill_volume_m3: float
    surface_per_hole_m2: float
    steps: Steps = field(repr=False, compare=False)

    @property
    def holes_per_m2(self) -> float:
        """Holes of one pass to the square metre."""
        return 1 / self.surface_per_hole_m2


def hollow_tine_coring(
    *,
    area_m2: float,
    inside_diameter_m: float,
    spacing_along_m: float,
    spacing_across_m: float | None,
    depth_m: float,
    passes: int = 1,
) -> Coring:
    """Holes, share of surface, and volume of cores of a hollow-tine aeration.

    ::

        holes       = area / (spacing along x spacing across) x passes
        share       = (pi / 4 x inside diameter^2) / (spacing along x spacing across)
        touched     = 1 - (1 - share)^passes
        core volume = holes x pi / 4 x inside diameter^2 x depth

    Parameters are lengths in metres, the area in square metres. A hollow tine cuts out by its *inside*
    diameter; a solid tine, which presses aside, is in `holes.solid_tine_holes`. Without a spacing across,
    holes stand in a triangular pattern (see `surface.hole_opening`). The fill volume is the volume of the
    open holes when every pass is filled before the next one.

    Limits: full depth and straight holes are assumed (worn tines, firm ground and heaving give less), edges
    of the area are neglected, and passes are assumed to fall at random: a second pass steered between the
    holes of the first touches a little more than the figure for touched once.

    Raises `ValueError` for figures that are not above zero and for a tine wider than its spacing.

    Examples
    --------
    Half-inch tines at 2 x 2 in take 4.91 % of the surface in a pass:

    >>> coring = hollow_tine_coring(area_m2=1, inside_diameter_m=0.0127, spacing_along_m=0.0508,
    ...                             spacing_across_m=0.0508, depth_m=0.1)
    >>> round(coring.share_per_pass, 4)
    0.0491

    References
    ----------
    Geometry of the circle and the cylinder; probability of independent events. The same share by tine size
    and spacing is printed in course superintendents' public notes (2012, 2024).
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    grid = hole_grid(
        work, diameter_m=inside_diameter_m, diameter_name="tine inside diameter", spacing_along_m=spacing_along_m,
        spacing_across_m=spacing_across_m,
    )  # fmt: skip
    depth = work.given("depth", depth_m, "meter")
    count = work.counted("passes", passes)
    holes = holes_of(work, area, grid, count)
    covered = repeated(work, area, grid.share, count)
    cores = work.step(
        "core volume", holes * grid.section_m2 * depth, "cubic_meter", "holes x hole section x depth",
        "holes", "hole section", "depth", source=CYLINDER,
    )  # fmt: skip
    fill = work.step(
        "fill volume", cores, "cubic_meter", "core volume, every pass filled before the next", "core volume",
        source="common practice: the holes of every pass are filled",
    )  # fmt: skip
    return Coring(holes, grid.share, *covered, cores, fill, grid.surface_per_hole_m2, work.steps)


@dataclass(frozen=True, slots=True)
class Slicing:
    """What blades do to an area. Shares are of the surface, from 0 to 1."""

    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    slit_length_m: float
    slit_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def linear_slicing(
    *,
    area_m2: float,
    blade_width_m: float,
    blade_spacing_m: float,
    depth_m: float,
    directions: int = 1,
    passes: int = 1,
) -> Slicing:
    """Share of surface and volume of slits of vertical mowing, slicing or linear aeration.

    ::

        share        = blade width / blade spacing, of one direction
        runs         = directions x passes
        touched      = 1 - (1 - share)^runs
        slit length  = area / blade spacing x runs
        slit volume  = slit length x blade width x depth

    Parameters are lengths in metres, the area in square metres; `directions` is 1 or 2, two of them
    crossing, and `passes` how often each direction is run. The volume is the sum of all runs.

    Limits: for two crossing directions the share touched once is exact on any area much wider than the
    spacing; runs in the same direction are assumed to fall at random. The slit is taken as wide as the
    blade: ground that closes or tears gives another volume.

    Raises `ValueError` for figures that are not above zero, a blade wider than its spacing, or more than
    two directions.

    Examples
    --------
    Blades of 2 mm, 2 in apart, take 3.94 % of the surface in one direction:

    >>> slits = linear_slicing(area_m2=1, blade_width_m=0.002, blade_spacing_m=0.0508, depth_m=0.025)
    >>> round(slits.share_per_pass, 4)
    0.0394

    References
    ----------
    Geometry of strips; probability of independent events.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    width = work.given("blade width", blade_width_m, "meter")
    spacing = work.given("blade spacing", blade_spacing_m, "meter")
    depth = work.given("depth", depth_m, "meter")
    ways = work.counted("directions", directions)
    count = work.counted("passes", passes)
    if ways > 2:
        raise ValueError(f"directions: expected 1, or 2 that cross; got {ways!r}")
    if not fits(width, spacing):
        raise ValueError(f"blade width: expected at most the blade spacing, {spacing!r} meter; got {width!r}")

    runs = round(
        work.step("runs", ways * count, "each", "directions x passes", "directions", "passes", source=STRIPS)
    )
    share = work.step(
        "share per pass", min(width / spacing, 1.0), "ratio", "blade width / blade spacing",
        "blade width", "blade spacing", source=STRIPS,
    )  # fmt: skip
    covered = repeated(work, area, share, runs, "runs")
    length = work.step(
        "slit length", area / spacing * runs, "meter", "area / blade spacing x runs",
        "area", "blade spacing", "runs", source=STRIPS,
    )  # fmt: skip
    volume = work.step(
        "slit volume", length * width * depth, "cubic_meter", "slit length x blade width x depth",
        "slit length", "blade width", "depth", source=STRIPS,
    )  # fmt: skip
    return Slicing(share, *covered, length, volume, work.steps)


@dataclass(frozen=True, slots=True)
class KnifeSlits:
    """What knives that cut slit by slit do to an area. Shares are of the surface, from 0 to 1."""

    slits: int
    share_per_pass: float
    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    slit_length_m: float
    slit_volume_m3: float
    surface_per_slit_m2: float
    steps: Steps = field(repr=False, compare=False)


def knife_slits(
    *,
    area_m2: float,
    knife_thickness_m: float,
    slit_length_m: float,
    spacing_along_m: float,
    spacing_across_m: float,
    depth_m: float,
    passes: int = 1,
) -> KnifeSlits:
    """Number, length and share of surface of the separate slits of slicing and spiking knives.

    ::

        slits       = area / (spacing along x spacing across) x passes, rounded up
        share       = knife thickness x length of a slit / (spacing along x spacing across)
        touched     = 1 - (1 - share)^passes
        slit length = area / (spacing along x spacing across) x passes x length of a slit
        slit volume = slit length x knife thickness x depth

    Lengths in metres, the area in square metres; spacings are from middle to middle of slits, along and
    across the direction of travel. Knives part the ground and remove nothing: the volume is what they
    press aside.

    Limits: the slit is taken as a box. A pointed or curved knife leaves less than its full depth at the
    ends of a slit, so the volume is the most it can be; edges of the area are neglected, and passes are
    assumed to fall at random.

    Raises `ValueError` for figures that are not above zero, a knife thicker than the spacing across or a
    slit longer than the spacing along.

    References
    ----------
    Geometry of rectangles on a grid; probability of independent events.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    grid = knife_grid(
        work, knife_thickness_m=knife_thickness_m, slit_length_m=slit_length_m, spacing_along_m=spacing_along_m,
        spacing_across_m=spacing_across_m,
    )  # fmt: skip
    depth = work.given("depth", depth_m, "meter")
    count = work.counted("passes", passes)
    computed = area / grid.surface_per_slit_m2 * count
    slits = whole_up(computed)
    work.step(
        "slits", slits, "each", "area / surface per slit x passes, rounded up to whole slits",
        "area", "surface per slit", "passes", source=SLITS,
    )  # fmt: skip
    covered = repeated(work, area, grid.share, count)
    total = work.step(
        "slit length", computed * slit_length_m, "meter",
        "area / surface per slit x passes x length of a slit",
        "area", "surface per slit", "passes", "length of a slit", source=SLITS,
    )  # fmt: skip
    volume = work.step(
        "slit volume", total * knife_thickness_m * depth, "cubic_meter", "slit length x knife thickness x depth",
        "slit length", "knife thickness", "depth", source=SLITS,
    )  # fmt: skip
    return KnifeSlits(slits, grid.share, *covered, total, volume, grid.surface_per_slit_m2, work.steps)


@dataclass(frozen=True, slots=True)
class PassesNeeded:
    """Passes that bring a share of the surface to a goal, as computed and as whole passes."""

    passes_by_sum: float
    passes_by_overlap: float
    whole_passes_by_sum: int
    whole_passes_by_overlap: int
    steps: Steps = field(repr=False, compare=False)


def passes_needed(*, share_per_pass: float, goal_share: float) -> PassesNeeded:
    """Passes needed to exchange a goal share of the surface.

    ::

        by sum      n = goal / share
        by overlap  n = ln(1 - goal) / ln(1 - share)

    Both shares lie between 0 and 1, exclusive. By sum no two passes may ever meet, which nobody can steer
    for long; by overlap each pass falls at random. The truth lies between the two, near the second.

    Raises `ValueError` for shares outside their range.

    References
    ----------
    Probability of independent events. The count by sum is the one used by D. Minner, Iowa State University
    (SportsTurf, October 2011).
    """
    work = Working()
    share = share_given(work, "share per pass", share_per_pass, below_one=True)
    goal = share_given(work, "goal share", goal_share, below_one=True)
    by_sum = work.step(
        "passes by sum", goal / share, "each", "goal share / share per pass", "goal share", "share per pass",
        source=CONVENTION,
    )  # fmt: skip
    by_overlap = work.step(
        "passes by overlap", math.log1p(-goal) / math.log1p(-share), "each",
        "ln(1 - goal share) / ln(1 - share per pass)", "goal share", "share per pass", source=OVERLAP,
    )  # fmt: skip
    whole = [
        round(
            work.step(f"whole {name}", whole_up(figure), "each", f"{name}, rounded up to whole passes", name)
        )
        for name, figure in (("passes by sum", by_sum), ("passes by overlap", by_overlap))
    ]
    return PassesNeeded(by_sum, by_overlap, whole[0], whole[1], work.steps)
