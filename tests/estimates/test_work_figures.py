"""The work of an estimate in figures, redone by hand; what tells nothing is named, not read as zero."""

from decimal import Decimal

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    priced,
    stated,
)

CORING: Document = {
    "method": "hollow_tine_aeration",
    "parameters": {
        "tine_inside_diameter": {"value": "0.5", "unit": "inch"},
        "spacing_along": {"value": "2", "unit": "inch"},
        "spacing_across": {"value": "2", "unit": "inch"},
        "depth": {"value": "4", "unit": "inch"},
        "passes": 2,
    },
}
HAULING: Document = {
    "method": "hauling",
    "parameters": {
        "mass": {"value": "60", "unit": "short_ton"},
        "payload": {"value": "22", "unit": "short_ton"},
    },
}
STRIPPING: Document = {
    "method": "sod_strip",
    "parameters": {
        "thickness": {"value": "1.2", "unit": "inch"},
        "bulk_density": {"value": "80", "unit": "pound_per_cubic_foot"},
        "loose_factor": "1.4",
        "truck": {
            "payload": {"value": "3", "unit": "short_ton"},
            "box_volume": {"value": "5", "unit": "cubic_yard"},
        },
    },
}
BUNKER: Document = {
    "method": "bunker_rebuilding",
    "parameters": {
        "area": {"value": "2000", "unit": "square_foot"},
        "floor_sand_depth": {"value": "4", "unit": "inch"},
    },
}
ITEMS = [
    an_item("SAND", "38.50"),
    an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False),
    an_item("FOREMAN", "260", kind="labor", unit="work_day", taxable=False),
    an_item("AERATOR", "21.40", kind="owned_machine", unit="hour", taxable=False),
    an_item("LOADER", "1150.00", kind="rental", unit="rental_week"),
    an_item("HAUL", "168.00", kind="freight", unit="load", taxable=False),
]


def test_ground_sand_trips_and_hours_are_added_up_over_the_scope(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    greens = [an_area(api, course, size) for size in ("6000", "9000")]
    unknown = an_area(api, course, None, name="Nursery green")
    a_scope_item(
        api, project, TOPDRESSING, [*greens, unknown], by_measure("SAND", "sand_mass"), name="Dress",
    )  # fmt: skip
    a_scope_item(
        api, project, CORING, greens[:1], stated("CREW", "40", "hour", waste_percent="10"),
        stated("AERATOR", "90", "minute"), stated("FOREMAN", "3", "work_day"), name="Core",
    )  # fmt: skip
    a_scope_item(
        api,
        project,
        HAULING,
        [],
        by_measure("HAUL", "loads"),
        stated("LOADER", "2", "rental_week"),
        name="Haul",
    )
    work = priced(api, project, an_edition(api, ITEMS))["work"]
    square_feet = 0.3048**2
    assert float(work["area_worked"]["value"]) == pytest.approx(15_000 * square_feet)
    assert [(one["name"], one["value"]) for one in work["area_worked"]["inputs"]] == [("areas", "2")]
    # A hole of 1/2 inch on every 4 square inches, in two passes.
    opened = 6_000 * square_feet * (3.141592653589793 / 4 * 0.25) / 4 * 2
    assert float(work["area_touched"]["value"]) == pytest.approx(opened)
    # 1/4 inch over 15,000 square feet at 100 lb a cubic foot.
    assert float(work["sand"]["value"]) == pytest.approx(15_000 * 0.25 / 12 * 100 * 0.45359237)
    assert Decimal(work["trips"]["value"]) == 3
    assert Decimal(work["labor_hours"]["value"]) == 44
    assert Decimal(work["machine_hours"]["value"]) == Decimal("1.5")
    for figure in ("sand", "trips", "labor_hours", "machine_hours"):
        parts = sum(Decimal(one["value"]) for one in work[figure]["inputs"])
        assert parts == pytest.approx(Decimal(work[figure]["value"]))
    assert work["left_out"] == [
        "Nursery green has no size.",
        "Core: FOREMAN is counted by the work day, not in hours.",
        "Haul: LOADER is counted by the rental week, not in hours.",
    ]


def test_what_nothing_measures_is_null_and_not_zero(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "3", "short_ton"))
    work = priced(api, project, an_edition(api, ITEMS))["work"]
    assert {name for name, value in work.items() if value is not None} == {"left_out"}
    assert work["left_out"] == []


def test_a_load_is_a_trip_and_sand_without_a_density_is_named(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    green = an_area(api, course, "5000")
    a_scope_item(api, project, STRIPPING, [green], stated("CREW", "6", "hour"), name="Strip")
    a_scope_item(api, project, HAULING, [], by_measure("HAUL", "loads"), name="Haul")
    a_scope_item(api, project, BUNKER, [], stated("CREW", "8", "hour"), name="Bunker 4")
    work = priced(api, project, an_edition(api, ITEMS))["work"]
    assert [(one["name"], one["value"]) for one in work["trips"]["inputs"]] == [("Strip", "7"), ("Haul", "3")]
    assert Decimal(work["trips"]["value"]) == 10
    assert work["sand"] is None
    assert work["left_out"] == ["The sand of Bunker 4 has no mass, since no bulk density is given."]
    assert Decimal(work["labor_hours"]["value"]) == 14
    assert work["trips"]["shown"].startswith("10 ")
