"""A locked plan beside the money of its opened projects: what they cost so far, what is to come, what that leaves."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.capital_plans import Decided, PlanStatus
from swardcost_model.plan_progress import PlanStanding, ProjectStage, ProjectStanding, StandingYear
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, Month

from swardcost_api.capital.counted_plans import CountedPlan, CountedProject, read_counted_plan
from swardcost_api.capital.plan_years import SpendingOfYear, counted_years, flows_by_year, reserve_of
from swardcost_api.capital.project_money import ProjectMoney, money_of_projects
from swardcost_api.derivations import steps_for
from swardcost_api.engine.control.variance import Comparison
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.operations import Query
from swardcost_api.reports.service import BudgetMoney
from swardcost_api.storage.work import UnitOfWork

Through = Annotated[
    Month | None, Query("The last month that counts; this month where none is given.", example="2027-06")
]
METHOD = (
    "Planned is what the locked plan has, in the money of its years.",
    "A project with a budget: actual is posted to its lines up to the month, accrued is received, invoiced or held "
    "back and not posted; to come is, line by line, what is left of the budget, or the open commitments where they are "
    "more; expected = actual + accrued + to come. What is left of contingency is to come too.",
    "An approved project without a budget is to come as planned; one whose year has passed, in the year of the month. "
    "A deferred one is to come in the year to which it was deferred, at its cost of then; without a year, and where "
    "declined, nothing is to come. Where nobody knows what a project costs, nothing is said of what is to come of it.",
    "Of a finished project nothing is to come. Without a budget nobody knows what it cost, so it counts as planned.",
    "What is to come of a budget falls in the years of the project from the month's year on, by their planned costs; "
    "where none is left, in the month's year.",
    "Closing as expected has the incomes, loans and interest rate of the plan, and the expected spending. Money posted "
    "before the plan's first year or after its last is in no year.",
)


@dataclass(frozen=True)
class StandingQuestion:
    """A locked plan with the money of its projects up to the end of a month, such as ``"2027-06"``."""

    counted: CountedPlan
    money: Mapping[UUID, ProjectMoney]
    through: str

    @property
    def year(self) -> int:
        """The year of the month."""
        return int(self.through[:4])


@dataclass
class _Expected:
    """What a project costs by year, in minor units, so far as that is known.

    `as_planned` stands in for what a project cost that is finished and had no budget.
    """

    actual: dict[int, int] = field(default_factory=dict)
    to_come: dict[int, int] = field(default_factory=dict)
    as_planned: dict[int, int] = field(default_factory=dict)
    to_come_known: bool = True
    known: bool = True

    @property
    def all_minor(self) -> int:
        return sum(sum(by_year.values()) for by_year in (self.actual, self.to_come, self.as_planned))


def read_standing(work: UnitOfWork, plan_id: UUID, through: Through = None) -> StandingQuestion:
    """A locked plan and where the money of its projects stands; this month where none is named.

    Raises `not-found`, and `wrong-state` for a plan that is not locked.
    """
    counted = read_counted_plan(work, plan_id)
    if counted.plan.status is not PlanStatus.LOCKED:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {counted.plan.name!r} is {counted.plan.status}; its projects are opened once it is "
            "locked.",
        )
    month = through or work.now.date().isoformat()[:7]
    return StandingQuestion(
        counted, money_of_projects(work, [one.stated for one in counted.projects], month), month
    )


def standing_of(asked: StandingQuestion) -> PlanStanding:
    """Every project and every year of a plan as planned, and as it goes."""
    counted = asked.counted
    expected = {one.stated.id: _expected(asked, one) for one in counted.projects}
    projects = [_project(asked, one, expected[one.stated.id]) for one in counted.projects]
    years = list(_years(asked, list(expected.values())))
    money, minor = counted.money, counted.minor
    return PlanStanding(
        plan_id=counted.plan.id, name=counted.plan.name, status=counted.plan.status, through=asked.through,
        projects=projects, years=years,
        planned=money(sum(minor(one.planned) for one in projects if one.planned is not None)),
        actual=money(sum(sum(one.actual.values()) for one in expected.values())),
        expected=money(sum(one.all_minor for one in expected.values())),
        conclusions=list(_conclusions(asked, projects, years)), method=list(METHOD),
    )  # fmt: skip


def _expected(asked: StandingQuestion, project: CountedProject) -> _Expected:
    """What a project has cost and what is to come of it, by year."""
    budget = asked.money[project.stated.id].budget
    if budget is not None:
        return _of_budget(asked, project, budget)
    decision = project.stated.decision
    assert decision is not None
    if decision.decided is Decided.DECLINED:
        return _Expected()
    deferred = decision.decided is Decided.DEFERRED
    year = decision.deferred_to if deferred else project.stated.year
    if deferred and year is None and project.cost_minor is not None:
        return _Expected()
    planned = {} if year is None else dict(enumerate(project.costs_from(year), start=year))
    if project.stated.completion is not None:
        return _Expected(as_planned=planned, known=bool(planned))
    if not planned:
        return _Expected(to_come_known=False, known=False)
    late = max(0, asked.year - min(planned))
    return _Expected(to_come={at + late: minor for at, minor in planned.items()})


def _of_budget(asked: StandingQuestion, project: CountedProject, budget: BudgetMoney) -> _Expected:
    found = _Expected()
    for month, minor in budget.actual_by_month.items():
        year = int(month[:4])
        found.actual[year] = found.actual.get(year, 0) + minor
    found.actual[asked.year] = found.actual.get(asked.year, 0) + budget.accrued_minor
    if project.stated.completion is not None:
        return found
    begins = project.stated.year
    planned = {} if begins is None else dict(enumerate(project.costs_from(begins), start=begins))
    left = {year: minor for year, minor in planned.items() if year >= asked.year and minor}
    if not left:
        left = {asked.year: 1}
    for year, part in zip(left, split_exactly(budget.to_come_minor, list(left.values())), strict=True):
        found.to_come[year] = part
    return found


def _project(asked: StandingQuestion, project: CountedProject, expected: _Expected) -> ProjectStanding:
    counted, stated = asked.counted, project.stated
    known = asked.money[stated.id]
    budget = known.budget
    begins = stated.year
    planned = None if begins is None or project.cost_minor is None else sum(project.costs_from(begins))
    assert stated.decision is not None
    all_minor = expected.all_minor if expected.known else None

    def money(minor: int | None) -> Money | None:
        return None if minor is None else counted.money(minor)

    return ProjectStanding(
        plan_project_id=stated.id, number=stated.number, name=stated.name, year=begins,
        decided=stated.decision.decided, stage=_stage(project, known), opened_project_id=stated.opened_project_id,
        budget_id=None if budget is None else budget.budget.id, planned=money(planned), estimated=known.estimated,
        budget=money(None if budget is None else budget.current_minor),
        actual=money(None if budget is None else budget.actual_minor),
        accrued=money(None if budget is None else budget.accrued_minor),
        open_commitments=money(None if budget is None else budget.open_minor),
        to_come=money(sum(expected.to_come.values()) if expected.to_come_known else None), expected=money(all_minor),
        difference=None if planned is None or all_minor is None else money(all_minor - planned),
        percent_of_planned=None if not planned or all_minor is None
        else Comparison(planned, all_minor).percent_to_print,
        words=_words(counted, project, known, expected),
        derivation=steps_for(_steps(counted, budget, expected), counted.club),
    )  # fmt: skip


def _stage(project: CountedProject, known: ProjectMoney) -> ProjectStage:
    if project.stated.completion is not None:
        return "finished"
    if project.stated.opened_project_id is None:
        return "not_opened"
    if known.budget is not None:
        return "budgeted"
    return "estimated" if known.priced else "opened"


def _words(counted: CountedPlan, project: CountedProject, known: ProjectMoney, expected: _Expected) -> str:
    decision, completion = project.stated.decision, project.stated.completion
    assert decision is not None
    if completion is not None and known.budget is None:
        words = f"Finished in {completion.year}; without a budget nobody knows what it cost"
        return f"{words}, so it counts as planned." if expected.as_planned else f"{words}."
    if completion is not None:
        return f"Finished in {completion.year} for {counted.words(sum(expected.actual.values()))}."
    if known.budget is not None:
        spent = counted.words(sum(expected.actual.values()))
        return f"{spent} spent, {counted.words(sum(expected.to_come.values()))} to come."
    if decision.decided is Decided.DECLINED:
        return "Declined; nothing is to come."
    if decision.decided is Decided.DEFERRED:
        to = decision.deferred_to
        words = "Deferred to no year in particular; in no year." if to is None else f"Deferred to {to}."
        return words if project.cost_minor is not None else f"{words} Nobody knows what it costs."
    if project.cost_minor is None:
        return "Nobody knows what it costs; in no year."
    if project.stated.year is None:
        return "Not dated; in no year."
    opened = {"opened": "opened and not priced", "estimated": "priced, without a budget"}
    stage = opened.get(_stage(project, known), "not opened")
    begins = min(expected.to_come)
    late = f"; it was dated in {project.stated.year}" if begins != project.stated.year else ""
    return f"Approved and {stage}: as planned, in {begins}{late}."


def _steps(counted: CountedPlan, budget: BudgetMoney | None, expected: _Expected) -> Iterator[Step]:
    if budget is None:
        return

    def money(name: str, minor: int) -> Input:
        return Input(name, counted.figure(minor), counted.currency)

    to_come = sum(expected.to_come.values())
    if to_come:
        yield Step(
            "to come", counted.figure(to_come), counted.currency,
            "sum over budget lines of the largest of budget - actual - accrued, open commitments, and zero",
            (
                money("budget", budget.current_minor), money("actual", budget.actual_minor),
                money("accrued", budget.accrued_minor), money("open commitments", budget.open_minor),
            ),
            f"the budget {budget.budget.name!r} through {budget.through}",
        )  # fmt: skip
    yield Step(
        "expected", counted.figure(expected.all_minor), counted.currency, "actual + accrued + to come",
        (
            money("actual", budget.actual_minor), money("accrued", budget.accrued_minor), money("to come", to_come),
        ),
        "arithmetic",
    )  # fmt: skip


def _years(asked: StandingQuestion, expected: Sequence[_Expected]) -> Iterator[StandingYear]:
    """Each year of the plan; what is to come beyond its last year, or late before its first, is in none."""
    counted = asked.counted
    actual = [sum(one.actual.get(year, 0) for one in expected) for year in counted.years]
    to_come = [sum(one.to_come.get(year, 0) for one in expected) for year in counted.years]
    as_planned = [sum(one.as_planned.get(year, 0) for one in expected) for year in counted.years]
    spending = [SpendingOfYear(sum(parts), 0, 0) for parts in zip(actual, to_come, as_planned, strict=True)]
    reserve = reserve_of(counted, flows_by_year(counted, spending=spending))
    money = counted.money
    for place, planned in enumerate(counted_years(counted)):
        closing = reserve[place].closing_minor
        yield StandingYear(
            year=planned.year, planned_spending=money(planned.spending.all_minor),
            actual_spending=money(actual[place]), to_come=money(to_come[place]),
            finished_as_planned=money(as_planned[place]),
            expected_spending=money(spending[place].all_minor),
            closing_planned=money(planned.reserve.closing_minor), closing_expected=money(closing),
            below_floor=closing < counted.floor_minor,
        )  # fmt: skip


def _conclusions(
    asked: StandingQuestion, projects: Sequence[ProjectStanding], years: Sequence[StandingYear]
) -> Iterator[str]:
    counted = asked.counted
    with_budget = [one for one in projects if one.budget is not None]
    finished = sum(one.stage == "finished" for one in projects)
    yield (
        f"{len(with_budget)} of {len(projects)} projects {'has' if len(with_budget) == 1 else 'have'} a budget, "
        f"{finished} {'is' if finished == 1 else 'are'} finished; through {asked.through} "
        f"{_sum(counted, [one.actual for one in with_budget])} is posted and "
        f"{_sum(counted, [one.accrued for one in with_budget])} accrued."
    )
    over = [one for one in with_budget if one.difference is not None and one.difference.amount > 0]
    if over:
        most = max(over, key=lambda one: one.difference.amount if one.difference else 0)
        assert most.difference is not None
        yield (
            f"{len(over)} project{' is' if len(over) == 1 else 's are'} expected to cost more than planned; most "
            f"{most.number} ({most.name}), by {most.difference.amount:,f} {counted.currency}."
        )
    last = years[-1]
    less = counted.minor(last.closing_expected) - counted.minor(last.closing_planned)
    than = "as much as" if not less else f"{counted.words(abs(less))} {'more' if less > 0 else 'less'} than"
    yield f"At the end of {last.year} the reserve is expected to hold {than} planned."
    below = [one.year for one in years if one.below_floor]
    if below:
        yield f"It is expected below its floor in {', '.join(map(str, below))}."


def _sum(counted: CountedPlan, amounts: Sequence[Money | None]) -> str:
    return counted.words(sum(counted.minor(one) for one in amounts if one is not None))
