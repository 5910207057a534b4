"""What of a plan is not done as dated, project by project, and what that costs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from swardcost_model.capital_plans import Decided
from swardcost_model.plan_deferred import PlanDeferred, ProjectNotDone, PutOff, WhyNotDone
from swardcost_model.plan_figures import ProjectDeferral
from swardcost_model.values import Money

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.deferrals import ONE_AT_A_TIME, begun_in, deferral_of, upkeep_step
from swardcost_api.capital.plan_years import flows_by_year
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.deferral import upkeep_by_year
from swardcost_api.engine.capital.reserve import Flows
from swardcost_api.engine.derivation import Step
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class _NotDone:
    """A project that is not done as dated, why, and the year from which it is put off, so far as one is known."""

    project: CountedProject
    why: WhyNotDone
    put_off: PutOff

    @property
    def deferred_to(self) -> int | None:
        decision = self.project.stated.decision
        return None if decision is None else decision.deferred_to


def read_plan_to_defer(work: UnitOfWork, plan_id: UUID) -> CountedPlan:
    """A plan with all that its figures rest on. Raises `not-found`."""
    return read_counted_plan(work, plan_id)


def not_done_in(counted: CountedPlan) -> PlanDeferred:
    """Every project that is deferred, declined or not dated, with what that costs, one at a time, all else as dated."""
    flows = flows_by_year(counted)
    items = [_item(counted, flows, one) for one in _all(counted)]
    to_their_years, one_year = (
        sum(counted.minor(one.deferral.net) for one in items if one.deferral and one.put_off == put_off)
        for put_off in ("to_its_year", "one_year")
    )
    not_spent = sum(counted.minor(one.not_spent) for one in items if one.not_spent is not None)
    upkeep = sum(counted.minor(one.upkeep) for one in items if one.upkeep is not None)
    found = PlanDeferred(
        plan_id=counted.plan.id, name=counted.plan.name, status=counted.plan.status, items=items,
        cost_to_their_years=counted.money(to_their_years), cost_of_one_year=counted.money(one_year),
        not_spent=counted.money(not_spent), upkeep=counted.money(upkeep), conclusions=[],
        cautions=list(_cautions(items)),
    )  # fmt: skip
    return found.model_copy(update={"conclusions": list(_conclusions(found))})


def _all(counted: CountedPlan) -> Iterator[_NotDone]:
    for project in counted.projects:
        decision = project.stated.decision
        if decision is not None and decision.decided is Decided.DECLINED:
            yield _NotDone(project, "declined", "not_done")
        elif decision is not None and decision.decided is Decided.DEFERRED:
            put_off: PutOff = "one_year" if decision.deferred_to is None else "to_its_year"
            yield _NotDone(project, "deferred", put_off)
        elif project.stated.year is None:
            yield _NotDone(project, "not_dated", "one_year")


def _item(counted: CountedPlan, flows: Sequence[Flows], one: _NotDone) -> ProjectNotDone:
    stated = one.project.stated
    found = _deferral(counted, flows, one)
    upkeep = _upkeep(counted, one)
    not_spent = None if _stays(counted, one) else _cost_as_dated(counted, one.project)
    return ProjectNotDone(
        project_id=stated.id, number=stated.number, name=stated.name, why=one.why,
        conditions="" if stated.decision is None else stated.decision.conditions, year=stated.year,
        deferred_to=one.deferred_to, put_off=one.put_off, deferral=found, not_spent=not_spent,
        upkeep=None if upkeep is None else counted.money(sum(upkeep)),
        words=" ".join(_words(counted, one, found, not_spent, upkeep)),
        derivation=steps_for(_steps(counted, one.project, upkeep), counted.club),
    )  # fmt: skip


def _deferral(counted: CountedPlan, flows: Sequence[Flows], one: _NotDone) -> ProjectDeferral | None:
    project, year = one.project, one.project.stated.year
    if project.cost_minor is None or one.put_off == "not_done":
        return None
    begins = counted.years[0] if year is None else year
    if one.put_off == "one_year":
        with_it = begun_in(counted, flows, project, begins) if year is None else flows
        return deferral_of(counted, with_it, project, begins, 1)
    if year is None or one.deferred_to is None or not project.costs_from(one.deferred_to):
        return None
    return deferral_of(counted, flows, project, year, one.deferred_to - year)


def _stays(counted: CountedPlan, one: _NotDone) -> bool:
    """Whether it is still begun within the plan."""
    return one.put_off == "to_its_year" and one.deferred_to in counted.years


def _cost_as_dated(counted: CountedPlan, project: CountedProject) -> Money | None:
    year = project.stated.year
    return (
        None if year is None or project.cost_minor is None else counted.money(sum(project.costs_from(year)))
    )


def _upkeep(counted: CountedPlan, one: _NotDone) -> list[int] | None:
    """Upkeep of each year from that of a declined project to the last of the plan, in minor units."""
    year, each = one.project.stated.year, one.project.stated.upkeep_a_year
    if one.why != "declined" or year is None or each is None:
        return None
    return upkeep_by_year(
        counted.minor(each), counted.plan.growth_percent, year - counted.price_year, counted.years[-1] + 1 - year
    )  # fmt: skip


def _steps(counted: CountedPlan, project: CountedProject, upkeep: Sequence[int] | None) -> Iterator[Step]:
    stated = project.stated
    if upkeep is not None and stated.year is not None and stated.upkeep_a_year is not None:
        yield upkeep_step(counted, stated.upkeep_a_year, stated.year, counted.years[-1], sum(upkeep))


def _words(
    counted: CountedPlan,
    one: _NotDone,
    found: ProjectDeferral | None,
    not_spent: Money | None,
    upkeep: Sequence[int] | None,
) -> Iterator[str]:
    stated = one.project.stated
    since = "was not dated" if stated.year is None else f"was dated in {stated.year}"
    if one.why == "not_dated":
        yield f"{stated.name} is not dated."
    else:
        year = f" to {one.deferred_to}" if one.deferred_to is not None else ""
        nowhere = ", to no year that is named" if one.why == "deferred" and not year else ""
        yield f"{stated.name} {since} and is {one.why}{year}{nowhere}."
    if one.project.cost_minor is None:
        yield "Nobody knows what it costs."
    elif found is not None:
        yield found.words
    elif one.put_off == "to_its_year":
        yield "There is no year as dated to hold it against, or none so near that its cost can be told."
    if not_spent is not None:
        yield f"{not_spent.amount:,f} {not_spent.currency} as dated is not spent within the plan."
    if upkeep is not None:
        yield f"Until {counted.years[-1]} it costs {counted.words(sum(upkeep))} more in upkeep."
    elif one.why == "declined" and stated.upkeep_a_year is None:
        yield "No upkeep is stated for the years without it, which is not the same as none."


def _conclusions(found: PlanDeferred) -> Iterator[str]:
    if not found.items:
        yield "Every project is dated, and none is deferred or declined."
        return
    for put_off, money, words in (
        ("to_its_year", found.cost_to_their_years, "Deferring projects to their new years"),
        ("one_year", found.cost_of_one_year, "Each year, at first, of putting off what has no new year"),
    ):
        if any(one.deferral is not None and one.put_off == put_off for one in found.items):
            costs = "costs" if money.amount >= 0 else "saves"
            yield f"{words} {costs} {abs(money.amount):,f} {money.currency} in all."
    if found.not_spent.amount:
        yield f"{found.not_spent.amount:,f} {found.not_spent.currency} as dated is not spent within the plan."
    if found.upkeep.amount:
        yield f"What is declined costs {found.upkeep.amount:,f} {found.upkeep.currency} more in upkeep."


def _cautions(items: Sequence[ProjectNotDone]) -> Iterator[str]:
    if any(one.deferral is not None for one in items):
        yield f"{ONE_AT_A_TIME}, and interest is kept for each by itself."
    if any(one.year is None and one.deferral is not None for one in items):
        yield "What is not dated is counted as if it were begun in the first year, and then in the second."
