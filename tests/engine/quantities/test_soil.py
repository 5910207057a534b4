"""Soil in its states, sections, balances and surveyed volumes: refusals and what must always hold."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.earthwork import average_end_area, grid_volume, prismoidal_volume
from swardcost_api.engine.quantities.rootzone import cavity, section_layer
from swardcost_api.engine.quantities.sand import mass_of_volume, moist_density
from swardcost_api.engine.quantities.soil import (
    SOIL_FACTORS,
    State,
    amendment_tilled,
    earth_balance,
    loose_for_layer,
    soil_volumes,
    strip_and_respread,
)

GOOD: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (moist_density, {"dry_bulk_density_kg_per_m3": 1_500.0}),
    (mass_of_volume, {"volume_m3": 5.0, "bulk_density_kg_per_m3": 1_500.0}),
    (soil_volumes, {"volume_m3": 5.0}),
    (loose_for_layer, {"layer_volume_m3": 5.0}),
    (amendment_tilled, {"area_m2": 100.0, "tilled_depth_m": 0.15, "amendment_share": 0.2}),
    (strip_and_respread, {"area_m2": 100.0, "strip_depth_m": 0.15}),
    (section_layer, {"area_m2": 100.0, "depth_m": 0.3}),
    (cavity, {"area_m2": 100.0, "root_zone_depth_m": 0.3, "gravel_depth_m": 0.1}),
    (grid_volume, {"cell_length_m": 10.0, "cell_width_m": 10.0}),
]
FACTORS: dict[str, Any] = {"loose_factor": 1.25, "compacted_factor": 0.9}
BESIDE: dict[Callable[..., Any], dict[str, Any]] = {
    moist_density: {"moisture_share": 0.05, "material": "sand"},
    mass_of_volume: {"volume_name": "loose volume", "material": "sand"},
    soil_volumes: {"state": "in_place", **FACTORS},
    loose_for_layer: {"settlement_share": 0.1},
    strip_and_respread: {"respread_depth_m": 0.1, "loose_factor": 1.2},
    section_layer: {"name": "root zone"},
    grid_volume: {"corner_cuts_m": [[1.0, 1.0], [1.0, 1.0]]},
}
PLACES = [(compute, name) for compute, good in GOOD for name in good]

areas = st.floats(1, 1e6)
depths = st.floats(0.001, 5)
volumes = st.floats(0.01, 1e6)
swells = st.floats(1, 2)
shrinks = st.floats(0.5, 1)
parts = st.floats(0, 0.9)


@pytest.mark.parametrize(("compute", "name"), PLACES)
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_are_not_above_zero_are_refused(
    compute: Callable[..., Any], name: str, nonsense: float
) -> None:
    with pytest.raises(ValueError, match="expected"):
        compute(**dict(GOOD)[compute] | BESIDE.get(compute, {}) | {name: nonsense})


@pytest.mark.parametrize(
    ("compute", "arguments", "complaint"),
    [
        (soil_volumes, {"volume_m3": 1, "state": "wet", **FACTORS}, "state: expected in_place, loose"),
        (soil_volumes, {"volume_m3": 1, "state": "loose", "loose_factor": 0.9, "compacted_factor": 0.8}, "1 or more"),
        (
            soil_volumes,
            {"volume_m3": 1, "state": "loose", "loose_factor": 1.1, "compacted_factor": 1.2},
            "compacted factor: expected at most the loose factor",
        ),
        (loose_for_layer, {"layer_volume_m3": 1, "settlement_share": 1}, "settlement: expected a share below 1"),
        (amendment_tilled, {"area_m2": 1, "tilled_depth_m": 1, "amendment_share": 1}, "expected a share below 1"),
        (
            strip_and_respread,
            {"area_m2": 1, "strip_depth_m": 1, "respread_depth_m": 0, "loose_factor": 1, "loss_share": 1},
            "loss: expected a share below 1",
        ),
        (section_layer, {"name": "gravel", "area_m2": 1, "depth_m": 1, "settlement_share": 1}, "below 1"),
        (
            cavity,
            {"area_m2": 1, "root_zone_depth_m": 0.3, "gravel_depth_m": 0.1, "freeboard_m": 0.4},
            "freeboard: expected less than the section",
        ),
        (earth_balance, {"cut_volume_m3": 0, "fill_volume_m3": 0, **FACTORS}, "where there is no fill"),
        (
            earth_balance,
            {"cut_volume_m3": 1, "fill_volume_m3": 0, "usable_share": 1.1, **FACTORS},
            "usable share: expected at most 1",
        ),
        (average_end_area, {"stations_m": [0], "areas_m2": [1]}, "sections: expected two or more"),
        (average_end_area, {"stations_m": [0, 1], "areas_m2": [1]}, "2 stations and 1 areas"),
        (average_end_area, {"stations_m": [1, 1], "areas_m2": [1, 1]}, "station 2: expected beyond"),
        (average_end_area, {"stations_m": [0, 1], "areas_m2": [0, 0]}, "at least one above zero"),
        (average_end_area, {"stations_m": [0, 1], "areas_m2": [1, -1]}, "earth area 2: expected zero or more"),
        (prismoidal_volume, {"stations_m": [0, 1], "areas_m2": [1, 1]}, "an odd number"),
        (prismoidal_volume, {"stations_m": [0, 1, 3], "areas_m2": [1, 1, 1]}, "station 2: expected half way"),
        (grid_volume, {"cell_length_m": 1, "cell_width_m": 1, "corner_cuts_m": [[1, 1]]}, "two or more rows"),
        (grid_volume, {"cell_length_m": 1, "cell_width_m": 1, "corner_cuts_m": [[1, 1], [1]]}, "equally many"),
        (grid_volume, {"cell_length_m": 1, "cell_width_m": 1, "corner_cuts_m": [[0, 0], [0, 0]]}, "other than zero"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_what_was_expected(
    compute: Callable[..., Any], arguments: dict[str, Any], complaint: str
) -> None:
    with pytest.raises(ValueError, match=complaint):
        compute(**arguments)


@pytest.mark.parametrize("name", SOIL_FACTORS)
def test_soils_of_the_table_swell_when_dug_and_say_who_published_them(name: str) -> None:
    factors = SOIL_FACTORS[name]
    assert factors.loose > 1
    assert factors.compacted <= factors.loose
    assert factors.source


@given(volumes, swells, shrinks, st.sampled_from(["in_place", "loose", "compacted"]))
def test_soil_keeps_its_volumes_whichever_state_it_is_measured_in(
    volume: float, loose: float, compacted: float, state: State
) -> None:
    soil = soil_volumes(volume_m3=volume, state=state, loose_factor=loose, compacted_factor=compacted)
    again = soil_volumes(
        volume_m3=soil.loose_volume_m3, state="loose", loose_factor=loose, compacted_factor=compacted
    )
    assert again.in_place_volume_m3 == pytest.approx(soil.in_place_volume_m3, rel=1e-12)
    assert again.compacted_volume_m3 == pytest.approx(soil.compacted_volume_m3, rel=1e-12)
    assert soil.loose_volume_m3 >= soil.compacted_volume_m3


@given(volumes, parts, st.floats(0, 0.09), st.floats(0, 1))
def test_more_settlement_never_takes_less_loose_material(
    volume: float, settlement: float, more: float, waste: float
) -> None:
    def loose(share: float) -> float:
        return loose_for_layer(
            layer_volume_m3=volume, settlement_share=share, waste_share=waste
        ).loose_volume_m3

    assert loose(settlement + more) >= loose(settlement) >= volume
    assert loose_for_layer(layer_volume_m3=volume, settlement_share=settlement).loose_volume_m3 * (
        1 - settlement
    ) == pytest.approx(volume)


@given(st.floats(800, 2_500), st.floats(0, 1), st.floats(0, 1))
def test_wetter_sand_is_never_lighter(dry: float, moisture: float, more: float) -> None:
    def density(share: float) -> float:
        return moist_density(
            dry_bulk_density_kg_per_m3=dry, moisture_share=share, material="sand"
        ).bulk_density_kg_per_m3

    assert density(moisture + more) >= density(moisture) >= dry


@given(volumes, volumes, swells, shrinks, st.floats(0, 1))
def test_cut_is_used_hauled_away_or_both_and_fill_is_always_met(
    cut: float, fill: float, loose: float, compacted: float, usable: float
) -> None:
    balance = earth_balance(
        cut_volume_m3=cut, fill_volume_m3=fill, loose_factor=loose, compacted_factor=compacted,
        usable_share=usable,
    )  # fmt: skip
    used = balance.fill_in_place_m3 - balance.shortfall_volume_m3
    assert used + balance.spoil_volume_m3 == pytest.approx(cut, rel=1e-9, abs=1e-6)
    assert 0 in (balance.surplus_volume_m3, balance.shortfall_volume_m3)


@given(areas, areas, depths, depths, swells, parts)
def test_topsoil_of_two_parts_is_that_of_the_whole(
    one: float, other: float, strip: float, spread: float, loose: float, loss: float
) -> None:
    def volumes_of(area: float) -> list[float]:
        soil = strip_and_respread(
            area_m2=area, strip_depth_m=strip, respread_depth_m=spread, loose_factor=loose, loss_share=loss
        )
        return [soil.stockpile_volume_m3, soil.surplus_volume_m3, soil.shortfall_volume_m3]

    sums = [a + b for a, b in zip(volumes_of(one), volumes_of(other), strict=True)]
    assert sums == pytest.approx(
        volumes_of(one + other), rel=1e-9, abs=1e-9 * (one + other) * (strip + spread)
    )


@given(st.lists(st.tuples(st.floats(0.1, 100), st.floats(0.1, 500)), min_size=2, max_size=8))
def test_sections_read_backwards_hold_the_same(pairs: list[tuple[float, float]]) -> None:
    stations = [math.fsum(length for length, _ in pairs[: number + 1]) for number in range(len(pairs))]
    sections = [area for _, area in pairs]
    forward = average_end_area(stations_m=stations, areas_m2=sections).volume_m3
    turned = [stations[-1] - station for station in reversed(stations)]
    assert average_end_area(stations_m=turned, areas_m2=sections[::-1]).volume_m3 == pytest.approx(forward)


@given(depths, st.floats(0.1, 50), st.floats(0.1, 50), st.integers(2, 5), st.integers(2, 5))
def test_an_even_cut_is_a_prism_however_fine_the_grid(
    depth: float, length: float, width: float, rows: int, columns: int
) -> None:
    grid = grid_volume(cell_length_m=length, cell_width_m=width, corner_cuts_m=[[depth] * columns] * rows)
    assert grid.cut_volume_m3 == pytest.approx(depth * length * width * (rows - 1) * (columns - 1))
    assert grid.fill_volume_m3 == 0


@given(st.lists(st.floats(-3, 3).filter(lambda cut: abs(cut) > 1e-3), min_size=9, max_size=9))
def test_a_grid_turned_upside_down_swaps_cut_and_fill(cuts: list[float]) -> None:
    def volumes_of(sign: int) -> tuple[float, float]:
        rows = [[sign * cut for cut in cuts[start : start + 3]] for start in (0, 3, 6)]
        grid = grid_volume(cell_length_m=5, cell_width_m=5, corner_cuts_m=rows)
        return grid.cut_volume_m3, grid.fill_volume_m3

    assert volumes_of(1) == pytest.approx(volumes_of(-1)[::-1])


def test_cut_and_fill_in_a_cell_differ_by_its_mean_depth_where_one_prevails() -> None:
    grid = grid_volume(cell_length_m=10, cell_width_m=10, corner_cuts_m=[[0.3, 0.3], [-0.1, -0.1]])
    assert grid.cut_volume_m3 - grid.fill_volume_m3 == pytest.approx(100 * 0.1)
