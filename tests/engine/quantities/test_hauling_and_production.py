"""Whole loads and hours: refusals and what must always hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.hauling import haul_time, loads_of_mass, loads_of_volume, trip_range
from swardcost_api.engine.quantities.production import crew_time, ground_covered, time_at_pace
from swardcost_api.engine.quantities.working import whole_up

masses = st.floats(1, 1e9)
payloads = st.floats(100, 40_000)

CYCLE = {"distance_m": 800.0, "speed_m_per_h": 8_000.0, "loading_time_h": 0.1, "dumping_time_h": 0.05}


@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_loads_of_nothing_are_refused(nonsense: float) -> None:
    with pytest.raises(ValueError, match="mass: expected more than zero"):
        loads_of_mass(mass_kg=nonsense, payload_kg=1)
    with pytest.raises(ValueError, match="payload: expected more than zero"):
        loads_of_mass(mass_kg=1, payload_kg=nonsense)
    with pytest.raises(ValueError, match="box volume: expected more than zero"):
        loads_of_volume(volume_m3=1, box_volume_m3=nonsense)


def test_a_range_of_payloads_runs_upwards() -> None:
    with pytest.raises(ValueError, match="payload at most: expected at least the payload"):
        trip_range(mass_kg=1_000, payload_kg=400, payload_at_most_kg=300)


@pytest.mark.parametrize(
    ("figure", "whole"),
    [
        (75.00000000001, 75),
        (74.99999999999, 75),
        (75.001, 76),
        (1e-12, 1),
        (0.2, 1),
        (3e9 + 0.5, 3_000_000_000),
    ],
)
def test_dust_of_floats_buys_no_load(figure: float, whole: int) -> None:
    assert whole_up(figure) == whole


@given(st.integers(1, 100_000), st.integers(1, 400_000))
def test_full_loads_in_tenths_of_a_ton_are_counted_exactly(loads: int, tenths: int) -> None:
    payload = tenths * 0.1 * 907.18474
    assert loads_of_mass(mass_kg=loads * tenths * 0.1 * 907.18474, payload_kg=payload).loads == loads


@given(masses, payloads)
def test_loads_are_whole_and_enough_and_not_one_too_many(mass: float, payload: float) -> None:
    loads = loads_of_mass(mass_kg=mass, payload_kg=payload).loads
    assert isinstance(loads, int)
    assert loads * payload >= mass * (1 - 1e-8)
    assert loads == 1 or (loads - 1) * payload < mass


@given(masses, payloads, st.floats(1, 3))
def test_larger_payloads_never_take_more_trips(mass: float, payload: float, larger: float) -> None:
    trips = trip_range(mass_kg=mass, payload_kg=payload, payload_at_most_kg=payload * larger)
    assert trips.fewest <= trips.most == loads_of_mass(mass_kg=mass, payload_kg=payload).trips


def test_a_cycle_is_there_and_back_with_loading_and_dumping() -> None:
    haul = haul_time(trips=10, **CYCLE)
    assert (haul.travel_time_h, haul.cycle_time_h) == pytest.approx((0.2, 0.35))
    assert haul.machine_time_h == pytest.approx(3.5)


def test_loading_may_take_no_time_but_not_less() -> None:
    assert haul_time(trips=1, **CYCLE | {"loading_time_h": 0.0}).cycle_time_h == pytest.approx(0.25)
    with pytest.raises(ValueError, match="loading time: expected zero or more"):
        haul_time(trips=1, **CYCLE | {"loading_time_h": -0.1})
    with pytest.raises(ValueError, match="speed: expected more than zero"):
        haul_time(trips=1, **CYCLE | {"speed_m_per_h": 0.0})


@given(st.floats(1, 1e6), st.floats(1, 1e6), st.integers(1, 20), st.floats(10, 1e5), st.integers(1, 12))
def test_hours_of_two_parts_are_the_hours_of_the_whole(
    one: float, other: float, passes: int, pace: float, crew: int
) -> None:
    def hours(area: float) -> float:
        worked = ground_covered(area_m2=area, passes=passes).area_worked_m2
        machine = time_at_pace(area_worked_m2=worked, pace_m2_per_h=pace).machine_time_h
        return crew_time(machine_time_h=machine, crew_size=crew).crew_time_h

    assert hours(one) + hours(other) == pytest.approx(hours(one + other), rel=1e-9)


@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
def test_work_needs_an_area_and_a_pace(nonsense: float) -> None:
    with pytest.raises(ValueError, match="area: expected more than zero"):
        ground_covered(area_m2=nonsense)
    with pytest.raises(ValueError, match="production rate: expected more than zero"):
        time_at_pace(area_worked_m2=1, pace_m2_per_h=nonsense)
    with pytest.raises(ValueError, match="machine time: expected more than zero"):
        crew_time(machine_time_h=nonsense, crew_size=1)


@pytest.mark.parametrize("crew", [0, -2, 2.5])
def test_a_crew_is_of_whole_people(crew: int) -> None:
    with pytest.raises(ValueError, match="crew size: expected a whole number"):
        crew_time(machine_time_h=1, crew_size=crew)
