"""What is no method of a club's own is refused when it is saved, with the place of each fault."""

from typing import Any

import pytest
from club_method_factories import DENSITY, DRESSING, FEEDING, changed, faults, quantity, with_line
from conftest import Api

Document = dict[str, Any]
BOTH_WAYS = {
    "depth": quantity("0.25", "inch"),
    "rate": quantity("1", "cubic_foot_per_thousand_square_feet"),
}
NO_EARTH = quantity("0", "cubic_yard")


def rated(amount: str, unit: str, per: str, per_unit: str) -> Document:
    return with_line(FEEDING, rate={"amount": quantity(amount, unit), "per": quantity(per, per_unit)})


def driven(name: str, unit: str) -> Document:
    return FEEDING | {"driver": {"name": name, "unit": unit}}


def paced(value: str, unit: str) -> Document:
    return FEEDING | {"production": {"per_hour": quantity(value, unit)}, "lines": []}


def over(method: str, **presets: Any) -> Document:
    return DRESSING | {"base": {"method": method, "presets": presets}, "lines": []}


def preset(**presets: Any) -> Document:
    return over("topdressing", **presets) | {"lines": DRESSING["lines"]}


def may_change(method: Document) -> Document:
    return method | {"base": method["base"] | {"presets_may_change": True}}


UNUSABLE: list[tuple[Document, str]] = [
    (rated("2", "pound", "1", "foot"), "/lines/0/rate/per/unit"),
    (rated("2", "ton", "1", "acre"), "/lines/0/rate/amount/unit"),
    (rated("2", "percent", "1", "acre"), "/lines/0/rate/amount/unit"),
    (rated("0", "pound", "1", "acre"), "/lines/0/rate/amount/value"),
    (rated("2", "pound", "0", "acre"), "/lines/0/rate/per/value"),
    (with_line(FEEDING, minimum=quantity("2", "each")), "/lines/0/minimum/unit"),
    (with_line(FEEDING, minimum=quantity("0", "pound")), "/lines/0/minimum/value"),
    (with_line(FEEDING, rate=None, minimum=quantity("2", "pound")), "/lines/0/minimum/unit"),
    (with_line(FEEDING, driven_by="sand_mass"), "/lines/0/driven_by"),
    (with_line(FEEDING, driven_by="crew_time"), "/lines/0/rate/per/unit"),
    (with_line(FEEDING, name="wetting_agent"), "/lines/1/name"),
    (with_line(FEEDING, name="fed_area"), "/lines/0/name"),
    (with_line(FEEDING, name="machine_time"), "/lines/0/name"),
    (with_line(FEEDING, name="rate_of_wetting_agent"), "/lines/1/name"),
    (driven("fed_area", "pound_per_acre"), "/driver/unit"),
    (driven("fed_area", "ton"), "/driver/unit"),
    (driven("crew_time", "acre"), "/driver/name"),
    (paced("2", "mile"), "/production/per_hour/unit"),
    (paced("0", "acre"), "/production/per_hour/value"),
    (DRESSING | {"base": {"method": "moonlighting"}}, "/base/method"),
    (preset(**{"dept~h/": 1}) | {"lines": []}, "/base/presets/dept~0h~1"),
    (preset(depth=quantity("1", "acre")), "/base/presets/depth"),
    (preset(bulk_density=quantity("1", "inch")), "/base/presets/bulk_density"),
    (preset(bulk_density=quantity("0", "pound_per_cubic_foot")), "/base/presets/bulk_density"),
    (preset(applications="2"), "/base/presets/applications"),
    (preset(depth=None), "/base/presets/depth"),
    (preset(depth=quantity("0.5", "mile")), "/base/presets/depth"),
    (preset(rate=quantity("1", "sprig_bushel_0_4_cubic_foot_per_acre")), "/base/presets/rate"),
    (preset(crew_size=2), "/base/presets/crew_size"),
    (preset(**BOTH_WAYS), "/base/presets"),
    (preset(**BOTH_WAYS, bulk_density=DENSITY, applications=2), "/base/presets"),
    (may_change(preset(**BOTH_WAYS)), "/base/presets"),
    (may_change(preset(crew_size=2)), "/base/presets/crew_size"),
    (over("tree_planting", trees=40, grid={"spacing": quantity("20", "foot")}), "/base/presets"),
    (over("green_surround", spoil={"swell_percent": "25"}), "/base/presets/spoil"),
    (over("cut_and_fill", cut_volume=NO_EARTH, fill_volume=NO_EARTH), "/base/presets/fill_volume"),
    (over("spoil_and_fill", truck={}), "/base/presets/truck"),
    (over("hollow_tine_aeration", fill={"allowance_percent": "5"}), "/base/presets/fill/bulk_density"),
    (
        over(
            "hollow_tine_aeration",
            tine_inside_diameter=quantity("3", "inch"),
            spacing_along=quantity("2", "inch"),
        ),
        "/base/presets/spacing_along",
    ),
    (with_line(DRESSING, driven_by=None), "/lines/0/driven_by"),
    (with_line(DRESSING, driven_by="sand_weight"), "/lines/0/driven_by"),
    (with_line(DRESSING, name="sand_volume"), "/lines/0/name"),
    (with_line(DRESSING, name="bulk_density"), "/lines/0/name"),
]
MISSHAPEN: list[tuple[Document, str]] = [
    (FEEDING | {"driver": None, "production": None}, ""),
    (FEEDING | {"base": DRESSING["base"]}, ""),
    (DRESSING | {"production": FEEDING["production"]}, ""),
    (with_line(FEEDING, item="A/B"), "/lines/0/item"),
    (with_line(FEEDING, waste_percent="-1"), "/lines/0/waste_percent"),
    (FEEDING | {"lines": [FEEDING["lines"][2]] * 101}, "/lines"),
    (FEEDING | {"cautions": [""]}, "/cautions/0"),
    (FEEDING | {"colour": "green"}, "/colour"),
]


@pytest.mark.parametrize(
    ("method", "status", "pointer"),
    [(method, 422, pointer) for method, pointer in UNUSABLE]
    + [(method, 400, pointer) for method, pointer in MISSHAPEN],
)
def test_what_could_not_be_used_is_refused_with_its_place(
    api: Api, method: Document, status: int, pointer: str
) -> None:
    assert faults(api.post("/methods", json=method)) == [(status, pointer)]
    assert api.get("/methods").json()["items"] == []
    good = DRESSING if method["name"] == DRESSING["name"] else FEEDING
    kept = api.created("/methods", good)
    path = f"/methods/{good['name']}"
    assert faults(api.put(path, json=changed(method), headers={"If-Match": '"1"'})) == [(status, pointer)]
    assert api.get(path).json() == kept


def test_a_fault_says_which_units_would_do(api: Api) -> None:
    refused = api.post("/methods", json=rated("2", "pound", "1", "foot")).json()["faults"][0]
    assert "thousand_square_feet" in refused["expected"].removeprefix("one of: ").split(", ")
    assert refused["got"] == "foot"
