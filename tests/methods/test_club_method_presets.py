"""Presets of a club's own method: refused when it is saved if they could never work, kept if they can be completed."""

from typing import Any

import pytest
from club_method_factories import DENSITY, DRESSING, faults, quantity, use
from conftest import Api
from estimate_factories import a_course, a_project, a_scope_item, an_area, scope_body
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.methods.club_checks import faults_in
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_model.club_methods import BaseMethod, ClubMethodFields

Document = dict[str, Any]
DEPTH = {"depth": quantity("0.25", "inch")}
RATE = {"rate": quantity("1", "cubic_foot_per_thousand_square_feet")}
PACE = {"production_rate": quantity("1", "acre_per_hour")}
ALL = [pytest.param(method, id=name) for name, method in METHODS.items()]


def over(method: str, presets: Document, may_change: bool = False) -> Document:
    base = {"method": method, "presets": presets, "presets_may_change": may_change}
    return {"name": "our_way", "title": "Our way", "base": base}


def the_fault(api: Api, method: Document) -> tuple[str, str, str]:
    (fault,) = api.post("/methods", json=method).json()["faults"]
    return fault["pointer"], fault["expected"], fault["got"]


@pytest.mark.parametrize("may_change", [False, True])
def test_a_depth_and_a_rate_are_refused_together_with_what_was_set(api: Api, may_change: bool) -> None:
    place, expected, got = the_fault(api, over("topdressing", DEPTH | RATE, may_change))
    assert (place, expected) == ("/base/presets", "exactly one of depth and rate")
    assert "'0.25'" in got
    assert "bulk_density" not in got
    assert api.get("/methods").json()["items"] == []


def test_a_crew_without_a_pace_is_refused_and_with_one_is_kept(api: Api) -> None:
    assert the_fault(api, over("topdressing", {"crew_size": 2})) == (
        "/base/presets/crew_size", "a production_rate beside it, since crew time is machine time x crew size", "2",
    )  # fmt: skip
    api.created("/methods", over("topdressing", PACE | {"crew_size": 2}))


def test_a_crew_whose_method_asks_for_no_pace_is_kept(api: Api) -> None:
    api.created("/methods", over("ground_pass", {"crew_size": 2}))


def test_a_preset_of_null_is_refused(api: Api) -> None:
    assert the_fault(api, over("topdressing", {"depth": None})) == (
        "/base/presets/depth", "a value; a parameter that is not set is left out", "null",
    )  # fmt: skip
    refused = api.post("/methods", json=over("topdressing", {"depth": None, "rate": None}))
    assert faults(refused) == [(422, "/base/presets/depth"), (422, "/base/presets/rate")]


def test_a_revision_is_held_to_the_same(api: Api) -> None:
    api.created("/methods", DRESSING)
    body = over("topdressing", DEPTH | RATE)
    del body["name"]
    refused = api.put("/methods/our_dressing", json=body, headers={"If-Match": '"1"'})
    assert faults(refused) == [(422, "/base/presets")]
    assert api.get("/methods/our_dressing").json()["revision"] == 1


@pytest.mark.parametrize(
    ("method", "presets", "left_open"),
    [
        ("topdressing", {}, DEPTH | {"bulk_density": DENSITY}),
        ("topdressing", RATE, {"bulk_density": DENSITY}),
        ("topdressing", {"bulk_density": DENSITY}, RATE | PACE | {"crew_size": 3}),
        ("drainage", {"outlets": 1}, {
            "main_length": quantity("100", "foot"), "trench_width": quantity("6", "inch"),
            "trench_depth": quantity("12", "inch"),
        }),
        ("tree_planting", {"stakes_per_tree": 3}, {"trees": 12}),
        ("cut_and_fill", {"cut_volume": quantity("0", "cubic_yard")}, {
            "fill_volume": quantity("9", "cubic_yard"), "factors": {"soil": "sand"},
        }),
        # A tine wider than the spacing of the worked example, but not than what the scope item gives.
        ("solid_tine_aeration", {"tine_outside_diameter": quantity("3", "inch")}, {
            "spacing_along": quantity("6", "inch"), "depth": quantity("4", "inch"),
        }),
        # More door than the worked example has wall.
        ("clubhouse_room", {"doors": {"count": 30, "width": quantity("8", "foot"), "height": quantity("9", "foot")}}, {
            "length": quantity("200", "foot"), "width": quantity("200", "foot"), "height": quantity("12", "foot"),
        }),
        ("spoil_and_fill", {"truck": {"payload": quantity("20", "short_ton")}}, {
            "volume": quantity("9", "cubic_yard"), "state": "loose", "factors": {"soil": "sand"},
            "material": {"dry_bulk_density": DENSITY},
        }),
    ],
)  # fmt: skip
def test_what_a_scope_item_can_complete_is_kept(
    api: Api, method: str, presets: Document, left_open: Document
) -> None:
    made = api.created("/methods", over(method, presets))
    areas = [an_area(api, a_course(api))] if made["needs_areas"] else []
    a_scope_item(api, a_project(api), use(made, **left_open), areas)


def test_presets_that_may_change_are_defaults_and_one_may_be_taken_back(api: Api) -> None:
    made = api.created("/methods", over("topdressing", DEPTH | {"bulk_density": DENSITY}, may_change=True))
    path, green = f"/projects/{a_project(api)}/scope-items", an_area(api, a_course(api))
    refused = api.post(path, json=scope_body(use(made, **RATE), [green]))
    assert faults(refused) == [(422, "/parameters")]
    assert refused.json()["faults"][0]["expected"] == "exactly one of depth and rate"
    api.created(path, scope_body(use(made, depth=None, **RATE), [green]))


@pytest.mark.parametrize("method", ALL)
def test_the_whole_worked_example_may_be_set(api: Api, method: Method) -> None:
    made = api.created("/methods", over(method.name, method.example.parameters))
    areas = [an_area(api, a_course(api))] if method.needs_areas else []
    a_scope_item(api, a_project(api), use(made), areas)


@given(st.sampled_from(list(METHODS.values())), st.data())
def test_no_part_of_a_worked_example_is_refused_but_where_it_rests_on_the_rest(
    method: Method, data: st.DataObject
) -> None:
    example = method.example.parameters
    names = data.draw(st.sets(st.sampled_from(list(example))))
    base = BaseMethod(method=method.name, presets={name: example[name] for name in names})
    for fault in faults_in(ClubMethodFields(title="Part", base=base)):
        assert fault.pointer.removeprefix("/base/presets/") in names
        assert "beside it" in fault.expected
