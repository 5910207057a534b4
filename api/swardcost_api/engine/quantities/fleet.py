"""Fleets of haulers at a loader: how many keep it busy, how long a given fleet takes, and how many shifts."""

import math
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

MATCH = "earthmoving texts: match factor of haulers to a loader (Burt and Caccetta, 2007)"
BOUND = "earthmoving texts: the slower of loader and haulers sets the pace"
QUEUE = "geometry of the time-table: haulers are loaded one after another, each again after a round"
IDLE = "common practice: a hauler without a trip is not hired"
SHIFT = "common practice: a trip that is begun is ended in the shift"


@dataclass(frozen=True, slots=True)
class FleetMatch:
    """Haulers that keep one loader busy, and how a given fleet compares."""

    balanced_haulers: float
    haulers_to_keep_busy: int
    match_factor: float
    steps: Steps = field(repr=False, compare=False)


def match_of_fleet(*, haulers: int, cycle_time_h: float, loading_time_h: float) -> FleetMatch:
    """Haulers for one loader, and the match factor of a given number of them.

    ::

        balanced haulers     = cycle time / loading time
        haulers to keep busy = balanced haulers, rounded up
        match factor         = haulers x loading time / cycle time

    Times in hours; the cycle time contains the loading time. At a match factor below 1 the loader waits, above
    1 haulers queue. Limits: even cycles; in practice bunching loses a tenth and more near a factor of 1.

    Raises `ValueError` for figures that are not above zero, haulers that are not whole, or a cycle shorter
    than its loading.

    Examples
    --------
    A cycle of 18 minutes with 5 minutes of loading:

    >>> match = match_of_fleet(haulers=3, cycle_time_h=0.3, loading_time_h=5 / 60)
    >>> (match.haulers_to_keep_busy, round(match.match_factor, 2))
    (4, 0.83)

    References
    ----------
    Textbooks of construction equipment and methods (cycle time / loading time). C. N. Burt and L. Caccetta,
    Match factor for heterogeneous truck and loader fleets, Int. J. of Mining, Reclamation and Environment,
    21(4), 2007.
    """
    work = Working()
    count = work.counted("haulers", haulers)
    cycle, loading = _cycle(work, cycle_time_h, loading_time_h)
    balanced = work.step(
        "balanced haulers", cycle / loading, "each", "cycle time / loading time", "cycle time", "loading time",
        source=MATCH,
    )  # fmt: skip
    whole = whole_up(balanced)
    work.step(
        "haulers to keep busy", whole, "each", "balanced haulers, rounded up to whole haulers",
        "balanced haulers", source=MATCH,
    )  # fmt: skip
    factor = work.step(
        "match factor", count * loading / cycle, "ratio", "haulers x loading time / cycle time",
        "haulers", "loading time", "cycle time", source=MATCH,
    )  # fmt: skip
    return FleetMatch(balanced, whole, factor, work.steps)


def _cycle(work: Working, cycle_time_h: float, loading_time_h: float) -> tuple[float, float]:
    cycle = work.given("cycle time", cycle_time_h, "hour")
    loading = work.given("loading time", loading_time_h, "hour")
    if not fits(loading, cycle):
        raise ValueError(f"cycle time: expected at least the loading time, {loading!r} hour; got {cycle!r}")
    return cycle, loading


@dataclass(frozen=True, slots=True)
class FleetTime:
    """How long a fleet takes, and the hours of the haulers it uses."""

    haulers_used: int
    rounds: int
    round_time_h: float
    haul_duration_h: float
    fleet_time_h: float
    steps: Steps = field(repr=False, compare=False)


def time_of_fleet(*, trips: int, haulers: int, cycle_time_h: float, loading_time_h: float) -> FleetTime:
    """Hours that a given fleet at one loader takes for a number of trips, with its queue at the loader.

    ::

        haulers used        = the smaller of haulers and trips
        rounds              = trips / haulers used, rounded up
        trips in last round = trips - (rounds - 1) x haulers used
        round time          = the larger of cycle time and haulers used x loading time
        haul duration       = (rounds - 1) x round time + (trips in last round - 1) x loading time + cycle time
        fleet time          = haulers used x haul duration

    Times in hours. All haulers stand at the loader at the start and are loaded one after another, so the third
    begins its trip after two loadings; every round follows in that order. The duration runs from the first
    loading to the last hauler's return. The fleet time counts waiting and is what hired haulers are paid for;
    those beyond the trips are not in it. Limits: even cycles; no bunching, breaks and repairs.

    Raises `ValueError` for figures that are not above zero, counts that are not whole, or a cycle shorter than
    its loading.

    Examples
    --------
    Three trips of 18 minutes with 5 minutes of loading; two of five haulers are not needed:

    >>> fleet = time_of_fleet(trips=3, haulers=5, cycle_time_h=0.3, loading_time_h=5 / 60)
    >>> (fleet.haulers_used, round(60 * fleet.haul_duration_h))
    (3, 28)

    References
    ----------
    Textbooks of construction equipment and methods (loader-bound and hauler-bound production). The formula is
    the solution of start(i) = max(start(i - 1) + loading time, start(i - haulers used) + cycle time).
    """
    work = Working()
    count = work.counted("trips", trips)
    fleet = work.counted("haulers", haulers)
    cycle, loading = _cycle(work, cycle_time_h, loading_time_h)
    used, round_time = _round(work, count, fleet, cycle, loading)
    rounds = _enough(count, used)
    work.step(
        "rounds", rounds, "each", "trips / haulers used, rounded up to whole rounds", "trips", "haulers used",
        source=SHIFT,
    )  # fmt: skip
    last = count - (rounds - 1) * used
    work.step(
        "trips in last round", last, "trip", "trips - (rounds - 1) x haulers used", "trips", "rounds", "haulers used"
    )  # fmt: skip
    duration = work.step(
        "haul duration", (rounds - 1) * round_time + (last - 1) * loading + cycle, "hour",
        "(rounds - 1) x round time + (trips in last round - 1) x loading time + cycle time",
        "rounds", "round time", "trips in last round", "loading time", "cycle time", source=QUEUE,
    )  # fmt: skip
    paid = work.step(
        "fleet time", used * duration, "hour", "haulers used x haul duration", "haulers used", "haul duration",
        source="common practice: haulers are paid while they wait",
    )  # fmt: skip
    return FleetTime(used, rounds, round_time, duration, paid, work.steps)


def _round(work: Working, trips: int, haulers: int, cycle: float, loading: float) -> tuple[int, float]:
    """Haulers that have a trip to make, and the time after which each is loaded again."""
    used = min(haulers, trips)
    work.step("haulers used", used, "each", "min(haulers, trips)", "haulers", "trips", source=IDLE)
    round_time = work.step(
        "round time", max(cycle, used * loading), "hour", "max(cycle time, haulers used x loading time)",
        "cycle time", "haulers used", "loading time", source=BOUND,
    )  # fmt: skip
    return used, round_time


@dataclass(frozen=True, slots=True)
class Shifts:
    """Whole trips in a shift, and whole shifts for all of them."""

    trips_per_shift: int
    shifts: int
    steps: Steps = field(repr=False, compare=False)


def shifts_of_fleet(
    *, trips: int, haulers: int, cycle_time_h: float, loading_time_h: float, shift_time_h: float
) -> Shifts:
    """Shifts that a fleet at one loader takes, with whole trips in each.

    ::

        rounds per shift = (shift time - cycle time) / round time, rounded down
        time left        = shift time - cycle time - rounds per shift x round time
        late trips       = time left / loading time + 1, rounded down
        trips per shift  = rounds per shift x haulers used + the smaller of haulers used and late trips
        shifts           = trips / trips per shift, rounded up

    Haulers used and round time as for `time_of_fleet`, whose queue forms anew in every shift; late trips are
    those that can begin in the time left after the whole rounds and still end in the shift. Times in hours; the
    shift is the time that is worked, without breaks. Limits: as for `time_of_fleet`.

    Raises `ValueError` as `time_of_fleet` does, and for a shift too short for one cycle.

    Examples
    --------
    500 trips of 18 minutes by three trailers, 8 hours a day:

    >>> shifts_of_fleet(trips=500, haulers=3, cycle_time_h=0.3, loading_time_h=5 / 60, shift_time_h=8).shifts
    7

    References
    ----------
    Common practice.
    """
    work = Working()
    count = work.counted("trips", trips)
    fleet = work.counted("haulers", haulers)
    cycle, loading = _cycle(work, cycle_time_h, loading_time_h)
    used, round_time = _round(work, count, fleet, cycle, loading)
    shift = work.given("shift time", shift_time_h, "hour")
    if not fits(cycle, shift):
        raise ValueError(f"shift time: expected at least one cycle, {cycle!r} hour; got {shift!r}")
    rounds = _whole_down(max(0.0, shift - cycle) / round_time)
    work.step(
        "rounds per shift", rounds, "each",
        "max(0, shift time - cycle time) / round time, rounded down to whole rounds",
        "shift time", "cycle time", "round time", source=SHIFT,
    )  # fmt: skip
    left = work.step(
        "time left", max(0.0, shift - cycle - rounds * round_time), "hour",
        "max(0, shift time - cycle time - rounds per shift x round time)",
        "shift time", "cycle time", "rounds per shift", "round time", source=SHIFT,
    )  # fmt: skip
    late = _whole_down(left / loading + 1)
    work.step(
        "late trips", late, "trip", "time left / loading time + 1, rounded down to whole trips",
        "time left", "loading time", source=SHIFT,
    )  # fmt: skip
    a_shift = rounds * used + min(used, late)
    work.step(
        "trips per shift", a_shift, "trip", "rounds per shift x haulers used + min(haulers used, late trips)",
        "rounds per shift", "haulers used", "late trips", source=QUEUE,
    )  # fmt: skip
    shifts = _enough(count, a_shift)
    work.step(
        "shifts", shifts, "work_day", "trips / trips per shift, rounded up to whole shifts",
        "trips", "trips per shift", source=SHIFT,
    )  # fmt: skip
    return Shifts(a_shift, shifts, work.steps)


def _enough(trips: int, a_time: int) -> int:
    """How often that many trips at a time are made until all are made."""
    return -(-trips // a_time)


def _whole_down(figure: float) -> int:
    """The most whole trips that fit; 26.999999999999 is 27."""
    nearest = round(figure)
    return nearest if fits(nearest, figure) else math.floor(figure)
