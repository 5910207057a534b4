"""Projects that may be placed in the years of a plan, the limits they share, and what a start is worth.

Years are places: 0 is the first year of the plan. Money is in minor units, at the prices of the year it is spent in.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from swardcost_api.engine.capital.growth import half_up
from swardcost_api.engine.capital.reserve import Flows, InterestTerms

WORTH_PARTS = 10_000
"""A start's worth is rounded half up to this part of a point, so that sums of worth are exact."""
MOST_YEARS = 40

Starts = Mapping[str, int]
"""The year in which each project that is done starts; what is left out is not in it."""


@dataclass(frozen=True, slots=True)
class After:
    """A project that must be done too, and start at least so many years before."""

    key: str
    years: int = 0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A project whose phases follow each other year by year, all of them within the plan.

    `costs_minor[start][phase]` is what a phase costs, zero or more, if the project starts in that year; only years in
    which it can start are looked at. `closure_days` has a figure for each phase. `value` is its score, above zero.
    Projects with the same `together` start in the same year, or none of them is done.
    """

    key: str
    name: str
    costs_minor: Sequence[Sequence[int]]
    closure_days: tuple[int, ...]
    value: Decimal
    earliest: int
    latest: int
    wanted: int | None = None
    required: bool = False
    after: tuple[After, ...] = ()
    together: str | None = None

    @property
    def target(self) -> int:
        """The year in which it would start if nothing stood in the way."""
        return self.earliest if self.wanted is None else self.wanted


@dataclass(frozen=True, slots=True)
class ReserveLimit:
    """The reserve at the start, its flows without the projects, its interest and the least balance of each year.

    A floor of `None` leaves that year's closing balance free.
    """

    opening_minor: int
    flows: tuple[Flows, ...]
    interest: InterestTerms
    floors_minor: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Limits:
    """The most spending and closure days of each year, `None` where there is no limit, and the reserve if it counts."""

    spending_minor: tuple[int | None, ...]
    closure_days: tuple[int | None, ...]
    reserve: ReserveLimit | None = None


@dataclass(frozen=True, slots=True)
class Bundle:
    """Projects that start together; most have one. `starts` are the years in which all of them can."""

    members: tuple[Candidate, ...]
    starts: tuple[int, ...]

    @property
    def key(self) -> str:
        """The first of its members' keys."""
        return self.members[0].key

    @property
    def required(self) -> bool:
        """Whether one of its members has to be done."""
        return any(one.required for one in self.members)

    def costs_from(self, start: int) -> dict[int, int]:
        """What its members cost by year, in minor units, if they start in one."""
        return _by_year(start, [one.costs_minor[start] for one in self.members])

    def closure_days_from(self, start: int) -> dict[int, int]:
        """On how many days its members close the course, by year, if they start in one."""
        return _by_year(start, [one.closure_days for one in self.members])


def _by_year(start: int, phases: Sequence[Sequence[int]]) -> dict[int, int]:
    found: dict[int, int] = {}
    for one in phases:
        for year, figure in enumerate(one, start=start):
            found[year] = found.get(year, 0) + figure
    return found


@dataclass(frozen=True)
class Question:
    """What may be done in a plan, and within which limits.

    `late_percent` is what a year's delay takes from a project's worth. Raises `ValueError` for anything that is not a
    plan: years outside 1 to 40, limits of another length, keys twice or unknown, windows outside the plan, phases
    without a cost, a value of zero or less, a percentage outside 0 to 100.
    """

    first_year: int
    years: int
    projects: Sequence[Candidate]
    limits: Limits
    late_percent: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if len(self.candidates) != len(self.projects):
            raise ValueError("expected each project once; got a key twice")
        _check_plan(self)
        for one in self.candidates.values():
            _check_candidate(one, self)

    @cached_property
    def candidates(self) -> dict[str, Candidate]:
        """The projects by their keys, in the order of these."""
        return {one.key: one for one in sorted(self.projects, key=lambda one: one.key)}

    @cached_property
    def bundles(self) -> tuple[Bundle, ...]:
        """The projects by what starts together, in the order of their keys."""
        members: dict[tuple[str, bool], list[Candidate]] = {}
        for one in self.candidates.values():
            alone = one.together is None
            members.setdefault((one.key if alone else str(one.together), alone), []).append(one)
        return tuple(
            Bundle(tuple(group), tuple(sorted(set.intersection(*(set(self.starts(one)) for one in group)))))
            for group in members.values()
        )

    @cached_property
    def bundle_of(self) -> dict[str, Bundle]:
        """The bundle that each project is in."""
        return {one.key: bundle for bundle in self.bundles for one in bundle.members}

    def starts(self, one: Candidate) -> range:
        """The years in which a project can start by itself: its window, as far as all its phases fit."""
        return range(one.earliest, min(one.latest, self.years - len(one.closure_days)) + 1)

    def worth(self, key: str, start: int) -> int:
        """What a project is worth if it starts in a year, in ten-thousandths of a point."""
        return worth_from(self.candidates[key].value, self.late_percent, start)

    def worth_of_bundle(self, bundle: Bundle, start: int | None) -> int:
        """What starts together is worth if it starts in a year, or is not done; in ten-thousandths of a point."""
        return 0 if start is None else sum(self.worth(one.key, start) for one in bundle.members)

    def worth_of(self, starts: Starts) -> int:
        """What projects that start in these years are worth in all, in ten-thousandths of a point."""
        return sum(self.worth(key, start) for key, start in starts.items())

    def year(self, place: int) -> int:
        """The calendar year of a place."""
        return self.first_year + place


def worth_from(value: Decimal, late_percent: Decimal, start: int) -> int:
    """What a score is worth for a project that starts in a year, in ten-thousandths of a point.

    ::

        value x (1 - late percent / 100) ^ year, rounded half up
    """
    return half_up(Fraction(value) * (1 - Fraction(late_percent) / 100) ** start * WORTH_PARTS)


def in_points(worth: int) -> Decimal:
    """Ten-thousandths of a point as points."""
    return Decimal(worth) / WORTH_PARTS


def _check_plan(question: Question) -> None:
    years, limits = question.years, question.limits
    if not 1 <= years <= MOST_YEARS:
        raise ValueError(f"expected a plan of 1 to {MOST_YEARS} years; got {years}")
    if not (question.late_percent.is_finite() and 0 <= question.late_percent <= 100):
        raise ValueError(f"late percent: expected from 0 to 100; got {question.late_percent}")
    by_year: dict[str, Sequence[object]] = {
        "spending limits": limits.spending_minor,
        "closure day limits": limits.closure_days,
    }
    if limits.reserve is not None:
        by_year |= {"flows": limits.reserve.flows, "floors": limits.reserve.floors_minor}
    for most in (*limits.spending_minor, *limits.closure_days):
        if most is not None and most < 0:
            raise ValueError(f"limits of spending and closure days: expected zero or more; got {most}")
    for what, figures in by_year.items():
        if len(figures) != years:
            raise ValueError(f"{what}: expected one for each of {years} years; got {len(figures)}")


def _check_candidate(one: Candidate, question: Question) -> None:
    wanted = f"project {one.key!r}: expected"
    if not 0 <= one.earliest <= one.latest < question.years:
        raise ValueError(f"{wanted} a window within the plan; got {one.earliest} to {one.latest}")
    if one.wanted is not None and not one.earliest <= one.wanted <= one.latest:
        raise ValueError(f"{wanted} a wanted year within its window; got {one.wanted}")
    if not (one.value.is_finite() and one.value > 0):
        raise ValueError(f"{wanted} a value above zero; got {one.value}")
    if not one.closure_days or min(one.closure_days) < 0:
        raise ValueError(f"{wanted} a phase or more, with zero or more closure days; got {one.closure_days}")
    for start in question.starts(one):
        costs = one.costs_minor[start] if start < len(one.costs_minor) else ()
        if len(costs) != len(one.closure_days) or min(costs) < 0:
            raise ValueError(
                f"{wanted} a cost of zero or more for each phase from year {start}; got {list(costs)}"
            )
    for link in one.after:
        if link.key not in question.candidates or link.key == one.key or link.years < 0:
            raise ValueError(
                f"{wanted} another project and zero or more years as what goes before; got {link}"
            )
