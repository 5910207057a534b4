"""Quantities against published figures; the source stands beside each check.

Where a source rounds, both the exact figure and the printed one are held, the printed one within its rounding.
"""

import pytest
from swardcost_api.engine.quantities.cultivation import (
    Coring,
    hollow_tine_coring,
    linear_slicing,
    passes_needed,
)
from swardcost_api.engine.quantities.hauling import loads_of_mass, loads_of_volume, trip_range
from swardcost_api.engine.quantities.program import program
from swardcost_api.engine.quantities.sand import (
    change_of_state,
    layer_by_depth,
    layer_by_rate,
    supply,
    volume_of_mass,
)
from swardcost_api.engine.quantities.turf import sod_units
from swardcost_api.units import UNITS

# NIST Handbook 44, Appendix C: exact definitions.
INCH = 0.0254
FT2, FT3, YD3 = 0.3048**2, 0.3048**3, 0.9144**3
POUND = 0.45359237
TON = 2_000 * POUND
GALLON = 231 * INCH**3
THOUSAND_FT2 = 1_000 * FT2


def cored(
    diameter_in: float, along_in: float, across_in: float, depth_in: float = 4, passes: int = 1
) -> Coring:
    return hollow_tine_coring(
        area_m2=THOUSAND_FT2,
        inside_diameter_m=diameter_in * INCH,
        spacing_along_m=along_in * INCH,
        spacing_across_m=across_in * INCH,
        depth_m=depth_in * INCH,
        passes=passes,
    )


@pytest.mark.parametrize(
    ("diameter", "along", "across", "holes", "percent"),
    [
        # A course superintendent's public note, 2012: quarter-inch tines, 81 holes to the square foot.
        (1 / 4, 12 / 9, 12 / 9, 81, 2.76),
        # Geometry; the same in association tables (memory).
        (1 / 2, 2, 2, 36, 4.91),
        # Geometry: quarter-inch tines at half the spacing take out the same.
        (1 / 4, 1, 1, 144, 4.91),
        # Two course superintendents' public notes, 2012 and 2024.
        (5 / 8, 2, 2, 36, 7.67),
        (1 / 2, 2, 2.5, 28.8, 3.93),
        # D. Minner, Iowa State University, 2004 and SportsTurf, October 2011.
        (1 / 2, 3, 3, 16, 2.18),
        (3 / 4, 3, 3, 16, 4.91),
    ],
)
def test_holes_and_share_of_surface_by_tine_and_spacing(
    diameter: float, along: float, across: float, holes: float, percent: float
) -> None:
    coring = cored(diameter, along, across)
    assert coring.holes_per_m2 * FT2 == pytest.approx(holes, rel=1e-12)
    assert coring.holes == pytest.approx(holes * 1_000, rel=1e-12)
    assert coring.share_per_pass * 100 == pytest.approx(percent, abs=0.005)


def test_volume_of_cores_of_half_inch_tines() -> None:
    """Geometry: 1/2 in at 2 x 2 in, 4 in deep, over 1,000 square feet: 16.36 ft3 or 0.606 yd3 to fill."""
    coring = cored(1 / 2, 2, 2)
    assert coring.core_volume_m3 / FT3 == pytest.approx(16.36, abs=0.005)
    assert coring.fill_volume_m3 / YD3 == pytest.approx(0.606, abs=0.0005)


def test_share_of_surface_of_slits() -> None:
    """Geometry: 2 mm blades, 2 in apart, one direction: 3.94 %."""
    slits = linear_slicing(
        area_m2=THOUSAND_FT2, blade_width_m=0.002, blade_spacing_m=2 * INCH, depth_m=1 * INCH
    )
    assert slits.share_per_pass * 100 == pytest.approx(3.94, abs=0.005)


def test_a_program_of_cores_slits_and_injection_opens_about_a_fifth_by_the_sum_of_passes() -> None:
    """Common practice: two core passes, slits and injection holes exchange about a fifth by the sum of passes.

    The spacing of the injection holes is taken to be that of the cores, our assumption.
    """
    core = cored(1 / 2, 2, 2).share_per_pass
    whole = program([core, core, 0.002 / (2 * INCH), core])
    assert whole.share_sum_of_passes == pytest.approx(0.1866, abs=0.00005)
    assert whole.share_sum_of_passes == pytest.approx(0.2, abs=0.02)
    assert whole.share_touched_once == pytest.approx(0.1740, abs=0.00005)


@pytest.mark.parametrize(
    ("diameter", "exact", "whole", "printed", "overlapping"),
    [(1 / 2, 22.9, 23, 22, 31.4), (3 / 4, 10.2, 11, 10, 13.8)],
)
def test_passes_that_exchange_half_the_surface(
    diameter: float, exact: float, whole: int, printed: int, overlapping: float
) -> None:
    """D. Minner, Iowa State University, 2004 and SportsTurf, October 2011: holes at 3 x 3 in, goal 50 %.

    The source prints 22 and 10 passes, whole passes below the exact 22.9 and 10.2; with random overlap
    (probability) 31.4 and 13.8.
    """
    passes = passes_needed(share_per_pass=cored(diameter, 3, 3).share_per_pass, goal_share=0.5)
    assert passes.passes_by_sum == pytest.approx(exact, abs=0.05)
    assert passes.whole_passes_by_sum == whole
    assert int(passes.passes_by_sum) == printed
    assert passes.passes_by_overlap == pytest.approx(overlapping, abs=0.05)


def test_eleven_years_at_two_passes_a_year() -> None:
    """D. Minner, 2004: half the surface by half-inch tines at 3 x 3 in takes 11 years at two passes a year."""
    passes = passes_needed(share_per_pass=cored(1 / 2, 3, 3).share_per_pass, goal_share=0.5)
    assert passes.passes_by_sum / 2 == pytest.approx(11, abs=0.5)


@pytest.mark.parametrize(("rate", "exact", "printed"), [(0.5, 0.006, 0.005), (2.0, 0.024, 0.020)])
def test_depth_of_light_dressings(rate: float, exact: float, printed: float) -> None:
    """USGA Northeast Region update, 2014: 0.5 to 2.0 ft3 per 1,000 ft2, printed as 0.005 to 0.020 in.

    The source takes 0.01 in to the cubic foot; exact is 0.012 in, so its figures are a sixth low.
    """
    layer = layer_by_rate(area_m2=THOUSAND_FT2, rate_m3_per_m2=rate * FT3 / THOUSAND_FT2)
    assert layer.depth_m / INCH == pytest.approx(exact, rel=1e-12)
    assert layer.volume_m3 / FT3 == pytest.approx(rate, rel=1e-12)
    assert printed == pytest.approx(exact * 5 / 6)


def test_a_hundred_pounds_of_dry_sand_is_a_cubic_foot() -> None:
    """USGA Central Region update, 2018: dry sand about 100 lb/ft3; 100 lb to 1,000 ft2 is 1 ft3 to 1,000 ft2."""
    sand = volume_of_mass(mass_kg=100 * POUND, bulk_density_kg_per_m3=100 * POUND / FT3)
    assert sand.volume_m3 / FT3 == pytest.approx(1, rel=1e-12)


@pytest.mark.parametrize(
    ("pounds_per_yd3", "tons"),
    [
        # Trade suppliers' tables: a cubic yard of dry sand is 2,700 lb.
        (2_700, 1.35),
        # D. Minner, Iowa State University, SportsTurf, October 2011: topdressing sand at 1.45 tons.
        (2_900, 1.45),
    ],
)
def test_mass_of_a_cubic_yard_of_sand_follows_the_density_given(pounds_per_yd3: float, tons: float) -> None:
    sand = supply(volume_m3=YD3, bulk_density_kg_per_m3=pounds_per_yd3 * POUND / YD3)
    assert sand.mass_kg / TON == pytest.approx(tons, rel=1e-12)


def test_a_load_of_24_tons_of_dry_sand() -> None:
    """A supplier's worked example: 24 short tons at 2,700 lb/yd3 are 17.78 yd3."""
    sand = volume_of_mass(mass_kg=24 * TON, bulk_density_kg_per_m3=2_700 * POUND / YD3)
    assert sand.volume_m3 / YD3 == pytest.approx(17.78, abs=0.005)


@pytest.mark.parametrize(
    ("square_feet", "inches", "exact", "printed", "rounding"),
    [
        # Geometry, and a supplier's factor of 0.0031 yd3 to the square foot and inch.
        (1_000, 1, 3.086, 3.1, 0.05),
        # University of Maine Cooperative Extension, table of mulch, soil and compost.
        (1_000, 2, 6.173, 6, 0.5),
        (1_000, 3, 9.259, 9, 0.5),
        (1_000, 4, 12.346, 12, 0.5),
        (1_000, 6, 18.519, 18.5, 0.05),
        (1_000, 8, 24.691, 25, 0.5),
        (1_000, 12, 37.037, 37, 0.5),
        # A lawn topdressing table as reprinted by a contractor; its first entry is off by 3.7 %.
        (1_000, 1 / 8, 0.386, 0.40, 0.015),
        (1_000, 1 / 4, 0.772, 0.77, 0.005),
        (1_000, 3 / 8, 1.157, 1.14, 0.02),
        (1_000, 1 / 2, 1.543, 1.54, 0.005),
        (1_000, 5 / 8, 1.929, 1.91, 0.02),
        (1_000, 3 / 4, 2.315, 2.31, 0.006),
        # Grounds Maintenance magazine, by the factor of 0.0031.
        (5_000, 1 / 8, 1.929, 2, 0.5),
        (50_000, 1 / 4, 38.580, 39, 0.5),
        # Geometry; nursery tables: a cubic yard covers 108 ft2 at 3 in, 324 ft2 at 1 in.
        (108, 3, 1.0, 1, 0.0005),
        (324, 1, 1.0, 1, 0.0005),
        # USGA, Recommendations for a Method of Putting Green Construction: 12 in root zone over 4 in gravel.
        (1_000, 12, 37.04, 37.04, 0.005),
        (1_000, 4, 12.35, 12.35, 0.005),
    ],
)
def test_volume_of_layers(
    square_feet: float, inches: float, exact: float, printed: float, rounding: float
) -> None:
    volume = layer_by_depth(area_m2=square_feet * FT2, depth_m=inches * INCH).volume_m3 / YD3
    assert volume == pytest.approx(exact, rel=1e-12, abs=0.005 if exact in (37.04, 12.35) else 0.0005)
    assert volume == pytest.approx(printed, abs=rounding)


def test_nine_bags_of_three_cubic_feet_hold_a_cubic_yard() -> None:
    """University of Maine Cooperative Extension: 1 yd3 is nine 3-ft3 bags."""
    assert loads_of_volume(volume_m3=YD3, box_volume_m3=3 * FT3).loads == 9


def test_an_inch_of_water_on_a_thousand_square_feet() -> None:
    """US Geological Survey water conversion list, 1990: 623.4 gallons; 27,154 an acre-inch."""
    assert layer_by_depth(area_m2=THOUSAND_FT2, depth_m=INCH).volume_m3 / GALLON == pytest.approx(
        623.4, abs=0.05
    )
    acre = UNITS["acre"].si_factor
    assert layer_by_depth(area_m2=acre, depth_m=INCH).volume_m3 / GALLON == pytest.approx(27_154, abs=0.5)


def test_loads_of_1500_tons() -> None:
    """Common practice: 1,500 short tons (3,000,000 lb) by 20-ton loads; by trailers of 3 to 4 tons."""
    assert pytest.approx(3_000_000 * POUND, rel=1e-12) == 1_500 * TON
    assert loads_of_mass(mass_kg=1_500 * TON, payload_kg=20 * TON).loads == 75
    trips = trip_range(mass_kg=1_500 * TON, payload_kg=3 * TON, payload_at_most_kg=4 * TON)
    assert (trips.fewest, trips.most) == (375, 500)


def test_truck_loads_of_swollen_clay() -> None:
    """Construction estimating textbook, example 9-2: 1,000 yd3 in place, swell 30 %, 7 yd3 trucks: 186 loads."""
    loose = change_of_state(in_place_volume_m3=1_000 * YD3, state_factor=1.30)
    assert loose.volume_m3 / YD3 == pytest.approx(1_300, rel=1e-12)
    assert loads_of_volume(volume_m3=loose.volume_m3, box_volume_m3=7 * YD3).loads == 186


@pytest.mark.parametrize(
    ("factor", "expected"),
    [
        (1.11, 111),
        (0.95, 95),
    ],
)
def test_sand_loose_and_compacted(factor: float, expected: float) -> None:
    """US military soil conversion table (reprint): 100 yd3 of sand in place are 111 loose, 95 compacted."""
    sand = change_of_state(in_place_volume_m3=100 * YD3, state_factor=factor)
    assert sand.volume_m3 / YD3 == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("area", "inches", "expected", "whole"), [(450, (16, 24), 168.75, 169)])
def test_slabs_on_a_pallet(area: float, inches: tuple[float, float], expected: float, whole: int) -> None:
    """Growers' tables: a 16 x 24 in slab is 2.667 ft2; a 450 ft2 pallet holds 168.75, sold as about 170."""
    slab = inches[0] * inches[1] * INCH**2
    assert slab / FT2 == pytest.approx(2.667, abs=0.0005)
    slabs = sod_units(sod_area_m2=area * FT2, coverage_m2=slab, unit="slab")
    assert slabs.computed == pytest.approx(expected, rel=1e-12)
    assert slabs.whole == whole
    assert slabs.whole == pytest.approx(170, abs=5)


@pytest.mark.parametrize(("size_in", "square_feet"), [((24, 60), 10), ((18, 40), 5)])
def test_rolls_to_a_hundred_square_feet(size_in: tuple[float, float], square_feet: int) -> None:
    """Growers' tables: a roll of 2 x 5 ft covers 10 ft2, one of 18 x 40 in 5 ft2."""
    roll = size_in[0] * size_in[1] * INCH**2
    assert sod_units(sod_area_m2=100 * FT2, coverage_m2=roll, unit="roll").whole == 100 // square_feet


@pytest.mark.parametrize(
    ("unit", "si"),
    [
        ("acre", 43_560 * FT2),
        ("foot", 0.3048),
        ("short_ton", 907.18474),
        ("us_gallon", 3.785411784e-3),
        ("us_bushel", 2_150.42 * INCH**3),
        ("cubic_foot", 1_728 * INCH**3),
        ("acre_foot", 43_560 * FT3),
    ],
)
def test_units_are_those_of_the_handbook(unit: str, si: float) -> None:
    """NIST Handbook 44, Appendix C."""
    assert UNITS[unit].si_factor == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("amount", "unit", "into", "printed", "rounding"),
    [
        # NIST Handbook 44, Appendix C.
        (1, "cubic_foot", "us_gallon", 7.481, 0.0005),
        (1, "cubic_yard", "cubic_meter", 0.765, 0.0005),
        # US Geological Survey water conversion list, 1990.
        (1, "acre_foot", "us_gallon", 325_851, 0.5),
        (1, "acre_inch", "us_gallon", 27_154, 0.5),
        # Grounds Maintenance news: 800 US bushels of sprigs to the acre.
        (800, "us_bushel", "cubic_yard", 36.9, 0.05),
        (1, "us_bushel", "cubic_foot", 1.2445, 0.00005),
    ],
)
def test_volumes_convert_as_printed(
    amount: float, unit: str, into: str, printed: float, rounding: float
) -> None:
    assert amount * UNITS[unit].si_factor / UNITS[into].si_factor == pytest.approx(printed, abs=rounding)
