"""How openings cover a surface: holes on a grid, slits, and what repeated passes come to.

Shared by every kind of cultivation. Two answers are given for repeated passes, since they differ and both
are asked for. The *sum of passes* is the trade's convention: shares of all passes added up. The *touched
once* share is geometry: the part of the surface that at least one pass has met, assuming that each pass
falls anywhere with regard to the others.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits

GRID = "geometry: one hole to each cell of the spacing grid"
TRIANGLE = "geometry: holes at the corners of equal triangles, two triangles to a hole"
CYLINDER = "geometry: area of a circle, volume of a cylinder"
STRIPS = "geometry: parallel strips of one width at one spacing"
CONVENTION = "common practice: shares of all passes added up"
SLITS = "geometry: one slit to each cell of the spacing grid"
OVERLAP = "probability: passes that fall independently miss a point by the product of their chances"


@dataclass(frozen=True, slots=True)
class Grid:
    """One hole and the surface that belongs to it."""

    surface_per_hole_m2: float
    section_m2: float
    share: float


def hole_grid(
    work: Working,
    *,
    diameter_m: float,
    diameter_name: str,
    spacing_along_m: float,
    spacing_across_m: float | None,
    share_name: str = "share per pass",
) -> Grid:
    """Take in the diameter and spacing of holes, and record their section and share of the surface.

    Without a spacing across, holes stand in a triangular pattern, `spacing_along_m` from each neighbour.
    Raises `ValueError` for figures that are not above zero and holes wider than their spacing.
    """
    diameter = work.given(diameter_name, diameter_m, "meter")
    along = work.given("spacing along", spacing_along_m, "meter")
    across = along if spacing_across_m is None else work.given("spacing across", spacing_across_m, "meter")
    if not fits(diameter, min(along, across)):
        raise ValueError(
            f"{diameter_name}: expected at most the closest spacing, {min(along, across)!r} meter; "
            f"got {diameter!r}"
        )
    if spacing_across_m is None:
        cell = work.step(
            "surface per hole", 3**0.5 / 2 * along**2, "square_meter", "3^0.5 / 2 x spacing along^2",
            "spacing along", source=TRIANGLE,
        )  # fmt: skip
    else:
        cell = work.step(
            "surface per hole", along * across, "square_meter", "spacing along x spacing across",
            "spacing along", "spacing across", source=GRID,
        )  # fmt: skip
    circle = work.step(
        "hole section", math.pi / 4 * diameter**2, "square_meter", f"pi / 4 x {diameter_name}^2", diameter_name,
        source=CYLINDER,
    )  # fmt: skip
    share = work.step(
        share_name, circle / cell, "ratio", "hole section / surface per hole", "hole section", "surface per hole",
        source=GRID,
    )  # fmt: skip
    return Grid(cell, circle, share)


def holes_of(work: Working, area: float, grid: Grid, count: int) -> float:
    """Record how many holes all passes make."""
    return work.step(
        "holes", area / grid.surface_per_hole_m2 * count, "hole", "area / surface per hole x passes",
        "area", "surface per hole", "passes", source=GRID,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Opening:
    """The share of the surface that one run opens."""

    share: float
    steps: Steps = field(repr=False, compare=False)


def hole_opening(*, diameter_m: float, spacing_along_m: float, spacing_across_m: float | None) -> Opening:
    """Share of the surface that one run of holes opens.

    ::

        share = (pi / 4 x diameter^2) / (spacing along x spacing across)

    Lengths in metres. Without a spacing across, holes stand in a triangular pattern, each `spacing_along_m`
    from its neighbours, and the surface of a hole is 3^0.5 / 2 x spacing^2. Limits: whole holes, edges
    neglected.

    Raises `ValueError` for figures that are not above zero and holes wider than their spacing.

    Examples
    --------
    >>> round(hole_opening(diameter_m=0.0127, spacing_along_m=0.0508, spacing_across_m=0.0508).share, 4)
    0.0491

    References
    ----------
    Geometry of the circle and of regular patterns.
    """
    work = Working()
    grid = hole_grid(
        work, diameter_m=diameter_m, diameter_name="hole diameter", spacing_along_m=spacing_along_m,
        spacing_across_m=spacing_across_m, share_name="share",
    )  # fmt: skip
    return Opening(grid.share, work.steps)


def slit_opening(*, width_m: float, spacing_m: float) -> Opening:
    """Share of the surface that one run of unbroken slits in one direction opens.

    ::

        share = slit width / slit spacing

    Lengths in metres. Limits: slits as wide as their blade.

    Raises `ValueError` for figures that are not above zero and slits wider than their spacing.

    References
    ----------
    Geometry of strips.
    """
    work = Working()
    width = work.given("slit width", width_m, "meter")
    spacing = work.given("slit spacing", spacing_m, "meter")
    if not fits(width, spacing):
        raise ValueError(f"slit width: expected at most the slit spacing, {spacing!r} meter; got {width!r}")
    share = work.step(
        "share", min(width / spacing, 1.0), "ratio", "slit width / slit spacing", "slit width", "slit spacing",
        source=STRIPS,
    )  # fmt: skip
    return Opening(share, work.steps)


@dataclass(frozen=True, slots=True)
class KnifeGrid:
    """The surface that belongs to one separate slit, and the share of it that the slit opens."""

    surface_per_slit_m2: float
    share: float


def knife_grid(
    work: Working,
    *,
    knife_thickness_m: float,
    slit_length_m: float,
    spacing_along_m: float,
    spacing_across_m: float,
    share_name: str = "share per pass",
) -> KnifeGrid:
    """Take in the size and spacing of separate slits, and record their share of the surface.

    Raises `ValueError` for figures that are not above zero and slits larger than their spacing.
    """
    thickness = work.given("knife thickness", knife_thickness_m, "meter")
    length = work.given("length of a slit", slit_length_m, "meter")
    along = work.given("spacing along", spacing_along_m, "meter")
    across = work.given("spacing across", spacing_across_m, "meter")
    for name, part, whole_name, whole in (
        ("knife thickness", thickness, "spacing across", across),
        ("length of a slit", length, "spacing along", along),
    ):
        if not fits(part, whole):
            raise ValueError(f"{name}: expected at most the {whole_name}, {whole!r} meter; got {part!r}")
    cell = work.step(
        "surface per slit", along * across, "square_meter", "spacing along x spacing across",
        "spacing along", "spacing across", source=SLITS,
    )  # fmt: skip
    share = work.step(
        share_name, min(thickness * length / cell, 1.0), "ratio",
        "knife thickness x length of a slit / surface per slit",
        "knife thickness", "length of a slit", "surface per slit", source=SLITS,
    )  # fmt: skip
    return KnifeGrid(cell, share)


def knife_opening(
    *, knife_thickness_m: float, slit_length_m: float, spacing_along_m: float, spacing_across_m: float
) -> Opening:
    """Share of the surface that one run of separate slits opens.

    ::

        share = knife thickness x length of a slit / (spacing along x spacing across)

    Lengths in metres. Limits: slits as wide as their knife.

    Raises `ValueError` for figures that are not above zero and slits larger than their spacing.

    References
    ----------
    Geometry of rectangles on a grid.
    """
    work = Working()
    grid = knife_grid(
        work, knife_thickness_m=knife_thickness_m, slit_length_m=slit_length_m, spacing_along_m=spacing_along_m,
        spacing_across_m=spacing_across_m, share_name="share",
    )  # fmt: skip
    return Opening(grid.share, work.steps)


def share_given(work: Working, name: str, share: float, *, below_one: bool = False) -> float:
    """Take in a share of a surface. Raises `ValueError` unless it is above 0 and at most (or below) 1."""
    if not share <= 1 or (below_one and share == 1):
        most = "below 1" if below_one else "at most 1"
        raise ValueError(f"{name}: expected a share above 0 and {most}; got {share!r}")
    return work.given(name, share, "ratio")


def touched(share: float, count: int) -> float:
    """The share that at least one of several runs has met.

    log1p and expm1 keep the digits of small shares, and one run touches exactly its share.
    """
    if share == 1 or count == 1:
        return share
    return -math.expm1(count * math.log1p(-share))


def touched_by_any(runs: Iterable[tuple[float, int]]) -> float:
    """The share that at least one of several kinds of runs has met, each a share and how often it is run."""
    runs = tuple(runs)
    if any(share >= 1 for share, _ in runs):
        return 1.0
    return -math.expm1(math.fsum(count * math.log1p(-share) for share, count in runs))


def repeated(
    work: Working, area: float, share: float, count: int, counted: str = "passes"
) -> tuple[float, float, float, float]:
    """Record shares and areas of repeated passes: sum of shares, touched once, and both as areas."""
    total = work.step(
        "share sum of passes", share * count, "ratio", f"share per pass x {counted}",
        "share per pass", counted, source=CONVENTION,
    )  # fmt: skip
    once = work.step(
        "share touched once", touched(share, count), "ratio", f"1 - (1 - share per pass)^{counted}",
        "share per pass", counted, source=OVERLAP,
    )  # fmt: skip
    return (total, once, *areas_of(work, area, total, once))


def areas_of(work: Working, area: float, total: float, once: float) -> tuple[float, float]:
    """Record a sum of shares and a share touched once as areas."""
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
