"""A plan beside the one that it goes on from: what moved, what that changes year by year, and why."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from swardcost_model import problems
from swardcost_model.capital_plans import Decided
from swardcost_model.plan_succession import MoveKind, PlanMoves, ProjectMove, YearBeside
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.move_causes import BothPlans, causes_of, left_cause
from swardcost_api.capital.plan_years import CountedYear, counted_years
from swardcost_api.derivations import steps_for
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.storage.work import UnitOfWork

_NAMED = 10


@dataclass(frozen=True)
class _Moved:
    """A project with what it costs in the years of both plans, in minor units; one of the two may be none."""

    before: CountedProject | None
    now: CountedProject | None
    kind: MoveKind
    spent_before: int
    spent: int
    by_timing: int

    @property
    def by_cost(self) -> int:
        return self.spent - self.spent_before - self.by_timing


def read_both(work: UnitOfWork, plan_id: UUID) -> BothPlans:
    """A plan and the one that it goes on from.

    Raises `not-found`, and `wrong-state` for a plan that goes on from none, or has no year in common with it.
    """
    now = read_counted_plan(work, plan_id)
    if now.plan.follows is None:
        raise ProblemError(
            problems.WRONG_STATE, f"The capital plan {now.plan.name!r} does not go on from another."
        )
    before = read_counted_plan(work, now.plan.follows)
    if not _common(before, now):
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plans {before.plan.name!r} and {now.plan.name!r} have no year in common.",
        )
    return BothPlans.of(before, now)


def moves_of(plans: BothPlans) -> PlanMoves:
    """Every project and every year of both plans, with what makes the differences."""
    before, now = plans.before, plans.now
    common = _common(before, now)
    moved = list(_moved(plans, common))
    sums = {kinds: _difference(moved, kinds) for kinds in (_NEW, _FINISHED, _LEFT_OUT)}
    both = [one for one in moved if one.before is not None and one.now is not None]
    spent_before, spent = sum(one.spent_before for one in moved), sum(one.spent for one in moved)
    by_timing, by_cost = sum(one.by_timing for one in both), sum(one.by_cost for one in both)
    money = now.money
    assert now.plan.follows is not None
    steps = [
        Step(
            "change of spending", now.figure(spent - spent_before), now.currency,
            "by timing + by cost + new + finished + left out: each project's spending in the years of both plans, less "
            "that in the plan before; by timing is its cost before in its new years less that in its years before",
            tuple(
                Input(name, now.figure(minor), now.currency)
                for name, minor in (
                    ("by timing", by_timing), ("by cost", by_cost), ("new", sums[_NEW]),
                    ("finished", sums[_FINISHED]), ("left out", sums[_LEFT_OUT]),
                )
            ),
            "both plans",
        )
    ]  # fmt: skip
    years = list(_years(plans, common))
    return PlanMoves(
        plan_id=now.plan.id, name=now.plan.name, status=now.plan.status, follows=now.plan.follows,
        name_before=before.plan.name, first_year=common[0], last_year=common[-1],
        projects=[_project(plans, one) for one in moved], years=years,
        spent_before=money(spent_before), spent=money(spent), by_timing=money(by_timing), by_cost=money(by_cost),
        by_new=money(sums[_NEW]), by_finished=money(sums[_FINISHED]), by_left_out=money(sums[_LEFT_OUT]),
        conclusions=list(_conclusions(plans, moved, years)), derivation=steps_for(steps, now.club),
    )  # fmt: skip


_NEW: tuple[MoveKind, ...] = ("new",)
_FINISHED: tuple[MoveKind, ...] = ("finished",)
_LEFT_OUT: tuple[MoveKind, ...] = ("declined", "taken_out")


def _difference(moved: Sequence[_Moved], kinds: tuple[MoveKind, ...]) -> int:
    return sum(one.spent - one.spent_before for one in moved if one.kind in kinds)


def _common(before: CountedPlan, now: CountedPlan) -> range:
    """The years of both plans."""
    return range(max(before.years.start, now.years.start), min(before.years.stop, now.years.stop))


def _moved(plans: BothPlans, common: range) -> Iterator[_Moved]:
    """The projects of this plan by number, then those of the plan before that are not in it."""
    before_by_id = {one.stated.id: one for one in plans.before.projects}
    carried = set()
    for now in plans.now.projects:
        came_from = now.stated.carried_from
        before = None if came_from is None else before_by_id.get(came_from)
        spent = _spent(now, now.stated.year, common)
        if before is None:
            yield _Moved(None, now, "new", 0, spent, 0)
            continue
        carried.add(before.stated.id)
        spent_before = _spent(before, before.stated.year, common)
        by_timing = _spent(before, now.stated.year, common) - spent_before
        yield _Moved(before, now, _kind(plans, before, now), spent_before, spent, by_timing)
    for before in plans.before.projects:
        if before.stated.id not in carried:
            yield _Moved(
                before, None, _kind_of_left(before), _spent(before, before.stated.year, common), 0, 0
            )


def _spent(project: CountedProject, year: int | None, common: range) -> int:
    """What a project that begins in a year costs in the years of both plans, in the money of the years."""
    if year is None:
        return 0
    return sum(minor for one, minor in enumerate(project.costs_from(year), start=year) if one in common)


def _kind(plans: BothPlans, before: CountedProject, now: CountedProject) -> MoveKind:
    moved = before.stated.year != now.stated.year
    if plans.cost_alike(before, now):
        return "moved" if moved else "kept"
    return "moved_and_repriced" if moved else "repriced"


def _kind_of_left(before: CountedProject) -> MoveKind:
    if before.stated.completion is not None:
        return "finished"
    decision = before.stated.decision
    declined = decision is not None and decision.decided is Decided.DECLINED
    return "declined" if declined else "taken_out"


def _project(plans: BothPlans, one: _Moved) -> ProjectMove:
    before, now, money = one.before, one.now, plans.now.money
    shown = now or before
    assert shown is not None
    decision = None if before is None else before.stated.decision
    if before is None:
        causes = []
    elif now is None:
        causes = [left_cause(before)]
    else:
        causes = causes_of(plans, before, now)

    def cost(project: CountedProject | None) -> Money | None:
        return None if project is None or project.cost_minor is None else money(project.cost_minor)

    return ProjectMove(
        number=None if now is None else now.stated.number,
        number_before=None if before is None else before.stated.number, name=shown.stated.name,
        project_id=None if now is None else now.stated.id,
        carried_from=None if before is None else before.stated.id, kind=one.kind,
        year_before=None if before is None else before.stated.year, year=None if now is None else now.stated.year,
        cost_before=cost(before), cost=cost(now), spent_before=money(one.spent_before), spent=money(one.spent),
        by_timing=money(one.by_timing), by_cost=money(one.by_cost if before and now else 0),
        decided=None if decision is None else decision.decided, causes=causes,
    )  # fmt: skip


def _years(plans: BothPlans, common: range) -> Iterator[YearBeside]:
    """Each common year; differences of income, interest and spending are added up from the first of them."""
    then = {one.year: one for one in counted_years(plans.before)}
    now = {one.year: one for one in counted_years(plans.now)}
    money = plans.now.money
    opening = now[common[0]].reserve.opening_minor - then[common[0]].reserve.opening_minor
    incomes = interest = spending = 0
    for year in common:
        one, other = now[year], then[year]
        incomes += _income(one) - _income(other)
        interest += one.reserve.interest_minor - other.reserve.interest_minor
        spending += one.spending.all_minor - other.spending.all_minor
        closing, closing_before = one.reserve.closing_minor, other.reserve.closing_minor
        yield YearBeside(
            year=year, closing_before=money(closing_before), closing=money(closing),
            difference=money(closing - closing_before), by_opening=money(opening), by_incomes=money(incomes),
            by_interest=money(interest), by_spending=money(-spending), percent_funded_before=other.percent_funded,
            percent_funded=one.percent_funded,
        )  # fmt: skip


def _income(year: CountedYear) -> int:
    flows = year.reserve.flows
    return flows.income_minor + flows.drawn_minor - flows.payments_minor


def _conclusions(plans: BothPlans, moved: Sequence[_Moved], years: Sequence[YearBeside]) -> Iterator[str]:
    before, now = plans.before, plans.now
    words = {
        "moved": "moved", "repriced": "cost otherwise", "moved_and_repriced": "moved and cost otherwise",
        "new": "new", "finished": "finished", "declined": "declined", "taken_out": "taken out", "kept": "as before",
    }  # fmt: skip
    counts = [
        f"{count} {word}" for kind, word in words.items() if (count := sum(one.kind == kind for one in moved))
    ]
    yield f"Of the projects of both plans {', '.join(counts)}." if counts else "Neither plan has projects."
    spent, spent_before = sum(one.spent for one in moved), sum(one.spent_before for one in moved)
    first, last = years[0].year, years[-1].year
    change = spent - spent_before
    than = "as much as" if not change else f"{now.words(abs(change))} {'more' if change > 0 else 'less'} than"
    yield f"From {first} to {last} projects cost {than} in {before.plan.name!r}."
    ends = years[-1].difference.amount
    less = (
        "as much as" if not ends else f"{abs(ends):,f} {now.currency} {'more' if ends > 0 else 'less'} than"
    )
    yield f"At the end of {last} the reserve holds {less} it was to hold."
    unsaid = [
        f"{one.now.stated.number} ({one.now.stated.name})"
        for one in moved
        if one.before and one.now and any(c.kind == "not_said" for c in causes_of(plans, one.before, one.now))
    ]
    if unsaid:
        more = f" and {len(unsaid) - _NAMED} more" if len(unsaid) > _NAMED else ""
        yield f"Nobody has said why these moved: {', '.join(unsaid[:_NAMED])}{more}."
