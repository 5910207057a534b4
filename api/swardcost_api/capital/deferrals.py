"""What deferring each project of a plan costs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Annotated
from uuid import UUID

from swardcost_model.plan_figures import PlanDeferrals, ProjectDeferral
from swardcost_model.values import Money

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.plan_steps import TERMS
from swardcost_api.capital.plan_years import flows_by_year, reserve_of
from swardcost_api.derivations import steps_for
from swardcost_api.engine.capital.deferral import Deferral, deferral
from swardcost_api.engine.capital.reserve import Flows
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.operations import Query
from swardcost_api.storage.work import UnitOfWork

ONE_AT_A_TIME = (
    "One project at a time, all else as dated; prerequisites and partners are not moved with it. Amounts are added up "
    "in the money of their years, not discounted"
)
Years = Annotated[int, Query("By how many years each project is put off.", ge=1, le=10)]


@dataclass(frozen=True, slots=True)
class DeferralQuestion:
    """A plan, and by how many years its projects are put off."""

    counted: CountedPlan
    years: int


def read_question(work: UnitOfWork, plan_id: UUID, years: Years = 1) -> DeferralQuestion:
    """The plan that is asked about. Raises `not-found`."""
    return DeferralQuestion(read_counted_plan(work, plan_id), years)


@dataclass(frozen=True, slots=True)
class InterestKept:
    """What the reserve earns to the end of the plan with all as dated, and with projects moved, in minor units."""

    as_dated_minor: int
    moved_minor: int

    @property
    def kept_minor(self) -> int:
        """What it earns more with them moved; below zero where it earns less."""
        return self.moved_minor - self.as_dated_minor


def deferrals_of(asked: DeferralQuestion) -> PlanDeferrals:
    """What it costs to begin each dated project later, one at a time, all else as dated."""
    counted, years = asked.counted, asked.years
    flows = flows_by_year(counted)
    items = [
        deferral_of(counted, flows, project, project.stated.year, years)
        for project in counted.dated
        if project.stated.year is not None
    ]
    return PlanDeferrals(
        plan_id=counted.plan.id, years=years, items=items,
        left_out=[
            one.label for one in counted.projects if one.stated.year is None or one.cost_minor is None
        ],
        cautions=list(_cautions(counted)),
    )  # fmt: skip


def deferral_of(
    counted: CountedPlan, flows: Sequence[Flows], project: CountedProject, begins: int, years: int
) -> ProjectDeferral:
    """What it costs to begin one project `years` later than in `begins`, where it is in these flows of the plan."""
    without = begun_in(counted, flows, project, begins, -1)
    interest = interest_kept(counted, flows, begun_in(counted, without, project, begins + years))
    return _item(
        counted, project, begins, deferral_in(counted, project, begins, years, interest.kept_minor), interest
    )


def interest_kept(counted: CountedPlan, as_dated: Sequence[Flows], moved: Sequence[Flows]) -> InterestKept:
    """What the reserve earns by the flows with all as dated, and by those with projects moved and all else as dated."""
    return InterestKept(_interest(counted, as_dated), _interest(counted, moved))


def begun_in(
    counted: CountedPlan, flows: Sequence[Flows], project: CountedProject, year: int, sign: int = 1
) -> list[Flows]:
    """The flows with a project that begins in a year, or without it where `sign` is -1.

    What of it falls after the plan is not in them.
    """
    spending = [one.spending_minor for one in flows]
    for place, minor in enumerate(project.costs_from(year), start=year - counted.years[0]):
        if place < len(spending):
            spending[place] += sign * minor
    return [replace(one, spending_minor=minor) for one, minor in zip(flows, spending, strict=True)]


def _interest(counted: CountedPlan, flows: Sequence[Flows]) -> int:
    return sum(year.interest_minor for year in reserve_of(counted, flows))


def deferral_in(
    counted: CountedPlan, project: CountedProject, begins: int, years: int, kept_minor: int
) -> Deferral:
    """One project `years` later than in `begins`, where so much more interest is earned."""
    upkeep = project.stated.upkeep_a_year
    return deferral(
        project.phases_minor, project.growth_percent, begins - counted.price_year, years,
        0 if upkeep is None else counted.minor(upkeep), counted.plan.growth_percent, kept_minor,
    )  # fmt: skip


def _item(
    counted: CountedPlan, project: CountedProject, begins: int, found: Deferral, interest: InterestKept
) -> ProjectDeferral:
    stated, later = project.stated, begins + found.years
    ends = later + len(stated.phases) - 1
    return ProjectDeferral(
        project_id=stated.id, number=stated.number, name=stated.name, year=begins, later_year=later,
        cost=counted.money(found.now_minor), later_cost=counted.money(found.later_minor),
        growth=counted.money(found.growth_minor), upkeep=counted.money(found.upkeep_minor),
        upkeep_stated=stated.upkeep_a_year is not None, interest_kept=counted.money(found.interest_minor),
        net=counted.money(found.net_minor), past_latest=stated.latest is not None and later > stated.latest,
        past_plan=ends > counted.years[-1], words=_words(counted, project, begins, found),
        derivation=steps_for(_steps(counted, project, begins, found, interest), counted.club),
    )  # fmt: skip


def _words(counted: CountedPlan, project: CountedProject, begins: int, found: Deferral) -> str:
    named = f"{project.stated.name} in {begins + found.years} instead of {begins}"
    net = found.net_minor
    outcome = (
        f"costs {counted.words(net)} more in all" if net > 0
        else f"saves {counted.words(-net)} in all" if net < 0 else "costs the same in all"
    )  # fmt: skip
    dearer = f"{counted.words(abs(found.growth_minor))} {'less' if found.growth_minor < 0 else 'more'} for the work"
    upkeep = f"{counted.words(found.upkeep_minor)} of upkeep"
    if project.stated.upkeep_a_year is None:
        upkeep = "no upkeep, since none is stated"
    kept = f"{counted.words(abs(found.interest_minor))} of interest {'lost' if found.interest_minor < 0 else 'kept'}"
    return f"{named} {outcome}: {dearer}, {upkeep}, {kept}."


def _steps(
    counted: CountedPlan, project: CountedProject, begins: int, found: Deferral, interest: InterestKept
) -> Iterator[Step]:
    def money(name: str, minor: int) -> Input:
        return Input(name, counted.figure(minor), counted.currency)

    now, later = (
        money(f"cost from {year}", minor)
        for year, minor in ((begins, found.now_minor), (begins + found.years, found.later_minor))
    )
    growth, upkeep = money("growth", found.growth_minor), money("upkeep", found.upkeep_minor)
    kept = money("interest kept", found.interest_minor)
    yield Step(
        growth.name, growth.value, counted.currency, f"{later.name} - {now.name}", (later, now), "arithmetic"
    )
    if project.stated.upkeep_a_year is not None:
        last = begins + found.years - 1
        yield upkeep_step(counted, project.stated.upkeep_a_year, begins, last, found.upkeep_minor)
    with_later = money("interest with the project later", interest.moved_minor)
    as_dated = money("interest as dated", interest.as_dated_minor)
    yield Step(
        kept.name, kept.value, counted.currency,
        f"{with_later.name} - {as_dated.name}, each of all years of the plan", (with_later, as_dated),
        "the projection of the reserve",
    )  # fmt: skip
    yield Step(
        "net cost of deferring", counted.figure(found.net_minor), counted.currency, "growth + upkeep - interest kept",
        (growth, upkeep, kept), "arithmetic",
    )  # fmt: skip


def upkeep_step(counted: CountedPlan, yearly: Money, first: int, last: int, upkeep_minor: int) -> Step:
    """How the upkeep of the years without a project came about."""
    each = Input(
        f"yearly upkeep at the prices of {counted.price_year}", float(yearly.amount), counted.currency
    )
    return Step(
        "upkeep", counted.figure(upkeep_minor), counted.currency,
        f"sum over the years {first} to {last} of {each.name} x (1 + growth / 100)^(year - {counted.price_year}), each "
        "rounded half up to the minor unit",
        (each, Input("growth", float(counted.plan.growth_percent), "percent")), TERMS,
    )  # fmt: skip


def _cautions(counted: CountedPlan) -> Iterator[str]:
    yield f"{ONE_AT_A_TIME}."
    yield (
        "What is spent after the last year of the plan counts as cost, and its money earns interest to the end of the "
        "plan. Upkeep is taken to be paid by the operating budget, so that it does not touch the reserve."
    )
    without = [one.label for one in counted.dated if one.stated.upkeep_a_year is None]
    if without:
        yield f"No yearly upkeep is stated, which is not the same as none, for: {'; '.join(without)}."
