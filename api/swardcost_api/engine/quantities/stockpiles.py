"""Several stockpiles and several places of work: which pile each place draws from.

Two plans are given. *Nearest first* is what crews do: the closest pile and place are served first, and what a
pile cannot give spills over to the next nearest. *Least haul* is the plan with the least mass times distance.
With one place, or one pile, the two are the same: any mass moved from a nearer to a farther pile lengthens the
haul. With several of both they can differ, since the pile that is nearest to one place may be the only near
one of another.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

NEAREST = "common practice: the nearest pile first, the rest from the next nearest"
LEAST = "transport problem, by successive shortest paths (Ahuja, Magnanti and Orlin, Network Flows, 1993)"
_GRAIN_KG = 1e-6


@dataclass(frozen=True, slots=True)
class Draw:
    """Mass that a place of work draws from a pile, and how far it is hauled."""

    pile: str
    place: str
    mass_kg: float
    distance_m: float


@dataclass(frozen=True, slots=True)
class HaulPlan:
    """What each place draws from each pile, and the distance of a unit of mass on average."""

    draws: tuple[Draw, ...]
    mass_kg: float
    average_haul_distance_m: float
    steps: Steps = field(repr=False, compare=False)


def nearest_first(
    *,
    piles_kg: Mapping[str, float],
    places_kg: Mapping[str, float],
    distances_m: Mapping[tuple[str, str], float],
) -> HaulPlan:
    """Plan that serves the closest pile and place first, and spills over to the next nearest.

    ::

        draw                  = the smaller of what the pile still holds and what the place still needs
        average haul distance = (sum of draw x distance) / (sum of draws)

    `piles_kg` is what each pile holds and `places_kg` what each place needs, in kilograms, by name;
    `distances_m` holds the way from every pile to every place, in metres. Equal distances are taken in the
    order of places, then piles. Limits: least haul only with one place or one pile (see `least_haul`).

    Raises `ValueError` for figures that are not above zero, piles that hold less than is needed, or a pair
    without a distance.

    References
    ----------
    Common practice.
    """
    work = _ground(piles_kg, places_kg, distances_m)
    left, needed = dict(piles_kg), dict(places_kg)
    drawn: dict[str, list[str]] = {}
    draws = []
    pairs = [(pile, place) for place in places_kg for pile in piles_kg]
    for pile, place in sorted(pairs, key=lambda pair: distances_m[pair]):
        mass = min(left[pile], needed[place])
        if mass <= _GRAIN_KG:
            continue
        name = f"mass from {pile} to {place}"
        less_pile, less_place = drawn.setdefault(f"pile {pile}", []), drawn.setdefault(f"place {place}", [])
        work.step(
            name, mass, "kilogram",
            f"min({' - '.join([f'mass at {pile}', *less_pile])}, {' - '.join([f'need of {place}', *less_place])})",
            f"mass at {pile}", *less_pile, f"need of {place}", *less_place, source=NEAREST,
        )  # fmt: skip
        less_pile.append(name)
        less_place.append(name)
        left[pile] -= mass
        needed[place] -= mass
        draws.append(Draw(pile, place, mass, distances_m[pile, place]))
    return _plan(work, draws, NEAREST)


def least_haul(
    *,
    piles_kg: Mapping[str, float],
    places_kg: Mapping[str, float],
    distances_m: Mapping[tuple[str, str], float],
) -> HaulPlan:
    """Plan with the least sum of mass times distance.

    ::

        average haul distance = (sum of draw x distance) / (sum of draws), the least there is

    Arguments as for `nearest_first`. The draws come out of the transport problem: every place gets what it
    needs, no pile gives more than it holds. Limits: mass times distance is made least, not the count of
    trips: each draw ends in a part load of its own.

    Raises `ValueError` as `nearest_first` does.

    References
    ----------
    F. L. Hitchcock, The distribution of a product from several sources to numerous localities, 1941; R. K.
    Ahuja, T. L. Magnanti and J. B. Orlin, Network Flows, 1993, chapter 9 (successive shortest paths).
    """
    work = _ground(piles_kg, places_kg, distances_m)
    piles, places = list(piles_kg), list(places_kg)
    flows = _transport(
        [piles_kg[pile] for pile in piles],
        [places_kg[place] for place in places],
        [[distances_m[pile, place] for place in places] for pile in piles],
    )
    draws = []
    for row, pile in enumerate(piles):
        for column, place in enumerate(places):
            if flows[row][column] > _GRAIN_KG:
                work.given(f"mass from {pile} to {place}", flows[row][column], "kilogram")
                draws.append(Draw(pile, place, flows[row][column], distances_m[pile, place]))
    return _plan(work, draws, LEAST)


def _ground(
    piles: Mapping[str, float], places: Mapping[str, float], distances: Mapping[tuple[str, str], float]
) -> Working:
    work = Working()
    if not piles or not places:
        raise ValueError(
            f"stockpiles: expected one pile and one place or more; got {len(piles)} and {len(places)}"
        )
    for pile, mass in piles.items():
        work.given(f"mass at {pile}", mass, "kilogram")
    for place, mass in places.items():
        work.given(f"need of {place}", mass, "kilogram")
    for place in places:
        for pile in piles:
            if (pile, place) not in distances:
                raise ValueError(f"distances: expected the distance from {pile} to {place}; got none")
            work.given(f"distance from {pile} to {place}", distances[pile, place], "meter")
    held, needed = math.fsum(piles.values()), math.fsum(places.values())
    if not fits(needed, held):
        raise ValueError(f"piles: expected at least the {needed!r} kilogram that is needed; got {held!r}")
    return work


def _plan(work: Working, draws: Sequence[Draw], source: str) -> HaulPlan:
    masses = [f"mass from {draw.pile} to {draw.place}" for draw in draws]
    ways = [f"distance from {draw.pile} to {draw.place}" for draw in draws]
    total = work.step(
        "mass hauled", math.fsum(draw.mass_kg for draw in draws), "kilogram", " + ".join(masses), *masses,
        source=source,
    )  # fmt: skip
    work_done = math.fsum(draw.mass_kg * draw.distance_m for draw in draws)
    average = work.step(
        "average haul distance", work_done / total, "meter",
        f"({' + '.join(f'{mass} x {way}' for mass, way in zip(masses, ways, strict=True))}) / mass hauled",
        *masses, *ways, "mass hauled", source=source,
    )  # fmt: skip
    return HaulPlan(tuple(draws), total, average, work.steps)


def _transport(
    supply: Sequence[float], demand: Sequence[float], cost: Sequence[Sequence[float]]
) -> list[list[float]]:
    """Least-cost flows from supplies to demands: each demand is filled along cheapest augmenting paths."""
    spare = list(supply)
    flows = [[0.0] * len(demand) for _ in supply]
    for place, needed in enumerate(demand):
        while needed > _GRAIN_KG and max(spare) > 0:
            path = _cheapest_path(spare, flows, cost, place)
            first = path[0][0]
            back = [flows[pile][via] for (pile, _), (_, via) in zip(path[1:], path, strict=False)]
            mass = min(needed, spare[first], *back)
            for pile, to in path:
                flows[pile][to] += mass
            for (pile, _), (_, via) in zip(path[1:], path, strict=False):
                flows[pile][via] -= mass
            spare[first] -= mass
            needed -= mass
    return flows


def _cheapest_path(
    spare: Sequence[float], flows: Sequence[Sequence[float]], cost: Sequence[Sequence[float]], place: int
) -> list[tuple[int, int]]:
    """Pairs of pile and place from a pile with some to spare to `place`.

    Each next pile takes over from the one before at the place in between, where it now sends less.
    """
    piles, places = range(len(cost)), range(len(cost[0]))
    dust = 1e-9 * max(map(max, cost))
    to_pile = [0.0 if spare[pile] > 0 else math.inf for pile in piles]
    to_place = [math.inf] * len(places)
    pile_before: list[int] = [-1] * len(places)
    place_before: list[int] = [-1] * len(piles)
    for _ in range(len(piles) + len(places)):
        changed = False
        for pile in piles:
            for to in places:
                if to_pile[pile] + cost[pile][to] < to_place[to] - dust:
                    to_place[to], pile_before[to], changed = to_pile[pile] + cost[pile][to], pile, True
        for pile in piles:
            for via in places:
                if flows[pile][via] > 0 and to_place[via] - cost[pile][via] < to_pile[pile] - dust:
                    to_pile[pile], place_before[pile], changed = to_place[via] - cost[pile][via], via, True
        if not changed:
            break
    path = [(pile_before[place], place)]
    while (via := place_before[path[0][0]]) >= 0:
        path.insert(0, (pile_before[via], via))
    return path


@dataclass(frozen=True, slots=True)
class PlanTrips:
    """Trips of a plan, whole for every draw, and the way that all of them make there and back."""

    trips: int
    travel_distance_m: float
    mean_distance_m: float
    steps: Steps = field(repr=False, compare=False)


def trips_of_plan(*, draws: Sequence[Draw], payload_kg: float) -> PlanTrips:
    """Whole trips of a plan and the distance driven.

    ::

        trips of a draw = mass / payload, rounded up
        trips           = sum over all draws
        travel distance = sum of 2 x trips of a draw x its distance
        one-way distance of the average trip = travel distance / (2 x trips)

    Payload in kilograms. Limits: no load is shared between two draws, so that a plan of many small draws takes
    more trips than its mass alone.

    Raises `ValueError` for no draws or a payload that is not above zero.

    References
    ----------
    Common practice of whole loads.
    """
    if not draws:
        raise ValueError("draws: expected one or more; got none")
    work = Working()
    payload = work.given("payload", payload_kg, "kilogram")
    counts, parts, figures = [], [], []
    for draw in draws:
        pair = f"from {draw.pile} to {draw.place}"
        work.given(f"mass {pair}", draw.mass_kg, "kilogram")
        work.given(f"distance {pair}", draw.distance_m, "meter")
        trips = whole_up(draw.mass_kg / payload)
        work.step(
            f"trips {pair}", trips, "trip", f"mass {pair} / payload, rounded up to whole trips",
            f"mass {pair}", "payload", source="common practice: a part of a load is a trip like any other",
        )  # fmt: skip
        counts.append(trips)
        parts.append(f"trips {pair}")
        figures.append(f"distance {pair}")
    total = sum(counts)
    work.step("trips", total, "trip", " + ".join(parts), *parts)
    driven = work.step(
        "travel distance",
        2 * math.fsum(trips * draw.distance_m for trips, draw in zip(counts, draws, strict=True)),
        "meter",
        f"2 x ({' + '.join(f'{trips} x {way}' for trips, way in zip(parts, figures, strict=True))})",
        *parts, *figures, source="geometry: there and back",
    )  # fmt: skip
    mean = work.step(
        "one-way distance", driven / (2 * total), "meter", "travel distance / (2 x trips)",
        "travel distance", "trips", source="average of all trips",
    )  # fmt: skip
    return PlanTrips(total, driven, mean, work.steps)
