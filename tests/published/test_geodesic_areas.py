"""Geodesic areas and perimeters against published values, and against two other methods.

GeographicLib's own tests and documentation (Karney) are the published values: the same numbers stand in its C, Fortran,
Python and Java libraries. They go far beyond a golf course, so that nothing flat would pass.
"""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer
from swardcost_api.engine.quantities.geodesy import Position, measure_polygons

SEMI_MAJOR_M = 6_378_137.0
ECCENTRICITY_2 = 0.0066943799901413165


def ring(*lat_lon: tuple[float, float]) -> list[Position]:
    """A closed ring from positions as GeographicLib writes them, latitude first."""
    positions = [(float(lon), float(lat)) for lat, lon in lat_lon]
    return [*positions, positions[0]]


ANTARCTICA = ring(
    (-72.9, -74), (-71.9, -102), (-74.9, -102), (-74.3, -131), (-77.5, -163), (-77.4, 163), (-71.7, 172),
    (-65.9, 140), (-65.7, 113), (-66.6, 88), (-66.9, 59), (-69.8, 25), (-70.0, -4), (-71.0, -14), (-77.3, -33),
    (-77.9, -46), (-74.7, -61),
)  # fmt: skip

PUBLISHED = [
    # GeographicLib documentation, Planimeter example
    pytest.param(ANTARCTICA, 13_376_856_682_207.4, 14_710_425.406974, id="Antarctica"),
    # GeographicLib documentation, polygon example
    pytest.param(ring((0, 0), (0, 1), (1, 1), (1, 0)), 12_308_778_361.469452, 443_770.917248302, id="square degree"),
    # GeographicLib, example-PolygonArea
    pytest.param(
        ring((52, 0), (41, -74), (-23, -43), (-26, 28)), 65_690_027_591_345.67, 29_506_941.1551780, id="four cities"
    ),
    # GeographicLib, geodtest.c, Planimeter0
    pytest.param(ring((0, -1), (-1, 0), (0, 1), (1, 0)), 24_619_419_146.0, 627_598.2731, id="diamond"),
    pytest.param(ring((89, 0), (89, 90), (89, 180), (89, -90)), 24_952_305_678.0, 631_819.8745, id="pole"),
]  # fmt: skip


@pytest.mark.parametrize(("positions", "area_m2", "perimeter_m"), PUBLISHED)
def test_areas_and_perimeters_are_those_published(
    positions: list[Position], area_m2: float, perimeter_m: float
) -> None:
    mapped = measure_polygons(polygons=[[positions]])
    assert mapped.area_m2 == pytest.approx(area_m2, rel=1e-10)
    assert mapped.perimeter_m == pytest.approx(perimeter_m, rel=1e-9)


def outline(lon: float, lat: float, radius_m: float, corners: int) -> list[Position]:
    """A regular outline of a green's size around a place."""
    per_lat = math.radians(1) * SEMI_MAJOR_M
    per_lon = per_lat * math.cos(math.radians(lat))
    positions = [
        (lon + radius_m * math.cos(turn) / per_lon, lat + radius_m * math.sin(turn) / per_lat)
        for turn in (2 * math.pi * corner / corners for corner in range(corners))
    ]
    return [*positions, positions[0]]


def on_local_sphere_m2(positions: list[Position]) -> float:
    """Surface by spherical excess (line integral of the sine of latitude), on the sphere that fits best here."""
    middle = math.radians(sum(lat for _, lat in positions) / len(positions))
    # Mean radius of curvature: sqrt(M N) = b / (1 - e2 sin2).
    radius = SEMI_MAJOR_M * math.sqrt(1 - ECCENTRICITY_2) / (1 - ECCENTRICITY_2 * math.sin(middle) ** 2)
    excess = 0.0
    for (lon_1, lat_1), (lon_2, lat_2) in pairwise(positions):
        half = math.radians(lon_2 - lon_1) / 2
        t_1, t_2 = math.tan(math.radians(lat_1) / 2), math.tan(math.radians(lat_2) / 2)
        excess += 2 * math.atan2(math.tan(half) * (t_1 + t_2), 1 + t_1 * t_2)
    return abs(excess) * radius**2


def equal_area_m2(positions: list[Position]) -> float:
    """Surface by the shoelace formula in a Lambert azimuthal equal-area projection around the first position."""
    lon, lat = positions[0]
    project = Transformer.from_crs(
        "EPSG:4326", f"+proj=laea +lon_0={lon!r} +lat_0={lat!r} +ellps=WGS84", always_xy=True
    )
    xs, ys = project.transform([lon for lon, _ in positions], [lat for _, lat in positions])
    pairs = zip(zip(xs, ys, strict=True), zip(xs[1:], ys[1:], strict=True), strict=False)
    return abs(sum(x_1 * y_2 - x_2 * y_1 for (x_1, y_1), (x_2, y_2) in pairs)) / 2


@given(
    lon=st.floats(-179, 179), lat=st.floats(-70, 70), radius_m=st.floats(5, 200), corners=st.integers(3, 24)
)  # fmt: skip
def test_two_other_methods_agree_within_their_error(
    lon: float, lat: float, radius_m: float, corners: int
) -> None:
    positions = outline(lon, lat, radius_m, corners)
    area_m2 = measure_polygons(polygons=[[positions]]).area_m2
    # A sphere fitted to one latitude errs by the flattening times the extent over the radius: some 1e-7 here.
    assert on_local_sphere_m2(positions) == pytest.approx(area_m2, rel=1e-5)
    # The projection keeps areas and bends edges by far less than a millimetre over 400 m.
    assert equal_area_m2(positions) == pytest.approx(area_m2, rel=1e-5)
