"""Swaths, speeds and turns: refusals and what must always hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.ground import efficiency_of_runs, swath_pace, travel_distance
from swardcost_api.engine.quantities.production import time_at_pace

widths = st.floats(0.3, 10)
speeds = st.floats(500, 20_000)
shares = st.floats(0, 0.9)


@pytest.mark.parametrize("name", ["swath_width_m", "speed_m_per_h", "turning_efficiency"])
@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_a_swath_needs_a_width_a_speed_and_time_at_work(name: str, nonsense: float) -> None:
    with pytest.raises(ValueError, match="expected more than zero"):
        swath_pace(**{"swath_width_m": 1.5, "speed_m_per_h": 5_000.0} | {name: nonsense})


def test_swaths_do_not_overlap_altogether_and_no_time_is_gained_by_turning() -> None:
    with pytest.raises(ValueError, match="overlap: expected a share below 1"):
        swath_pace(swath_width_m=1.5, speed_m_per_h=5_000, overlap_share=1)
    with pytest.raises(ValueError, match="overlap: expected zero or more"):
        swath_pace(swath_width_m=1.5, speed_m_per_h=5_000, overlap_share=-0.1)
    with pytest.raises(ValueError, match="turning efficiency: expected at most 1"):
        swath_pace(swath_width_m=1.5, speed_m_per_h=5_000, turning_efficiency=1.01)


def test_turns_that_take_no_time_cost_nothing_and_cannot_take_less() -> None:
    free = efficiency_of_runs(run_length_m=20, speed_m_per_h=4_000, turning_time_h=0)
    assert free.turning_efficiency == 1
    with pytest.raises(ValueError, match="time to turn: expected zero or more"):
        efficiency_of_runs(run_length_m=20, speed_m_per_h=4_000, turning_time_h=-0.1)
    with pytest.raises(ValueError, match="area worked: expected more than zero"):
        travel_distance(area_worked_m2=0, effective_width_m=1)


@given(st.floats(1, 500), st.floats(1, 3), speeds, st.floats(1e-4, 0.05))
def test_longer_runs_never_lose_more_time_on_turns(
    length: float, longer: float, speed: float, turn: float
) -> None:
    short, long = (
        efficiency_of_runs(run_length_m=run, speed_m_per_h=speed, turning_time_h=turn).turning_efficiency
        for run in (length, length * longer)
    )
    assert 0 < short <= long <= 1


@given(widths, speeds, shares, st.floats(0.1, 1), st.floats(1, 1e6))
def test_distance_at_speed_is_the_time_at_work(
    width: float, speed: float, overlap: float, efficiency: float, area: float
) -> None:
    pace = swath_pace(
        swath_width_m=width, speed_m_per_h=speed, overlap_share=overlap, turning_efficiency=efficiency
    )
    hours = time_at_pace(area_worked_m2=area, pace_m2_per_h=pace.pace_m2_per_h).machine_time_h
    driven = travel_distance(area_worked_m2=area, effective_width_m=pace.effective_width_m).distance_m
    assert driven / speed == pytest.approx(hours * efficiency, rel=1e-9)


@given(widths, speeds, shares, shares)
def test_more_overlap_never_covers_more_ground(width: float, speed: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    paces = [
        swath_pace(swath_width_m=width, speed_m_per_h=speed, overlap_share=overlap).pace_m2_per_h
        for overlap in (less, more)
    ]
    assert paces[0] >= paces[1]
