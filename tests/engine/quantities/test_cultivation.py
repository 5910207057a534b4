"""What tines and blades do to the surface: refusals and what must always hold."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.cultivation import (
    hollow_tine_coring,
    linear_slicing,
    passes_needed,
)
from swardcost_api.engine.quantities.program import program

TINES: dict[str, Any] = {
    "area_m2": 500.0,
    "inside_diameter_m": 0.0127,
    "spacing_along_m": 0.0508,
    "spacing_across_m": 0.0508,
    "depth_m": 0.1,
}
BLADES: dict[str, Any] = {"area_m2": 500.0, "blade_width_m": 0.002, "blade_spacing_m": 0.05, "depth_m": 0.025}

areas = st.floats(1, 1e6)
lengths = st.floats(1e-3, 0.02)
spacings = st.floats(0.02, 0.2)
depths = st.floats(0.005, 0.4)
counts = st.integers(1, 40)


@pytest.mark.parametrize("name", sorted(TINES))
@pytest.mark.parametrize("nonsense", [0.0, -0.1, math.nan, math.inf])
def test_coring_refuses_figures_that_are_no_sizes(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        hollow_tine_coring(**TINES | {name: nonsense})


@pytest.mark.parametrize("name", sorted(BLADES))
@pytest.mark.parametrize("nonsense", [0.0, -0.1, math.nan, math.inf])
def test_slicing_refuses_figures_that_are_no_sizes(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        linear_slicing(**BLADES | {name: nonsense})


@pytest.mark.parametrize("spacing", ["spacing_along_m", "spacing_across_m"])
def test_a_tine_wider_than_its_spacing_is_refused(spacing: str) -> None:
    with pytest.raises(ValueError, match="tine inside diameter: expected at most the closest spacing"):
        hollow_tine_coring(**TINES | {spacing: 0.0126})


def test_a_tine_as_wide_as_its_spacing_is_taken_whatever_the_floats_say() -> None:
    coring = hollow_tine_coring(
        **TINES | {"inside_diameter_m": 0.5 * 0.0254, "spacing_along_m": 12.7 * 0.001}
    )
    assert coring.share_per_pass == pytest.approx(math.pi / 4 * 0.0127 / 0.0508)


def test_a_blade_wider_than_its_spacing_is_refused() -> None:
    with pytest.raises(ValueError, match="blade width: expected at most the blade spacing"):
        linear_slicing(**BLADES | {"blade_spacing_m": 0.0019})


def test_blades_without_a_gap_touch_all_of_the_surface_once() -> None:
    slits = linear_slicing(**BLADES | {"blade_spacing_m": 0.002}, passes=2)
    assert (slits.share_touched_once, slits.share_sum_of_passes) == (1.0, 2.0)


@pytest.mark.parametrize("passes", [0, -1, 1.5, True])
def test_passes_are_whole(passes: int) -> None:
    with pytest.raises(ValueError, match="passes: expected a whole number of one or more"):
        hollow_tine_coring(**TINES, passes=passes)


def test_blades_cross_in_two_directions_at_most() -> None:
    with pytest.raises(ValueError, match="directions: expected 1, or 2 that cross"):
        linear_slicing(**BLADES, directions=3)


def test_two_crossing_directions_touch_by_the_square() -> None:
    slits = linear_slicing(**BLADES, directions=2)
    assert slits.share_touched_once == pytest.approx(1 - (1 - 0.04) ** 2, rel=1e-12)
    assert slits.share_sum_of_passes == pytest.approx(0.08, rel=1e-12)


@pytest.mark.parametrize(("share", "goal"), [(0, 0.5), (1, 0.5), (0.1, 0), (0.1, 1), (0.1, math.nan)])
def test_passes_to_a_goal_need_shares_between_none_and_all(share: float, goal: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        passes_needed(share_per_pass=share, goal_share=goal)


@pytest.mark.parametrize("shares", [[], [0.1, 0.0], [1.1], [math.nan]])
def test_a_program_needs_shares(shares: list[float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        program(shares)


@given(areas, lengths, spacings, spacings, depths, counts)
def test_touched_once_is_neither_more_than_the_sum_of_passes_nor_than_everything(
    area: float, diameter: float, along: float, across: float, depth: float, passes: int
) -> None:
    coring = hollow_tine_coring(
        area_m2=area, inside_diameter_m=diameter, spacing_along_m=along, spacing_across_m=across, depth_m=depth,
        passes=passes,
    )  # fmt: skip
    assert 0 < coring.share_touched_once <= 1
    assert coring.share_touched_once <= coring.share_sum_of_passes * (1 + 1e-12)
    assert coring.share_touched_once >= coring.share_per_pass * (1 - 1e-12)
    assert coring.area_touched_once_m2 <= area


@given(lengths, st.floats(1, 1.5), depths, st.floats(1, 2), counts)
def test_wider_and_deeper_holes_never_take_less_fill(
    diameter: float, wider: float, depth: float, deeper: float, passes: int
) -> None:
    def fill(width: float, down: float) -> float:
        return hollow_tine_coring(
            area_m2=500, inside_diameter_m=width, spacing_along_m=0.05, spacing_across_m=0.05, depth_m=down,
            passes=passes,
        ).fill_volume_m3  # fmt: skip

    assert fill(diameter * wider, depth) >= fill(diameter, depth)
    assert fill(diameter, depth * deeper) >= fill(diameter, depth)


@given(areas, areas, lengths, spacings, depths, counts, st.integers(1, 2))
def test_an_area_in_two_parts_takes_what_the_whole_takes(
    one: float, other: float, width: float, spacing: float, depth: float, passes: int, directions: int
) -> None:
    def holes_and_slits(area: float) -> list[float]:
        coring = hollow_tine_coring(
            area_m2=area, inside_diameter_m=width, spacing_along_m=spacing, spacing_across_m=spacing,
            depth_m=depth, passes=passes,
        )  # fmt: skip
        slits = linear_slicing(
            area_m2=area, blade_width_m=width, blade_spacing_m=spacing, depth_m=depth, directions=directions,
            passes=passes,
        )  # fmt: skip
        return [
            coring.holes, coring.core_volume_m3, coring.area_sum_of_passes_m2, coring.area_touched_once_m2,
            slits.slit_length_m, slits.slit_volume_m3, slits.area_sum_of_passes_m2, slits.area_touched_once_m2,
        ]  # fmt: skip

    parts = [a + b for a, b in zip(holes_and_slits(one), holes_and_slits(other), strict=True)]
    assert parts == pytest.approx(holes_and_slits(one + other), rel=1e-9)


@given(st.floats(1e-4, 0.9), st.floats(0.01, 0.99))
def test_the_passes_that_are_needed_reach_the_goal(share: float, goal: float) -> None:
    passes = passes_needed(share_per_pass=share, goal_share=goal)
    assert 1 - (1 - share) ** passes.whole_passes_by_overlap >= goal * (1 - 1e-6)
    assert share * passes.whole_passes_by_sum >= goal * (1 - 1e-6)


@given(st.lists(st.floats(1e-6, 1), min_size=1, max_size=12))
def test_a_program_in_another_order_opens_the_same(shares: list[float]) -> None:
    forward, backward = program(shares), program(shares[::-1])
    assert forward.share_touched_once == pytest.approx(backward.share_touched_once, abs=1e-12)
    assert forward.share_touched_once <= min(1, forward.share_sum_of_passes + 1e-12)
