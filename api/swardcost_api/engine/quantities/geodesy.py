"""Surface and outline of polygons on the earth, from longitudes and latitudes.

The surface is the one on the ellipsoid, level and without relief: a bank of 1 in 3 has 5 % more to mow than
its map shows.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from pyproj import Geod

from swardcost_api.engine.quantities.working import Steps, Working

Position = tuple[float, float]
"""Longitude and latitude in degrees (WGS 84)."""
Ring = Sequence[Position]
"""A closed line: its last position is its first."""
Polygon = Sequence[Ring]
"""An outer ring, then the rings of its holes."""

_WGS_84 = Geod(ellps="WGS84")
KARNEY = "Karney 2013, Algorithms for geodesics, J. Geodesy 87, on the WGS 84 ellipsoid"


@dataclass(frozen=True, slots=True)
class Mapped:
    """The surface of polygons, and the length of all their outlines, those of holes included."""

    area_m2: float
    perimeter_m: float
    steps: Steps = field(repr=False, compare=False)


def measure_polygons(*, polygons: Sequence[Polygon]) -> Mapped:
    """Surface and perimeter of polygons whose edges are geodesics.

    ::

        area      = surface within outer rings - surface of holes
        perimeter = outline of outer rings + outline of holes

    Positions in degrees of longitude and latitude, either winding; area in square metres, perimeter in metres.
    Limits: the polygons are taken as sound (see `outlines.flaw_in`) and smaller than half the earth; a
    straight line on a map and the geodesic between its ends part by a millimetre over 200 m at 45 degrees.

    Raises `ValueError` for a position that is no place, no polygon at all, or one without a surface.

    Examples
    --------
    A square degree at the equator (GeographicLib's documentation):

    >>> square = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]
    >>> mapped = measure_polygons(polygons=[[square]])
    >>> round(mapped.perimeter_m, 3), round(mapped.area_m2, 2)
    (443770.917, 12308778361.47)

    References
    ----------
    Karney, C. F. F. (2013). Algorithms for geodesics. Journal of Geodesy 87, 43-55.
    """
    if not polygons:
        raise ValueError("polygons: expected at least one; got none")
    outer = [_ring(polygon[0]) for polygon in polygons]
    holes = [_ring(ring) for polygon in polygons for ring in polygon[1:]]
    work = Working()
    within = work.given("surface within outer rings", sum(area for area, _ in outer), "square_meter")
    without = work.given("surface of holes", sum(area for area, _ in holes), "square_meter", zero=True)
    around = work.given("outline of outer rings", sum(length for _, length in outer), "meter")
    inside = work.given("outline of holes", sum(length for _, length in holes), "meter", zero=True)
    if without >= within:
        raise ValueError(
            f"holes: expected less than the {within!r} square_meter they lie in; got {without!r}"
        )
    area = work.step(
        "area", within - without, "square_meter", "surface within outer rings - surface of holes",
        "surface within outer rings", "surface of holes", source=KARNEY,
    )  # fmt: skip
    perimeter = work.step(
        "perimeter", around + inside, "meter", "outline of outer rings + outline of holes",
        "outline of outer rings", "outline of holes", source=KARNEY,
    )  # fmt: skip
    return Mapped(area, perimeter, work.steps)


def _ring(ring: Ring) -> tuple[float, float]:
    """Surface within a ring and its length, whichever way round it runs."""
    for lon, lat in ring:
        if not (-180 <= lon <= 180 and -90 <= lat <= 90):
            raise ValueError(f"position: expected a longitude and a latitude in degrees; got {(lon, lat)!r}")
    area, length = _WGS_84.polygon_area_perimeter([lon for lon, _ in ring], [lat for _, lat in ring])
    return abs(area), length
