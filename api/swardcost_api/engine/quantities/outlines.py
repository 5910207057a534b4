"""Whether polygons drawn on a map are sound, and putting their rings into the usual form.

Between two positions a line is straight in longitude and latitude (RFC 7946, section 3.1.1). Crossings are
found by GEOS through shapely, in time that grows with the number of positions for any outline drawn in earnest.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from swardcost_api.engine.quantities.geodesy import Polygon, Position, Ring

LONGEST_OUTLINE = 10_000
"""Positions that the polygons of one area may have together."""
WIDEST_SPAN_DEG = 1.0
"""Degrees of longitude or latitude beyond which no area of a golf course extends: some 110 km."""

_REASON = re.compile(r"(?P<what>[^\[]+)\[(?P<lon>\S+) (?P<lat>\S+)\]")
_EXPECTED = {
    "Self-intersection": "rings that neither cross nor lie along each other or themselves",
    "Ring Self-intersection": "a ring that does not touch itself",
    "Hole lies outside shell": "holes inside the outer ring",
    "Holes are nested": "holes that do not lie within each other",
    "Interior is disconnected": "holes that leave the surface in one piece",
    "Nested shells": "polygons that do not lie within each other",
}
"""What each finding of GEOS breaks, in the words of a map."""


@dataclass(frozen=True, slots=True)
class Flaw:
    """What is wrong with polygons; `place` is the polygon, ring and position it was found at."""

    place: tuple[int, ...]
    expected: str
    got: str


def flaw_in(polygons: Sequence[Polygon]) -> Flaw | None:
    """The first flaw of polygons, or none.

    Looked for: rings that are not closed or too short, positions that are no place, outlines with too many
    positions or reaching too far, over the antimeridian or to a pole, and rings that cross, touch along a line,
    or lie where they should not. The same position twice in a row is no flaw.

    References
    ----------
    RFC 7946, sections 3.1.6 and 3.1.9; OGC 06-103r4, Simple Features, section 6.1.11 (validity of polygons).
    """
    for number, polygon in enumerate(polygons):
        if not polygon:
            return Flaw((number,), "an outer ring, then the rings of its holes", "no ring")
        for index, ring in enumerate(polygon):
            flaw = _flaw_in_ring((number, index), ring)
            if flaw is not None:
                return flaw
    return _flaw_in_extent(polygons) or _flaw_in_shape(polygons)


def _flaw_in_ring(place: tuple[int, ...], ring: Ring) -> Flaw | None:
    for index, (lon, lat) in enumerate(ring):
        if not (-180 <= lon <= 180 and -90 <= lat <= 90):
            return Flaw(
                (*place, index),
                "a longitude from -180 to 180, then a latitude from -90 to 90, in degrees (WGS 84)",
                f"longitude {lon!r}, latitude {lat!r}",
            )
        if abs(lat) == 90:
            return Flaw((*place, index), "a position away from the poles", f"latitude {lat!r}")
    if len(ring) > 1 and ring[0] != ring[-1]:
        return Flaw(
            (*place, len(ring) - 1), f"a closed ring, back at {list(ring[0])!r}", f"{list(ring[-1])!r}"
        )
    if len(_without_repeats(ring)) < 4:
        return Flaw(
            place, "a ring of four or more positions, three of them different", f"{len(ring)} positions"
        )
    return None


def _flaw_in_extent(polygons: Sequence[Polygon]) -> Flaw | None:
    positions = sum(len(ring) for polygon in polygons for ring in polygon)
    if positions > LONGEST_OUTLINE:
        return Flaw((), f"at most {LONGEST_OUTLINE} positions for one area", f"{positions} positions")
    lons = [lon for polygon in polygons for ring in polygon for lon, _ in ring]
    lats = [lat for polygon in polygons for ring in polygon for _, lat in ring]
    wide, high = max(lons) - min(lons), max(lats) - min(lats)
    if wide > 180:
        return Flaw(
            (), "an area that neither crosses the antimeridian (longitude 180) nor goes around a pole",
            f"longitudes from {min(lons)!r} to {max(lons)!r}",
        )  # fmt: skip
    if max(wide, high) > WIDEST_SPAN_DEG:
        return Flaw(
            (), f"an area no more than {WIDEST_SPAN_DEG:g} degree from end to end",
            f"{wide:.6g} degrees of longitude by {high:.6g} of latitude",
        )  # fmt: skip
    return None


def _flaw_in_shape(polygons: Sequence[Polygon]) -> Flaw | None:
    shape = shapely.MultiPolygon([(polygon[0], polygon[1:]) for polygon in polygons])
    found = _REASON.fullmatch(shapely.is_valid_reason(shape))
    if found is None:
        return None
    lon, lat = float(found["lon"]), float(found["lat"])
    first, *others = _edges_at(polygons, (lon, lat))
    edges = [f"edge {edge} of ring {ring} of polygon {polygon}" for polygon, ring, edge in (first, *others)]
    return Flaw(
        first,
        _EXPECTED.get(found["what"], "polygons that are sound (OGC Simple Features)"),
        f"{found['what'].lower()} at longitude {found['lon']}, latitude {found['lat']}: "
        + " and ".join(edges),
    )


def _edges_at(polygons: Sequence[Polygon], spot: Position) -> list[tuple[int, int, int]]:
    """The one or two edges that meet at a spot, each by polygon, ring and the position it starts from.

    Of two neighbours in a ring that share the spot as their corner, only the first is told.
    """
    places: list[tuple[int, int, int]] = []
    lines: list[tuple[Position, Position]] = []
    for number, polygon in enumerate(polygons):
        for index, ring in enumerate(polygon):
            places += [(number, index, edge) for edge in range(len(ring) - 1)]
            lines += pairwise(ring)
    distances = shapely.distance(shapely.linestrings(lines), shapely.Point(spot))
    # A thousand-millionth of a degree is a tenth of a millimetre.
    near = [places[i] for i in np.flatnonzero(distances <= distances.min() + 1e-9)]
    first = near[0]
    lasts = {(p, r): len(polygons[p][r]) - 2 for p, r, _ in near}
    others = [one for one in near[1:] if not _neighbours(first, one, lasts[one[:2]])]
    return [first, *others[:1]]


def _neighbours(one: tuple[int, int, int], other: tuple[int, int, int], last: int) -> bool:
    """Whether two edges of a ring follow each other, the last one being followed by the first."""
    return one[:2] == other[:2] and abs(one[2] - other[2]) in (1, last)


def _without_repeats(ring: Ring) -> list[Position]:
    """A ring without positions that repeat the one before."""
    return [ring[0], *(here for before, here in pairwise(ring) if here != before)] if ring else []


def tidy(polygons: Sequence[Polygon]) -> tuple[list[list[list[Position]]], list[tuple[int, int]]]:
    """Sound polygons with outer rings counterclockwise and holes clockwise, free of repeated positions.

    With them, the places (polygon and ring) of the rings that ran the other way round.

    References
    ----------
    RFC 7946, section 3.1.6: the right-hand rule, and not to reject rings that break it.
    """
    tidied, turned = [], []
    for number, polygon in enumerate(polygons):
        rings = []
        for index, ring in enumerate(polygon):
            clean = _without_repeats(ring)
            if bool(shapely.LinearRing(clean).is_ccw) != (index == 0):
                clean.reverse()
                turned.append((number, index))
            rings.append(clean)
        tidied.append(rings)
    return tidied, turned
