"""Fleets of haulers at a loader: how many keep it busy, how long a given fleet takes, and how many shifts."""

import math
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

MATCH = "earthmoving texts: match factor of haulers to a loader (Burt and Caccetta, 2007)"
BOUND = "earthmoving texts: the slower of loader and haulers sets the pace"
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
    """How long a fleet takes, and the hours it is there."""

    rounds: int
    hauler_bound_time_h: float
    loader_bound_time_h: float
    haul_duration_h: float
    fleet_time_h: float
    steps: Steps = field(repr=False, compare=False)

    @property
    def bound_by(self) -> str:
        """What sets the pace: ``"loader"`` or ``"haulers"``."""
        return "loader" if self.loader_bound_time_h > self.hauler_bound_time_h else "haulers"


def time_of_fleet(*, trips: int, haulers: int, cycle_time_h: float, loading_time_h: float) -> FleetTime:
    """Hours that a given fleet at one loader takes for a number of trips.

    ::

        rounds            = trips / haulers, rounded up
        hauler bound time = rounds x cycle time
        loader bound time = trips x loading time
        haul duration     = the larger of the two
        fleet time        = haulers x haul duration

    Times in hours. The fleet time counts waiting and is what hired haulers are paid for; trips times cycle time
    counts only driving and loading. Limits: the steady state: the first hauler's way in and the last one's
    way out beside a busy loader are not added, nor bunching, breaks and repairs.

    Raises `ValueError` for figures that are not above zero, counts that are not whole, or a cycle shorter than
    its loading.

    References
    ----------
    Textbooks of construction equipment and methods (loader-bound and hauler-bound production).
    """
    work = Working()
    count = work.counted("trips", trips)
    fleet = work.counted("haulers", haulers)
    cycle, loading = _cycle(work, cycle_time_h, loading_time_h)
    rounds = whole_up(count / fleet)
    work.step(
        "rounds", rounds, "each", "trips / haulers, rounded up to whole rounds", "trips", "haulers",
        source=SHIFT,
    )  # fmt: skip
    by_haulers = work.step(
        "hauler bound time",
        rounds * cycle,
        "hour",
        "rounds x cycle time",
        "rounds",
        "cycle time",
        source=BOUND,
    )
    by_loader = work.step(
        "loader bound time", count * loading, "hour", "trips x loading time", "trips", "loading time",
        source=BOUND,
    )  # fmt: skip
    duration = work.step(
        "haul duration", max(by_haulers, by_loader), "hour", "max(hauler bound time, loader bound time)",
        "hauler bound time", "loader bound time", source=BOUND,
    )  # fmt: skip
    paid = work.step(
        "fleet time", fleet * duration, "hour", "haulers x haul duration", "haulers", "haul duration",
        source="common practice: haulers are paid while they wait",
    )  # fmt: skip
    return FleetTime(rounds, by_haulers, by_loader, duration, paid, work.steps)


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

        trips per hauler = shift time / cycle time, rounded down
        trips per loader = shift time / loading time, rounded down
        trips per shift  = the smaller of haulers x trips per hauler and trips per loader
        shifts           = trips / trips per shift, rounded up

    Times in hours; the shift is the time that is worked, without breaks. Limits: as for `time_of_fleet`.

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
    shift = work.given("shift time", shift_time_h, "hour")
    if not fits(cycle, shift):
        raise ValueError(f"shift time: expected at least one cycle, {cycle!r} hour; got {shift!r}")
    by_hauler, by_loader = _whole_down(shift / cycle), _whole_down(shift / loading)
    work.step(
        "trips per hauler", by_hauler, "trip", "shift time / cycle time, rounded down to whole trips",
        "shift time", "cycle time", source=SHIFT,
    )  # fmt: skip
    work.step(
        "trips per loader", by_loader, "trip", "shift time / loading time, rounded down to whole trips",
        "shift time", "loading time", source=SHIFT,
    )  # fmt: skip
    a_shift = min(fleet * by_hauler, by_loader)
    work.step(
        "trips per shift", a_shift, "trip", "min(haulers x trips per hauler, trips per loader)",
        "haulers", "trips per hauler", "trips per loader", source=BOUND,
    )  # fmt: skip
    shifts = whole_up(count / a_shift)
    work.step(
        "shifts", shifts, "work_day", "trips / trips per shift, rounded up to whole shifts",
        "trips", "trips per shift", source=SHIFT,
    )  # fmt: skip
    return Shifts(a_shift, shifts, work.steps)


def _whole_down(figure: float) -> int:
    """The most whole trips that fit; 26.999999999999 is 27."""
    nearest = round(figure)
    return nearest if fits(nearest, figure) else math.floor(figure)
