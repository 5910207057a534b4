"""Fleets at a loader and plans from several stockpiles: refusals and what must always hold."""

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from swardcost_api.engine.quantities.fleet import match_of_fleet, shifts_of_fleet, time_of_fleet
from swardcost_api.engine.quantities.hauling import (
    fuel_burnt,
    haul_time,
    loads_of_either,
    loads_of_mass,
    loads_of_volume,
    payload_in_box,
    volumes_together,
)
from swardcost_api.engine.quantities.stockpiles import (
    HaulPlan,
    least_haul,
    nearest_first,
    trips_of_plan,
)

CYCLE: dict[str, Any] = {"haulers": 3, "cycle_time_h": 0.3, "loading_time_h": 0.08}

masses = st.floats(1, 1e7)
cycles = st.tuples(st.floats(0.01, 1), st.floats(1, 20)).map(lambda pair: (pair[0], pair[0] * pair[1]))


@pytest.mark.parametrize("nonsense", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("name", ["mass_kg", "payload_kg", "volume_m3", "box_volume_m3"])
def test_loads_of_either_need_all_four_figures(name: str, nonsense: float) -> None:
    good = {"mass_kg": 1.0, "payload_kg": 1.0, "volume_m3": 1.0, "box_volume_m3": 1.0}
    with pytest.raises(ValueError, match="expected more than zero"):
        loads_of_either(**good | {name: nonsense})


@given(masses, st.floats(1_000, 30_000), st.floats(300, 2_500), st.floats(1, 20))
def test_the_limit_that_binds_sets_the_loads(mass: float, payload: float, density: float, box: float) -> None:
    volume = mass / density
    both = loads_of_either(mass_kg=mass, payload_kg=payload, volume_m3=volume, box_volume_m3=box)
    by_mass = loads_of_mass(mass_kg=mass, payload_kg=payload).loads
    by_volume = loads_of_volume(volume_m3=volume, box_volume_m3=box).loads
    assert both.loads == max(by_mass, by_volume)
    assert both.bound_by in ("mass", "volume")


@given(st.floats(100, 30_000), st.floats(0.1, 20), st.floats(300, 2_500))
def test_a_box_never_raises_the_payload(rated: float, box: float, density: float) -> None:
    carried = payload_in_box(rated_payload_kg=rated, box_volume_m3=box, bulk_density_kg_per_m3=density)
    assert carried.payload_kg <= rated
    assert carried.payload_kg <= box * density


@given(st.floats(10, 1e4), st.floats(1e3, 5e4), st.floats(1, 3))
def test_a_faster_way_back_never_lengthens_the_cycle(distance: float, speed: float, faster: float) -> None:
    cycle: dict[str, Any] = {
        "trips": 1, "distance_m": distance, "speed_m_per_h": speed, "loading_time_h": 0.1, "dumping_time_h": 0.1
    }  # fmt: skip
    one_speed = haul_time(**cycle).cycle_time_h
    assert haul_time(**cycle, empty_speed_m_per_h=speed).cycle_time_h == pytest.approx(one_speed)
    assert haul_time(**cycle, empty_speed_m_per_h=speed * faster).cycle_time_h <= one_speed * (1 + 1e-12)


def test_fuel_needs_hours_and_a_rate() -> None:
    with pytest.raises(ValueError, match="fuel consumption: expected more than zero"):
        fuel_burnt(machine_time_h=1, consumption_m3_per_h=0)


def test_a_cycle_contains_its_loading() -> None:
    with pytest.raises(ValueError, match="cycle time: expected at least the loading time"):
        match_of_fleet(haulers=3, cycle_time_h=0.1, loading_time_h=0.2)


def test_a_shift_holds_a_cycle() -> None:
    with pytest.raises(ValueError, match="shift time: expected at least one cycle"):
        shifts_of_fleet(**CYCLE, trips=5, shift_time_h=0.2)


def test_a_trip_that_just_fits_the_shift_is_counted_whatever_the_floats_say() -> None:
    fleet = shifts_of_fleet(trips=27, haulers=1, cycle_time_h=0.3, loading_time_h=0.1, shift_time_h=8.1)
    assert (fleet.trips_per_shift, fleet.shifts) == (27, 1)


@given(cycles, st.integers(1, 5_000))
def test_haulers_that_keep_the_loader_busy_leave_it_no_wait(times: tuple[float, float], trips: int) -> None:
    loading, cycle = times
    busy = match_of_fleet(haulers=1, cycle_time_h=cycle, loading_time_h=loading).haulers_to_keep_busy
    match = match_of_fleet(haulers=busy, cycle_time_h=cycle, loading_time_h=loading)
    assert match.match_factor >= 1 - 1e-8
    hours = time_of_fleet(trips=trips, haulers=busy, cycle_time_h=cycle, loading_time_h=loading)
    assert hours.haul_duration_h == pytest.approx(trips * loading + cycle - loading)


def starts_of(trips: int, haulers: int, cycle: int, loading: int) -> list[int]:
    """When each trip begins to be loaded: the loader is free and the hauler of that turn is back."""
    starts: list[int] = []
    for trip in range(trips):
        loader_free = starts[-1] + loading if starts else 0
        hauler_back = starts[trip - haulers] + cycle if trip >= haulers else 0
        starts.append(max(loader_free, hauler_back))
    return starts


minutes = st.tuples(st.integers(1, 60), st.integers(0, 600)).map(lambda pair: (pair[0], sum(pair)))


@given(minutes, st.integers(1, 300), st.integers(1, 30))
def test_the_hours_of_a_fleet_are_those_of_its_time_table(
    times: tuple[int, int], trips: int, haulers: int
) -> None:
    loading, cycle = times
    fleet = time_of_fleet(trips=trips, haulers=haulers, cycle_time_h=cycle / 60, loading_time_h=loading / 60)
    last_back = starts_of(trips, haulers, cycle, loading)[-1] + cycle
    assert 60 * fleet.haul_duration_h == pytest.approx(last_back)
    assert 60 * fleet.fleet_time_h == pytest.approx(min(haulers, trips) * last_back)


@given(minutes, st.integers(1, 300), st.integers(1, 30), st.integers(0, 900))
def test_the_shifts_of_a_fleet_are_those_of_its_time_table(
    times: tuple[int, int], trips: int, haulers: int, longer: int
) -> None:
    loading, cycle = times
    shift = cycle + longer
    fleet = shifts_of_fleet(
        trips=trips, haulers=haulers, cycle_time_h=cycle / 60, loading_time_h=loading / 60, shift_time_h=shift / 60
    )  # fmt: skip

    def made_of(wanted: int) -> int:
        return sum(start + cycle <= shift for start in starts_of(wanted, haulers, cycle, loading))

    left, shifts = trips, 0
    while left:
        left -= made_of(left)
        shifts += 1
    assert fleet.shifts == shifts
    if trips >= haulers:
        assert fleet.trips_per_shift == made_of(1 + haulers * (1 + shift // cycle))


@given(minutes, st.integers(1, 30), st.integers(0, 30))
def test_haulers_without_a_trip_are_neither_paid_nor_in_the_way(
    times: tuple[int, int], trips: int, idle: int
) -> None:
    loading, cycle = times
    job: dict[str, Any] = {"trips": trips, "cycle_time_h": cycle / 60, "loading_time_h": loading / 60}
    needed, more = (time_of_fleet(**job, haulers=count) for count in (trips, trips + idle))
    assert more.haulers_used == trips
    assert (more.haul_duration_h, more.fleet_time_h) == (needed.haul_duration_h, needed.fleet_time_h)


@given(cycles, st.integers(1, 2_000), st.integers(1, 20), st.integers(0, 10))
def test_more_haulers_never_take_longer_or_more_shifts(
    times: tuple[float, float], trips: int, haulers: int, more: int
) -> None:
    loading, cycle = times
    given_ones: dict[str, Any] = {"trips": trips, "cycle_time_h": cycle, "loading_time_h": loading}
    few = time_of_fleet(**given_ones, haulers=haulers)
    many = time_of_fleet(**given_ones, haulers=haulers + more)
    assert many.haul_duration_h <= few.haul_duration_h * (1 + 1e-9)
    assert few.fleet_time_h >= trips * cycle * (1 - 1e-9)
    shift = {"shift_time_h": cycle * 3}
    assert (
        shifts_of_fleet(**given_ones, **shift, haulers=haulers + more).shifts
        <= shifts_of_fleet(**given_ones, **shift, haulers=haulers).shifts
    )


@given(st.dictionaries(st.text(min_size=1), st.floats(0.1, 1e6), min_size=1, max_size=5))
def test_volumes_together_are_no_more_and_no_less_than_their_parts(volumes: dict[str, float]) -> None:
    together = volumes_together(name="spoil volume", volumes_m3=volumes)
    assert together.volume_m3 == pytest.approx(sum(volumes.values()))


def test_volumes_together_are_of_something() -> None:
    with pytest.raises(ValueError, match="spoil volume: expected one volume or more; got none"):
        volumes_together(name="spoil volume", volumes_m3={})
    with pytest.raises(ValueError, match="trench volume: expected more than zero"):
        volumes_together(name="spoil volume", volumes_m3={"trench volume": 0.0})


@pytest.mark.parametrize(
    ("piles", "places", "distances", "complaint"),
    [
        ({}, {"tee": 1.0}, {}, "one pile and one place or more"),
        ({"yard": 1.0}, {"tee": 2.0}, {("yard", "tee"): 5.0}, "piles: expected at least"),
        ({"yard": 2.0}, {"tee": 1.0}, {}, "expected the distance from yard to tee"),
        ({"yard": 2.0}, {"tee": 1.0}, {("yard", "tee"): 0.0}, "distance from yard to tee: expected more"),
        ({"yard": 0.0}, {"tee": 1.0}, {("yard", "tee"): 5.0}, "mass at yard: expected more than zero"),
    ],
)
@pytest.mark.parametrize("plan", [nearest_first, least_haul])
def test_a_plan_needs_piles_that_suffice_and_every_distance(
    plan: Any, piles: Any, places: Any, distances: Any, complaint: str
) -> None:
    with pytest.raises(ValueError, match=complaint):
        plan(piles_kg=piles, places_kg=places, distances_m=distances)


def test_what_the_nearest_pile_cannot_give_comes_from_the_next_nearest() -> None:
    plan = nearest_first(
        piles_kg={"far": 500.0, "near": 300.0, "next": 300.0},
        places_kg={"green": 700.0},
        distances_m={("far", "green"): 900.0, ("near", "green"): 100.0, ("next", "green"): 400.0},
    )
    assert [(draw.pile, draw.mass_kg) for draw in plan.draws] == [("near", 300), ("next", 300), ("far", 100)]
    assert plan.average_haul_distance_m == pytest.approx((300 * 100 + 300 * 400 + 100 * 900) / 700)


def test_nearest_first_is_not_the_least_haul_where_a_place_has_only_one_pile_near() -> None:
    site: dict[str, Any] = {
        "piles_kg": {"A": 1.0, "B": 1.0},
        "places_kg": {"one": 1.0, "two": 1.0},
        "distances_m": {("A", "one"): 1.0, ("B", "one"): 2.0, ("A", "two"): 2.0, ("B", "two"): 100.0},
    }
    assert nearest_first(**site).average_haul_distance_m == pytest.approx(101 / 2)
    assert least_haul(**site).average_haul_distance_m == pytest.approx(4 / 2)


def site_of(supply: list[float], demand: list[float], ways: list[int]) -> dict[str, Any]:
    scale = max(1.0, 1.01 * math.fsum(demand) / math.fsum(supply))
    piles = {f"pile {number}": scale * mass for number, mass in enumerate(supply)}
    places = {f"place {number}": mass for number, mass in enumerate(demand)}
    pairs = [(pile, place) for pile in piles for place in places]
    distances = {pair: float(ways[number % len(ways)]) for number, pair in enumerate(pairs)}
    return {"piles_kg": piles, "places_kg": places, "distances_m": distances}


sites = st.builds(
    site_of,
    st.lists(st.floats(1, 1_000), min_size=1, max_size=5),
    st.lists(st.floats(1, 1_000), min_size=1, max_size=6),
    st.lists(st.integers(1, 3_000), min_size=1, max_size=30),
)


def least_by_linear_programming(site: dict[str, Any]) -> float:
    piles, places = site["piles_kg"], site["places_kg"]
    pairs = list(site["distances_m"])
    solved = linprog(
        [site["distances_m"][pair] for pair in pairs],
        A_ub=[[float(pair[0] == pile) for pair in pairs] for pile in piles],
        b_ub=list(piles.values()),
        A_eq=[[float(pair[1] == place) for pair in pairs] for place in places],
        b_eq=list(places.values()),
    )
    return float(solved.fun) / math.fsum(places.values())


def assert_carried_out(site: dict[str, Any], plan: HaulPlan) -> None:
    for place, mass in site["places_kg"].items():
        drawn = math.fsum(draw.mass_kg for draw in plan.draws if draw.place == place)
        assert drawn == pytest.approx(mass, rel=1e-6)
    for pile, mass in site["piles_kg"].items():
        assert math.fsum(draw.mass_kg for draw in plan.draws if draw.pile == pile) <= mass * (1 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(sites)
def test_the_least_haul_is_that_of_a_linear_programming_solver(site: dict[str, Any]) -> None:
    plan = least_haul(**site)
    assert_carried_out(site, plan)
    assert plan.average_haul_distance_m == pytest.approx(least_by_linear_programming(site), rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(sites)
def test_nearest_first_is_never_shorter_and_as_short_with_one_place_or_pile(site: dict[str, Any]) -> None:
    nearest, least = nearest_first(**site), least_haul(**site)
    assert_carried_out(site, nearest)
    assert nearest.average_haul_distance_m >= least.average_haul_distance_m * (1 - 1e-9)
    if 1 in (len(site["piles_kg"]), len(site["places_kg"])):
        assert nearest.average_haul_distance_m == pytest.approx(least.average_haul_distance_m)


@given(sites, st.floats(10, 2_000))
def test_trips_of_a_plan_are_whole_for_every_draw(site: dict[str, Any], payload: float) -> None:
    draws = nearest_first(**site).draws
    trips = trips_of_plan(draws=draws, payload_kg=payload)
    together = loads_of_mass(mass_kg=math.fsum(draw.mass_kg for draw in draws), payload_kg=payload).loads
    assert together <= trips.trips < together + len(draws)
    assert trips.travel_distance_m == pytest.approx(2 * trips.trips * trips.mean_distance_m)


def test_a_plan_without_draws_has_no_trips() -> None:
    with pytest.raises(ValueError, match="draws: expected one or more"):
        trips_of_plan(draws=[], payload_kg=1)
