"""Holes that are pressed, drilled or injected, and slits of knives: refusals and what must always hold."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.cultivation import hollow_tine_coring, knife_slits
from swardcost_api.engine.quantities.holes import drilled_holes, heave, sand_injection, solid_tine_holes
from swardcost_api.engine.quantities.surface import hole_opening, knife_opening, slit_opening

SPACED: dict[str, Any] = {"area_m2": 500.0, "spacing_along_m": 0.05, "spacing_across_m": 0.06, "depth_m": 0.2}
KNIVES: dict[str, Any] = {
    "area_m2": 500.0, "knife_thickness_m": 0.005, "slit_length_m": 0.08, "spacing_along_m": 0.15,
    "spacing_across_m": 0.1, "depth_m": 0.12,
}  # fmt: skip
KINDS = [
    (solid_tine_holes, "outside_diameter_m"),
    (drilled_holes, "drill_diameter_m"),
    (sand_injection, "hole_diameter_m"),
]

areas = st.floats(1, 1e6)
lengths = st.floats(1e-3, 0.02)
spacings = st.floats(0.02, 0.2)
depths = st.floats(0.005, 0.4)
counts = st.integers(1, 40)


@pytest.mark.parametrize(("kind", "diameter"), KINDS)
@pytest.mark.parametrize("name", ["diameter", *sorted(SPACED)])
@pytest.mark.parametrize("nonsense", [0.0, -0.1, math.nan, math.inf])
def test_holes_refuse_figures_that_are_no_sizes(kind: Any, diameter: str, name: str, nonsense: float) -> None:
    changed = {diameter if name == "diameter" else name: nonsense}
    with pytest.raises(ValueError, match="expected more than zero"):
        kind(**SPACED | {diameter: 0.0127} | changed)


@pytest.mark.parametrize(("kind", "diameter"), KINDS)
def test_holes_wider_than_their_spacing_are_refused(kind: Any, diameter: str) -> None:
    with pytest.raises(ValueError, match=r"diameter: expected at most the closest spacing, 0\.05 meter"):
        kind(**SPACED | {diameter: 0.0501})


@pytest.mark.parametrize("name", sorted(KNIVES))
@pytest.mark.parametrize("nonsense", [0.0, -0.1, math.nan, math.inf])
def test_knives_refuse_figures_that_are_no_sizes(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        knife_slits(**KNIVES | {name: nonsense})


def test_slits_larger_than_their_spacing_are_refused() -> None:
    with pytest.raises(ValueError, match="knife thickness: expected at most the spacing across"):
        knife_slits(**KNIVES | {"knife_thickness_m": 0.11})
    with pytest.raises(ValueError, match="length of a slit: expected at most the spacing along"):
        knife_slits(**KNIVES | {"slit_length_m": 0.16})
    with pytest.raises(ValueError, match="slit width: expected at most the slit spacing"):
        slit_opening(width_m=0.051, spacing_m=0.05)


def test_no_more_of_a_hole_is_open_than_was_pressed() -> None:
    with pytest.raises(ValueError, match="open share: expected a share above 0 and at most 1"):
        solid_tine_holes(**SPACED, outside_diameter_m=0.0127, open_share=1.1)


def test_injected_sand_is_said_once_and_by_weight_only_with_its_density() -> None:
    with pytest.raises(ValueError, match="the mass in a hole or the rate to the area; got both"):
        sand_injection(**SPACED, hole_diameter_m=0.0127, mass_per_hole_kg=0.03, rate_m3_per_m2=0.003)
    with pytest.raises(ValueError, match="bulk density: expected one beside the mass in a hole"):
        sand_injection(**SPACED, hole_diameter_m=0.0127, mass_per_hole_kg=0.03)


def test_sand_by_the_hole_and_by_the_area_say_the_same() -> None:
    by_hole = sand_injection(
        **SPACED, hole_diameter_m=0.0127, mass_per_hole_kg=0.048, bulk_density_kg_per_m3=1_600, passes=2
    )
    by_area = sand_injection(**SPACED, hole_diameter_m=0.0127, rate_m3_per_m2=0.01, passes=2)
    assert by_hole.placed_volume_m3 == pytest.approx(500 * 0.01 * 2)
    assert by_hole.placed_volume_m3 == pytest.approx(by_area.placed_volume_m3)
    assert by_hole.hole_filling == pytest.approx(by_area.hole_filling)


def test_holes_without_a_stated_amount_fill_to_their_diameter_and_depth() -> None:
    filled = sand_injection(**SPACED, hole_diameter_m=0.0127, passes=3)
    assert filled.hole_filling == 1
    assert filled.placed_volume_m3 == pytest.approx(filled.hole_volume_m3, rel=1e-12)


def test_hollow_solid_and_drilled_holes_of_one_size_meet_the_same_surface() -> None:
    solid = solid_tine_holes(**SPACED, outside_diameter_m=0.0127, passes=3)
    drilled = drilled_holes(**SPACED, drill_diameter_m=0.0127, passes=3)
    hollow = hollow_tine_coring(**SPACED, inside_diameter_m=0.0127, passes=3)
    assert solid.share_touched_once == drilled.share_touched_once == hollow.share_touched_once
    assert solid.pressed_volume_m3 == drilled.removed_volume_m3 == hollow.core_volume_m3


def test_a_triangular_pattern_sets_more_holes_than_a_square_of_the_same_distance() -> None:
    square = hole_opening(diameter_m=0.01, spacing_along_m=0.05, spacing_across_m=0.05)
    triangle = hole_opening(diameter_m=0.01, spacing_along_m=0.05, spacing_across_m=None)
    offset_rows = hole_opening(
        diameter_m=0.01, spacing_along_m=0.05, spacing_across_m=0.05 * math.sqrt(3) / 2
    )
    assert triangle.share == pytest.approx(square.share * 2 / math.sqrt(3))
    assert triangle.share == pytest.approx(offset_rows.share)


def test_ground_raised_by_a_ninth_of_its_depth_is_a_tenth_void() -> None:
    raised = heave(area_m2=100, depth_m=0.18, raised_by_m=0.02)
    assert raised.added_void_share == pytest.approx(0.1)
    assert raised.raised_volume_m3 == pytest.approx(2)


def test_knives_without_gaps_touch_everything_once() -> None:
    slits = knife_slits(**KNIVES | {"knife_thickness_m": 0.1, "slit_length_m": 0.15}, passes=2)
    assert (slits.share_touched_once, slits.share_sum_of_passes) == (1.0, 2.0)


@given(lengths, lengths, spacings, spacings, depths, counts)
def test_touched_once_is_neither_more_than_the_sum_of_passes_nor_than_everything(
    thickness: float, length: float, along: float, across: float, depth: float, passes: int
) -> None:
    slits = knife_slits(
        area_m2=500, knife_thickness_m=thickness, slit_length_m=length, spacing_along_m=along,
        spacing_across_m=across, depth_m=depth, passes=passes,
    )  # fmt: skip
    holes = solid_tine_holes(
        area_m2=500, outside_diameter_m=thickness, spacing_along_m=along, spacing_across_m=None, depth_m=depth,
        passes=passes,
    )  # fmt: skip
    for found in (slits, holes):
        assert 0 < found.share_touched_once <= 1
        assert found.share_touched_once <= found.share_sum_of_passes * (1 + 1e-12)
        assert found.area_touched_once_m2 <= 500
    one_run = knife_opening(
        knife_thickness_m=thickness, slit_length_m=length, spacing_along_m=along, spacing_across_m=across
    )
    assert one_run.share == slits.share_per_pass


@given(lengths, st.floats(1, 1.5), depths, st.floats(1, 2), counts)
def test_wider_and_deeper_holes_never_take_less(
    diameter: float, wider: float, depth: float, deeper: float, passes: int
) -> None:
    def volumes(width: float, down: float) -> list[float]:
        spaced: dict[str, Any] = {
            "area_m2": 500, "spacing_along_m": 0.05, "spacing_across_m": 0.05, "depth_m": down, "passes": passes,
        }  # fmt: skip
        return [
            solid_tine_holes(**spaced, outside_diameter_m=width, open_share=0.7).fill_volume_m3,
            drilled_holes(**spaced, drill_diameter_m=width).fill_volume_m3,
            sand_injection(**spaced, hole_diameter_m=width).placed_volume_m3,
        ]

    least = volumes(diameter, depth)
    assert all(more >= less for more, less in zip(volumes(diameter * wider, depth), least, strict=True))
    assert all(more >= less for more, less in zip(volumes(diameter, depth * deeper), least, strict=True))


@given(areas, areas, lengths, spacings, depths, counts)
def test_an_area_in_two_parts_takes_what_the_whole_takes(
    one: float, other: float, width: float, spacing: float, depth: float, passes: int
) -> None:
    def sums(area: float) -> list[float]:
        spaced: dict[str, Any] = {
            "area_m2": area, "spacing_along_m": spacing, "spacing_across_m": spacing, "depth_m": depth,
            "passes": passes,
        }  # fmt: skip
        drilled = drilled_holes(**spaced, drill_diameter_m=width)
        injected = sand_injection(**spaced, hole_diameter_m=width, rate_m3_per_m2=0.002)
        slits = knife_slits(**spaced, knife_thickness_m=width, slit_length_m=width)
        return [
            drilled.holes, drilled.removed_volume_m3, drilled.area_touched_once_m2, injected.placed_volume_m3,
            slits.slit_length_m, slits.slit_volume_m3,
        ]  # fmt: skip

    parts = [a + b for a, b in zip(sums(one), sums(other), strict=True)]
    assert parts == pytest.approx(sums(one + other), rel=1e-9)
