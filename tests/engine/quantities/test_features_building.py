"""Brush, trees, beds, fences, irrigation and rooms: refusals and what must always hold."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities import beds, brush, fences, irrigation, paces, planting, rooms

areas = st.floats(1, 1e6)
depths = st.floats(0.01, 2)

PIT: dict[str, Any] = {
    "trees": 12, "pit_diameter_m": 1.2, "pit_depth_m": 0.5, "ball_diameter_m": 0.6, "ball_depth_m": 0.45,
    "amendment_share": 0.25,
}  # fmt: skip
ROOM: dict[str, Any] = {
    "length_m": 9.0, "width_m": 6.0, "height_m": 3.0, "openings_area_m2": 8.0, "doorways_width_m": 1.8,
}  # fmt: skip

GOOD: list[tuple[Callable[..., Any], dict[str, Any]]] = [
    (brush.machine_days, {"machine_time_h": 20.0, "day_h": 7.0}),
    (brush.chips_left, {"area_m2": 400.0, "depth_m": 0.05}),
    (planting.trees_on_grid, {"area_m2": 400.0, "spacing_m": 6.0}),
    (planting.tree_pits, PIT),
    (planting.mulch_rings, {"trees": 12, "ring_diameter_m": 1.8, "depth_m": 0.08}),
    (planting.stakes_and_water, {"trees": 12, "stakes_per_tree": 2, "water_per_tree_m3": 0.05}),
    (beds.bed_cover, {"area_m2": 400.0, "depth_m": 0.08, "old_depth_m": 0.02}),
    (
        fences.post_footings,
        {"posts": 14, "hole_diameter_m": 0.3, "hole_depth_m": 0.75, "post_diameter_m": 0.1},
    ),
    (
        fences.rails_and_mesh,
        {"post_spaces": 13, "fence_length_m": 30.0, "rails_per_space": 3, "mesh_height_m": 1.2},
    ),
    (irrigation.pipe_trench, {"length_m": 40.0, "width_m": 0.1, "depth_m": 0.45}),
    (irrigation.heads_moved, {"heads": 6, "fittings_per_head": 4, "wire_per_head_m": 6.0}),
    (rooms.room_surfaces, ROOM),
    (rooms.paint, {"surface": "wall", "area_m2": 80.0, "coats": 2, "coverage_m2": 33.0}),
    (paces.time_along, {"length_m": 120.0, "pace_m_per_h": 30.0}),
    (paces.time_over, {"area_m2": 120.0, "pace_m2_per_h": 30.0, "area_name": "turf area"}),
    (paces.time_by_piece, {"pieces": 12.0, "pieces_name": "items", "unit": "each", "time_each_h": 1.5}),
]
MAY_BE_ZERO = {"amendment_share", "old_depth_m", "openings_area_m2", "doorways_width_m"}
COUNTS = [(compute, name) for compute, good in GOOD for name, value in good.items() if type(value) is int]
SIZES = [(compute, name) for compute, good in GOOD for name, value in good.items() if type(value) is float]


def good_ones(compute: Callable[..., Any]) -> dict[str, Any]:
    return next(arguments for one, arguments in GOOD if one is compute)


@pytest.mark.parametrize(("compute", "name"), SIZES)
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_are_no_sizes_are_refused(
    compute: Callable[..., Any], name: str, nonsense: float
) -> None:
    if nonsense == 0 and name in MAY_BE_ZERO:
        compute(**good_ones(compute) | {name: nonsense})
        return
    with pytest.raises(ValueError, match="expected"):
        compute(**good_ones(compute) | {name: nonsense})


@pytest.mark.parametrize(("compute", "name"), COUNTS)
@pytest.mark.parametrize("nonsense", [0, -2, 1.5, True])
def test_what_is_counted_is_whole(compute: Callable[..., Any], name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected a whole number of one or more"):
        compute(**good_ones(compute) | {name: nonsense})


@pytest.mark.parametrize(
    "stands", [{}, {"light": (0.5, 100.0)}, {"light": (0.6, 100.0), "heavy": (0.6, 100.0)}]
)
def test_stands_make_up_the_area(stands: dict[str, tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="shares of the stands: expected 1 together"):
        brush.mulching_time(area_m2=1_000, stands=stands)


@given(areas, areas, st.floats(0.01, 0.99), st.floats(10, 1e4), st.floats(10, 1e4))
def test_brush_in_two_parts_takes_what_the_whole_takes(
    one: float, other: float, light: float, fast: float, slow: float
) -> None:
    def hours(area: float) -> float:
        stands = {"light": (light, fast), "heavy": (1 - light, slow)}
        return brush.mulching_time(area_m2=area, stands=stands).machine_time_h

    assert hours(one) + hours(other) == pytest.approx(hours(one + other))
    assert hours(one) <= one / min(fast, slow) * (1 + 1e-9)


@given(areas, st.floats(1, 30), st.floats(1, 3))
def test_trees_further_apart_are_never_more_and_a_triangle_holds_more_than_a_square(
    area: float, spacing: float, wider: float
) -> None:
    trees = planting.trees_on_grid(area_m2=area, spacing_m=spacing).trees
    assert trees >= planting.trees_on_grid(area_m2=area, spacing_m=spacing * wider).trees >= 1
    assert planting.trees_on_grid(area_m2=area, spacing_m=spacing, pattern="triangular").trees >= trees


def test_trees_stand_in_a_known_pattern() -> None:
    unknown: Any = "diamond"
    with pytest.raises(ValueError, match="pattern: expected square or triangular"):
        planting.trees_on_grid(area_m2=100, spacing_m=3, pattern=unknown)


@given(st.integers(1, 500), st.floats(1, 3), st.floats(0, 1))
def test_earth_of_pits_is_conserved(trees: int, wider: float, share: float) -> None:
    pits = planting.tree_pits(
        **PIT | {"trees": trees, "pit_diameter_m": 0.6 * wider, "amendment_share": share}
    )
    reused = pits.backfill_volume_m3 - pits.amendment_volume_m3
    assert reused + pits.spoil_volume_m3 == pytest.approx(pits.pit_volume_m3)


@pytest.mark.parametrize(("name", "size"), [("ball_diameter_m", 1.3), ("ball_depth_m", 0.6)])
def test_a_ball_fits_its_pit(name: str, size: float) -> None:
    with pytest.raises(ValueError, match="expected at most the pit's"):
        planting.tree_pits(**PIT | {name: size})
    with pytest.raises(ValueError, match="amendment share: expected at most 1"):
        planting.tree_pits(**PIT | {"amendment_share": 1.1})


@given(areas, depths, depths)
def test_a_deeper_cover_never_takes_less(area: float, depth: float, more: float) -> None:
    def volume(of_depth: float, old: float = 0.0) -> float:
        return beds.bed_cover(area_m2=area, depth_m=of_depth, old_depth_m=old).volume_m3

    assert volume(depth + more) >= volume(depth) >= volume(depth, depth / 2)


def test_old_cover_leaves_room_for_new() -> None:
    with pytest.raises(ValueError, match="old cover depth: expected less than the cover depth"):
        beds.bed_cover(area_m2=10, depth_m=0.05, old_depth_m=0.05)


@given(st.lists(st.floats(0.5, 500), min_size=1, max_size=8), st.floats(1, 5), st.floats(1, 2))
def test_posts_stand_no_further_apart_than_allowed_and_closer_ones_are_never_fewer(
    stretches: list[float], spacing: float, wider: float
) -> None:
    line = fences.fence_line(stretches_m=stretches, post_spacing_m=spacing)
    assert line.posts == line.spaces + 1
    assert line.spaces * spacing >= line.length_m * (1 - 1e-8)
    assert line.posts >= fences.fence_line(stretches_m=stretches, post_spacing_m=spacing * wider).posts


@given(st.lists(st.floats(0.5, 500), min_size=3, max_size=8), st.floats(1, 5), st.integers(0, 6))
def test_a_closed_fence_saves_one_post_and_each_gate_takes_one(
    stretches: list[float], spacing: float, gates: int
) -> None:
    def posts(gates: int, closed: bool) -> int:
        return fences.fence_line(
            stretches_m=stretches, post_spacing_m=spacing, gates=gates, closed=closed
        ).posts

    assert posts(gates, True) == posts(gates, False) - 1 == posts(0, True) + gates


def test_a_fence_has_a_stretch_and_its_posts_fit_their_holes() -> None:
    with pytest.raises(ValueError, match="stretches: expected the length of at least one"):
        fences.fence_line(stretches_m=[], post_spacing_m=2.4)
    with pytest.raises(ValueError, match="post diameter: expected less than the hole's"):
        fences.post_footings(posts=2, hole_diameter_m=0.1, hole_depth_m=0.7, post_diameter_m=0.1)


@given(st.floats(2, 60), st.floats(2, 60), st.floats(2, 6), st.floats(0, 0.9))
def test_openings_are_taken_off_the_walls_and_nothing_else(
    length: float, width: float, height: float, part: float
) -> None:
    walls = 2 * (length + width) * height
    bare = rooms.room_surfaces(length_m=length, width_m=width, height_m=height)
    pierced = rooms.room_surfaces(
        length_m=length, width_m=width, height_m=height, openings_area_m2=part * walls
    )
    assert bare.wall_area_m2 - pierced.wall_area_m2 == pytest.approx(part * walls)
    assert bare.floor_area_m2 == pierced.floor_area_m2 == pierced.ceiling_area_m2


def test_a_room_keeps_some_wall() -> None:
    with pytest.raises(ValueError, match="openings: expected less than the walls"):
        rooms.room_surfaces(length_m=4, width_m=3, height_m=2.5, openings_area_m2=35)
    with pytest.raises(ValueError, match="doorways: expected less than the perimeter"):
        rooms.room_surfaces(length_m=4, width_m=3, height_m=2.5, doorways_width_m=14)


@pytest.mark.parametrize("openings", [{}, {"hatch": (1, 1.0, 1.0)}])
def test_openings_are_doors_and_windows(openings: dict[str, tuple[int, float, float]]) -> None:
    with pytest.raises(ValueError, match="openings: expected door, window or both"):
        rooms.wall_openings(openings=openings)


@given(st.floats(1, 1e4), st.integers(1, 5), st.floats(1, 100))
def test_one_more_coat_never_takes_less_paint(area: float, coats: int, coverage: float) -> None:
    def containers(of_coats: int) -> int:
        return rooms.paint(surface="wall", area_m2=area, coats=of_coats, coverage_m2=coverage).containers

    assert containers(coats + 1) >= containers(coats) >= 1


def test_craft_hours_are_of_something() -> None:
    with pytest.raises(ValueError, match="craft time: expected at least one surface or fixture"):
        rooms.craft_hours(surfaces={}, fixtures={})


@given(st.integers(1, 1_000), st.floats(0.1, 40), st.integers(1, 12))
def test_two_people_at_a_piece_count_twice(pieces: int, time: float, crew: int) -> None:
    def hours(of_crew: int) -> float:
        return paces.time_by_piece(
            pieces=pieces, pieces_name="items", unit="each", time_each_h=time, crew_size=of_crew
        ).craft_time_h

    assert hours(2 * crew) == pytest.approx(2 * hours(crew))
