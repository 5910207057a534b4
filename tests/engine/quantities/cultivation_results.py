"""One result of every function of the cultivation family, for the tests of their steps."""

from dataclasses import dataclass
from typing import Any

from swardcost_api.engine.quantities import cultivation, debris, ground, holes, profile, program, surface
from swardcost_api.engine.quantities.working import Steps

PASSES = [
    program.ProgramPass(share=0.049, depth_m=0.1, runs=2, removed_share=1, filled_share=0.9),
    program.ProgramPass(share=0.04, depth_m=0.025, removed_share=1),
    program.ProgramPass(share=0.01, depth_m=0.25, filled_share=1.5),
]


@dataclass(frozen=True)
class Renamed:
    """Steps that were given the names of a pass, as a result of their own."""

    steps: Steps


RENAMED = Renamed(program.of_pass(surface.slit_opening(width_m=0.002, spacing_m=0.05).steps, 12))

RESULTS: dict[str, Any] = {
    "program": program.program([0.05, 0.04, 0.03]),
    "solid tines": holes.solid_tine_holes(
        area_m2=500, outside_diameter_m=0.0127, spacing_along_m=0.0508, spacing_across_m=0.0635, depth_m=0.2,
        passes=2, open_share=0.8,
    ),
    "heave": holes.heave(area_m2=500, depth_m=0.2, raised_by_m=0.01),
    "drilling": holes.drilled_holes(
        area_m2=500, drill_diameter_m=0.0254, spacing_along_m=0.15, spacing_across_m=None, depth_m=0.3, passes=2
    ),
    "injection": holes.sand_injection(
        area_m2=500, hole_diameter_m=0.0127, spacing_along_m=0.08, spacing_across_m=0.09, depth_m=0.12
    ),
    "injection by hole": holes.sand_injection(
        area_m2=500, hole_diameter_m=0.0127, spacing_along_m=0.08, spacing_across_m=0.09, depth_m=0.12,
        mass_per_hole_kg=0.03, bulk_density_kg_per_m3=1_600,
    ),
    "injection by rate": holes.sand_injection(
        area_m2=500, hole_diameter_m=0.0127, spacing_along_m=0.08, spacing_across_m=None, depth_m=0.12,
        rate_m3_per_m2=0.003,
    ),
    "knives": cultivation.knife_slits(
        area_m2=500, knife_thickness_m=0.005, slit_length_m=0.08, spacing_along_m=0.15, spacing_across_m=0.1,
        depth_m=0.12, passes=2,
    ),
    "hole opening": surface.hole_opening(diameter_m=0.0127, spacing_along_m=0.05, spacing_across_m=None),
    "slit opening": surface.slit_opening(width_m=0.002, spacing_m=0.05),
    "knife opening": surface.knife_opening(
        knife_thickness_m=0.005, slit_length_m=0.08, spacing_along_m=0.15, spacing_across_m=0.1
    ),
    "sand bought": program.sand_bought(area_m2=500, rate_kg_per_m2=20),
    "debris": debris.collected_debris(
        volume_m3=2, loose_factor=1.25, bulk_density_kg_per_m3=1_500, collected_share=0.9
    ),
    "thatch": debris.verticut_debris(
        area_m2=500, share_touched_once=0.08, depth_m=0.025, thatch_depth_m=0.015, thatch_density_kg_per_m3=500,
        soil_density_kg_per_m3=1_500, loose_factor=1.5,
    ),
    "debris loads": debris.debris_loads(loose_volume_m3=8, mass_kg=9_000, box_volume_m3=1.5, payload_kg=2_500),
    "turns": ground.efficiency_of_runs(run_length_m=20, speed_m_per_h=4_000, turning_time_h=0.002),
    "swath": ground.swath_pace(
        swath_width_m=1.5, speed_m_per_h=5_000, overlap_share=0.1, turning_efficiency=0.8
    ),
    "travel": ground.travel_distance(area_worked_m2=1_500, effective_width_m=1.35),
    "program work": program.program_work(area_m2=500, passes=PASSES),
    "profile": profile.exchange_by_depth(passes=PASSES, band_bottoms_m=[0.05, 0.1, 0.3, 0.4]),
    "renamed": RENAMED,
    "sand balance": program.sand_balance(needed_kg=9_000, bought_kg=8_000),
    "goal": program.against_goal(
        share_sum_of_passes=0.12, share_touched_once=0.1, at_least_share=0.15, at_most_share=0.2
    ),
}  # fmt: skip
