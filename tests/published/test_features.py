"""Quantities of features against published figures; the source stands beside each check."""

import math

import pytest
from swardcost_api.engine.quantities.banks import bank_section, lapped_fabric
from swardcost_api.engine.quantities.beds import bed_cover
from swardcost_api.engine.quantities.bunkers import floor_and_faces, sand_out
from swardcost_api.engine.quantities.drains import drain_lines, drain_trench, trench_spoil
from swardcost_api.engine.quantities.fences import fence_line
from swardcost_api.engine.quantities.materials import material_to_bring_in, packs_of, spoil_to_haul
from swardcost_api.engine.quantities.paths import cart_path
from swardcost_api.engine.quantities.planting import trees_on_grid
from swardcost_api.engine.quantities.rooms import room_surfaces
from swardcost_api.engine.quantities.surrounds import strip_around
from swardcost_api.engine.quantities.tees import level_ground, mean_cut_and_fill

# NIST Handbook 44, Appendix C: exact definitions.
INCH, FOOT = 0.0254, 0.3048
FT2, FT3, YD3 = FOOT**2, FOOT**3, 0.9144**3
POUND = 0.45359237
ACRE = 43_560 * FT2


def test_a_hundred_feet_of_drain_trench() -> None:
    """Geometry on the dimensions of USGA, Recommendations for a Method of Putting Green Construction.

    6 in wide, 8 in deep, 4 in pipe: 1.235 yd3 dug, 0.911 yd3 of gravel.
    """
    trench = drain_trench(length_m=100 * FOOT, width_m=6 * INCH, depth_m=8 * INCH, pipe_diameter_m=4 * INCH)
    assert trench.volume_m3 / YD3 == pytest.approx(1.235, abs=0.0005)
    assert trench.gravel_volume_m3 / YD3 == pytest.approx(0.911, abs=0.0005)


def test_soil_left_over_of_a_drain_below_two_inches_of_soil() -> None:
    """Geometry, same trench: 6 of its 8 in are not refilled with soil, so three quarters of 1.235 yd3 are left."""
    trench = drain_trench(length_m=100 * FOOT, width_m=6 * INCH, depth_m=8 * INCH, cover_depth_m=2 * INCH)
    left = trench_spoil(trench_volume_m3=trench.volume_m3, soil_cover_volume_m3=trench.cover_volume_m3)
    assert left.volume_m3 / YD3 == pytest.approx(25 / 27, rel=1e-12)


def test_laterals_at_fifteen_feet() -> None:
    """Geometry; USGA, Recommendations: laterals at most 15 ft apart, so 66.7 ft to 1,000 ft2."""
    lines = drain_lines(drained_area_m2=1_000 * FT2, lateral_spacing_m=15 * FOOT)
    assert lines.length_m / FOOT == pytest.approx(66.7, abs=0.05)


@pytest.mark.parametrize(("inches", "square_feet"), [(3, 108), (1, 324)])
def test_ground_that_a_cubic_yard_of_mulch_covers(inches: float, square_feet: float) -> None:
    """Geometry; nursery tables."""
    cover = bed_cover(area_m2=square_feet * FT2, depth_m=inches * INCH)
    assert cover.volume_m3 / YD3 == pytest.approx(1, rel=1e-12)


def test_nine_bags_of_three_cubic_feet_hold_a_cubic_yard_of_mulch() -> None:
    """University of Maine Cooperative Extension, mulch, soil and compost table."""
    bags = packs_of(packs="bags", amount=YD3, amount_name="mulch", unit="cubic_meter", content=3 * FT3)
    assert bags.whole == 9


@pytest.mark.parametrize(
    ("inches", "printed", "rounding"), [(2, 6, 0.5), (3, 9, 0.5), (4, 12, 0.5), (6, 18.5, 0.05)]
)
def test_mulch_on_a_thousand_square_feet(inches: float, printed: float, rounding: float) -> None:
    """University of Maine Cooperative Extension, mulch, soil and compost table."""
    cover = bed_cover(area_m2=1_000 * FT2, depth_m=inches * INCH)
    assert cover.volume_m3 / YD3 == pytest.approx(printed, abs=rounding)


def test_trees_to_the_acre_at_nine_feet() -> None:
    """K. D. Coder, Number of trees per acre by spacing distance, University of Georgia: about 538."""
    assert trees_on_grid(area_m2=ACRE, spacing_m=9 * FOOT).trees == 538


def test_a_triangle_of_trees_holds_about_fifteen_percent_more() -> None:
    """A tree nursery's note on planting patterns: add 15 % to the square; exact is 2 / 3^0.5, 15.47 %."""
    square = trees_on_grid(area_m2=100 * ACRE, spacing_m=20 * FOOT)
    triangle = trees_on_grid(area_m2=100 * ACRE, spacing_m=20 * FOOT, pattern="triangular")
    assert triangle.computed / square.computed == pytest.approx(2 / math.sqrt(3), rel=1e-12)
    assert triangle.computed / square.computed == pytest.approx(1.15, abs=0.005)


def test_a_square_yard_and_inch_of_asphalt_weighs_110_pounds() -> None:
    """Common practice: 110 lb to the square yard and inch, which is 146.7 lb/ft3, near the usual 145."""
    path = cart_path(length_m=0.9144, width_m=0.9144, thickness_m=INCH)
    for pounds_per_ft3, pounds in ((110 * 12 / 9, 110), (145, 108.75)):
        asphalt = material_to_bring_in(
            material="pavement", volume_m3=path.pavement_volume_m3, volume_name="pavement volume",
            bulk_density_kg_per_m3=pounds_per_ft3 * POUND / FT3,
        )  # fmt: skip
        assert asphalt.mass_kg is not None
        assert asphalt.mass_kg / POUND == pytest.approx(pounds, rel=1e-12)


def test_concrete_of_a_hundred_feet_of_path() -> None:
    """Geometry: 100 ft x 8 ft x 4 in is 9.877 yd3, or 800 / 81 by the trade's factor for 4 in."""
    path = cart_path(length_m=100 * FOOT, width_m=8 * FOOT, thickness_m=4 * INCH)
    assert path.pavement_volume_m3 / YD3 == pytest.approx(800 / 81, rel=1e-12)


def test_posts_of_a_fence_are_its_spaces_and_one() -> None:
    """Common practice: 120 ft at 8 ft takes 15 spaces and 16 posts."""
    line = fence_line(stretches_m=[120 * FOOT], post_spacing_m=8 * FOOT)
    assert (line.spaces, line.posts) == (15, 16)


def test_loads_of_swollen_clay() -> None:
    """Construction estimating textbook, example 9-2: 1,000 yd3 in place, swell 30 %, 7 yd3 trucks: 186 loads."""
    spoil = spoil_to_haul(
        volume_m3=1_000 * YD3, volume_name="cut volume", swell_share=0.30, box_volume_m3=7 * YD3
    )
    assert spoil.loose_volume_m3 / YD3 == pytest.approx(1_300, rel=1e-12)
    assert spoil.loads == 186


def test_a_cell_of_a_grid_cut() -> None:
    """Construction estimating textbook, example 9-8: 2,500 ft2, cuts 1.4, 1.4, 1.2, 1.3 ft: 3,313 ft3, 123 yd3."""
    mean = mean_cut_and_fill(existing_m=[cut * FOOT for cut in (1.4, 1.4, 1.2, 1.3)], finished_m=[0.0] * 4)
    ground = level_ground(area_m2=2_500 * FT2, mean_cut_m=mean.cut_m, mean_fill_m=mean.fill_m)
    assert ground.cut_volume_m3 / FT3 == pytest.approx(3_312.5, rel=1e-12)
    assert ground.cut_volume_m3 / YD3 == pytest.approx(123, abs=0.5)


def test_common_earth_fills_nine_tenths_of_its_place() -> None:
    """US military soil conversion table: common earth 0.90 compacted."""
    ground = level_ground(area_m2=100, mean_cut_m=1, mean_fill_m=1, compacted_factor=0.90)
    assert ground.fill_to_bring_in_m3 == pytest.approx(10)


def test_sides_of_three_four_and_five() -> None:
    """Geometry: Pythagoras, for banks and for bunker faces."""
    assert bank_section(length_m=1, height_m=3, run_per_rise=4 / 3).slope_length_m == pytest.approx(5)
    faces = floor_and_faces(
        area_m2=10, floor_sand_depth_m=0.1, face_share=0.4, face_slope=3 / 4, face_sand_depth_m=0.1
    )
    assert faces.face_area_m2 == pytest.approx(5)


def test_strips_of_a_roll_of_twelve_and_a_half_feet() -> None:
    """Geometry; rolls of 12.5 ft and laps of at least 1 ft are common practice under riprap.

    18 strips with 17 laps reach 225 - 17 = 208 ft, 17 reach 196.5: 200 ft take 18, each 4 ft and 2 ft at the toe.
    """
    fabric = lapped_fabric(
        length_m=200 * FOOT,
        slope_length_m=4 * FOOT,
        roll_width_m=12.5 * FOOT,
        lap_m=FOOT,
        toe_anchor_m=2 * FOOT,
    )
    assert fabric.strips == 18
    assert fabric.fabric_area_m2 / FT2 == pytest.approx(18 * 12.5 * 6, rel=1e-12)


def test_dry_sand_of_a_bunker() -> None:
    """Trade suppliers' tables: a cubic yard of dry sand is 2,700 lb; 6 in over 2,700 ft2 are 50 yd3."""
    out = sand_out(area_m2=2_700 * FT2, depth_m=6 * INCH, bulk_density_kg_per_m3=2_700 * POUND / YD3)
    assert out.volume_m3 / YD3 == pytest.approx(50, rel=1e-12)
    assert out.mass_kg is not None
    assert out.mass_kg / POUND == pytest.approx(135_000, rel=1e-12)


def test_a_strip_around_a_rectangle_with_rounded_corners() -> None:
    """Steiner's formula: a strip of 2 around 10 x 6 is four sides and a full circle at the corners."""
    assert strip_around(perimeter_m=32, width_m=2).area_m2 == pytest.approx(64 + 4 * math.pi)


def test_walls_of_a_room() -> None:
    """Geometry: 30 x 20 x 10 ft with 90 square feet of openings has 910 square feet of wall."""
    room = room_surfaces(length_m=30 * FOOT, width_m=20 * FOOT, height_m=10 * FOOT, openings_area_m2=90 * FT2)
    assert room.wall_area_m2 / FT2 == pytest.approx(910, rel=1e-12)
