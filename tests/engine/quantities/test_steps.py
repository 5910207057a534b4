"""The steps behind every quantity: complete, in known units, and with formulas that name their inputs."""

from typing import Any

import cultivation_results
import mapping_results
import pytest
import soil_results
from printed_formula import redo
from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities import cultivation, hauling, production, sand, turf
from swardcost_api.units import UNITS

RESULTS: dict[str, Any] = cultivation_results.RESULTS | mapping_results.RESULTS | soil_results.RESULTS | {
    "coring": cultivation.hollow_tine_coring(
        area_m2=500, inside_diameter_m=0.0127, spacing_along_m=0.0508, spacing_across_m=0.0635, depth_m=0.1,
        passes=3,
    ),
    "slicing": cultivation.linear_slicing(
        area_m2=500, blade_width_m=0.002, blade_spacing_m=0.05, depth_m=0.025, directions=2, passes=2
    ),
    "passes": cultivation.passes_needed(share_per_pass=0.05, goal_share=0.5),
    "layer by depth": sand.layer_by_depth(area_m2=500, depth_m=0.002, applications=3),
    "layer by rate": sand.layer_by_rate(area_m2=500, rate_m3_per_m2=0.002, applications=3),
    "supply": sand.supply(volume_m3=5, bulk_density_kg_per_m3=1_600, allowance_share=0.1),
    "volume of mass": sand.volume_of_mass(mass_kg=5_000, bulk_density_kg_per_m3=1_600),
    "state": sand.change_of_state(in_place_volume_m3=5, state_factor=1.11),
    "sod": turf.sod_to_order(area_m2=500, waste_share=0.05),
    "rolls": turf.sod_units(sod_area_m2=525, coverage_m2=0.9, unit="roll"),
    "loads": hauling.loads_of_mass(mass_kg=5_000, payload_kg=3_000),
    "box loads": hauling.loads_of_volume(volume_m3=50, box_volume_m3=7),
    "range": hauling.trip_range(mass_kg=50_000, payload_kg=3_000, payload_at_most_kg=4_000),
    "haul": hauling.haul_time(
        trips=7, distance_m=800, speed_m_per_h=9_000, loading_time_h=0.1, dumping_time_h=0.05
    ),
    "ground": production.ground_covered(area_m2=500, passes=3),
    "pace": production.time_at_pace(area_worked_m2=1_500, pace_m2_per_h=1_000),
    "crew": production.crew_time(machine_time_h=1.5, crew_size=3),
}  # fmt: skip

STEPS = [
    pytest.param(step, id=f"{name}, {step.name}")
    for name, result in RESULTS.items()
    for step in result.steps.values()
]

UNEXPLAINED = soil_results.UNEXPLAINED | {
    ("profile", "bands"),
    ("volume of mass", "mass_kg"),
    ("rolls", "computed"),
}
"""Fields that are an input given back, or the figure before the rounding that its step names."""


def by_hand(step: Step) -> float:
    """The formula as it is printed, with its inputs put in for their names."""
    return redo(step.formula, {figure.name: figure.value for figure in step.inputs})


@pytest.mark.parametrize("step", STEPS)
def test_a_printed_formula_gives_the_printed_figure_from_the_printed_inputs(step: Step) -> None:
    assert by_hand(step) == pytest.approx(step.value, rel=1e-9)


@pytest.mark.parametrize("step", STEPS)
def test_every_figure_of_a_step_has_a_listed_si_or_counted_unit_and_a_source(step: Step) -> None:
    for unit in (step.unit, *(figure.unit for figure in step.inputs)):
        assert UNITS[unit].si_unit == unit
    assert step.source


@pytest.mark.parametrize("name", RESULTS)
def test_every_figure_of_a_result_is_explained_by_a_step(name: str) -> None:
    result = RESULTS[name]
    explained = [step.value for step in result.steps.values()]
    for field in type(result).__dataclass_fields__:
        if field != "steps" and (name, field) not in UNEXPLAINED:
            assert getattr(result, field) in explained, (name, field)
