"""Areas and perimeters of polygons on the ellipsoid: what must hold for any polygon."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.geodesy import Polygon, Position, Ring, measure_polygons


def box(lon: float, lat: float, wide: float, high: float) -> list[Position]:
    return [(lon, lat), (lon + wide, lat), (lon + wide, lat + high), (lon, lat + high), (lon, lat)]


def area_m2(*polygons: Polygon) -> float:
    return measure_polygons(polygons=polygons).area_m2


GREEN = box(-81.0, 35.0, 4e-4, 3e-4)
LATITUDE = st.floats(-80, 80)
EXTENT = st.floats(1e-5, 1e-2)


def test_holes_are_taken_off_the_area_and_added_to_the_perimeter() -> None:
    hole = box(-80.9999, 35.0001, 1e-4, 1e-4)
    whole, cut = measure_polygons(polygons=[[GREEN]]), measure_polygons(polygons=[[GREEN, hole]])
    alone = measure_polygons(polygons=[[hole]])
    assert cut.area_m2 == pytest.approx(whole.area_m2 - alone.area_m2)
    assert cut.perimeter_m == pytest.approx(whole.perimeter_m + alone.perimeter_m)


def test_several_polygons_are_summed() -> None:
    other = box(-81.1, 35.0, 1e-4, 1e-4)
    assert area_m2([GREEN], [other]) == pytest.approx(area_m2([GREEN]) + area_m2([other]))


def test_the_winding_does_not_matter() -> None:
    assert area_m2([GREEN[::-1]]) == pytest.approx(area_m2([GREEN]), rel=1e-12)


@pytest.mark.parametrize(
    ("polygons", "words"),
    [
        ([], "at least one"),
        ([[[(0, 0), (math.nan, 0), (1, 1), (0, 0)]]], "longitude and a latitude"),
        ([[[(0, 0), (0, 91), (1, 1), (0, 0)]]], "longitude and a latitude"),
        ([[[(0, 0), (0, 0), (0, 0)]]], "more than zero"),
        ([[box(0, 0, 0.1, 0.1), box(0, 0, 0.1, 0.1)]], "holes"),
    ],
)
def test_what_has_no_surface_is_refused(polygons: list[list[Ring]], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        measure_polygons(polygons=polygons)


@given(lon=st.floats(-179, 178), lat=LATITUDE, wide=EXTENT, high=EXTENT)
def test_moving_a_polygon_along_its_latitude_never_changes_it(
    lon: float, lat: float, wide: float, high: float
) -> None:
    here = measure_polygons(polygons=[[box(0.0, lat, wide, high)]])
    there = measure_polygons(polygons=[[box(lon, lat, wide, high)]])
    # Longitudes of three digits carry less of a metre's extent than those near zero.
    assert there.area_m2 == pytest.approx(here.area_m2, rel=1e-6)
    assert there.perimeter_m == pytest.approx(here.perimeter_m, rel=1e-6)


@given(lat=LATITUDE, wide=EXTENT, high=EXTENT, share=st.floats(0.05, 0.95))
def test_splitting_a_polygon_along_a_meridian_never_changes_the_sum(
    lat: float, wide: float, high: float, share: float
) -> None:
    # A parallel is no geodesic, so both halves need the cut's ends on the edges: the corners of the whole.
    cut, top, end = wide * share, lat + high, wide
    whole = [(0.0, lat), (cut, lat), (end, lat), (end, top), (cut, top), (0.0, top), (0.0, lat)]
    west = [(0.0, lat), (cut, lat), (cut, top), (0.0, top), (0.0, lat)]
    east = [(cut, lat), (end, lat), (end, top), (cut, top), (cut, lat)]
    assert area_m2([west]) + area_m2([east]) == pytest.approx(area_m2([whole]), rel=1e-6)
    assert area_m2([west], [east]) == pytest.approx(area_m2([whole]), rel=1e-6)
