"""Taking off quantities through the API: the figures, and how each came about."""

import math
from typing import Any

import pytest
from conftest import Api
from estimate_factories import (
    SODDING,
    TOPDRESSING,
    a_course,
    a_project,
    a_scope_item,
    an_area,
)
from printed_formula import redo
from swardcost_api.methods.registry import METHODS


def take_off(api: Api, work: dict[str, Any], areas: list[str]) -> dict[str, Any]:
    item = a_scope_item(api, a_project(api), work, areas)
    response = api.get(f"/scope-items/{item['id']}/take-off")
    assert response.status_code == 200, response.text
    document: dict[str, Any] = response.json()
    return document


def measures(document: dict[str, Any]) -> dict[str, float]:
    return {one["name"]: float(one["value"]) for one in document["measures"]}


def shown(document: dict[str, Any]) -> dict[str, str]:
    return {one["name"]: one["shown"] for one in document["measures"]}


def by_hand(step: dict[str, Any]) -> float:
    return redo(step["formula"], {figure["name"]: float(figure["value"]) for figure in step["inputs"]})


def test_sand_for_a_quarter_inch_on_two_greens(api: Api) -> None:
    course = a_course(api)
    document = take_off(api, TOPDRESSING, [an_area(api, course, "6000"), an_area(api, course, "4000")])
    cubic_feet = 10_000 * 0.25 / 12
    found = measures(document)
    assert found["area"] == pytest.approx(10_000 * 0.3048**2)
    assert found["sand_volume"] == pytest.approx(cubic_feet * 0.3048**3)
    assert found["sand_mass"] == pytest.approx(cubic_feet * 100 * 0.45359237)
    assert shown(document)["sand_mass"] == "10.417 short ton"
    assert shown(document)["sand_volume"] == "7.716 cubic yard"
    assert document["area"]["shown"] == "10,000 square foot"


def test_sod_in_whole_pallets_over_all_areas(api: Api) -> None:
    course = a_course(api)
    document = take_off(api, SODDING, [an_area(api, course, "460") for _ in range(3)])
    assert measures(document)["pallets"] == math.ceil(3 * 460 / 450) == 4


@pytest.mark.parametrize("name", METHODS)
def test_every_step_of_every_method_can_be_redone_from_what_it_prints(api: Api, name: str) -> None:
    method = METHODS[name]
    areas = [an_area(api, a_course(api), "10000")] if method.needs_areas else []
    work = {"method": name, "parameters": method.example.parameters}
    document = take_off(api, work, areas)
    assert set(document["derivations"]) == set(measures(document)) == set(method.example.expected)
    for measure, steps in document["derivations"].items():
        known = {step["name"]: step["value"] for step in steps}
        assert steps[-1]["value"] == next(m["value"] for m in document["measures"] if m["name"] == measure)
        for step in steps:
            assert step["source"]
            for figure in step["inputs"]:
                assert known.get(figure["name"], figure["value"]) == figure["value"], (step, figure)
            if step["inputs"]:
                assert by_hand(step) == pytest.approx(float(step["value"]), rel=1e-9), step


def test_figures_are_shown_in_the_clubs_own_units_and_ton(api: Api) -> None:
    green = an_area(api, a_course(api), "6000")
    item = a_scope_item(api, a_project(api), TOPDRESSING, [green])
    path = f"/scope-items/{item['id']}/take-off"
    us = shown(api.get(path).json())
    assert (us["sand_mass"], us["layer_depth"]) == ("6.25 short ton", "0.25 inch")
    assert api.patch("", json={"ton": "long_ton"}, headers={"If-Match": '"1"'}).status_code == 200
    assert shown(api.get(path).json())["sand_mass"] == "5.58 long ton"
    change = {"unit_system": "metric", "ton": "metric_ton"}
    assert api.patch("", json=change, headers={"If-Match": '"2"'}).status_code == 200
    metric = api.get(path).json()
    assert (shown(metric)["sand_mass"], shown(metric)["layer_depth"]) == (
        "5.67 metric ton",
        "6.35 millimeter",
    )
    assert metric["area"]["shown"] == "557.418 square meter"


def test_areas_without_a_size_are_named_and_left_out(api: Api) -> None:
    course = a_course(api)
    known, unknown = an_area(api, course, "6000"), an_area(api, course, None, name="Green 12")
    empty = an_area(api, course, "0", name="Green 13")
    document = take_off(api, TOPDRESSING, [known, unknown, empty])
    assert document["missing_sizes"] == ["Green 12", "Green 13"]
    assert measures(document)["area"] == pytest.approx(6000 * 0.3048**2)
    nothing = take_off(api, TOPDRESSING, [unknown])
    assert (nothing["missing_sizes"], nothing["measures"]) == (["Green 12"], [])


def test_cautions_come_with_the_figures(api: Api) -> None:
    document = take_off(api, TOPDRESSING, [an_area(api, a_course(api))])
    assert any("silica" in caution for caution in document["cautions"])
