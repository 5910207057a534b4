"""Results of the quantities that come from a map, for the tests of their steps."""

from typing import Any

from swardcost_api.engine.quantities import geodesy

_SHELL = [(-81.0, 35.0), (-80.9998, 35.0), (-80.9998, 35.0002), (-81.0, 35.0002), (-81.0, 35.0)]
_HOLE = [(-80.9999, 35.0001), (-80.9999, 35.00015), (-80.99985, 35.0001), (-80.9999, 35.0001)]

RESULTS: dict[str, Any] = {
    "map": geodesy.measure_polygons(polygons=[[_SHELL]]),
    "map with a hole": geodesy.measure_polygons(polygons=[[_SHELL, _HOLE]]),
}
