"""Ground around greens, tees and bunkers: a strip of some width along their edge."""

import math
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

STRIP = "geometry: strip of one width outside closed lines (Steiner)"
LAYER = "geometry: volume of a layer"


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip outside the edge of one or several features."""

    area_m2: float
    steps: Steps = field(repr=False, compare=False)


def strip_around(*, perimeter_m: float, width_m: float, features: int = 1) -> Strip:
    """Area of a strip of one width outside the edges of features.

    ::

        strip area = perimeter x strip width + features x pi x strip width^2

    Lengths in metres; the perimeter is that of all `features` together. The second term is what the strip
    gains by turning once around each of them. Limits: exact while the strip does not run into itself, as in
    a bay narrower than twice the width.

    Raises `ValueError` for lengths that are not above zero or features that are not whole.

    Examples
    --------
    A strip of 1 m around a circle of radius 10 m is 21 x pi:

    >>> round(strip_around(perimeter_m=2 * math.pi * 10, width_m=1).area_m2 / math.pi, 9)
    21.0

    References
    ----------
    Steiner's formula for the area of an outer parallel region.
    """
    work = Working()
    perimeter = work.given("perimeter", perimeter_m, "meter")
    width = work.given("strip width", width_m, "meter")
    count = work.counted("features", features)
    area = work.step(
        "strip area", perimeter * width + count * math.pi * width**2, "square_meter",
        "perimeter x strip width + features x pi x strip width^2",
        "perimeter", "strip width", "features", source=STRIP,
    )  # fmt: skip
    return Strip(area, work.steps)


@dataclass(frozen=True, slots=True)
class Turf:
    """Ground to be turfed: a feature with the strip around it."""

    area_m2: float
    steps: Steps = field(repr=False, compare=False)


def turf_with_strip(
    *, area_m2: float | None = None, strip_area_m2: float | None = None, area_name: str = "area"
) -> Turf:
    """Area of a feature and of the strip around it, or of one of them.

    ::

        turf area = area + strip area

    Areas in square metres. Limits: slopes are longer than their plan.

    Raises `ValueError` for areas that are not above zero, or none at all.

    References
    ----------
    Arithmetic.
    """
    work = Working()
    parts = {
        name: work.given(name, size, "square_meter")
        for name, size in ((area_name, area_m2), ("strip area", strip_area_m2))
        if size is not None
    }
    if not parts:
        raise ValueError("turf area: expected an area, a strip or both; got neither")
    total = work.step("turf area", sum(parts.values()), "square_meter", " + ".join(parts), *parts)
    return Turf(total, work.steps)


@dataclass(frozen=True, slots=True)
class Regrading:
    """Old turf taken off and ground moved; each where its depth is known."""

    stripped_volume_m3: float | None
    regraded_volume_m3: float | None
    steps: Steps = field(repr=False, compare=False)


def strip_and_regrade(
    *,
    area_m2: float,
    strip_depth_m: float | None = None,
    regrade_depth_m: float | None = None,
    area_name: str = "area",
) -> Regrading:
    """Volume of old turf stripped, and of ground moved to new grades.

    ::

        stripped volume = area x strip depth
        regraded volume = area x regrade depth

    Area in square metres, depths in metres; the regrade depth is the mean depth of cut over the whole area,
    which goes into the fill beside it. Limits: even depths; no swell.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given(area_name, area_m2, "square_meter")
    volumes: list[float | None] = []
    for depth, depth_name, name in (
        (strip_depth_m, "strip depth", "stripped volume"),
        (regrade_depth_m, "regrade depth", "regraded volume"),
    ):
        if depth is None:
            volumes.append(None)
            continue
        volumes.append(
            work.step(
                name, area * work.given(depth_name, depth, "meter"), "cubic_meter", f"{area_name} x {depth_name}",
                area_name, depth_name, source=LAYER,
            )
        )  # fmt: skip
    return Regrading(volumes[0], volumes[1], work.steps)
