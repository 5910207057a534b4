"""Drains, tees, bunkers, surrounds, paths and banks: refusals and what must always hold."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities import banks, bunkers, drains, materials, paths, surrounds, tees

lengths = st.floats(1, 5_000)
areas = st.floats(1, 1e6)
depths = st.floats(0.01, 2)
shares = st.floats(0, 1)

GOOD: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (drains.drain_lines, {"main_length_m": 30.0, "drained_area_m2": 90.0, "lateral_spacing_m": 4.5}),
    (
        drains.drain_trench,
        {"length_m": 30.0, "width_m": 0.15, "depth_m": 0.2, "pipe_diameter_m": 0.1, "cover_depth_m": 0.05},
    ),
    (drains.trench_spoil, {"trench_volume_m3": 0.9, "soil_cover_volume_m3": 0.2}),
    (tees.level_ground, {"area_m2": 400.0, "mean_cut_m": 0.2, "mean_fill_m": 0.1, "compacted_factor": 0.9}),
    (tees.root_zone_layer, {"area_m2": 400.0, "depth_m": 0.15}),
    (bunkers.sand_out, {"area_m2": 200.0, "depth_m": 0.15, "bulk_density_kg_per_m3": 1_700.0}),
    (bunkers.fill_hollow, {"area_m2": 200.0, "depth_m": 0.6, "topsoil_depth_m": 0.15}),
    (
        bunkers.floor_and_faces,
        {
            "area_m2": 200.0, "floor_sand_depth_m": 0.1, "face_share": 0.4, "face_slope": 0.75,
            "face_sand_depth_m": 0.05,
        },
    ),
    (surrounds.strip_around, {"perimeter_m": 90.0, "width_m": 3.0}),
    (surrounds.turf_with_strip, {"area_m2": 400.0, "strip_area_m2": 90.0}),
    (surrounds.strip_and_regrade, {"area_m2": 400.0, "strip_depth_m": 0.04, "regrade_depth_m": 0.05}),
    (
        paths.cart_path,
        {"length_m": 100.0, "width_m": 2.4, "thickness_m": 0.1, "base_depth_m": 0.1, "base_beyond_m": 0.15},
    ),
    (
        paths.path_removal,
        {"length_m": 100.0, "width_m": 2.0, "thickness_m": 0.08, "density_kg_per_m3": 2_300.0},
    ),
    (
        banks.bank_section,
        {
            "length_m": 60.0, "height_m": 1.0, "run_per_rise": 3.0, "cut_depth_m": 0.15,
            "stone_slope_length_m": 1.2, "stone_thickness_m": 0.3,
        },
    ),
    (
        banks.lapped_fabric,
        {
            "length_m": 60.0, "slope_length_m": 3.0, "roll_width_m": 4.0, "lap_m": 0.3, "toe_anchor_m": 0.6,
            "top_anchor_m": 0.5,
        },
    ),
    (banks.live_stakes, {"area_m2": 200.0, "spacing_m": 0.8}),
    (
        materials.material_to_bring_in,
        {
            "material": "gravel", "volume_m3": 10.0, "volume_name": "gravel volume", "allowance_share": 0.1,
            "bulk_density_kg_per_m3": 1_600.0,
        },
    ),
    (
        materials.goods_to_order,
        {"goods": "pipe", "amount": 30.0, "amount_name": "drain length", "unit": "meter", "waste_share": 0.05},
    ),
    (
        materials.packs_of,
        {"packs": "rolls", "amount": 30.0, "amount_name": "length", "unit": "meter", "content": 4.0},
    ),
    (
        materials.spoil_to_haul,
        {"volume_m3": 10.0, "volume_name": "trench volume", "swell_share": 0.25, "box_volume_m3": 4.0},
    ),
]  # fmt: skip
MAY_BE_ZERO = {
    "mean_cut_m", "mean_fill_m", "base_beyond_m", "lap_m", "allowance_share", "waste_share", "swell_share",
    "face_share",
}  # fmt: skip
PLACES = [
    (compute, name) for compute, good in GOOD for name, value in good.items() if isinstance(value, float)
]


@pytest.mark.parametrize(("compute", "name"), PLACES)
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_are_no_sizes_are_refused(
    compute: Callable[..., Any], name: str, nonsense: float
) -> None:
    good = next(arguments for one, arguments in GOOD if one is compute)
    if nonsense == 0 and name in MAY_BE_ZERO:
        compute(**good | {name: nonsense})
        return
    with pytest.raises(ValueError, match="expected"):
        compute(**good | {name: nonsense})


def test_laterals_need_area_and_spacing() -> None:
    with pytest.raises(ValueError, match="lateral spacing: expected together with the drained area"):
        drains.drain_lines(drained_area_m2=100)
    with pytest.raises(ValueError, match="drain length: expected a main length, or an area"):
        drains.drain_lines()


@pytest.mark.parametrize(("pipe", "cover"), [(0.16, None), (0.16, 0.05), (0.1, 0.11)])
def test_a_pipe_lies_within_the_gravel(pipe: float, cover: float | None) -> None:
    with pytest.raises(ValueError, match="pipe diameter: expected at most the width and depth of gravel"):
        drains.drain_trench(length_m=10, width_m=0.15, depth_m=0.2, pipe_diameter_m=pipe, cover_depth_m=cover)


def test_a_cover_leaves_room_for_gravel() -> None:
    with pytest.raises(ValueError, match="cover depth: expected less than the trench depth"):
        drains.drain_trench(length_m=10, width_m=0.15, depth_m=0.2, cover_depth_m=0.2)


@given(lengths, depths, depths, depths, shares)
def test_what_is_dug_for_a_drain_is_what_goes_back(
    length: float, width: float, depth: float, deeper: float, pipe: float
) -> None:
    diameter = max(pipe * min(width, depth), 1e-3)
    trench = drains.drain_trench(length_m=length, width_m=width, depth_m=depth, pipe_diameter_m=diameter)
    assert trench.pipe_volume_m3 is not None
    assert trench.gravel_volume_m3 + trench.pipe_volume_m3 == pytest.approx(trench.volume_m3)
    assert trench.gravel_volume_m3 > 0
    below = drains.drain_trench(
        length_m=length, width_m=width, depth_m=depth + deeper, pipe_diameter_m=diameter
    )
    assert below.gravel_volume_m3 >= trench.gravel_volume_m3


@given(lengths, depths, depths, st.floats(0.05, 0.95))
def test_soil_of_a_trench_is_put_back_or_left_over(
    length: float, width: float, depth: float, covered: float
) -> None:
    trench = drains.drain_trench(length_m=length, width_m=width, depth_m=depth, cover_depth_m=covered * depth)
    left = drains.trench_spoil(trench_volume_m3=trench.volume_m3, soil_cover_volume_m3=trench.cover_volume_m3)
    assert left.volume_m3 == pytest.approx(trench.gravel_volume_m3)
    assert drains.trench_spoil(trench_volume_m3=trench.volume_m3).volume_m3 == trench.volume_m3


def test_a_cover_of_soil_leaves_some_of_the_trench_over() -> None:
    with pytest.raises(ValueError, match="cover volume: expected less than the trench volume"):
        drains.trench_spoil(trench_volume_m3=1, soil_cover_volume_m3=1)


@given(areas, areas, depths, st.floats(0.5, 1))
def test_two_tees_take_what_one_of_their_size_takes(
    one: float, other: float, cut: float, factor: float
) -> None:
    def volumes(area: float) -> tuple[float, float, float]:
        ground = tees.level_ground(area_m2=area, mean_cut_m=cut, mean_fill_m=cut / 2, compacted_factor=factor)
        return ground.cut_volume_m3, ground.fill_volume_m3, ground.cut_to_spare_m3

    parts = [a + b for a, b in zip(volumes(one), volumes(other), strict=True)]
    assert parts == pytest.approx(volumes(one + other), rel=1e-9, abs=1e-9 * (one + other))


@given(areas, st.floats(0, 1), st.floats(0.01, 1), st.floats(0.5, 1.2))
def test_cut_and_fill_balance(area: float, cut: float, fill: float, factor: float) -> None:
    ground = tees.level_ground(area_m2=area, mean_cut_m=cut, mean_fill_m=fill, compacted_factor=factor)
    have = ground.cut_as_fill_m3 + ground.fill_to_bring_in_m3
    assert have == pytest.approx(ground.fill_volume_m3 + ground.cut_to_spare_m3)
    assert min(ground.fill_to_bring_in_m3, ground.cut_to_spare_m3) == 0


@given(st.lists(st.tuples(st.floats(0, 5), st.floats(0, 5)), min_size=1, max_size=30))
def test_mean_cut_less_mean_fill_is_the_mean_of_the_heights(points: list[tuple[float, float]]) -> None:
    existing, finished = ([point[side] for point in points] for side in (0, 1))
    mean = tees.mean_cut_and_fill(existing_m=existing, finished_m=finished)
    lowered = (math.fsum(existing) - math.fsum(finished)) / len(points)
    assert mean.cut_m - mean.fill_m == pytest.approx(lowered, abs=1e-9)
    assert min(mean.cut_m, mean.fill_m) >= 0


def test_heights_come_in_pairs() -> None:
    with pytest.raises(ValueError, match="expected as many finished as existing"):
        tees.mean_cut_and_fill(existing_m=[1, 2], finished_m=[1])
    with pytest.raises(ValueError, match="expected finite heights"):
        tees.mean_cut_and_fill(existing_m=[math.nan], finished_m=[1])


def test_level_ground_needs_some_cut_or_fill() -> None:
    with pytest.raises(ValueError, match="expected some cut or some fill"):
        tees.level_ground(area_m2=1, mean_cut_m=0, mean_fill_m=0)


@given(areas, st.floats(0.01, 0.99), st.floats(0.01, 3), st.floats(0, 1))
def test_steeper_faces_never_take_less_liner(area: float, share: float, slope: float, more: float) -> None:
    def surface(steepness: float) -> float:
        return bunkers.floor_and_faces(
            area_m2=area, floor_sand_depth_m=0.1, face_share=share, face_slope=steepness, face_sand_depth_m=0.05
        ).surface_m2  # fmt: skip

    assert surface(slope + more) >= surface(slope) >= area * (1 - 1e-12)


def test_faces_come_with_slope_and_sand() -> None:
    with pytest.raises(ValueError, match="face slope: expected with the depth of sand"):
        bunkers.floor_and_faces(area_m2=10, floor_sand_depth_m=0.1, face_share=0.3, face_slope=0.5)
    with pytest.raises(ValueError, match="face share: expected zero or more and below 1"):
        bunkers.floor_and_faces(area_m2=10, floor_sand_depth_m=0.1, face_share=1.0)


def test_topsoil_lies_on_fill() -> None:
    with pytest.raises(ValueError, match="topsoil depth: expected less than the hollow depth"):
        bunkers.fill_hollow(area_m2=10, depth_m=0.3, topsoil_depth_m=0.3)


@given(st.floats(1, 100), st.floats(0.1, 20), st.integers(1, 18))
def test_a_strip_around_circles_is_a_ring_around_each(radius: float, width: float, features: int) -> None:
    strip = surrounds.strip_around(
        perimeter_m=features * 2 * math.pi * radius, width_m=width, features=features
    )
    ring = math.pi * ((radius + width) ** 2 - radius**2)
    assert strip.area_m2 == pytest.approx(features * ring)


def test_turf_is_of_something() -> None:
    with pytest.raises(ValueError, match="expected an area, a strip or both"):
        surrounds.turf_with_strip()


@given(lengths, lengths, st.floats(1, 5), depths, st.integers(0, 2))
def test_two_stretches_of_path_take_what_the_whole_takes(
    one: float, other: float, width: float, thickness: float, edges: int
) -> None:
    def of(length: float) -> list[float]:
        path = paths.cart_path(
            length_m=length, width_m=width, thickness_m=thickness, base_depth_m=0.1, edges=edges
        )
        return [path.surface_m2, path.pavement_volume_m3, path.base_volume_m3 or 0, path.edge_length_m or 0]

    parts = [a + b for a, b in zip(of(one), of(other), strict=True)]
    assert parts == pytest.approx(of(one + other))


def test_a_path_has_two_edges_at_most() -> None:
    with pytest.raises(ValueError, match="edges: expected 0, 1 or 2 sides"):
        paths.cart_path(length_m=10, width_m=2, thickness_m=0.1, edges=3)


@given(lengths, st.floats(0.2, 5), st.floats(0.2, 5), shares, depths)
def test_stone_and_planted_slope_make_up_the_bank(
    length: float, height: float, run: float, part: float, thickness: float
) -> None:
    slope = height * math.hypot(1, run)
    bank = banks.bank_section(
        length_m=length, height_m=height, run_per_rise=run,
        stone_slope_length_m=max(part, 1e-3) * slope, stone_thickness_m=thickness,
    )  # fmt: skip
    assert bank.stone_area_m2 is not None
    assert bank.planted_area_m2 >= 0
    assert bank.stone_area_m2 + bank.planted_area_m2 == pytest.approx(bank.slope_area_m2)


def test_stone_lies_on_the_slope_and_has_a_thickness() -> None:
    bank: dict[str, Any] = {"length_m": 10, "height_m": 3, "run_per_rise": 4 / 3}
    with pytest.raises(ValueError, match="stone slope length: expected at most the slope length"):
        banks.bank_section(**bank, stone_slope_length_m=5.1, stone_thickness_m=0.3)
    with pytest.raises(ValueError, match="stone thickness: expected together"):
        banks.bank_section(**bank, stone_slope_length_m=2)


@given(lengths, st.floats(0.5, 20), st.floats(1, 6), st.floats(0, 0.9), st.floats(0, 0.09))
def test_a_wider_lap_never_takes_less_fabric(
    length: float, slope: float, roll: float, lap: float, more: float
) -> None:
    def fabric(share: float) -> float:
        return banks.lapped_fabric(
            length_m=length, slope_length_m=slope, roll_width_m=roll, lap_m=share * roll
        ).fabric_area_m2

    assert fabric(lap + more) >= fabric(lap) >= length * slope * (1 - 1e-8)


@given(st.floats(0.1, 5_000), st.floats(1, 6), st.floats(0, 0.9))
def test_strips_with_their_laps_reach_along_the_bank_and_one_less_would_not(
    length: float, roll: float, share: float
) -> None:
    lap = share * roll
    strips = banks.lapped_fabric(length_m=length, slope_length_m=3, roll_width_m=roll, lap_m=lap).strips

    def reach(laid: int) -> float:
        return laid * roll - (laid - 1) * lap

    assert reach(strips) >= length * (1 - 1e-8)
    assert strips == 1 or reach(strips - 1) < length


@given(st.floats(0.5, 20), st.floats(0.1, 3), st.floats(0.1, 3))
def test_anchors_lengthen_every_strip(slope: float, toe: float, top: float) -> None:
    bank: dict[str, Any] = {"length_m": 60, "slope_length_m": slope, "roll_width_m": 4, "lap_m": 0.3}
    plain, anchored = (
        banks.lapped_fabric(**bank, **anchors) for anchors in ({}, {"toe_anchor_m": toe, "top_anchor_m": top})
    )
    assert anchored.strips == plain.strips
    assert anchored.fabric_area_m2 - plain.fabric_area_m2 == pytest.approx(plain.strips * 4 * (toe + top))


def test_a_lap_is_narrower_than_its_roll() -> None:
    with pytest.raises(ValueError, match="lap: expected less than the roll width"):
        banks.lapped_fabric(length_m=10, slope_length_m=3, roll_width_m=4, lap_m=4)


@given(areas, st.floats(0.2, 3), st.floats(1, 2))
def test_closer_stakes_are_never_fewer(area: float, spacing: float, wider: float) -> None:
    def stakes(apart: float) -> int:
        return banks.live_stakes(area_m2=area, spacing_m=apart).stakes

    assert stakes(spacing) >= stakes(spacing * wider) >= 1


@given(st.floats(0.1, 1e5), st.floats(0.1, 1e5), st.floats(0, 1), st.floats(1, 30))
def test_spoil_of_two_parts_is_that_of_the_whole_beyond_whole_loads(
    one: float, other: float, swell: float, box: float
) -> None:
    def of(volume: float) -> tuple[float, int]:
        spoil = materials.spoil_to_haul(
            volume_m3=volume, volume_name="cut volume", swell_share=swell, box_volume_m3=box
        )
        assert spoil.loads is not None
        return spoil.loose_volume_m3, spoil.loads

    (first, some), (second, more), (whole, loads) = of(one), of(other), of(one + other)
    assert first + second == pytest.approx(whole)
    assert some + more - 1 <= loads <= some + more
