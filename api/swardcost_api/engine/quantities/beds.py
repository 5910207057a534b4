"""Beds under mulch, wood chips, straw or pine straw: volume by depth; packs are in `materials`."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits


@dataclass(frozen=True, slots=True)
class Cover:
    """A cover over beds, after spreading."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def bed_cover(*, area_m2: float, depth_m: float, old_depth_m: float = 0.0) -> Cover:
    """Volume that brings beds to a depth of cover.

    ::

        mulch volume = area x (cover depth - old cover depth)

    Area in square metres, depths in metres after spreading; what still lies there counts as old cover.
    Limits: settlement belongs into the allowance; pine straw loses a quarter of its height in months.

    Raises `ValueError` for figures that are not above zero, or old cover as deep as the new.

    Examples
    --------
    A cubic yard covers 108 square feet at 3 in:

    >>> round(bed_cover(area_m2=108 * 0.3048**2, depth_m=0.0762).volume_m3 / 0.9144**3, 9)
    1.0

    References
    ----------
    Geometry; the same in the mulch table of the University of Maine Cooperative Extension.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("cover depth", depth_m, "meter")
    old = work.given("old cover depth", old_depth_m, "meter", zero=True)
    if fits(depth, old):
        raise ValueError(f"old cover depth: expected less than the cover depth, {depth!r} meter; got {old!r}")
    volume = work.step(
        "mulch volume", area * (depth - old), "cubic_meter", "area x (cover depth - old cover depth)",
        "area", "cover depth", "old cover depth", source="geometry: volume of a layer",
    )  # fmt: skip
    return Cover(volume, work.steps)
