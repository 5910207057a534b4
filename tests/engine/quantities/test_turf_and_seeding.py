"""Stripped sod, edges, sprigs, seed, mulch, fertilizer and water: refusals and what must always hold."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.seeding import (
    bags_of,
    hydromulch,
    product_for_nutrient,
    run_time,
    seed_to_buy,
    sprigs_to_order,
    watering,
)
from swardcost_api.engine.quantities.turf import sod_strip, sod_to_order

SEED: dict[str, Any] = {
    "area_m2": 10.0,
    "rate_kg_per_m2": 0.03,
    "purity_share": 0.98,
    "germination_share": 0.85,
}
GOOD: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (sod_strip, {"area_m2": 10.0, "thickness_m": 0.03, "bulk_density_kg_per_m3": 1_300.0}),
    (sprigs_to_order, {"area_m2": 10.0, "rate_m3_per_m2": 0.007}),
    (seed_to_buy, SEED),
    (bags_of, {"mass_kg": 10.0, "bag_mass_kg": 22.0}),
    (
        hydromulch,
        {"area_m2": 10.0, "mulch_rate_kg_per_m2": 0.2, "mulch_per_tank_kg": 130.0, "tank_volume_m3": 2.0},
    ),
    (product_for_nutrient, {"area_m2": 10.0, "nutrient_rate_kg_per_m2": 0.005, "nutrient_share": 0.24}),
    (watering, {"area_m2": 10.0, "depth_per_week_m": 0.03, "weeks": 2.0, "efficiency_share": 0.8}),
    (run_time, {"water_volume_m3": 10.0, "flow_m3_per_h": 5.0}),
]
BESIDE: dict[Callable[..., Any], dict[str, Any]] = {
    seed_to_buy: {"rate_is_live_seed": True},
    bags_of: {"product": "seed"},
}
PLACES = [(compute, name) for compute, good in GOOD for name in good]

areas = st.floats(1, 1e6)
shares = st.floats(0.01, 1)


@pytest.mark.parametrize(("compute", "name"), PLACES)
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_are_not_above_zero_are_refused(
    compute: Callable[..., Any], name: str, nonsense: float
) -> None:
    with pytest.raises(ValueError, match="expected"):
        compute(**dict(GOOD)[compute] | BESIDE.get(compute, {}) | {name: nonsense})


@pytest.mark.parametrize("share", ["purity_share", "germination_share"])
def test_no_seed_is_purer_than_pure(share: str) -> None:
    with pytest.raises(ValueError, match="at most 1"):
        seed_to_buy(**SEED | {share: 1.01}, rate_is_live_seed=True)


def test_shares_above_all_are_refused() -> None:
    with pytest.raises(ValueError, match="nutrient share: expected at most 1"):
        product_for_nutrient(area_m2=1, nutrient_rate_kg_per_m2=0.005, nutrient_share=1.2)
    with pytest.raises(ValueError, match="efficiency: expected at most 1"):
        watering(area_m2=1, depth_per_week_m=0.03, efficiency_share=1.2)
    with pytest.raises(ValueError, match="loose factor: expected 1 or more"):
        sod_strip(area_m2=1, thickness_m=0.03, bulk_density_kg_per_m3=1_300, loose_factor=0.9)


@given(areas, st.floats(0, 0.5), st.floats(0, 1e4), st.floats(0, 1e3), st.floats(0, 1))
def test_more_edge_never_takes_less_sod(
    area: float, waste: float, perimeter: float, more: float, strip: float
) -> None:
    def sod(length: float) -> float:
        return sod_to_order(
            area_m2=area, waste_share=waste, perimeter_m=length, edge_strip_m=strip
        ).sod_area_m2

    assert sod(perimeter + more) >= sod(perimeter) >= sod(0)


@given(areas, st.floats(1e-3, 0.1), shares, shares, st.floats(0, 0.5))
def test_a_rate_of_live_seed_is_what_lives_in_the_bags(
    area: float, rate: float, purity: float, germination: float, waste: float
) -> None:
    given_ones: dict[str, Any] = {
        "area_m2": area, "rate_kg_per_m2": rate, "purity_share": purity, "germination_share": germination,
        "waste_share": waste,
    }  # fmt: skip
    live = seed_to_buy(**given_ones, rate_is_live_seed=True)
    bulk = seed_to_buy(**given_ones, rate_is_live_seed=False)
    assert live.live_seed_mass_kg == pytest.approx(area * rate * (1 + waste))
    assert bulk.seed_mass_kg == pytest.approx(area * rate * (1 + waste))
    assert live.seed_mass_kg >= bulk.seed_mass_kg * (1 - 1e-12)


@given(areas, areas, st.floats(1e-3, 1), st.floats(1, 500), st.floats(0.1, 10))
def test_tanks_of_two_areas_are_those_of_the_whole_or_one_more(
    one: float, other: float, rate: float, per_tank: float, tank: float
) -> None:
    def sprayed(area: float) -> Any:
        return hydromulch(
            area_m2=area, mulch_rate_kg_per_m2=rate, mulch_per_tank_kg=per_tank, tank_volume_m3=tank
        )

    whole = sprayed(one + other)
    apart = sprayed(one).tank_loads + sprayed(other).tank_loads
    assert apart - 1 <= whole.tank_loads <= apart
    assert whole.mulch_water_m3 <= whole.tank_loads * tank * (1 + 1e-8)


@given(areas, st.floats(1e-4, 0.1), st.floats(0.1, 50), shares, st.floats(0.1, 500))
def test_what_runs_for_its_time_brings_the_depth(
    area: float, depth: float, weeks: float, efficiency: float, flow: float
) -> None:
    water = watering(area_m2=area, depth_per_week_m=depth, weeks=weeks, efficiency_share=efficiency)
    hours = run_time(water_volume_m3=water.water_volume_m3, flow_m3_per_h=flow).run_time_h
    assert hours * flow * efficiency / area == pytest.approx(depth * weeks)


@given(st.floats(0.1, 1e5), st.floats(0.1, 1e3))
def test_bags_are_whole_and_enough_and_not_one_too_many(mass: float, bag: float) -> None:
    bags = bags_of(mass_kg=mass, bag_mass_kg=bag, product="seed").bags
    assert bags * bag >= mass * (1 - 1e-8)
    assert bags == 1 or (bags - 1) * bag < mass
