"""Tee building and levelling: cut and fill between the ground as it is and as it will be, and the root zone."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

POINTS = "geometry: each surveyed point stands for an equal part of the area"
LAYER = "geometry: volume of a layer"
BALANCE = "earthwork balance: cut fills by its volume after compaction"


@dataclass(frozen=True, slots=True)
class MeanCut:
    """Mean depth of cut and of fill, each over the whole area."""

    cut_m: float
    fill_m: float
    steps: Steps = field(repr=False, compare=False)


def mean_cut_and_fill(*, existing_m: Sequence[float], finished_m: Sequence[float]) -> MeanCut:
    """Mean cut and mean fill from heights surveyed on an even grid.

    ::

        mean cut  = sum of (existing - finished) where above zero / points
        mean fill = sum of (finished - existing) where above zero / points

    Heights in metres above one datum, as many finished as existing; a level tee has one finished height, a
    sloping one the heights of its plane. Limits: each point stands for an equal part of the area; cut and
    fill within one such part cancel, so a coarse grid finds too little of both.

    Raises `ValueError` for no points, heights that are not finite, or as many of one as not of the other.

    Examples
    --------
    >>> heights = mean_cut_and_fill(existing_m=[1.0, 2.0], finished_m=[1.5, 1.5])
    >>> heights.cut_m, heights.fill_m
    (0.25, 0.25)

    References
    ----------
    Grid method of earthwork, construction estimating textbooks.
    """
    if not existing_m or len(existing_m) != len(finished_m):
        raise ValueError(
            f"heights: expected as many finished as existing, one or more; got {len(existing_m)} existing and "
            f"{len(finished_m)} finished"
        )
    if not all(math.isfinite(height) for height in (*existing_m, *finished_m)):
        raise ValueError("heights: expected finite heights, in meter")
    work = Working()
    points = work.counted("points", len(existing_m))
    cuts = [one - other for one, other in zip(existing_m, finished_m, strict=True)]
    means = []
    for name, depths in (("cut", cuts), ("fill", [-depth for depth in cuts])):
        names = []
        for number, depth in enumerate(depths, 1):
            if depth > 0:
                names.append(f"{name} at point {number}")
                work.given(names[-1], depth, "meter")
        total = math.fsum(depth for depth in depths if depth > 0)
        if names:
            formula, inputs = f"({' + '.join(names)}) / points", (*names, "points")
        else:
            formula, inputs = "0 / points", ("points",)
        source = POINTS if names else f"no point needs {name}"
        means.append(work.step(f"mean {name}", total / points, "meter", formula, *inputs, source=source))
    return MeanCut(means[0], means[1], work.steps)


@dataclass(frozen=True, slots=True)
class Earthwork:
    """Cut and fill of an area, and what is left over or missing. Fill is in its compacted state."""

    cut_volume_m3: float
    fill_volume_m3: float
    cut_as_fill_m3: float
    fill_to_bring_in_m3: float
    cut_to_spare_m3: float
    steps: Steps = field(repr=False, compare=False)


def level_ground(
    *, area_m2: float, mean_cut_m: float, mean_fill_m: float, compacted_factor: float = 1.0
) -> Earthwork:
    """Cut, fill and their balance over an area.

    ::

        cut volume       = area x mean cut
        fill volume      = area x mean fill
        cut as fill      = cut volume x compacted factor
        fill to bring in = fill volume - cut as fill, where that is above zero
        cut to spare     = cut as fill - fill volume, where that is above zero

    Area in square metres, mean depths over the whole area in metres. The factor is what a volume in place
    fills after compaction, about 0.9 for common earth. Limits: the cut is taken to be fit for filling.

    Raises `ValueError` for an area that is not above zero, negative depths, or no cut and no fill at all.

    References
    ----------
    Geometry. US military soil conversion table: common earth 0.90 compacted, sand 0.95.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depths = (
        work.given("mean cut", mean_cut_m, "meter", zero=True),
        work.given("mean fill", mean_fill_m, "meter", zero=True),
    )
    if not any(depths):
        raise ValueError("mean cut: expected some cut or some fill; got neither")
    factor = work.given("compacted factor", compacted_factor, "ratio")
    cut, fill = (
        work.step(f"{name} volume", area * depth, "cubic_meter", f"area x mean {name}", "area", f"mean {name}",
                  source=LAYER)
        for name, depth in zip(("cut", "fill"), depths, strict=True)
    )  # fmt: skip
    usable = work.step(
        "cut as fill", cut * factor, "cubic_meter", "cut volume x compacted factor",
        "cut volume", "compacted factor", source=BALANCE,
    )  # fmt: skip
    short = _excess(work, "fill to bring in", "fill volume", fill, "cut as fill", usable)
    spare = _excess(work, "cut to spare", "cut as fill", usable, "fill volume", fill)
    return Earthwork(cut, fill, usable, short, spare, work.steps)


@dataclass(frozen=True, slots=True)
class RootZone:
    """Root zone over a tee, in place."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def root_zone_layer(*, area_m2: float, depth_m: float) -> RootZone:
    """Volume in place of a root zone.

    ::

        root zone volume = area x root zone depth

    Area in square metres, depth after settling in metres. Limits: an even depth.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("root zone depth", depth_m, "meter")
    volume = work.step(
        "root zone volume", area * depth, "cubic_meter", "area x root zone depth", "area", "root zone depth",
        source=LAYER,
    )  # fmt: skip
    return RootZone(volume, work.steps)


def _excess(work: Working, name: str, large: str, one: float, small: str, other: float) -> float:
    """What one volume exceeds the other by; a plain zero where it does not."""
    if one > other:
        return work.step(name, one - other, "cubic_meter", f"{large} - {small}", large, small, source=BALANCE)
    return work.step(
        name, 0.0, "cubic_meter", f"0 x ({large} - {small})", large, small,
        source=f"{BALANCE}; none where the difference is not above zero",
    )  # fmt: skip
