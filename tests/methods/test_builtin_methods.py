"""The built-in methods: their worked examples, what they declare, and what they refuse."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from method_examples import example_area, measured
from pydantic import ValidationError
from swardcost_api.faults import faults_of
from swardcost_api.methods.cautions import DEFER
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_api.units import UNITS

ALL = [pytest.param(method, id=name) for name, method in METHODS.items()]
ON_AREAS = [pytest.param(method, id=name) for name, method in METHODS.items() if method.needs_areas]
PACED = ["hollow_tine_aeration", "linear_slicing", "topdressing", "sodding"]


def refusals(name: str, **changed: Any) -> dict[str, str]:
    """What is expected where, when the method's example is changed like that."""
    with pytest.raises(ValidationError) as refused:
        measured(METHODS[name], 100.0, **changed)
    return {fault.pointer: fault.expected for fault in faults_of(refused.value)}


def quantity(value: str, unit: str) -> dict[str, str]:
    return {"value": value, "unit": unit}


@pytest.mark.parametrize("method", ALL)
def test_the_worked_example_gives_what_it_says(method: Method) -> None:
    found = {name: one.value for name, one in measured(method, example_area(method)).items()}
    assert found == pytest.approx(method.example.expected, rel=1e-7)


@pytest.mark.parametrize("method", ALL)
def test_every_declared_measure_comes_in_its_declared_unit(method: Method) -> None:
    found = measured(method, example_area(method))
    assert list(found) == [note.name for note in method.measures]
    for note in method.measures:
        measure = found[note.name]
        assert UNITS[measure.unit].si_unit == measure.unit
        assert note.unit in (measure.unit, "any")
        assert measure.shared_by_area == note.shared_by_area


@pytest.mark.parametrize("method", ALL)
def test_every_measure_ends_its_own_derivation_and_every_earlier_step_leads_to_it(method: Method) -> None:
    for measure in measured(method, example_area(method)).values():
        *earlier, last = measure.derivation
        assert (last.name, last.value) == (measure.name.replace("_", " "), measure.value)
        used = {figure.name: figure.value for step in measure.derivation for figure in step.inputs}
        for step in earlier:
            assert used[step.name] == step.value


@pytest.mark.parametrize("method", ALL)
def test_figures_of_one_name_agree_throughout_a_derivation(method: Method) -> None:
    for measure in measured(method, example_area(method)).values():
        seen: dict[str, float] = {}
        for step in measure.derivation:
            for name, value in (
                *((figure.name, figure.value) for figure in step.inputs),
                (step.name, step.value),
            ):
                assert seen.setdefault(name, value) == value, name


@pytest.mark.parametrize("method", ALL)
def test_parameters_are_described_with_examples_that_hold(method: Method) -> None:
    schema = method.parameters.model_json_schema()
    assert json.dumps(schema)
    for model in (schema, *(d for name, d in schema.get("$defs", {}).items() if name != "Quantity")):
        for name, field in model["properties"].items():
            assert field["description"], name
    for name, field in schema["properties"].items():
        for example in field.get("examples", ()):
            if name not in ("depth", "rate", "trees"):
                measured(method, 100.0, **{name: example})


@pytest.mark.parametrize("method", ALL)
def test_a_method_defers_to_codes_manuals_and_licensed_practice(method: Method) -> None:
    assert method.cautions[-1] == DEFER
    assert method.sources
    assert method.example.source


@pytest.mark.parametrize("method", ON_AREAS)
@given(one=st.floats(10, 1e5), other=st.floats(10, 1e5))
def test_sums_over_two_areas_are_sums_over_the_whole_and_shares_do_not_change(
    method: Method, one: float, other: float
) -> None:
    parts, rest, whole = (measured(method, area) for area in (one, other, one + other))
    for name, measure in whole.items():
        total = parts[name].value + rest[name].value
        if UNITS[measure.unit].counted and name != "holes":
            assert total - 1 <= measure.value <= total
        elif measure.shared_by_area:
            assert total == pytest.approx(measure.value, rel=1e-9)
        else:
            assert parts[name].value == measure.value


@pytest.mark.parametrize("method", ALL)
def test_misspelt_parameters_are_refused(method: Method) -> None:
    assert "/tine_size" in refusals(method.name, tine_size="0.5")


@pytest.mark.parametrize(
    ("name", "parameter", "named"),
    [
        ("hollow_tine_aeration", "tine_inside_diameter", "inch"),
        ("linear_slicing", "depth", "inch"),
        ("topdressing", "rate", "cubic_foot_per_thousand_square_feet"),
        ("topdressing", "bulk_density", "pound_per_cubic_foot"),
        ("sodding", "slab_coverage", "square_foot"),
        ("sodding", "production_rate", "square_foot_per_hour"),
        ("hauling", "mass", "short_ton"),
    ],
)
def test_a_unit_of_another_kind_is_refused_at_its_place_with_the_units_that_would_do(
    name: str, parameter: str, named: str
) -> None:
    assert named in refusals(name, **{parameter: quantity("2", "work_day")})[f"/{parameter}"].split(", ")


@pytest.mark.parametrize(
    ("name", "parameter"), [("hauling", "mass"), ("hauling", "payload"), ("plain_quantity", "quantity")]
)
def test_a_bare_ton_is_refused_with_the_tons_to_choose_from(name: str, parameter: str) -> None:
    expected = refusals(name, **{parameter: quantity("1500", "ton")})[f"/{parameter}"]
    assert "short_ton, metric_ton or long_ton" in expected


@pytest.mark.parametrize(
    ("name", "parameter", "unit"),
    [
        ("hollow_tine_aeration", "depth", "inch"),
        ("topdressing", "bulk_density", "pound_per_cubic_foot"),
        ("plain_quantity", "quantity", "each"),
    ],
)
def test_nothing_is_not_a_quantity(name: str, parameter: str, unit: str) -> None:
    assert refusals(name, **{parameter: quantity("0", unit)}) == {f"/{parameter}": "more than zero"}


@pytest.mark.parametrize("spacing", ["spacing_along", "spacing_across"])
def test_holes_closer_than_the_tine_are_refused_when_the_scope_is_written(spacing: str) -> None:
    assert refusals("hollow_tine_aeration", **{spacing: quantity("0.4", "inch")}) == {
        f"/{spacing}": "a spacing of at least the tine's inside diameter, 0.5 inch"
    }


def test_slits_closer_than_the_blade_are_refused_when_the_scope_is_written() -> None:
    assert refusals("linear_slicing", blade_spacing=quantity("1.9", "millimeter")) == {
        "/blade_spacing": "a spacing of at least the blade's width, 2 millimeter"
    }


def test_a_tine_that_just_fits_in_another_unit_is_taken() -> None:
    method = METHODS["hollow_tine_aeration"]
    assert measured(method, 100.0, spacing_along=quantity("12.7", "millimeter"))["holes"].value > 0


def test_topdressing_takes_a_depth_or_a_rate_and_not_both_or_neither() -> None:
    depth = quantity("0.02", "inch")
    assert refusals("topdressing", depth=depth) == {"": "exactly one of depth and rate"}
    assert refusals("topdressing", rate=None) == {"": "exactly one of depth and rate"}
    by_depth = measured(METHODS["topdressing"], 100.0, rate=None, depth=depth, applications=1)
    assert by_depth["layer_depth"].value == pytest.approx(0.02 * 0.0254)


def test_density_is_never_assumed() -> None:
    assert "/bulk_density" in refusals("topdressing", bulk_density=None)
    assert "/fill/bulk_density" in refusals("hollow_tine_aeration", fill={"allowance_percent": "5"})


def test_holes_left_open_take_no_sand() -> None:
    found = measured(METHODS["hollow_tine_aeration"], 100.0, fill=None)
    assert not {"sand_volume", "sand_mass"} & set(found)
    assert found["fill_volume"].value > 0


@pytest.mark.parametrize("name", PACED)
def test_hours_are_given_only_where_the_pace_is_known(name: str) -> None:
    found = measured(METHODS[name], 100.0, production_rate=None, crew_size=None)
    assert not {"machine_time", "crew_time"} & set(found)
    assert "crew_time" not in measured(METHODS[name], 100.0, crew_size=None)
    assert list(refusals(name, production_rate=None)) == ["/crew_size"]


@pytest.mark.parametrize("name", [*PACED, "hauling"])
@pytest.mark.parametrize("crew", [0, "2", 1.5, True])
def test_a_crew_is_a_whole_number_of_people(name: str, crew: object) -> None:
    assert list(refusals(name, crew_size=crew)) == ["/crew_size"]


def test_a_haul_of_one_payload_has_no_range() -> None:
    found = measured(METHODS["hauling"], 0.0, payload_at_most=None)
    assert found["fewest_trips"].value == found["most_trips"].value == found["loads"].value == 500


def test_a_largest_payload_below_the_smallest_is_refused() -> None:
    assert refusals("hauling", payload_at_most=quantity("2", "short_ton")) == {
        "/payload_at_most": "at least the payload, 3 short_ton"
    }


def test_hours_of_a_haul_need_the_whole_cycle() -> None:
    assert "machine_time" not in measured(METHODS["hauling"], 0.0, cycle=None, crew_size=None)
    assert list(refusals("hauling", cycle=None)) == ["/crew_size"]
    part = {"distance": quantity("0.5", "mile"), "speed": quantity("6", "mile_per_hour")}
    assert list(refusals("hauling", cycle=part)) == ["/cycle/loading_time", "/cycle/dumping_time"]


@pytest.mark.parametrize(
    ("value", "unit", "si", "si_unit"),
    [("3", "lump_sum", 3, "lump_sum"), ("2.5", "foot", 0.762, "meter"), ("5", "percent", 0.05, "ratio")],
)
def test_a_stated_quantity_may_have_any_listed_unit(value: str, unit: str, si: float, si_unit: str) -> None:
    found = measured(METHODS["plain_quantity"], 0.0, quantity=quantity(value, unit))["quantity"]
    assert found.value == pytest.approx(si)
    assert found.unit == si_unit


texts = st.decimals("0.000001", "999999999999", places=6).map(lambda value: format(value, "f"))
long_ones = st.builds(quantity, texts, st.sampled_from(["inch", "millimeter", "foot", "yard"]))


@given(long_ones, long_ones, long_ones, long_ones, st.integers(1, 100), st.integers(1, 2))
def test_what_is_accepted_when_written_never_fails_when_priced(
    width: Any, along: Any, across: Any, depth: Any, passes: int, directions: int
) -> None:
    changes: dict[str, dict[str, Any]] = {
        "hollow_tine_aeration": {
            "tine_inside_diameter": width, "spacing_along": along, "spacing_across": across, "depth": depth,
            "passes": passes,
        },
        "linear_slicing": {
            "blade_width": width, "blade_spacing": along, "depth": depth, "passes": passes, "directions": directions,
        },
    }  # fmt: skip
    for name, changed in changes.items():
        method = METHODS[name]
        try:
            parameters = method.parameters.model_validate(method.example.parameters | changed)
        except ValidationError:
            continue
        found = {one.name: one.value for one in method.take_off(parameters, 1_000.0)}
        assert 0 < found["share_touched_once"] <= 1


SCALING = [method for method in METHODS.values() if method.scales_with_area]


@pytest.mark.parametrize("method", SCALING, ids=lambda method: method.name)
@given(area_m2=st.floats(1e-3, 1e7))
def test_a_method_that_says_so_scales_with_the_area(method: Method, area_m2: float) -> None:
    parameters = method.parameters_as_typed(method.example.parameters)
    of_one = {measure.name: measure for measure in method.take_off(parameters, 1.0)}
    for measure in method.take_off(parameters, area_m2):
        factor = area_m2 if measure.shared_by_area else 1.0
        assert measure.value == pytest.approx(of_one[measure.name].value * factor, rel=1e-9)
