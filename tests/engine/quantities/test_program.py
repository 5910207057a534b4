"""Programs of passes: surface, profile, sand and goal; refusals and what must always hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.profile import exchange_by_depth
from swardcost_api.engine.quantities.program import (
    ProgramPass,
    against_goal,
    of_pass,
    program,
    program_work,
    sand_balance,
    sand_bought,
)
from swardcost_api.engine.quantities.surface import hole_opening

CORES = ProgramPass(share=0.05, depth_m=0.1, runs=2, removed_share=1, filled_share=1)
SLITS = ProgramPass(share=0.04, depth_m=0.025, removed_share=1)
JETS = ProgramPass(share=0.02, depth_m=0.125, filled_share=1.5)

some_passes = st.lists(
    st.builds(
        ProgramPass,
        share=st.floats(1e-6, 0.9),
        depth_m=st.floats(0.005, 0.4),
        runs=st.integers(1, 10),
        removed_share=st.sampled_from([0.0, 0.5, 1.0]),
        filled_share=st.floats(0, 1.1),
    ),
    min_size=1,
    max_size=8,
)
some_bands = st.lists(st.floats(0.005, 0.1), min_size=1, max_size=12).map(
    lambda thicknesses: [math.fsum(thicknesses[: n + 1]) for n in range(len(thicknesses))]
)


@pytest.mark.parametrize(
    ("wrong", "expected"),
    [
        ({"share": 0.0}, "pass 1 share: expected more than zero"),
        ({"share": 1.1}, "pass 1 share: expected a share above 0 and at most 1"),
        ({"depth_m": math.nan}, "pass 1 depth: expected more than zero"),
        ({"runs": 0}, "pass 1 runs: expected a whole number"),
        ({"removed_share": 1.1}, "pass 1 removed share: expected at most 1"),
        ({"removed_share": -0.1}, "pass 1 removed share: expected zero or more"),
        ({"filled_share": 20.1}, "pass 1 filled share: expected at most 1 / share of surface"),
    ],
)
def test_passes_outside_their_range_are_refused(wrong: dict[str, float], expected: str) -> None:
    one = ProgramPass(**{"share": 0.05, "depth_m": 0.1} | wrong)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=expected):
        program_work(area_m2=100, passes=[one])
    with pytest.raises(ValueError, match=expected):
        exchange_by_depth(passes=[one], band_bottoms_m=[0.1])


def test_a_program_needs_passes_and_a_profile_bands() -> None:
    with pytest.raises(ValueError, match="passes: expected at least one pass"):
        program_work(area_m2=100, passes=[])
    with pytest.raises(ValueError, match="band bottoms: expected the depth of at least one"):
        exchange_by_depth(passes=[CORES], band_bottoms_m=[])


@pytest.mark.parametrize("bottoms", [[0.0], [0.1, 0.1], [0.1, 0.05], [math.inf], [math.nan]])
def test_bands_run_downwards(bottoms: list[float]) -> None:
    with pytest.raises(ValueError, match="bottom: expected more than"):
        exchange_by_depth(passes=[CORES], band_bottoms_m=bottoms)


def test_a_band_that_a_pass_ends_in_counts_the_part_it_reaches() -> None:
    whole, part, below = exchange_by_depth(passes=[CORES], band_bottoms_m=[0.08, 0.16, 0.2]).bands
    assert whole.removed_by_sum == pytest.approx(0.1)
    assert whole.removed_once == pytest.approx(1 - 0.95**2)
    assert part.removed_by_sum == pytest.approx(0.1 / 4)
    assert part.removed_once == pytest.approx((1 - 0.95**2) / 4)
    assert below.removed_by_sum == below.removed_once == below.filled_by_sum == below.filled_once == 0


def test_what_is_removed_and_what_is_filled_are_told_apart() -> None:
    top = exchange_by_depth(passes=[CORES, SLITS, JETS], band_bottoms_m=[0.025]).bands[0]
    assert top.removed_by_sum == pytest.approx(0.1 + 0.04)
    assert top.removed_once == pytest.approx(1 - 0.95**2 * 0.96)
    assert top.filled_by_sum == pytest.approx(0.1 + 0.03)
    assert top.filled_once == pytest.approx(1 - 0.95**2 * 0.97)


def test_a_depth_in_other_units_cuts_no_layer_of_dust() -> None:
    inches = ProgramPass(share=0.05, depth_m=4 * 0.0254, removed_share=1)
    exchange = exchange_by_depth(passes=[inches], band_bottoms_m=[101.6 * 0.001, 0.2])
    assert "layer 3 thickness" not in exchange.steps
    assert [band.removed_once for band in exchange.bands] == [pytest.approx(0.05), 0]


def test_volumes_are_those_of_the_passes() -> None:
    done = program_work(area_m2=100, passes=[CORES, SLITS, JETS])
    assert done.removed_volume_m3 == pytest.approx(100 * (0.05 * 2 * 0.1 + 0.04 * 0.025))
    assert done.filled_volume_m3 == pytest.approx(100 * (0.05 * 2 * 0.1 + 0.02 * 0.125 * 1.5))
    assert done.added_volume_m3 == pytest.approx(done.filled_volume_m3 - done.removed_volume_m3)
    assert done.unfilled_volume_m3 == 0


def test_passes_that_are_no_longer_than_a_list_of_shares_open_the_same() -> None:
    work, plain = program_work(area_m2=100, passes=[CORES, SLITS]), program([0.05, 0.05, 0.04])
    assert work.share_sum_of_passes == pytest.approx(plain.share_sum_of_passes)
    assert work.share_touched_once == pytest.approx(plain.share_touched_once)


def test_figures_of_two_passes_are_told_apart_by_number() -> None:
    steps = of_pass(hole_opening(diameter_m=0.01, spacing_along_m=0.05, spacing_across_m=0.05).steps, 3)
    assert steps["pass 3 share"].formula == "pass 3 hole section / pass 3 surface per hole"
    assert {one.name for one in steps["pass 3 hole section"].inputs} == {"pass 3 hole diameter"}


def test_sand_is_short_or_left_over_and_never_both() -> None:
    short = sand_balance(needed_kg=9_000, bought_kg=8_000)
    assert (short.shortage_kg, short.surplus_kg) == (1_000, 0)
    over = sand_balance(needed_kg=9_000, bought_kg=sand_bought(area_m2=500, rate_kg_per_m2=20).bought_kg)
    assert (over.shortage_kg, over.surplus_kg) == (0, 1_000)
    assert sand_balance(needed_kg=9_000, bought_kg=0).shortage_kg == 9_000


def test_a_program_may_reach_the_goal_by_sum_and_not_once_touched() -> None:
    found = against_goal(
        share_sum_of_passes=0.155, share_touched_once=0.145, at_least_share=0.15, at_most_share=0.2
    )
    assert found.short_of_goal_by_sum == found.over_goal_by_sum == 0
    assert found.short_of_goal_touched_once == pytest.approx(0.005)


def test_a_goal_runs_upwards() -> None:
    with pytest.raises(ValueError, match="goal at most: expected at least the lower end"):
        against_goal(share_sum_of_passes=0.1, share_touched_once=0.1, at_least_share=0.2, at_most_share=0.15)


@given(some_passes, some_bands)
def test_no_more_than_everything_is_exchanged_once_and_never_more_than_by_the_sum(
    passes: list[ProgramPass], bottoms: list[float]
) -> None:
    for band in exchange_by_depth(passes=passes, band_bottoms_m=bottoms).bands:
        assert 0 <= band.removed_once <= min(1, band.removed_by_sum + 1e-12)
        assert 0 <= band.filled_once <= min(1, band.filled_by_sum + 1e-12)
    done = program_work(area_m2=100, passes=passes)
    assert done.share_touched_once <= min(1, done.share_sum_of_passes + 1e-12)


@given(some_passes)
def test_bands_together_hold_what_the_passes_move(passes: list[ProgramPass]) -> None:
    done = program_work(area_m2=1, passes=passes)
    bands = exchange_by_depth(passes=passes, band_bottoms_m=[0.03, 0.1, 0.25, 0.4]).bands
    removed = math.fsum(band.removed_by_sum * (band.bottom_m - band.top_m) for band in bands)
    filled = math.fsum(band.filled_by_sum * (band.bottom_m - band.top_m) for band in bands)
    assert removed == pytest.approx(done.removed_volume_m3, rel=1e-6, abs=1e-15)
    assert filled == pytest.approx(done.filled_volume_m3, rel=1e-6, abs=1e-15)


@given(some_passes, some_bands)
def test_finer_bands_average_to_coarser_ones(passes: list[ProgramPass], bottoms: list[float]) -> None:
    fine = exchange_by_depth(passes=passes, band_bottoms_m=bottoms).bands
    coarse = exchange_by_depth(passes=passes, band_bottoms_m=bottoms[-1:]).bands[0]
    for name in ("removed_once", "filled_by_sum"):
        average = math.fsum(getattr(band, name) * (band.bottom_m - band.top_m) for band in fine)
        assert average / bottoms[-1] == pytest.approx(getattr(coarse, name), rel=1e-6, abs=1e-12)


@given(some_passes, st.integers(0, 7), st.floats(1, 2))
def test_a_deeper_pass_never_moves_less(passes: list[ProgramPass], which: int, deeper: float) -> None:
    index = which % len(passes)
    old = passes[index]
    new = ProgramPass(
        share=old.share, depth_m=old.depth_m * deeper, runs=old.runs, removed_share=old.removed_share,
        filled_share=old.filled_share,
    )  # fmt: skip
    changed = [*passes[:index], new, *passes[index + 1 :]]
    before, after = (program_work(area_m2=100, passes=some) for some in (passes, changed))
    assert after.removed_volume_m3 >= before.removed_volume_m3 * (1 - 1e-12)
    assert after.filled_volume_m3 >= before.filled_volume_m3 * (1 - 1e-12)
