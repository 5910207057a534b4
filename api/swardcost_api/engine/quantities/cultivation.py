"""Cultivation that opens the surface: holes of hollow tines, slits of blades, and what passes add up to.

Two answers are given for repeated passes, since they differ and both are asked for. The *sum of passes* is
the trade's convention: shares of all passes added up. The *touched once* share is geometry: the part of the
surface that at least one pass has met, assuming that each pass falls anywhere with regard to the others.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

GRID = "geometry: one hole to each cell of the spacing grid"
CYLINDER = "geometry: area of a circle, volume of a cylinder"
STRIPS = "geometry: parallel strips of one width at one spacing"
CONVENTION = "common practice: shares of all passes added up"
OVERLAP = "probability: passes that fall independently miss a point by the product of their chances"


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
    spacing_across_m: float,
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
    diameter; for a solid tine, which presses aside, give the outside diameter and read no cores from it.
    The fill volume is the volume of the open holes when every pass is filled before the next one.

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
    diameter = work.given("tine inside diameter", inside_diameter_m, "meter")
    along = work.given("spacing along", spacing_along_m, "meter")
    across = work.given("spacing across", spacing_across_m, "meter")
    depth = work.given("depth", depth_m, "meter")
    count = work.counted("passes", passes)
    if not fits(diameter, min(along, across)):
        raise ValueError(
            f"tine inside diameter: expected at most the closest spacing, {min(along, across)!r} meter; "
            f"got {diameter!r}"
        )

    cell = work.step(
        "surface per hole", along * across, "square_meter", "spacing along x spacing across",
        "spacing along", "spacing across", source=GRID,
    )  # fmt: skip
    circle = work.step(
        "hole section", math.pi / 4 * diameter**2, "square_meter", "pi / 4 x tine inside diameter^2",
        "tine inside diameter", source=CYLINDER,
    )  # fmt: skip
    holes = work.step(
        "holes", area / cell * count, "hole", "area / surface per hole x passes",
        "area", "surface per hole", "passes", source=GRID,
    )  # fmt: skip
    share = work.step(
        "share per pass", circle / cell, "ratio", "hole section / surface per hole",
        "hole section", "surface per hole", source=GRID,
    )  # fmt: skip
    total, once = _passes(work, share, count)
    total_area, once_area = _areas(work, area, total, once)
    cores = work.step(
        "core volume", holes * circle * depth, "cubic_meter", "holes x hole section x depth",
        "holes", "hole section", "depth", source=CYLINDER,
    )  # fmt: skip
    fill = work.step(
        "fill volume", cores, "cubic_meter", "core volume, every pass filled before the next", "core volume",
        source="common practice: the holes of every pass are filled",
    )  # fmt: skip
    return Coring(holes, share, total, once, total_area, once_area, cores, fill, cell, work.steps)


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
    total, once = _passes(work, share, runs, "runs")
    total_area, once_area = _areas(work, area, total, once)
    length = work.step(
        "slit length", area / spacing * runs, "meter", "area / blade spacing x runs",
        "area", "blade spacing", "runs", source=STRIPS,
    )  # fmt: skip
    volume = work.step(
        "slit volume", length * width * depth, "cubic_meter", "slit length x blade width x depth",
        "slit length", "blade width", "depth", source=STRIPS,
    )  # fmt: skip
    return Slicing(share, total, once, total_area, once_area, length, volume, work.steps)


@dataclass(frozen=True, slots=True)
class Program:
    """Several passes of any kind together. Shares are of the surface."""

    share_sum_of_passes: float
    share_touched_once: float
    steps: Steps = field(repr=False, compare=False)


def program(shares: Sequence[float]) -> Program:
    """What a program of passes opens: the sum of their shares, and the share that at least one has touched.

    ::

        sum     = p1 + p2 + ...
        touched = 1 - (1 - p1) x (1 - p2) x ...

    Each share is of the surface, above 0 and at most 1. Limits: the passes are assumed independent.

    Raises `ValueError` for an empty program or a share outside its range.

    References
    ----------
    Probability of independent events.
    """
    if not shares:
        raise ValueError("shares: expected the share of at least one pass; got none")
    work = Working()
    names = [f"share of pass {number}" for number in range(1, len(shares) + 1)]
    for name, share in zip(names, shares, strict=True):
        _share(work, name, share)
    total = work.step(
        "share sum of passes", math.fsum(shares), "ratio", " + ".join(names), *names, source=CONVENTION
    )
    once = work.step(
        "share touched once", 1 - math.prod(1 - share for share in shares), "ratio",
        "1 - " + " x ".join(f"(1 - {name})" for name in names), *names, source=OVERLAP,
    )  # fmt: skip
    return Program(total, once, work.steps)


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
    share = _share(work, "share per pass", share_per_pass, below_one=True)
    goal = _share(work, "goal share", goal_share, below_one=True)
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


def _share(work: Working, name: str, share: float, *, below_one: bool = False) -> float:
    if not share <= 1 or (below_one and share == 1):
        most = "below 1" if below_one else "at most 1"
        raise ValueError(f"{name}: expected a share above 0 and {most}; got {share!r}")
    return work.given(name, share, "ratio")


def _passes(work: Working, share: float, count: int, counted: str = "passes") -> tuple[float, float]:
    total = work.step(
        "share sum of passes", share * count, "ratio", f"share per pass x {counted}",
        "share per pass", counted, source=CONVENTION,
    )  # fmt: skip
    # log1p and expm1 keep the digits of small shares, and one pass touches exactly its share.
    touched = 1.0 if share == 1 else -math.expm1(count * math.log1p(-share)) if count > 1 else share
    once = work.step(
        "share touched once", touched, "ratio", f"1 - (1 - share per pass)^{counted}",
        "share per pass", counted, source=OVERLAP,
    )  # fmt: skip
    return total, once


def _areas(work: Working, area: float, total: float, once: float) -> tuple[float, float]:
    return (
        work.step(
            "area sum of passes", area * total, "square_meter", "area x share sum of passes",
            "area", "share sum of passes", source=CONVENTION,
        ),
        work.step(
            "area touched once", area * once, "square_meter", "area x share touched once",
            "area", "share touched once", source=OVERLAP,
        ),
    )  # fmt: skip
