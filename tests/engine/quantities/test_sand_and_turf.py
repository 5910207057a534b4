"""Layers, sand to bring in, and sod: refusals and what must always hold."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.sand import (
    change_of_state,
    layer_by_depth,
    layer_by_rate,
    supply,
    volume_of_mass,
)
from swardcost_api.engine.quantities.turf import sod_to_order, sod_units

areas = st.floats(1, 1e6)
depths = st.floats(1e-4, 1)
densities = st.floats(800, 2_500)
allowances = st.floats(0, 1)

GOOD: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (layer_by_depth, {"area_m2": 10.0, "depth_m": 0.1}),
    (layer_by_rate, {"area_m2": 10.0, "rate_m3_per_m2": 0.001}),
    (supply, {"volume_m3": 10.0, "bulk_density_kg_per_m3": 1_600.0}),
    (volume_of_mass, {"mass_kg": 10.0, "bulk_density_kg_per_m3": 1_600.0}),
    (change_of_state, {"in_place_volume_m3": 10.0, "state_factor": 1.1}),
    (sod_to_order, {"area_m2": 10.0}),
    (sod_units, {"sod_area_m2": 10.0, "coverage_m2": 0.9, "unit": "roll"}),
]
PLACES = [(compute, name) for compute, good in GOOD for name, value in good.items() if value != "roll"]


@pytest.mark.parametrize(("compute", "name"), PLACES)
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_are_not_above_zero_are_refused(
    compute: Callable[..., Any], name: str, nonsense: float
) -> None:
    good = dict(GOOD)[compute]
    with pytest.raises(ValueError, match="expected more than zero"):
        compute(**good | {name: nonsense})


def test_a_negative_allowance_or_waste_is_refused() -> None:
    with pytest.raises(ValueError, match="allowance: expected zero or more"):
        supply(volume_m3=1, bulk_density_kg_per_m3=1_600, allowance_share=-0.1)
    with pytest.raises(ValueError, match="waste: expected zero or more"):
        sod_to_order(area_m2=1, waste_share=-0.1)


def test_sod_comes_in_known_units() -> None:
    with pytest.raises(ValueError, match="unit: expected slab, roll, big_roll or pallet"):
        sod_units(sod_area_m2=1, coverage_m2=1, unit="crate")


@given(areas, depths, depths, densities, allowances)
def test_a_deeper_layer_never_takes_less_sand(
    area: float, depth: float, more: float, density: float, allowance: float
) -> None:
    def mass(of_depth: float) -> float:
        layer = layer_by_depth(area_m2=area, depth_m=of_depth)
        return supply(
            volume_m3=layer.volume_m3, bulk_density_kg_per_m3=density, allowance_share=allowance
        ).mass_kg

    assert mass(depth + more) >= mass(depth)


@given(areas, areas, depths, st.integers(1, 30))
def test_a_layer_over_two_parts_is_the_layer_over_the_whole(
    one: float, other: float, depth: float, applications: int
) -> None:
    def volume(area: float) -> float:
        return layer_by_depth(area_m2=area, depth_m=depth, applications=applications).volume_m3

    assert volume(one) + volume(other) == pytest.approx(volume(one + other), rel=1e-9)


@given(areas, depths, st.integers(1, 30))
def test_a_rate_and_the_depth_it_makes_give_the_same_volume(
    area: float, depth: float, applications: int
) -> None:
    by_rate = layer_by_rate(area_m2=area, rate_m3_per_m2=depth, applications=applications)
    by_depth = layer_by_depth(area_m2=area, depth_m=depth, applications=applications)
    assert by_rate.volume_m3 == by_depth.volume_m3


@given(st.floats(1e-3, 1e6), densities)
def test_volume_becomes_mass_and_volume_again(volume: float, density: float) -> None:
    mass = supply(volume_m3=volume, bulk_density_kg_per_m3=density).mass_kg
    assert volume_of_mass(mass_kg=mass, bulk_density_kg_per_m3=density).volume_m3 == pytest.approx(volume)


@given(areas, st.floats(0.1, 100), st.sampled_from(["slab", "roll", "pallet"]))
def test_sod_is_bought_whole_and_enough_and_not_one_too_many(area: float, coverage: float, unit: str) -> None:
    whole = sod_units(sod_area_m2=area, coverage_m2=coverage, unit=unit).whole
    assert whole * coverage >= area * (1 - 1e-8)
    assert whole == 1 or (whole - 1) * coverage < area
