"""One result of every computation on soil, turf and hauling, for the tests of their steps."""

from typing import Any

from swardcost_api.engine.quantities import (
    earthwork,
    fleet,
    hauling,
    rootzone,
    sand,
    seeding,
    soil,
    stockpiles,
    turf,
)  # fmt: skip

_CYCLE: dict[str, Any] = {"trips": 50, "haulers": 4, "cycle_time_h": 0.31, "loading_time_h": 0.09}
_PILES: dict[str, Any] = {
    "piles_kg": {"north pile": 700.0, "south pile": 900.0},
    "places_kg": {"front nine": 800.0, "back nine": 500.0},
    "distances_m": {
        ("north pile", "front nine"): 500.0,
        ("south pile", "front nine"): 600.0,
        ("north pile", "back nine"): 700.0,
        ("south pile", "back nine"): 2_000.0,
    },
}

RESULTS: dict[str, Any] = {
    "moist density": sand.moist_density(
        dry_bulk_density_kg_per_m3=1_500, moisture_share=0.07, material="sand"
    ),
    "mass of volume": sand.mass_of_volume(
        volume_m3=5, volume_name="loose volume", bulk_density_kg_per_m3=1_600, material="sand"
    ),
    "soil in place": soil.soil_volumes(
        volume_m3=7, state="in_place", loose_factor=1.25, compacted_factor=0.9
    ),
    "soil loose": soil.soil_volumes(volume_m3=7, state="loose", loose_factor=1.25, compacted_factor=0.9),
    "soil compacted": soil.soil_volumes(
        volume_m3=7, state="compacted", loose_factor=1.25, compacted_factor=0.9
    ),
    "loose layer": soil.loose_for_layer(layer_volume_m3=7, settlement_share=0.15, waste_share=0.03),
    "amendment": soil.amendment_tilled(area_m2=300, tilled_depth_m=0.15, amendment_share=0.2),
    "topsoil left": soil.strip_and_respread(
        area_m2=300, strip_depth_m=0.15, respread_depth_m=0.1, loose_factor=1.2, loss_share=0.05
    ),
    "topsoil wanting": soil.strip_and_respread(
        area_m2=300, strip_depth_m=0.1, respread_depth_m=0.15, loose_factor=1.2, loss_share=0.05
    ),
    "earth left": soil.earth_balance(
        cut_volume_m3=90, fill_volume_m3=40, loose_factor=1.25, compacted_factor=0.9, usable_share=0.7
    ),
    "earth wanting": soil.earth_balance(
        cut_volume_m3=20, fill_volume_m3=40, loose_factor=1.25, compacted_factor=0.9, usable_share=0.7
    ),
    "end areas": earthwork.average_end_area(stations_m=[0, 10, 25], areas_m2=[0, 4, 9]),
    "prismoid": earthwork.prismoidal_volume(stations_m=[0, 10, 20, 25, 30], areas_m2=[0, 4, 9, 7, 2]),
    "grid": earthwork.grid_volume(
        cell_length_m=10, cell_width_m=8, corner_cuts_m=[[0.4, 0.1, -0.2], [0.3, 0.0, -0.3], [0.0, 0.2, 0.1]]
    ),
    "root zone": rootzone.section_layer(
        name="root zone", area_m2=300, depth_m=0.3, settlement_share=0.2, waste_share=0.05
    ),
    "cavity": rootzone.cavity(
        area_m2=300, root_zone_depth_m=0.3, gravel_depth_m=0.1, intermediate_layer_depth_m=0.05, freeboard_m=0.07
    ),
    "sod with edges": turf.sod_to_order(area_m2=300, waste_share=0.05, perimeter_m=90, edge_strip_m=0.2),
    "big rolls": turf.sod_units(sod_area_m2=525, coverage_m2=28, unit="big_roll"),
    "sod strip": turf.sod_strip(area_m2=300, thickness_m=0.03, bulk_density_kg_per_m3=1_300, loose_factor=1.4),
    "sprigs": seeding.sprigs_to_order(area_m2=300, rate_m3_per_m2=0.007, waste_share=0.05),
    "live seed": seeding.seed_to_buy(
        area_m2=300, rate_kg_per_m2=0.03, purity_share=0.98, germination_share=0.85, rate_is_live_seed=True,
        waste_share=0.02,
    ),
    "bulk seed": seeding.seed_to_buy(
        area_m2=300, rate_kg_per_m2=0.03, purity_share=0.98, germination_share=0.85, rate_is_live_seed=False
    ),
    "bags": seeding.bags_of(mass_kg=75, bag_mass_kg=22, product="seed"),
    "hydromulch": seeding.hydromulch(
        area_m2=3_000, mulch_rate_kg_per_m2=0.2, mulch_per_tank_kg=130, tank_volume_m3=2.3, waste_share=0.05
    ),
    "nutrient": seeding.product_for_nutrient(
        area_m2=300, nutrient_rate_kg_per_m2=0.005, nutrient_share=0.24, applications=3
    ),
    "water": seeding.watering(area_m2=300, depth_per_week_m=0.03, weeks=6, efficiency_share=0.8),
    "run time": seeding.run_time(water_volume_m3=67, flow_m3_per_h=12),
    "either load": hauling.loads_of_either(mass_kg=90_000, payload_kg=18_000, volume_m3=66, box_volume_m3=12),
    "boxed payload": hauling.payload_in_box(
        rated_payload_kg=4_000, box_volume_m3=2.3, bulk_density_kg_per_m3=1_600
    ),
    "two speeds": hauling.haul_time(
        trips=7, distance_m=800, speed_m_per_h=9_000, empty_speed_m_per_h=13_000, loading_time_h=0.1,
        dumping_time_h=0.05,
    ),
    "together": hauling.volumes_together(
        name="spoil volume", volumes_m3={"sand out volume": 28.0, "trench volume": 0.9, "cover volume": 0.2}
    ),
    "fuel": hauling.fuel_burnt(machine_time_h=150, consumption_m3_per_h=0.006),
    "match": fleet.match_of_fleet(haulers=4, cycle_time_h=0.31, loading_time_h=0.09),
    "fleet": fleet.time_of_fleet(**_CYCLE),
    "shifts": fleet.shifts_of_fleet(**_CYCLE, shift_time_h=8),
    "fleet of one round": fleet.time_of_fleet(**_CYCLE | {"trips": 3}),
    "fleet that queues": fleet.time_of_fleet(**_CYCLE | {"haulers": 6}),
    "shift of one cycle": fleet.shifts_of_fleet(**_CYCLE, shift_time_h=0.31),
    "shifts of a queue": fleet.shifts_of_fleet(**_CYCLE | {"haulers": 6}, shift_time_h=7.6),
    "nearest first": stockpiles.nearest_first(**_PILES),
    "least haul": stockpiles.least_haul(**_PILES),
    "plan trips": stockpiles.trips_of_plan(draws=stockpiles.nearest_first(**_PILES).draws, payload_kg=130),
}  # fmt: skip

UNEXPLAINED = {
    ("root zone", "name"),
    ("big rolls", "computed"),
    ("nearest first", "draws"),
    ("least haul", "draws"),
}
"""Fields that are an input given back, the figure before the rounding, or a list that has steps of its own."""
