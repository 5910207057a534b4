"""The profile below the surface: what share of each band of depth a program of passes takes out and replaces."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.program import ProgramPass, taken_in
from swardcost_api.engine.quantities.surface import CONVENTION, OVERLAP, touched_by_any
from swardcost_api.engine.quantities.working import Steps, Working, fits

AVERAGE = "geometry: average of the band's layers, each counted by its thickness"

WAYS = ("removed", "filled")


@dataclass(frozen=True, slots=True)
class Band:
    """A band of the profile. Shares are of its volume; those by sum may exceed 1."""

    top_m: float
    bottom_m: float
    removed_by_sum: float
    removed_once: float
    filled_by_sum: float
    filled_once: float


@dataclass(frozen=True, slots=True)
class Exchange:
    """The bands of a profile from the surface down."""

    bands: tuple[Band, ...]
    steps: Steps = field(repr=False, compare=False)


def exchange_by_depth(*, passes: Sequence[ProgramPass], band_bottoms_m: Sequence[float]) -> Exchange:
    """What share of each band of the profile is removed and what share is filled with sand.

    ::

        by sum  = sum of share x runs x part of the band's thickness that the pass reaches
        once    = 1 - (1 - p1)^n1 x (1 - p2)^n2 x ... of the passes that reach, averaged over the thickness

    `band_bottoms_m` are the depths in metres at which bands end; the first begins at the surface, each
    other one where the last ended. For the share removed, p is share of surface x removed share; for the
    share filled, share of surface x filled share. The profile is cut at the end of every band and pass, so
    that each layer is either reached by a pass or not, and bands average their layers.

    Limits: passes are assumed independent, straight down and of full depth, sand spread evenly over the
    depth of its hole. The share filled at least once is not what sand makes up of the band: sand taken
    out again by a later pass is still counted.

    Raises `ValueError` for an empty program, no bands, bands that do not run downwards, or figures outside
    their range.

    Examples
    --------
    Cores of 4.91 % to 100 mm, in bands of 80 mm: all of the first band, a quarter of the second.

    >>> cores = ProgramPass(share=0.0491, depth_m=0.1, removed_share=1, filled_share=1)
    >>> found = exchange_by_depth(passes=[cores], band_bottoms_m=[0.08, 0.16])
    >>> [round(band.removed_once, 6) for band in found.bands]
    [0.0491, 0.012275]

    References
    ----------
    Geometry; probability of independent events.
    """
    work = Working()
    taken_in(work, passes)
    bottoms = _bottoms(band_bottoms_m)
    cuts = _cuts(bottoms, [one.depth_m for one in passes])
    for number, (top, bottom) in enumerate(zip((0.0, *cuts[:-1]), cuts, strict=True), 1):
        _layer(work, number, top, bottom, passes)
    bands, begun = [], 0
    for number, (top, bottom) in enumerate(zip((0.0, *bottoms[:-1]), bottoms, strict=True), 1):
        ended = cuts.index(bottom) + 1
        bands.append(_band(work, number, top, bottom, range(begun + 1, ended + 1)))
        begun = ended
    return Exchange(tuple(bands), work.steps)


def _bottoms(bottoms: Sequence[float]) -> list[float]:
    if not bottoms:
        raise ValueError("band bottoms: expected the depth of at least one; got none")
    above = 0.0
    for number, bottom in enumerate(bottoms, 1):
        if not math.isfinite(bottom) or fits(bottom, above):
            raise ValueError(f"band {number} bottom: expected more than {above!r} meter; got {bottom!r}")
        above = bottom
    return list(bottoms)


def _cuts(bottoms: Sequence[float], depths: Sequence[float]) -> list[float]:
    """Where layers end: at the end of every band, and of every pass that ends within one."""
    cuts = list(bottoms)
    for depth in depths:
        if depth < bottoms[-1] and not any(fits(depth, cut) and fits(cut, depth) for cut in cuts):
            cuts.append(depth)
    return sorted(cuts)


def _layer(work: Working, layer: int, top: float, bottom: float, passes: Sequence[ProgramPass]) -> None:
    work.given(f"layer {layer} top", top, "meter", zero=True)
    work.given(f"layer {layer} bottom", bottom, "meter")
    work.step(
        f"layer {layer} thickness", bottom - top, "meter", f"layer {layer} bottom - layer {layer} top",
        f"layer {layer} bottom", f"layer {layer} top", source="geometry",
    )  # fmt: skip
    reaching = [(n, one) for n, one in enumerate(passes, 1) if fits(bottom, one.depth_m)]
    for way in WAYS:
        doing = [
            (n, one.share * part, one.runs)
            for n, one in reaching
            if (part := one.removed_share if way == "removed" else one.filled_share) > 0
        ]
        none = f"no pass of the program has this layer {way}"
        used = [f"pass {n} {name}" for n, _, _ in doing for name in ("share", f"{way} share", "runs")]
        by_sum = math.fsum(share * runs for _, share, runs in doing)
        once = touched_by_any((share, runs) for _, share, runs in doing)
        work.step(
            f"layer {layer} {way} by sum", by_sum, "ratio",
            " + ".join(f"pass {n} share x pass {n} {way} share x pass {n} runs" for n, _, _ in doing) or "0",
            *used, source=CONVENTION if doing else none,
        )  # fmt: skip
        work.step(
            f"layer {layer} {way} once", once, "ratio",
            "1 - " + " x ".join(f"(1 - pass {n} share x pass {n} {way} share)^pass {n} runs" for n, _, _ in doing)
            if doing
            else "0",
            *used, source=OVERLAP if doing else none,
        )  # fmt: skip


def _band(work: Working, number: int, top: float, bottom: float, layers: range) -> Band:
    work.given(f"band {number} top", top, "meter", zero=True)
    work.given(f"band {number} bottom", bottom, "meter")
    work.step(
        f"band {number} thickness", bottom - top, "meter", f"band {number} bottom - band {number} top",
        f"band {number} bottom", f"band {number} top", source="geometry",
    )  # fmt: skip
    found = []
    for way in ("removed by sum", "removed once", "filled by sum", "filled once"):
        names = [name for n in layers for name in (f"layer {n} {way}", f"layer {n} thickness")]
        whole = math.fsum(
            work.steps[names[i]].value * work.steps[names[i + 1]].value for i in range(0, len(names), 2)
        )
        share = whole / (bottom - top)
        found.append(
            work.step(
                f"band {number} {way}", min(share, 1.0) if way.endswith("once") else share, "ratio",
                "(" + " + ".join(f"layer {n} {way} x layer {n} thickness" for n in layers)
                + f") / band {number} thickness",
                *names, f"band {number} thickness", source=AVERAGE,
            )
        )  # fmt: skip
    return Band(top, bottom, *found)
