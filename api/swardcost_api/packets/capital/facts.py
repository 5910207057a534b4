"""What a capital plan packet is composed of: the plan as it is counted, its money, its assets and the plan before."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from uuid import UUID

from swardcost_model import problems
from swardcost_model.assets import RegisteredAsset
from swardcost_model.capital_plans import Decided, Plan, PlanProject, PlanStatus
from swardcost_model.packets import NewPacket
from swardcost_model.plan_figures import (
    LeastContributionFigures,
    PlanDeferrals,
    PlanFigures,
    PlanYear,
    ProjectDeferral,
)
from swardcost_model.plan_futures import LEAST_FUTURES, FuturesQuestion, PlanFutures
from swardcost_model.plan_progress import PlanStanding
from swardcost_model.plan_scenarios import ScenarioQuestion
from swardcost_model.plan_succession import PlanMoves
from swardcost_model.problems import ProblemError

from swardcost_api.capital.service import (
    BothPlans,
    ContributionQuestion,
    CountedPlan,
    CountedProject,
    DeferralQuestion,
    FiguresQuestion,
    FuturesAsked,
    KnownAssets,
    PlanAsset,
    ScenariosAsked,
    StandingQuestion,
    deferrals_of,
    figures_of,
    futures_of,
    least_of,
    most_futures,
    moves_of,
    read_both,
    read_counted_plan,
    read_plan,
    read_register,
    read_scenarios,
    read_standing,
    register_of,
    standing_of,
)
from swardcost_api.engine.capital.reserve import lowest
from swardcost_api.packets.months import refuse_before
from swardcost_api.storage.work import UnitOfWork

AT_MOST_PERCENT = Decimal(10)
"""In how many percent of the futures the reserve may fall below its floor, where it is told what more is enough."""


@dataclass(frozen=True)
class CapitalFacts:
    """A plan as it was read at one moment; its figures are counted when they are asked for."""

    counted: CountedPlan
    known_assets: KnownAssets
    standing_asked: StandingQuestion | None
    """Of a locked plan alone."""
    plan_before: Plan | None
    both: BothPlans | None
    """None where it goes on from no plan, or from one with which it has no year in common."""
    scenarios_asked: ScenariosAsked | None = None
    """None for those that every committee asks about."""

    @property
    def plan(self) -> Plan:
        """The plan as it is stated."""
        return self.counted.plan

    @property
    def currency(self) -> str:
        """The currency of all its money."""
        return self.counted.currency

    @property
    def decided_on(self) -> bool:
        """Whether it has come so far that its projects are decided on."""
        return self.plan.status is not PlanStatus.DRAFT

    @cached_property
    def figures(self) -> PlanFigures:
        """Every year and project."""
        return figures_of(FiguresQuestion(self.counted))

    @property
    def least_year(self) -> PlanYear:
        """The year that closes with the least, the first of several."""
        years = self.figures.years
        return years[lowest([one.closing.amount for one in years])]

    @cached_property
    def stated(self) -> Mapping[UUID, PlanProject]:
        """The projects as they are stated, by id."""
        return {one.stated.id: one.stated for one in self.counted.projects}

    @cached_property
    def counted_by_id(self) -> Mapping[UUID, CountedProject]:
        """The projects as they are counted, by id."""
        return {one.stated.id: one for one in self.counted.projects}

    @cached_property
    def assets(self) -> Mapping[UUID, PlanAsset]:
        """The assets as the plan counts them, by id."""
        return {one.id: one for one in self.counted.assets}

    @cached_property
    def least(self) -> LeastContributionFigures:
        """The least contribution, rising as the plan's own where it has one alone, level otherwise."""
        return least_of(ContributionQuestion(self.counted, self.own_rise))

    @property
    def own_rise(self) -> Decimal:
        """By how many percent a year the plan's contribution rises, where it has one alone; otherwise 0."""
        own = [one for one in self.plan.money.incomes if one.kind == "contribution"]
        return own[0].percent_a_year if len(own) == 1 else Decimal(0)

    @cached_property
    def futures(self) -> PlanFutures | None:
        """Simulated futures, of a locked plan as it was decided; none where they are too many or large."""
        question = FuturesQuestion(
            at_most_percent=AT_MOST_PERCENT,
            basis="as_decided" if self.plan.status is PlanStatus.LOCKED else "as_dated",
        )
        asked = FuturesAsked(self.counted, question)
        most = most_futures(asked)
        if most < LEAST_FUTURES:
            return None
        if most < question.futures:
            asked = FuturesAsked(self.counted, question.model_copy(update={"futures": most}))
        try:
            return futures_of(asked)
        except ProblemError as error:
            if error.kind is not problems.WRONG_STATE:
                raise
            return None

    @cached_property
    def by_a_year(self) -> PlanDeferrals:
        """What a year's delay of each dated project costs."""
        return deferrals_of(DeferralQuestion(self.counted, 1))

    @cached_property
    def deferred(self) -> list[ProjectDeferral]:
        """What it costs to do the deferred projects in the years to which they were deferred."""
        found: list[ProjectDeferral] = []
        for years in sorted(set(self._deferred_by.values())):
            items = deferrals_of(DeferralQuestion(self.counted, years)).items
            found += [one for one in items if self._deferred_by.get(one.project_id) == years]
        return sorted(found, key=lambda one: one.number)

    @cached_property
    def _deferred_by(self) -> Mapping[UUID, int]:
        """By how many years each dated project with a cost was deferred, where a year was named."""
        return {
            one.stated.id: one.stated.decision.deferred_to - one.stated.year
            for one in self.counted.dated
            if one.stated.year is not None
            and one.stated.decision is not None
            and one.stated.decision.decided is Decided.DEFERRED
            and one.stated.decision.deferred_to is not None
        }

    @cached_property
    def register(self) -> Mapping[UUID, RegisteredAsset]:
        """The assets as the register has them now, by id."""
        return {one.asset.id: one for one in register_of(self.known_assets).items}

    @cached_property
    def standing(self) -> PlanStanding | None:
        """The money of a locked plan's projects."""
        return None if self.standing_asked is None else standing_of(self.standing_asked)

    @cached_property
    def moves(self) -> PlanMoves | None:
        """The plan beside the one before."""
        return None if self.both is None else moves_of(self.both)


def read_facts(work: UnitOfWork, asked: NewPacket) -> CapitalFacts:
    """A plan with all that a packet of it tells.

    Raises `not-found`, and `invalid-values` for scenarios that name what their plan does not have, and for a month
    before a locked plan's first year in which it was not locked yet.
    """
    plan = read_plan(work, asked.subject_id)
    standing = None
    if plan.locked_at is not None:
        standing = read_standing(work, plan.id, asked.through)
        # What is opened before the first year is spent on in the year in which the plan was locked.
        first_year = min(plan.first_year, plan.locked_at.year)
        refuse_before(f"{first_year:04d}-01", standing.through, "of the plan")
    counted = read_counted_plan(work, plan.id) if standing is None else standing.counted
    before = None if plan.follows is None else read_plan(work, plan.follows)
    return CapitalFacts(
        counted, read_register(work, plan.first_year), standing, before,
        read_both(work, plan.id) if before is not None and _overlap(before, plan) else None,
        None if asked.scenarios is None else _scenarios(work, plan, asked.scenarios),
    )  # fmt: skip


def _scenarios(work: UnitOfWork, plan: Plan, question: ScenarioQuestion) -> ScenariosAsked:
    try:
        return read_scenarios(work, plan.id, question)
    except ProblemError as error:
        faults = [one.model_copy(update={"pointer": f"/scenarios{one.pointer}"}) for one in error.faults]
        raise ProblemError(error.kind, error.detail, faults, **error.more) from error


def _overlap(before: Plan, plan: Plan) -> bool:
    """Whether two plans have a year in common."""
    last = min(before.first_year + before.years, plan.first_year + plan.years)
    return max(before.first_year, plan.first_year) < last
