"""Scenarios of a capital plan: the plan with something changed, counted again by the same arithmetic."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from uuid import UUID

from swardcost_model import problems
from swardcost_model.plan_scenarios import LeastContribution, Scenario, ScenarioQuestion
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.least_contributions import least_beside
from swardcost_api.capital.moving_costs import CostOfMoving, cost_of_moving
from swardcost_api.capital.plan_years import CountedYear, counted_years
from swardcost_api.capital.scenario_changes import changed, with_contributions, with_years
from swardcost_api.capital.scenario_checks import scenario_faults
from swardcost_api.capital.timings import LimitNotKept, best_years
from swardcost_api.engine.capital.least_funding import contributions
from swardcost_api.storage.rows import named_in_request
from swardcost_api.storage.work import UnitOfWork

_REFUSED = "These scenarios cannot be counted."


@dataclass(frozen=True)
class ScenariosAsked:
    """What is asked, and every plan that it names, read at one moment; `plan_id` is the one asked about."""

    plan_id: UUID
    question: ScenarioQuestion
    plans: Mapping[UUID, CountedPlan]

    def base_of(self, scenario: Scenario) -> CountedPlan:
        """The plan of a scenario, as dated."""
        return self.plans[scenario.plan_id or self.plan_id]


@dataclass(frozen=True)
class CountedScenario:
    """A scenario, its plan as dated (`base`), and as it is in the scenario.

    Not possible where there is a `conflict`: then it has no years. Where no timing keeps every limit, `not_kept` are
    those that cannot be kept together, and `not_placed` the moved projects that could not be considered; with
    `no_contribution`, none that could be meant keeps the floor. `why` says of each project that is not as dated why
    not; `waiting` are projects on which nothing is decided yet, where that counts.
    """

    scenario: Scenario
    late_percent: Decimal
    base: CountedPlan
    counted: CountedPlan
    years: Sequence[CountedYear]
    why: Mapping[UUID, str] = field(default_factory=dict)
    waiting: Sequence[str] = ()
    conflict: str = ""
    not_kept: Sequence[LimitNotKept] = ()
    not_placed: Sequence[UUID] = ()
    no_contribution: bool = False
    gap_percent: Decimal | None = None

    @property
    def possible(self) -> bool:
        """Whether it has figures."""
        return not self.conflict

    @cached_property
    def moving(self) -> CostOfMoving:
        """What it costs that projects begin in other years than dated."""
        return cost_of_moving(self.base, self.counted, self.years)

    def pairs(self) -> Iterator[tuple[CountedProject, CountedProject]]:
        """Every project as dated and as it is in the scenario, by number."""
        yield from zip(self.base.projects, self.counted.projects, strict=True)


def read_scenarios(work: UnitOfWork, plan_id: UUID, data: ScenarioQuestion) -> ScenariosAsked:
    """What scenarios rest on.

    Raises `not-found`, and `invalid-values` with the place of everything in them that a plan does not have.
    """
    plans = {plan_id: read_counted_plan(work, plan_id)}
    for place, one in enumerate(data.scenarios):
        if one.plan_id is not None and one.plan_id not in plans:
            pointer = f"/scenarios/{place}/plan_id"
            with named_in_request(pointer, "a capital plan of this club", one.plan_id, _REFUSED):
                plans[one.plan_id] = read_counted_plan(work, one.plan_id)
    asked = ScenariosAsked(plan_id, data, plans)
    faults: list[Fault] = []
    for place, one in enumerate(data.scenarios):
        faults += scenario_faults(f"/scenarios/{place}", one, asked.base_of(one))
    if faults:
        raise ProblemError(problems.INVALID_VALUES, _REFUSED, faults)
    return asked


def counted_scenario(asked: ScenariosAsked, scenario: Scenario) -> CountedScenario:
    """One scenario; it may take long where a best timing is looked for. Raises `unavailable` while others are solved.

    The years of a best timing are found with the contribution that is stated; a least contribution is then the least
    with which that timing keeps the floor.
    """
    base, late = asked.base_of(scenario), asked.question.late_percent
    found = changed(base, scenario)
    counted, why, gap = found.counted, dict(found.why), None
    if scenario.start == "best_timing":
        best = best_years(counted, late, scenario.projects.left_out)
        not_placed = [one.project_id for one in scenario.projects.moved if one.project_id in best.why_not]
        conflict = best.conflict
        if not_placed:
            whys = [best.why_not[one] for one in not_placed]
            conflict = " ".join(["A moved project cannot be placed.", *whys])
        if conflict:
            return CountedScenario(
                scenario, late, base, counted, (), conflict=conflict, not_kept=best.not_kept, not_placed=not_placed
            )  # fmt: skip
        why = dict(best.why_not) | _moves(counted, best.years) | why
        counted, gap = with_years(counted, dict.fromkeys(best.why_not) | dict(best.years)), best.gap_percent
    change = scenario.money.contribution
    if isinstance(change, LeastContribution):
        least = least_beside(counted, change.percent_a_year)
        if least.contribution_minor is None:
            conflict = _no_contribution(counted)
            return CountedScenario(scenario, late, base, counted, (), conflict=conflict, no_contribution=True)
        paid = contributions(least.contribution_minor, change.percent_a_year, len(counted.years), 0)
        counted = with_contributions(counted, paid)
    return CountedScenario(
        scenario, late, base, counted, counted_years(counted), why, found.waiting, gap_percent=gap
    )  # fmt: skip


def _moves(counted: CountedPlan, years: Mapping[UUID, int | None]) -> dict[UUID, str]:
    """What the best timing makes of projects that it does not leave in their years."""
    found = {}
    for one in counted.projects:
        before, year = one.stated.year, years.get(one.stated.id, one.stated.year)
        if year == before:
            continue
        if year is None:
            found[one.stated.id] = f"Not done by the best timing; dated in {before}."
        else:
            since = "Placed in" if before is None else f"Moved from {before} to"
            found[one.stated.id] = f"{since} {year} by the best timing."
    return found


def _no_contribution(counted: CountedPlan) -> str:
    floor = counted.floor_minor
    named = f"its floor of {counted.words(floor)}" if floor else "zero"
    return f"No contribution that could be meant keeps the reserve at {named}."
