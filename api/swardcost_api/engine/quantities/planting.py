"""Tree planting: how many trees a spacing takes, and their pits, backfill, stakes, mulch and water."""

import math
from dataclasses import dataclass, field
from typing import Literal

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

GRID = "geometry: one tree to each cell of the spacing grid"
CYLINDER = "geometry: volume of a cylinder"


@dataclass(frozen=True, slots=True)
class TreesOnGrid:
    """Trees that a spacing takes on an area."""

    computed: float
    trees: int
    steps: Steps = field(repr=False, compare=False)


def trees_on_grid(
    *, area_m2: float, spacing_m: float, pattern: Literal["square", "triangular"] = "square"
) -> TreesOnGrid:
    """Whole trees at one spacing, in a square or a triangular pattern.

    ::

        square      trees = planting area / spacing^2, rounded up
        triangular  trees = planting area / (spacing^2 x 3^0.5 / 2), rounded up

    Area in square metres, spacing in metres; in a triangle every neighbour is at that distance. Limits: no
    clear strip along the edges.

    Raises `ValueError` for figures that are not above zero or another pattern.

    Examples
    --------
    Trees at 9 x 9 ft on an acre:

    >>> trees_on_grid(area_m2=4046.8564224, spacing_m=9 * 0.3048).trees
    538

    References
    ----------
    K. D. Coder, Number of trees per acre by spacing distance, University of Georgia.
    """
    if pattern not in ("square", "triangular"):
        raise ValueError(f"pattern: expected square or triangular; got {pattern!r}")
    work = Working()
    area = work.given("planting area", area_m2, "square_meter")
    spacing = work.given("tree spacing", spacing_m, "meter")
    cell, formula = (
        (spacing**2, "tree spacing^2")
        if pattern == "square"
        else (spacing**2 * 3**0.5 / 2, "(tree spacing^2 x 3^0.5 / 2)")
    )
    computed = area / cell
    trees = whole_up(computed)
    work.step(
        "trees", trees, "tree", f"planting area / {formula}, rounded up to whole trees",
        "planting area", "tree spacing", source=GRID,
    )  # fmt: skip
    return TreesOnGrid(computed, trees, work.steps)


@dataclass(frozen=True, slots=True)
class Pits:
    """Pits of trees: dug, refilled and left over."""

    pit_volume_m3: float
    backfill_volume_m3: float
    amendment_volume_m3: float
    spoil_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def tree_pits(
    *,
    trees: int,
    pit_diameter_m: float,
    pit_depth_m: float,
    ball_diameter_m: float,
    ball_depth_m: float,
    amendment_share: float = 0.0,
) -> Pits:
    """Volumes of pits, of the backfill around root balls, and of what is mixed in and left over.

    ::

        pit volume       = trees x pi / 4 x pit diameter^2 x pit depth
        ball volume      = trees x pi / 4 x ball diameter^2 x ball depth
        backfill volume  = pit volume - ball volume
        amendment volume = backfill volume x amendment share
        pit spoil        = ball volume + amendment volume

    Lengths in metres, volumes for all trees; the share is the part of the backfill that is brought in.
    Limits: pits and balls as cylinders, which a tapering ball is not: backfill comes out a little low.

    Raises `ValueError` for figures that are not above zero, a share above 1, or a ball larger than its pit.

    References
    ----------
    Geometry. A pit two to three times as wide as the ball and no deeper is common practice.
    """
    work = Working()
    count = work.counted("trees", trees)
    pit_wide = work.given("pit diameter", pit_diameter_m, "meter")
    pit_deep = work.given("pit depth", pit_depth_m, "meter")
    ball_wide = work.given("ball diameter", ball_diameter_m, "meter")
    ball_deep = work.given("ball depth", ball_depth_m, "meter")
    share = work.given("amendment share", amendment_share, "ratio", zero=True)
    if not share <= 1:
        raise ValueError(f"amendment share: expected at most 1; got {share!r}")
    for name, ball, pit in (("diameter", ball_wide, pit_wide), ("depth", ball_deep, pit_deep)):
        if not fits(ball, pit):
            raise ValueError(f"ball {name}: expected at most the pit's, {pit!r} meter; got {ball!r}")
    pit_volume, ball_volume = (
        work.step(
            f"{name} volume", count * math.pi / 4 * wide**2 * deep, "cubic_meter",
            f"trees x pi / 4 x {name} diameter^2 x {name} depth", "trees", f"{name} diameter", f"{name} depth",
            source=CYLINDER,
        )
        for name, wide, deep in (("pit", pit_wide, pit_deep), ("ball", ball_wide, ball_deep))
    )  # fmt: skip
    backfill = work.step(
        "backfill volume", max(pit_volume - ball_volume, 0.0), "cubic_meter", "pit volume - ball volume",
        "pit volume", "ball volume", source="geometry",
    )  # fmt: skip
    mixed = work.step(
        "amendment volume", backfill * share, "cubic_meter", "backfill volume x amendment share",
        "backfill volume", "amendment share", source="share of the backfill, as given",
    )  # fmt: skip
    spoil = work.step(
        "pit spoil", ball_volume + mixed, "cubic_meter", "ball volume + amendment volume",
        "ball volume", "amendment volume", source="what goes in pushes as much out",
    )  # fmt: skip
    return Pits(pit_volume, backfill, mixed, spoil, work.steps)


@dataclass(frozen=True, slots=True)
class Rings:
    """Mulch rings around trees."""

    ring_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def mulch_rings(*, trees: int, ring_diameter_m: float, depth_m: float) -> Rings:
    """Mulch in rings around trees.

    ::

        ring volume = trees x pi / 4 x ring diameter^2 x ring depth

    Lengths in metres. Limits: the space kept free around the trunk is neglected.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    count = work.counted("trees", trees)
    ring = work.given("ring diameter", ring_diameter_m, "meter")
    depth = work.given("ring depth", depth_m, "meter")
    volume = work.step(
        "ring volume", count * math.pi / 4 * ring**2 * depth, "cubic_meter",
        "trees x pi / 4 x ring diameter^2 x ring depth", "trees", "ring diameter", "ring depth", source=CYLINDER,
    )  # fmt: skip
    return Rings(volume, work.steps)


@dataclass(frozen=True, slots=True)
class Aftercare:
    """Stakes and water for trees."""

    stakes: int | None
    water_volume_m3: float | None
    steps: Steps = field(repr=False, compare=False)


def stakes_and_water(
    *,
    trees: int,
    stakes_per_tree: int | None = None,
    water_per_tree_m3: float | None = None,
    waterings: int = 1,
) -> Aftercare:
    """Stakes, and water over a number of waterings.

    ::

        stakes       = trees x stakes per tree
        water volume = trees x water per tree x waterings

    Water in cubic metres for one tree and watering. Limits: rain is not counted.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    count = work.counted("trees", trees)
    stakes = water = None
    if stakes_per_tree is not None:
        each = work.counted("stakes per tree", stakes_per_tree)
        stakes = count * each
        work.step("stakes", stakes, "each", "trees x stakes per tree", "trees", "stakes per tree")
    if water_per_tree_m3 is not None:
        dose = work.given("water per tree", water_per_tree_m3, "cubic_meter")
        times = work.counted("waterings", waterings)
        water = work.step(
            "water volume", count * dose * times, "cubic_meter", "trees x water per tree x waterings",
            "trees", "water per tree", "waterings",
        )  # fmt: skip
    return Aftercare(stakes, water, work.steps)
