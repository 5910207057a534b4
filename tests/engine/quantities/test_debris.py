"""Cores, spoil and thatch to take away: refusals and what must always hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.debris import collected_debris, debris_loads, verticut_debris

THATCH = {
    "area_m2": 500.0, "share_touched_once": 0.1, "depth_m": 0.02, "thatch_depth_m": 0.0125,
    "thatch_density_kg_per_m3": 500.0, "soil_density_kg_per_m3": 1_500.0, "loose_factor": 2.0,
}  # fmt: skip
LOADS = {"loose_volume_m3": 10.0, "mass_kg": 9_000.0, "box_volume_m3": 1.5, "payload_kg": 2_000.0}


@pytest.mark.parametrize("name", sorted(THATCH))
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_thatch_refuses_figures_that_are_no_sizes(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        verticut_debris(**THATCH | {name: nonsense})


@pytest.mark.parametrize("name", sorted(LOADS))
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_loads_refuse_figures_that_are_no_sizes(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        debris_loads(**LOADS | {name: nonsense})


def test_shares_above_everything_are_refused() -> None:
    with pytest.raises(ValueError, match="collected share: expected at most 1"):
        collected_debris(volume_m3=1, loose_factor=1.2, bulk_density_kg_per_m3=1_500, collected_share=1.01)
    with pytest.raises(ValueError, match="share touched once: expected at most 1"):
        verticut_debris(**THATCH | {"share_touched_once": 1.01})


def test_blades_within_the_thatch_throw_out_no_soil() -> None:
    shallow = verticut_debris(**THATCH | {"depth_m": 0.01})
    assert shallow.soil_volume_m3 == 0
    assert shallow.thatch_volume_m3 == pytest.approx(500 * 0.1 * 0.01)
    assert shallow.mass_kg == pytest.approx(500 * 0.1 * 0.01 * 500)


def test_blades_below_the_thatch_throw_out_all_of_it_and_soil() -> None:
    deep = verticut_debris(**THATCH)
    assert deep.thatch_volume_m3 == pytest.approx(500 * 0.1 * 0.0125)
    assert deep.soil_volume_m3 == pytest.approx(500 * 0.1 * 0.0075)
    assert deep.loose_volume_m3 == pytest.approx(2 * 500 * 0.1 * 0.02)


def test_a_load_is_full_by_volume_or_by_weight_whichever_comes_first() -> None:
    light = debris_loads(**LOADS)
    assert (light.loads_by_volume, light.loads_by_mass, light.loads, light.trips) == (7, 5, 7, 7)
    heavy = debris_loads(**LOADS | {"mass_kg": 20_000.0})
    assert (heavy.loads_by_volume, heavy.loads_by_mass, heavy.loads) == (7, 10, 10)


@given(st.floats(0.01, 1e4), st.floats(0.01, 1e4), st.floats(0.01, 1), st.floats(1, 3))
def test_debris_of_two_parts_is_the_debris_of_the_whole(
    one: float, other: float, collected: float, loose: float
) -> None:
    def taken(volume: float) -> list[float]:
        debris = collected_debris(
            volume_m3=volume, loose_factor=loose, bulk_density_kg_per_m3=1_500, collected_share=collected
        )
        return [debris.collected_volume_m3, debris.loose_volume_m3, debris.mass_kg]

    parts = [a + b for a, b in zip(taken(one), taken(other), strict=True)]
    assert parts == pytest.approx(taken(one + other), rel=1e-9)


@given(st.floats(0.001, 0.1), st.floats(1, 3), st.floats(0.001, 0.1))
def test_deeper_blades_never_throw_out_less(depth: float, deeper: float, thatch: float) -> None:
    found, more = (
        verticut_debris(**THATCH | {"depth_m": down, "thatch_depth_m": thatch})
        for down in (depth, depth * deeper)
    )
    assert more.thatch_volume_m3 >= found.thatch_volume_m3
    assert more.soil_volume_m3 >= found.soil_volume_m3
    assert found.debris_volume_m3 == pytest.approx(500 * 0.1 * depth)


@given(st.floats(0.01, 1e4), st.floats(1, 1e7), st.floats(0.1, 20), st.floats(100, 30_000))
def test_loads_are_enough_for_volume_and_weight_and_not_one_too_many(
    loose: float, mass: float, box: float, payload: float
) -> None:
    loads = debris_loads(loose_volume_m3=loose, mass_kg=mass, box_volume_m3=box, payload_kg=payload).loads
    assert loads * box >= loose * (1 - 1e-8)
    assert loads * payload >= mass * (1 - 1e-8)
    assert loads == 1 or (loads - 1) * box < loose or (loads - 1) * payload < mass
