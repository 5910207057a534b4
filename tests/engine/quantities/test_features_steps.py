"""The steps behind the quantities of features: complete, in known units, and redone by hand."""

from typing import Any

import pytest
from swardcost_api.engine.derivation import Step
from swardcost_api.engine.quantities import (
    banks,
    beds,
    brush,
    bunkers,
    drains,
    fences,
    irrigation,
    materials,
    paces,
    paths,
    planting,
    rooms,
    surrounds,
    tees,
)
from swardcost_api.units import UNITS
from test_steps import by_hand

RESULTS: dict[str, Any] = {
    "mains": drains.drain_lines(main_length_m=30),
    "mains and laterals": drains.drain_lines(main_length_m=30, drained_area_m2=90, lateral_spacing_m=4.5),
    "trench": drains.drain_trench(
        length_m=30, width_m=0.15, depth_m=0.2, pipe_diameter_m=0.1, cover_depth_m=0.05
    ),
    "gravel drain": drains.drain_trench(length_m=30, width_m=0.15, depth_m=0.2),
    "trench spoil": drains.trench_spoil(trench_volume_m3=0.9),
    "trench spoil below soil": drains.trench_spoil(trench_volume_m3=0.9, soil_cover_volume_m3=0.2),
    "heights": tees.mean_cut_and_fill(existing_m=[1.2, 1.1, 0.9] * 4, finished_m=[1.0] * 12),
    "heights of a cut": tees.mean_cut_and_fill(existing_m=[1.2], finished_m=[1.0]),
    "short of fill": tees.level_ground(area_m2=400, mean_cut_m=0.1, mean_fill_m=0.2, compacted_factor=0.9),
    "cut to spare": tees.level_ground(area_m2=400, mean_cut_m=0.3, mean_fill_m=0.2, compacted_factor=0.9),
    "root zone": tees.root_zone_layer(area_m2=400, depth_m=0.15),
    "sand out": bunkers.sand_out(area_m2=200, depth_m=0.15, bulk_density_kg_per_m3=1_700),
    "hollow": bunkers.fill_hollow(area_m2=200, depth_m=0.6, topsoil_depth_m=0.15),
    "hollow of fill": bunkers.fill_hollow(area_m2=200, depth_m=0.6),
    "flat bunker": bunkers.floor_and_faces(area_m2=200, floor_sand_depth_m=0.1),
    "bunker with faces": bunkers.floor_and_faces(
        area_m2=200, floor_sand_depth_m=0.1, face_share=0.3, face_slope=0.6, face_sand_depth_m=0.05
    ),
    "strip": surrounds.strip_around(perimeter_m=90, width_m=3, features=2),
    "turf": surrounds.turf_with_strip(area_m2=400, strip_area_m2=90),
    "turf of a strip": surrounds.turf_with_strip(strip_area_m2=90),
    "regrading": surrounds.strip_and_regrade(area_m2=400, strip_depth_m=0.04, regrade_depth_m=0.05),
    "path": paths.cart_path(
        length_m=100, width_m=2.4, thickness_m=0.1, base_depth_m=0.1, base_beyond_m=0.15, edges=2
    ),
    "old path": paths.path_removal(length_m=100, width_m=2, thickness_m=0.08, density_kg_per_m3=2_300),
    "bank": banks.bank_section(
        length_m=60, height_m=1, run_per_rise=3, cut_depth_m=0.15, stone_slope_length_m=1.2,
        stone_thickness_m=0.3,
    ),
    "bank all of stone": banks.bank_section(
        length_m=60, height_m=3, run_per_rise=4 / 3, stone_slope_length_m=5, stone_thickness_m=0.3
    ),
    "bank without stone": banks.bank_section(length_m=60, height_m=1, run_per_rise=3),
    "fabric": banks.lapped_fabric(length_m=60, slope_length_m=3, roll_width_m=4, lap_m=0.3),
    "fabric of one strip": banks.lapped_fabric(length_m=0.2, slope_length_m=3, roll_width_m=4, lap_m=0.3),
    "anchored fabric": banks.lapped_fabric(
        length_m=60, slope_length_m=1.2, slope_name="stone slope length", roll_width_m=4, lap_m=0.3, toe_anchor_m=0.6,
        top_anchor_m=0.5,
    ),
    "live stakes": banks.live_stakes(area_m2=201, spacing_m=0.8),
    "brush": brush.mulching_time(area_m2=4_000, stands={"light": (0.7, 900.0), "heavy": (0.3, 300.0)}),
    "machine days": brush.machine_days(machine_time_h=20, day_h=7),
    "chips": brush.chips_left(area_m2=400, depth_m=0.05),
    "square of trees": planting.trees_on_grid(area_m2=400, spacing_m=7),
    "triangle of trees": planting.trees_on_grid(area_m2=400, spacing_m=7, pattern="triangular"),
    "pits": planting.tree_pits(
        trees=12, pit_diameter_m=1.2, pit_depth_m=0.5, ball_diameter_m=0.6, ball_depth_m=0.45, amendment_share=0.25
    ),
    "rings": planting.mulch_rings(trees=12, ring_diameter_m=1.8, depth_m=0.08),
    "aftercare": planting.stakes_and_water(trees=12, stakes_per_tree=2, water_per_tree_m3=0.05, waterings=3),
    "cover": beds.bed_cover(area_m2=400, depth_m=0.08, old_depth_m=0.02),
    "fence": fences.fence_line(stretches_m=[31.0] * 11, post_spacing_m=2.4, gates=2),
    "closed fence": fences.fence_line(stretches_m=[31.0, 22.0, 17.0], post_spacing_m=2.4, closed=True),
    "rails": fences.rails_and_mesh(post_spaces=13, fence_length_m=30, rails_per_space=3, mesh_height_m=1.2),
    "footings": fences.post_footings(posts=14, hole_diameter_m=0.3, hole_depth_m=0.75, post_diameter_m=0.1),
    "pipe trench": irrigation.pipe_trench(length_m=40, width_m=0.1, depth_m=0.45),
    "heads": irrigation.heads_moved(heads=6, fittings_per_head=4, wire_per_head_m=6, wire_runs=2),
    "openings": rooms.wall_openings(openings={"door": (2, 0.9, 2.1), "window": (3, 1.2, 1.4)}),
    "room": rooms.room_surfaces(length_m=9, width_m=6, height_m=3, openings_area_m2=8, doorways_width_m=1.8),
    "paint": rooms.paint(surface="wall", area_m2=80, coats=2, coverage_m2=33),
    "craft": rooms.craft_hours(
        surfaces={
            "painting walls": ("wall coated area", 160.0, "square_meter", 14.0),
            "skirting": ("skirting length", 28.0, "meter", 6.0),
        },
        fixtures={"doors": (2, 3.0)},
    ),
    "material": materials.material_to_bring_in(
        material="gravel", volume_m3=10, volume_name="gravel volume", allowance_share=0.1,
        bulk_density_kg_per_m3=1_600,
    ),
    "goods": materials.goods_to_order(
        goods="pipe", amount=30, amount_name="drain length", unit="meter", waste_share=0.05
    ),
    "packs": materials.packs_of(
        packs="bags", amount=3, amount_name="mulch to bring in", unit="cubic_meter", content=0.085, counted="bag"
    ),
    "spoil": materials.spoil_to_haul(
        volume_m3=10, volume_name="trench volume", swell_share=0.25, box_volume_m3=4
    ),
    "time along": paces.time_along(length_m=120, pace_m_per_h=35),
    "time over": paces.time_over(area_m2=120, pace_m2_per_h=35, area_name="turf area"),
    "time by piece": paces.time_by_piece(
        pieces=12, pieces_name="items", unit="each", time_each_h=1.5, crew_size=2
    ),
}  # fmt: skip

STEPS = [
    pytest.param(step, id=f"{name}, {step.name}")
    for name, result in RESULTS.items()
    for step in result.steps.values()
]

UNEXPLAINED = {("packs", "computed"), ("square of trees", "computed"), ("triangle of trees", "computed")}
"""Fields that are the figure before the rounding that its step names."""


@pytest.mark.parametrize("step", STEPS)
def test_a_printed_formula_gives_the_printed_figure_from_the_printed_inputs(step: Step) -> None:
    assert by_hand(step) == pytest.approx(step.value, rel=1e-9)


@pytest.mark.parametrize("step", STEPS)
def test_every_figure_of_a_step_has_a_listed_si_or_counted_unit_and_a_source(step: Step) -> None:
    for unit in (step.unit, *(figure.unit for figure in step.inputs)):
        assert UNITS[unit].si_unit == unit
    assert step.source


@pytest.mark.parametrize("name", RESULTS)
def test_every_figure_of_a_result_is_explained_by_a_step(name: str) -> None:
    result = RESULTS[name]
    explained = [step.value for step in result.steps.values()]
    for field in type(result).__dataclass_fields__:
        figure = getattr(result, field)
        if field != "steps" and figure is not None and (name, field) not in UNEXPLAINED:
            assert figure in explained, (name, field)
