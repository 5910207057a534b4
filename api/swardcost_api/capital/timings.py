"""The best timing of a plan: its projects and limits put to the optimiser, and the answer in the plan's own words."""

import threading
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.plan_timing import BestTiming, TimedProject, TimedYear, TimingQuestion
from swardcost_model.problems import ProblemError

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.plan_steps import score_of
from swardcost_api.capital.plan_years import counted_years, flows_by_year, interest_terms
from swardcost_api.capital.timing_steps import placed_so, timed_year_steps, timing_steps, worth_steps
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.candidates import (
    After,
    Candidate,
    Limits,
    Question,
    ReserveLimit,
    in_points,
    worth_from,
)
from swardcost_api.engine.capital.kept_limits import Family
from swardcost_api.engine.capital.timing import GAP, NODES, NoTiming, Timing, best_timing
from swardcost_api.engine.capital.timing_model import Effort
from swardcost_api.engine.capital.why_moved import why_moved
from swardcost_api.storage.work import UnitOfWork

SECONDS = 20.0
"""For the best timing, and as long again for why each project moved."""
WAIT_SECONDS = 1.0
_SOLVERS = threading.BoundedSemaphore(2)
_LEAST_SCORE = Decimal("0.01")
"""What a project counts that scores nothing, so that it is done where there is room."""
_METHOD = (
    "An integer programme places the projects so that the sum of their scores, each less by {percent} percent for "
    "every year, is the greatest; costs grow as in the plan, and spending limits, closure days, the floor of the "
    "reserve, prerequisites and partners are kept to the minor unit. Where a proof would take long it ends within "
    "{gap} percent of what is possible."
)


@dataclass(frozen=True, slots=True)
class TimingAsked:
    """A plan, read at one moment, and how its projects are to be placed."""

    counted: CountedPlan
    late_percent: Decimal


def read_timing_question(work: UnitOfWork, plan_id: UUID, data: TimingQuestion) -> TimingAsked:
    """What a timing rests on. Raises `not-found`."""
    return TimingAsked(read_counted_plan(work, plan_id), data.late_percent)


def best_of(asked: TimingAsked) -> BestTiming:
    """The best timing; it may take long and reads nothing. Raises `unavailable` while others are solved."""
    counted = asked.counted
    placed, not_considered = _considered(counted)
    left_out = [not_considered[key] for key in sorted(not_considered)]
    question = _question(counted, placed, asked.late_percent)
    with _one_of_few_solvers():
        found = best_timing(question, Effort(NODES, SECONDS, GAP))
        reasons = (
            {} if isinstance(found, NoTiming)
            else {one.key: one.words for one in why_moved(question, found, SECONDS)}
        )  # fmt: skip
    done = found if isinstance(found, Timing) else None
    ids = {_key(one.stated.number): one.stated.id for one in counted.projects}
    so = placed_so(counted, {} if done is None else _calendar_years(counted, done, ids))
    again = {one.stated.id: one for one in so.projects}
    timed = [_project(asked, one, again[one.stated.id], reasons.get(key, "")) for key, one in placed.items()]
    worths = [(again[one.project_id], one.worth) for one in timed if one.worth is not None]
    return BestTiming(
        plan_id=counted.plan.id, late_percent=asked.late_percent, possible=done is not None,
        conflict="" if done else _conflict(found), worth=done.worth if done else None,
        most_worth=done.bound if done else None, gap_percent=done.gap_percent if done else None,
        projects=timed, years=list(_years(so, done)) if done else [], not_placed=left_out,
        cautions=list(_cautions(counted)),
        method=_METHOD.format(percent=f"{asked.late_percent.normalize():f}", gap=f"{GAP * 100:g}"),
        derivation=steps_for(timing_steps(done, worths), counted.club) if done else [],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class LimitNotKept:
    """One of the limits that no timing keeps together: of a year, or of a project that is required or is `after` one.

    Projects are named by their numbers.
    """

    family: Family
    year: int | None
    project: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class BestYears:
    """The year in which each project begins by the best timing, none where it is not done.

    `why_not` has the projects that could not be considered, `conflict` says why no timing keeps every limit, and is
    empty where one does; `not_kept` are the limits in it, none where the search ended without finding out.
    """

    years: Mapping[UUID, int | None]
    why_not: Mapping[UUID, str]
    conflict: str
    not_kept: Sequence[LimitNotKept]
    worth: Decimal | None
    gap_percent: Decimal | None


def best_years(counted: CountedPlan, late_percent: Decimal, without: Collection[UUID] = ()) -> BestYears:
    """The years of the best timing without the reasons; projects in `without` are not to be done.

    It may take long and reads nothing. Raises `unavailable` while others are solved.
    """
    placed, not_considered = _considered(counted, without)
    ids = {_key(one.stated.number): one.stated.id for one in counted.projects}
    why_not = {ids[key]: words for key, words in not_considered.items()}
    with _one_of_few_solvers():
        found = best_timing(_question(counted, placed, late_percent), Effort(NODES, SECONDS, GAP))
    if not isinstance(found, Timing):
        return BestYears({}, why_not, _conflict(found), list(_not_kept(counted, found)), None, None)
    return BestYears(_calendar_years(counted, found, ids), why_not, "", (), found.worth, found.gap_percent)


def _calendar_years(counted: CountedPlan, found: Timing, ids: Mapping[str, UUID]) -> dict[UUID, int | None]:
    """The year in which each placed project begins, none where it is not done."""
    return {ids[key]: None if start is None else counted.years[start] for key, start in found.starts.items()}


def worth_begun_in(
    counted: CountedPlan, one: CountedProject, late_percent: Decimal, year: int
) -> Decimal | None:
    """What a project is worth that begins in a year, in points; none where a criterion is not scored."""
    value = _score(counted, one)
    return None if value is None else in_points(worth_from(value, late_percent, year - counted.years[0]))


def _question(counted: CountedPlan, placed: Mapping[str, CountedProject], late_percent: Decimal) -> Question:
    candidates = [_candidate(counted, one, placed) for one in placed.values()]
    return Question(counted.years[0], counted.plan.years, candidates, _limits(counted), late_percent)


def _conflict(found: Timing | NoTiming) -> str:
    if isinstance(found, NoTiming) and found.conflict is not None:
        return found.conflict.words
    return "No timing that keeps every limit was found in the effort allowed."


def _not_kept(counted: CountedPlan, found: NoTiming) -> Iterator[LimitNotKept]:
    for part in () if found.conflict is None else found.conflict.parts:
        yield LimitNotKept(
            part.family, None if part.year is None else counted.years[part.year],
            int(part.key) if part.key else None, int(part.other) if part.other else None,
        )  # fmt: skip


@contextmanager
def _one_of_few_solvers() -> Iterator[None]:
    """Timings take seconds: few are solved at a time in a process, so that other requests find threads."""
    if not _SOLVERS.acquire(timeout=WAIT_SECONDS):
        raise ProblemError(problems.UNAVAILABLE, "Other plans are being solved just now.")
    try:
        yield
    finally:
        _SOLVERS.release()


def _considered(
    counted: CountedPlan, without: Collection[UUID] = ()
) -> tuple[dict[str, CountedProject], dict[str, str]]:
    """The projects that can be placed, and why others cannot, by key; whoever needs one of those cannot either."""
    first = counted.years[0]
    placed: dict[str, CountedProject] = {}
    why: dict[str, str] = {}
    for one in counted.projects:
        key, stated = _key(one.stated.number), one.stated
        if stated.id in without:
            why[key] = f"Project {one.label} is left out."
        elif one.cost_minor is None:
            why[key] = f"Project {one.label} has no cost."
        elif _score(counted, one) is None:
            why[key] = f"Project {one.label} is not scored by every criterion."
        elif first + counted.plan.years - len(stated.phases) < (stated.earliest or first):
            why[key] = f"The phases of project {one.label} do not fit into the plan."
        else:
            placed[key] = one
    keys = {one.stated.id: _key(one.stated.number) for one in counted.projects}
    while stuck := [
        key
        for key, one in placed.items()
        if any(keys[need.project_id] not in placed for need in one.stated.prerequisites)
    ]:  # fmt: skip
        for key in stuck:
            why[key] = f"Project {placed.pop(key).label} needs one before it that could not be considered."
    return placed, why


def _key(number: int) -> str:
    """A key whose order is that of the numbers."""
    return f"{number:05d}"


def _score(counted: CountedPlan, one: CountedProject) -> Decimal | None:
    if not counted.plan.criteria:
        return Decimal(1)
    found = score_of(counted.plan.criteria, one.stated.scores)
    return None if found is None else max(found, _LEAST_SCORE)


def _candidate(counted: CountedPlan, one: CountedProject, placed: Mapping[str, CountedProject]) -> Candidate:
    stated, first, years = one.stated, counted.years[0], counted.plan.years
    keys = {other.stated.id: key for key, other in placed.items()}
    last = years - len(stated.phases)
    earliest = min((stated.earliest or first) - first, last)
    wanted = None if stated.year is None else stated.year - first
    value = _score(counted, one)
    assert value is not None
    return Candidate(
        key=_key(stated.number), name=stated.name,
        costs_minor=[one.costs_from(first + start) for start in range(last + 1)],
        closure_days=tuple(phase.closure_days for phase in stated.phases), value=value, earliest=earliest,
        latest=max(min((stated.latest or counted.years[-1]) - first, last), earliest), wanted=wanted,
        required=stated.required,
        after=tuple(After(keys[need.project_id], need.years_before) for need in stated.prerequisites),
        together=stated.together_with,
    )  # fmt: skip


def _limits(counted: CountedPlan) -> Limits:
    years = counted_years(counted)
    flows = tuple(replace(one, spending_minor=0) for one in flows_by_year(counted))
    return Limits(
        tuple(one.spending_limit_minor for one in years),
        (counted.plan.closure_days_a_year,) * len(years),
        ReserveLimit(
            counted.minor(counted.plan.money.opening_reserve), flows, interest_terms(counted),
            (counted.floor_minor,) * len(years),
        ),
    )  # fmt: skip


def _project(asked: TimingAsked, one: CountedProject, again: CountedProject, why: str) -> TimedProject:
    """A project as it is stated, where it is placed; `again` is the same in the year of its placement."""
    counted, late, year = asked.counted, asked.late_percent, again.stated.year
    score = _score(counted, one)
    assert score is not None
    worth = None if year is None else worth_begun_in(counted, one, late, year)
    steps = () if worth is None else worth_steps(counted, again, score, late, worth)
    return TimedProject(
        project_id=one.stated.id, number=one.stated.number, name=one.stated.name, score=score,
        wanted=one.stated.year, year=year, why=why, worth=worth, derivation=steps_for(steps, counted.club),
    )  # fmt: skip


def _years(so: CountedPlan, found: Timing) -> Iterator[TimedYear]:
    for place, (one, reserve) in enumerate(zip(counted_years(so), found.reserve, strict=True)):
        limit = one.spending_limit_minor
        yield TimedYear(
            year=one.year, spending=so.money(found.spending_minor[place]),
            spending_limit=None if limit is None else so.money(limit), closure_days=found.closure_days[place],
            closing=so.money(reserve.closing_minor), floor=so.money(so.floor_minor),
            derivation=steps_for(timed_year_steps(so, one), so.club),
        )  # fmt: skip


def _cautions(counted: CountedPlan) -> Iterator[str]:
    if not counted.plan.criteria:
        yield "The plan has no criteria, so that every project counts the same."
    if counted.plan.money.interest_on == "average_balance":
        yield "Interest is earned on the average balance, as in the plan."
    yield "Nothing of the plan is changed; take the years where this convinces."
