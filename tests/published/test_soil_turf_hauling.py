"""Soil, turf and hauling against published figures; the source stands beside each check.

Where a source rounds, both the exact figure and the printed one are held, the printed one within its rounding.
"""

import pytest
from swardcost_api.engine.quantities.earthwork import average_end_area, grid_volume, prismoidal_volume
from swardcost_api.engine.quantities.fleet import match_of_fleet, time_of_fleet
from swardcost_api.engine.quantities.hauling import haul_time, loads_of_volume
from swardcost_api.engine.quantities.rootzone import cavity, section_layer
from swardcost_api.engine.quantities.sand import layer_by_depth
from swardcost_api.engine.quantities.seeding import (
    bags_of,
    hydromulch,
    product_for_nutrient,
    run_time,
    seed_to_buy,
    sprigs_to_order,
    watering,
)
from swardcost_api.engine.quantities.soil import (
    SOIL_FACTORS,
    amendment_tilled,
    earth_balance,
    soil_volumes,
)
from swardcost_api.engine.quantities.turf import sod_to_order
from swardcost_api.units import UNITS

# NIST Handbook 44, Appendix C: exact definitions.
INCH, FOOT = 0.0254, 0.3048
FT2, FT3, YD3 = FOOT**2, FOOT**3, 0.9144**3
POUND = 0.45359237
GALLON = 231 * INCH**3
ACRE = 43_560 * FT2
THOUSAND_FT2 = 1_000 * FT2


@pytest.mark.parametrize(
    ("soil", "loose", "compacted"),
    [
        # US military soil conversion table (reprint of table 10-1): read.
        ("sand", 111, 95),
        # US Army FM 5-434 (2000), table 1-1: 0.90 read in an erratum, the others from memory.
        ("common_earth", 125, 90),
        ("clay", 143, 90),
        ("blasted_rock", 150, 130),
        ("coral", 150, 130),
    ],
)
def test_a_hundred_yards_in_place_loose_and_compacted(soil: str, loose: float, compacted: float) -> None:
    factors = SOIL_FACTORS[soil]
    volumes = soil_volumes(
        volume_m3=100 * YD3, state="in_place", loose_factor=factors.loose, compacted_factor=factors.compacted
    )
    assert volumes.loose_volume_m3 / YD3 == pytest.approx(loose)
    assert volumes.compacted_volume_m3 / YD3 == pytest.approx(compacted)


def test_a_pit_that_swells_by_40_percent() -> None:
    """An excavation page of a mining supplier: 200 x 20 x 2 m at a swell of 40 % is 8,000 and 11,200 m3.

    In feet the same pit is 296 and 414 cubic yards as printed (exact 296.3 and 414.8).
    """
    for unit, bank, loose in ((1.0, 8_000, 11_200), (FOOT, 8_000 * FT3, 11_200 * FT3)):
        pit = soil_volumes(
            volume_m3=200 * 20 * 2 * unit**3, state="in_place", loose_factor=1.4, compacted_factor=1
        )
        assert pit.in_place_volume_m3 == pytest.approx(bank)
        assert pit.loose_volume_m3 == pytest.approx(loose)
    assert pit.in_place_volume_m3 / YD3 == pytest.approx(296, abs=0.5)
    assert pit.loose_volume_m3 / YD3 == pytest.approx(414, abs=1)


def test_truck_loads_of_spoil() -> None:
    """Construction estimating textbook, example 9-2: 1,000 yd3 in place, swell 30 %, 7 yd3 trucks: 186 loads."""
    balance = earth_balance(
        cut_volume_m3=1_000 * YD3, fill_volume_m3=0, loose_factor=1.3, compacted_factor=0.9
    )
    assert balance.spoil_loose_volume_m3 / YD3 == pytest.approx(1_300)
    assert loads_of_volume(volume_m3=balance.spoil_loose_volume_m3, box_volume_m3=7 * YD3).loads == 186


def test_grid_of_one_cell() -> None:
    """Same book, example 9-8: 2,500 ft2, cuts of 1.4, 1.4, 1.2, 1.3 ft; printed 3,313 ft3 and 123 yd3."""
    grid = grid_volume(
        cell_length_m=50 * FOOT, cell_width_m=50 * FOOT,
        corner_cuts_m=[[1.4 * FOOT, 1.4 * FOOT], [1.2 * FOOT, 1.3 * FOOT]],
    )  # fmt: skip
    assert grid.cut_volume_m3 / FT3 == pytest.approx(3_312.5)
    assert grid.cut_volume_m3 / FT3 == pytest.approx(3_313, abs=0.5001)
    assert grid.cut_volume_m3 / YD3 == pytest.approx(123, abs=0.5)


def test_corners_of_a_borrow_pit_count_for_the_cells_they_belong_to() -> None:
    """Surveying texts: volume = cell area / 4 x (sum of corners, each times its number of cells)."""
    cuts = [[3.1, 2.8, 2.0], [2.7, 2.2, 1.9], [2.5, 1.6, 1.1]]
    cells = [[1, 2, 1], [2, 4, 2], [1, 2, 1]]
    weighted = sum(
        cut * count
        for row, counts in zip(cuts, cells, strict=True)
        for cut, count in zip(row, counts, strict=True)
    )
    grid = grid_volume(cell_length_m=10, cell_width_m=10, corner_cuts_m=cuts)
    assert grid.cut_volume_m3 == pytest.approx(100 / 4 * weighted)


def test_average_end_area_of_two_sections() -> None:
    """An engineers' forum example: 50 and 150 ft2, 50 ft apart: 5,000 ft3, 185.2 yd3."""
    earth = average_end_area(stations_m=[0, 50 * FOOT], areas_m2=[50 * FT2, 150 * FT2])
    assert earth.volume_m3 / FT3 == pytest.approx(5_000)
    assert earth.volume_m3 / YD3 == pytest.approx(185.2, abs=0.05)


def test_constant_of_the_end_area_formula() -> None:
    """US Navy training manual NAVEDTRA 14080: yards = (A1 + A2) x 1.85 x hundreds of feet; exact 100 / 54."""
    earth = average_end_area(stations_m=[0, 100 * FOOT], areas_m2=[40 * FT2, 60 * FT2])
    assert earth.volume_m3 / YD3 == pytest.approx((40 + 60) * 100 / 54)
    assert earth.volume_m3 / YD3 == pytest.approx((40 + 60) * 1.85, rel=0.0011)


def test_a_pyramid_by_end_areas_and_by_the_prismoidal_formula() -> None:
    """Surveying texts: end areas give Ah/2, the prismoidal formula the exact Ah/3."""
    base, height = 30.0, 8.0
    ends = average_end_area(stations_m=[0, height], areas_m2=[base, 0])
    prismoid = prismoidal_volume(stations_m=[0, height / 2, height], areas_m2=[base, base / 4, 0])
    assert ends.volume_m3 == pytest.approx(base * height / 2)
    assert prismoid.volume_m3 == pytest.approx(base * height / 3)


@pytest.mark.parametrize(
    ("inches", "exact", "printed", "rounding"),
    [(2, 6.173, 6, 0.5), (3, 9.259, 9, 0.5), (4, 12.346, 12, 0.5), (6, 18.519, 18.5, 0.05)],
)
def test_amendment_that_is_a_quarter_of_the_tilled_depth(
    inches: float, exact: float, printed: float, rounding: float
) -> None:
    """University of Maine Cooperative Extension, mulch, soil and compost over 1,000 ft2 by depth."""
    compost = amendment_tilled(area_m2=THOUSAND_FT2, tilled_depth_m=4 * inches * INCH, amendment_share=0.25)
    assert compost.amendment_volume_m3 / YD3 == pytest.approx(exact, abs=0.0005)
    assert compost.amendment_volume_m3 / YD3 == pytest.approx(printed, abs=rounding)


@pytest.mark.parametrize(
    ("name", "inches", "yards"),
    [("root zone", 12, 37.04), ("gravel", 4, 12.35), ("intermediate layer", 2, 6.17)],
)
def test_layers_of_a_putting_green_before_settlement(name: str, inches: float, yards: float) -> None:
    """USGA, Recommendations for a Method of Putting Green Construction: depths; geometry over 1,000 ft2."""
    layer = section_layer(name=name, area_m2=THOUSAND_FT2, depth_m=inches * INCH)
    assert layer.volume_m3 / YD3 == pytest.approx(yards, abs=0.005)
    assert layer.delivered_volume_m3 == layer.volume_m3


@pytest.mark.parametrize(("intermediate", "inches"), [(0, (16, 16)), (2, (18, 20)), (4, (18, 20))])
def test_subgrade_of_a_putting_green(intermediate: float, inches: tuple[float, float]) -> None:
    """USGA recommendations: subgrade 16 in down, 18 to 20 in with an intermediate layer of 2 to 4 in."""
    dug = cavity(
        area_m2=THOUSAND_FT2, root_zone_depth_m=12 * INCH, gravel_depth_m=4 * INCH,
        intermediate_layer_depth_m=intermediate * INCH,
    )  # fmt: skip
    assert inches[0] - 1e-9 <= dug.section_depth_m / INCH <= inches[1] + 1e-9


@pytest.mark.parametrize(
    ("unit", "yards"),
    [
        # Grounds Maintenance news: course builders ask for the US bushel of 1.2445 ft3.
        ("us_bushel_per_acre", 36.9),
        # Two sod growers: 67.5 bushels to the yard, and bushels of 0.32 ft3.
        ("sprig_bushel_0_4_cubic_foot_per_acre", 11.9),
        ("sprig_bushel_0_32_cubic_foot_per_acre", 9.5),
    ],
)
def test_800_bushels_of_sprigs_an_acre(unit: str, yards: float) -> None:
    sprigs = sprigs_to_order(area_m2=ACRE, rate_m3_per_m2=800 * UNITS[unit].si_factor)
    assert sprigs.sprig_volume_m3 / YD3 == pytest.approx(yards, abs=0.05)


def test_bushels_of_sprigs_to_a_thousand_square_feet_and_to_the_yard() -> None:
    """Same sources: 800 bushels an acre are 18.37 to 1,000 ft2; 67.5 trade bushels fill a cubic yard."""
    acre, thousand = UNITS["us_bushel_per_acre"], UNITS["us_bushel_per_thousand_square_feet"]
    assert 800 * acre.si_factor / thousand.si_factor == pytest.approx(18.37, abs=0.005)
    assert YD3 / UNITS["sprig_bushel_0_4_cubic_foot"].si_factor == pytest.approx(67.5)


def test_heaped_bushel() -> None:
    """NIST Handbook 44, Appendix C: a heaped bushel of 2,747.715 in3 is 1.278 struck bushels."""
    assert 2_747.715 * INCH**3 / UNITS["us_bushel"].si_factor == pytest.approx(1.278, abs=0.0005)


@pytest.mark.parametrize(
    ("purity", "germination", "share", "pounds", "rounding"),
    [
        # Pennsylvania State University Extension, Calculating the Price of Pure Live Seed: seed to a pound of
        # live seed printed as 1.4, 2 and 1.1; shares printed as 74, 51 and 89 %.
        (0.92, 0.80, 0.74, 1.4, 0.05),
        (0.85, 0.60, 0.51, 2, 0.05),
        (0.99, 0.90, 0.89, 1.1, 0.05),
        # Texas Department of Transportation, Pure live seed: 0.64 and 1.56, from the share as rounded.
        (0.85, 0.75, 0.64, 1.56, 0.01),
    ],
)
def test_seed_to_a_pound_of_pure_live_seed(
    purity: float, germination: float, share: float, pounds: float, rounding: float
) -> None:
    seed = seed_to_buy(
        area_m2=1, rate_kg_per_m2=POUND, purity_share=purity, germination_share=germination,
        rate_is_live_seed=True,
    )  # fmt: skip
    assert seed.pure_live_share == pytest.approx(share, abs=0.005)
    assert seed.seed_mass_kg / POUND == pytest.approx(pounds, abs=rounding)


@pytest.mark.parametrize("rate", [1_500, 2_000])
def test_mulch_of_an_acre(rate: float) -> None:
    """USDA NRCS, Wyoming, Hydroseeding and Hydromulching fact sheet: 1,500 to 2,000 lb of wood fiber an acre.

    At 250 lb to a tank, a tank of the heavier rate covers an eighth of an acre.
    """
    mulch = hydromulch(
        area_m2=ACRE, mulch_rate_kg_per_m2=rate * POUND / ACRE, mulch_per_tank_kg=250 * POUND,
        tank_volume_m3=1_000 * GALLON,
    )  # fmt: skip
    assert mulch.mulch_mass_kg / POUND == pytest.approx(rate)
    assert mulch.tank_loads == rate / 250


def test_product_from_a_rate_of_nitrogen() -> None:
    """University of Maryland, Bay-Wise worksheet: 1 lb N to 1,000 ft2, 24 % N, 4,550 ft2: 18.96 lb."""
    product = product_for_nutrient(
        area_m2=4_550 * FT2, nutrient_rate_kg_per_m2=POUND / THOUSAND_FT2, nutrient_share=0.24
    )
    assert product.product_mass_kg / POUND == pytest.approx(18.96, abs=0.005)


def test_turf_area_by_parts() -> None:
    """Same worksheet: 67 x 130, half of 20 x 20, 20 x 25 are 9,410 ft2; less 4,857.5, 4,552.5 ft2 of turf."""
    whole = 67 * 130 + 20 * 20 / 2 + 20 * 25
    assert whole == 9_410
    sod = sod_to_order(area_m2=(whole - 4_857.5) * FT2)
    assert sod.sod_area_m2 / FT2 == pytest.approx(4_552.5)


def test_product_over_an_area_in_bags() -> None:
    """Certified turfgrass professional worksheet: 0.9 lb N to 1,000 ft2 at 25 % N on 45 acres, 50 lb bags.

    3.6 lb to 1,000 ft2, 156.8 lb an acre, 7,056.7 lb; 141.1 bags, printed as the 142 that are bought.
    """
    product = product_for_nutrient(
        area_m2=45 * ACRE, nutrient_rate_kg_per_m2=0.9 * POUND / THOUSAND_FT2, nutrient_share=0.25
    )
    assert product.product_mass_kg / POUND == pytest.approx(7_056.7, abs=0.05)
    assert product.product_mass_kg / POUND / 45 == pytest.approx(156.8, abs=0.05)
    assert product.product_mass_kg / POUND / 45 / 43.56 == pytest.approx(3.6)
    bags = bags_of(mass_kg=product.product_mass_kg, bag_mass_kg=50 * POUND, product="product")
    assert bags.bags == 142


@pytest.mark.parametrize(
    ("area", "gallons", "rounding"),
    [(THOUSAND_FT2, 623.4, 0.05), (ACRE, 27_154, 0.5), (12 * ACRE, 325_851, 0.5)],
)
def test_gallons_of_an_inch_of_water(area: float, gallons: float, rounding: float) -> None:
    """US Geological Survey water conversion list, 1990; twelve acre-inches are an acre-foot."""
    water = watering(area_m2=area, depth_per_week_m=INCH)
    assert water.water_volume_m3 / GALLON == pytest.approx(gallons, abs=rounding)


def test_run_time_of_an_inch() -> None:
    """Recomputed: 6 gallons a minute on 600 ft2 put down an inch in 62.3 minutes, at 0.963 in/h.

    A web tool prints 67 minutes, out of a factor rounded to 0.0112 from 0.0104.
    """
    water = layer_by_depth(area_m2=600 * FT2, depth_m=INCH)
    hours = run_time(water_volume_m3=water.volume_m3, flow_m3_per_h=6 * GALLON * 60).run_time_h
    assert hours * 60 == pytest.approx(62.3, abs=0.05)
    assert 1 / hours == pytest.approx(0.963, abs=0.00051)


def test_cycle_of_a_truck_with_two_speeds() -> None:
    """Worked solution to a construction planning textbook: 12 yd3 at 95 yd3/h, 7 miles at 30 and back at 40 mph.

    Dumping 3 min; printed 0.126 + 0.233 + 0.050 + 0.175 = 0.584 h to the trip (exact 0.5846).
    """
    mile = 1_609.344
    cycle = haul_time(
        trips=1, distance_m=7 * mile, speed_m_per_h=30 * mile, empty_speed_m_per_h=40 * mile,
        loading_time_h=12 / 95, dumping_time_h=3 / 60,
    )  # fmt: skip
    assert cycle.cycle_time_h == pytest.approx(0.5846, abs=0.00005)
    assert cycle.cycle_time_h == pytest.approx(0.584, abs=0.001)


def test_haulers_that_keep_a_loader_busy() -> None:
    """Textbooks of construction equipment: haulers = cycle time / loading time; here of the cycle above.

    C. N. Burt and L. Caccetta (2007): a match factor of 1 is the balanced fleet.
    """
    cycle, loading = 7 / 30 + 7 / 40 + 12 / 95 + 3 / 60, 12 / 95
    match = match_of_fleet(haulers=5, cycle_time_h=cycle, loading_time_h=loading)
    assert match.balanced_haulers == pytest.approx(4.63, abs=0.005)
    assert match.haulers_to_keep_busy == 5
    assert match.match_factor == pytest.approx(5 / 4.63, abs=0.005)
    assert match.match_factor * match.balanced_haulers == pytest.approx(5)


@pytest.mark.parametrize(("haulers", "hours"), [(2, 30.3), (3, 20.1 + 10 / 60), (4, 16.75 + 13 / 60)])
def test_a_fleet_is_bound_by_its_haulers_or_its_loader(haulers: int, hours: float) -> None:
    """Common practice, recomputed: 201 trips of 18 minutes, 5 of them loading.

    Two and three haulers make 101 and 67 rounds of 0.3 h, the third hauler 10 minutes behind the first; for four
    the loader is never idle: 201 loads are 16.75 h, and the last is back 13 minutes later.
    """
    fleet = time_of_fleet(trips=201, haulers=haulers, cycle_time_h=0.3, loading_time_h=5 / 60)
    assert fleet.haul_duration_h == pytest.approx(hours)
    assert fleet.fleet_time_h == pytest.approx(haulers * hours)
