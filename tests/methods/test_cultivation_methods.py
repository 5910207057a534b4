"""Methods of the cultivation family: what they refuse where, and what they give with parameters left out."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from swardcost_api.faults import faults_of
from swardcost_api.methods.registry import METHODS

SPACED = {
    "solid_tine_aeration": "tine_outside_diameter",
    "drill_and_fill": "drill_diameter",
    "sand_injection": "hole_diameter",
    "core_collection": "tine_inside_diameter",
}
PACED = [*SPACED, "slicing_and_spiking", "verticutting"]


def measured(name: str, area_m2: float = 100.0, **changed: Any) -> dict[str, float]:
    """Measures of the method's worked example with some parameters changed, as a scope item is read."""
    method = METHODS[name]
    document = {
        key: value for key, value in (method.example.parameters | changed).items() if value is not None
    }
    parameters = method.parameters.model_validate_json(json.dumps(document), strict=True)
    return {measure.name: measure.value for measure in method.take_off(parameters, area_m2)}


def refusals(name: str, **changed: Any) -> dict[str, str]:
    """What is expected where, when the method's example is changed like that."""
    with pytest.raises(ValidationError) as refused:
        measured(name, **changed)
    return {fault.pointer: fault.expected for fault in faults_of(refused.value)}


def quantity(value: str, unit: str) -> dict[str, str]:
    return {"value": value, "unit": unit}


def a_pass(**changed: Any) -> dict[str, Any]:
    spacing = quantity("2", "inch")
    cores = {
        "kind": "hollow_tine", "depth": quantity("4", "inch"),
        "holes": {"diameter": quantity("0.5", "inch"), "spacing_along": spacing, "spacing_across": spacing},
    }  # fmt: skip
    return {name: value for name, value in (cores | changed).items() if value is not None}


@pytest.mark.parametrize(("name", "diameter"), SPACED.items())
def test_holes_wider_than_their_spacing_are_refused_when_the_scope_is_written(
    name: str, diameter: str
) -> None:
    spacing = METHODS[name].example.parameters["spacing_along"]
    expected = f"a diameter of at most the spacing_along, {spacing['value']} inch"
    assert refusals(name, **{diameter: quantity("7", "inch")}) == {f"/{diameter}": expected}


@pytest.mark.parametrize("name", SPACED)
def test_holes_without_a_spacing_across_stand_in_a_triangular_pattern(name: str) -> None:
    along = METHODS[name].example.parameters["spacing_along"]
    square = measured(name, spacing_across=along)["holes"]
    assert measured(name, spacing_across=None)["holes"] == pytest.approx(square * 2 / 3**0.5)


@pytest.mark.parametrize("name", PACED)
def test_hours_are_given_only_where_the_pace_is_known(name: str) -> None:
    found = measured(name, production_rate=None, crew_size=None)
    assert not {"machine_time", "crew_time"} & set(found)
    assert list(refusals(name, production_rate=None)) == ["/crew_size"]


def test_deep_tines_that_do_not_heave_and_holes_left_open_say_nothing_of_it() -> None:
    found = measured("solid_tine_aeration", raised_by=None, fill=None)
    assert not {"raised_volume", "added_void_share", "sand_volume", "sand_mass"} & set(found)


@pytest.mark.parametrize("percent", ["0", "100.5"])
def test_a_share_of_the_holes_is_more_than_none_and_at_most_all(percent: str) -> None:
    assert list(refusals("solid_tine_aeration", open_percent=percent)) == ["/open_percent"]
    assert list(refusals("core_collection", collected_percent=percent)) == ["/collected_percent"]


def test_spoil_left_on_the_turf_gives_no_loads() -> None:
    found = measured("drill_and_fill", spoil=None)
    assert not {"loose_volume", "debris_mass", "loads", "trips"} & set(found)
    assert found["removed_volume"] > 0
    assert "loads" not in measured("core_collection", loads=None)
    assert list(refusals("core_collection", loads={"box_volume": quantity("2", "cubic_yard")})) == [
        "/loads/payload"
    ]


def test_injected_sand_is_said_by_the_hole_or_by_the_area_and_not_both() -> None:
    density, grams = quantity("100", "pound_per_cubic_foot"), quantity("30", "gram")
    rate = quantity("10", "cubic_foot_per_thousand_square_feet")
    both = {"bulk_density": density, "rate": rate, "mass_per_hole": grams}
    assert list(refusals("sand_injection", sand=both)) == ["/sand/rate"]
    by_hole = measured("sand_injection", sand={"bulk_density": density, "mass_per_hole": grams})
    assert by_hole["sand_mass"] == pytest.approx(by_hole["holes"] * 0.03)
    assert measured("sand_injection", sand={"bulk_density": density})["hole_filling"] == 1


def test_slits_larger_than_their_spacing_are_refused() -> None:
    assert refusals("slicing_and_spiking", slit_length=quantity("7", "inch")) == {
        "/slit_length": "a length of at most the spacing_along, 6 inch"
    }
    assert refusals("slicing_and_spiking", knife_thickness=quantity("5", "inch")) == {
        "/knife_thickness": "a length of at most the spacing_across, 4 inch"
    }


def test_blades_within_the_thatch_throw_out_no_soil() -> None:
    found = measured("verticutting", depth=quantity("0.25", "inch"))
    assert found["soil_volume"] == 0
    assert found["thatch_volume"] == pytest.approx(found["debris_volume"])


def test_turns_are_said_in_percent_or_by_their_time() -> None:
    runs = {"run_length": quantity("88", "foot"), "time_to_turn": quantity("5", "second")}
    assert "/turning/time_to_turn" in refusals("ground_pass", turning=runs)
    runs["time_to_turn"] = quantity("0.083333", "minute")
    found = measured("ground_pass", turning=runs)
    assert found["turning_efficiency"] == pytest.approx(
        0.8, abs=1e-5
    )  # 20 s at 3 miles an hour, turns of 5 s
    for wrong in ({}, {"run_length": runs["run_length"]}, runs | {"efficiency_percent": "80"}):
        assert list(refusals("ground_pass", turning=wrong)) == ["/turning"]
    assert list(refusals("ground_pass", turning={"efficiency_percent": "0"})) == [
        "/turning/efficiency_percent"
    ]


@pytest.mark.parametrize("work", ["sweeping", "blowing", "rolling", "drag_matting", "mowing"])
def test_ground_is_swept_blown_rolled_dragged_and_mown_at_the_pace_of_its_swath(work: str) -> None:
    assert measured("ground_pass", work=work, crew_size=None)["machine_time"] > 0


def test_ground_is_not_covered_by_swaths_that_overlap_altogether() -> None:
    assert list(refusals("ground_pass", overlap_percent="100")) == ["/overlap_percent"]
    assert list(refusals("ground_pass", work="hoeing")) == ["/work"]


def test_a_pass_has_the_shape_of_its_kind() -> None:
    assert refusals("cultivation_program", passes=[a_pass(), a_pass(kind="slicing")], sand=None) == {
        "/passes/1/holes": "no holes beside slicing, which takes knives",
        "/passes/1/knives": "the knives of slicing",
    }
    assert refusals("cultivation_program", passes=[a_pass(holes=None)], sand=None) == {
        "/passes/0/holes": "the holes of hollow_tine"
    }
    wide = a_pass(holes={"diameter": quantity("3", "inch"), "spacing_along": quantity("2", "inch")})
    assert list(refusals("cultivation_program", passes=[wide], sand=None)) == ["/passes/0/holes/diameter"]


def test_no_pass_places_more_sand_than_there_is_ground() -> None:
    close = quantity("0.5", "inch")
    dense = {"diameter": close, "spacing_along": close, "spacing_across": close}
    wrong = [a_pass(holes=dense, filled_percent="150")]
    assert refusals("cultivation_program", passes=wrong) == {
        "/passes/0/filled_percent": "at most 127.324 percent: more sand than ground otherwise"
    }


def test_a_program_has_passes() -> None:
    assert list(refusals("cultivation_program", passes=[])) == ["/passes"]


def test_bands_run_downwards() -> None:
    bands = [quantity("2", "inch"), quantity("50.8", "millimeter")]
    assert refusals("cultivation_program", band_bottoms=bands) == {
        "/band_bottoms": "depths that run downwards; band 2 ends at 50.8 millimeter"
    }
    thirteen = [quantity(str(inches), "inch") for inches in range(1, 14)]
    assert list(refusals("cultivation_program", band_bottoms=thirteen)) == ["/band_bottoms"]


def test_sand_needs_a_pass_that_is_filled_and_is_weighed() -> None:
    assert list(refusals("cultivation_program", passes=[a_pass()])) == ["/sand"]
    sand = METHODS["cultivation_program"].example.parameters["sand"]
    by_the_yard = sand | {"bought": quantity("10", "cubic_yard")}
    expected = refusals("cultivation_program", sand=by_the_yard)["/sand/bought"]
    assert "short_ton" in expected
    assert "pound_per_thousand_square_feet" in expected


def test_sand_bought_for_all_the_areas_is_held_against_what_they_need() -> None:
    sand = METHODS["cultivation_program"].example.parameters["sand"]
    found = measured("cultivation_program", sand=sand | {"bought": quantity("500", "kilogram")})
    assert found["sand_bought"] == pytest.approx(500)
    assert found["sand_shortage"] == pytest.approx(found["sand_mass"] - 500)
    assert found["sand_surplus"] == 0


def test_a_goal_runs_upwards() -> None:
    goal = {"at_least_percent": "20", "at_most_percent": "15"}
    assert refusals("cultivation_program", goal=goal) == {
        "/goal/at_most_percent": "at least the lower end, 20 percent"
    }


def test_a_program_without_sand_bands_or_goal_says_nothing_of_them() -> None:
    found = measured("cultivation_program", sand=None, band_bottoms=None, goal=None)
    assert not [name for name in found if name.startswith(("sand_", "band_", "short_", "over_"))]
    assert found["removed_volume"] > 0


def test_one_kind_of_pass_is_the_method_of_its_own() -> None:
    cores = METHODS["hollow_tine_aeration"].example.parameters
    alone = measured("hollow_tine_aeration")
    holes = {name: cores[name] for name in ("spacing_along", "spacing_across")}
    holes["diameter"] = cores["tine_inside_diameter"]
    one = a_pass(holes=holes, passes=cores["passes"], filled_percent="100")
    program = measured("cultivation_program", passes=[one], sand=cores["fill"])
    for name in ("area_worked", "share_sum_of_passes", "share_touched_once", "sand_mass"):
        assert program[name] == pytest.approx(alone[name], rel=1e-12)
    assert program["removed_volume"] == pytest.approx(alone["core_volume"], rel=1e-12)


texts = st.decimals("0.000001", "999999999999", places=6).map(lambda value: format(value, "f"))
long_ones = st.builds(quantity, texts, st.sampled_from(["inch", "millimeter", "foot", "mile"]))
percents = st.decimals("0", "1000", places=6).map(lambda value: format(value, "f"))


@given(long_ones, long_ones, long_ones, long_ones, st.integers(1, 100), percents)
def test_what_is_accepted_when_written_never_fails_when_priced(
    width: Any, along: Any, across: Any, depth: Any, passes: int, filled: str
) -> None:
    holes = {"diameter": width, "spacing_along": along, "spacing_across": across}
    knives = {"thickness": width, "slit_length": width, "spacing_along": along, "spacing_across": across}
    slits = {"width": width, "spacing": along, "directions": 2}
    spaced = {"spacing_along": along, "spacing_across": across, "depth": depth, "passes": passes}
    several = [
        a_pass(holes=holes, depth=depth, passes=passes, filled_percent=filled),
        a_pass(kind="slicing", holes=None, knives=knives, depth=depth),
        a_pass(kind="vertical_mowing", holes=None, slits=slits, depth=across),
        a_pass(filled_percent="100"),
    ]
    changes: dict[str, dict[str, Any]] = {
        **{name: spaced | {diameter: width} for name, diameter in SPACED.items()},
        "slicing_and_spiking": spaced | {"knife_thickness": width, "slit_length": width},
        "verticutting": {
            "blade_width": width,
            "blade_spacing": along,
            "depth": depth,
            "thatch_depth": across,
        },
        "cultivation_program": {"passes": several, "band_bottoms": [depth]},
    }
    for name, changed in changes.items():
        method = METHODS[name]
        try:
            parameters = method.parameters.model_validate(method.example.parameters | changed)
        except ValidationError:
            continue
        found = {one.name: one.value for one in method.take_off(parameters, 1_000.0)}
        assert 0 < found.get("share_touched_once", 1) <= 1
