"""From a locked capital plan to the next one: what is carried on, what moved, and why."""

from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.assets import CalendarYear
from swardcost_model.capital_plans import MOST_PLAN_YEARS, Decided, Plan, PlanProject, PlanStatus
from swardcost_model.figures import DerivationStep
from swardcost_model.values import Amount, Answer, Money, Name, Request

HowCarried = Literal["as_dated", "deferred", "not_begun", "under_way", "finished", "declined", "undated"]
"""What became of a project of the plan before: carried on as it was dated; deferred; not begun in its year; under way,
with what is to come; finished and declined, which are not carried on; undated as it was."""


class NextPlan(Request):
    """A plan that goes on from a locked one."""

    name: Name = Field(examples=["Capital plan 2028 to 2047"])
    first_year: CalendarYear | None = Field(
        default=None, description="Null for the year after the first of the plan before."
    )
    years: int | None = Field(
        default=None, ge=1, le=MOST_PLAN_YEARS, strict=True, description="Null for as many as before."
    )
    opening_reserve: Money = Field(
        description="What is in the reserve at the beginning of its first year, as the accounts say."
    )


class CarriedProject(Answer):
    """What became of a project of the plan before."""

    number: int
    name: str
    carried_from: UUID
    how: HowCarried
    project: PlanProject | None = Field(description="As it is carried on; null where it is not.")
    words: str


class ContinuedPlan(Answer):
    """A plan that goes on from a locked one, and what became of each project."""

    plan: Plan
    carried: list[CarriedProject]
    left_out: list[str] = Field(
        description="Incomes, assessments and loans that ended before its first year."
    )


MoveKind = Literal[
    "kept", "moved", "repriced", "moved_and_repriced", "new", "finished", "declined", "taken_out"
]
CauseKind = Literal[
    "decision", "year_passed", "stated", "asset_due", "asset_cost", "cost_stated", "estimate", "growth",
    "work_done", "phases", "not_said",
]  # fmt: skip


class MoveCause(Answer):
    """Why a project stands otherwise than in the plan before."""

    kind: CauseKind
    words: str


class ProjectMove(Answer):
    """A project in a plan and in the plan before, and what makes the difference."""

    number: int | None = Field(description="In this plan; null where it is not in it.")
    number_before: int | None
    name: str
    project_id: UUID | None
    carried_from: UUID | None
    kind: MoveKind
    year_before: int | None
    year: int | None
    cost_before: Money | None = Field(description="At the prices of the plan's price year.")
    cost: Money | None
    spent_before: Money = Field(description="In the years of both plans, in the money of the years.")
    spent: Money
    by_timing: Money = Field(description="Of the difference, what comes of other years at the cost before.")
    by_cost: Money = Field(description="The rest: other costs, growth or phases.")
    decided: Decided | None = Field(description="On the project of the plan before.")
    causes: list[MoveCause]


class YearBeside(Answer):
    """A year of both plans: the difference of what is left, and what makes it."""

    year: int
    closing_before: Money
    closing: Money
    difference: Money
    by_opening: Money = Field(
        description="Reserve in hand in the first year of both, beside what was planned."
    )
    by_incomes: Money = Field(
        description="Incomes, assessments and loans, less their payments, up to the year."
    )
    by_interest: Money
    by_spending: Money = Field(description="Of projects, up to the year; more spending leaves less.")
    percent_funded_before: Amount | None
    percent_funded: Amount | None


class PlanMoves(Answer):
    """A plan beside the one that it goes on from."""

    plan_id: UUID
    name: str
    status: PlanStatus
    follows: UUID
    name_before: str
    first_year: int = Field(description="First year of both plans.")
    last_year: int
    projects: list[ProjectMove]
    years: list[YearBeside]
    spent_before: Money = Field(description="Sum of the projects', in the years of both plans.")
    spent: Money
    by_timing: Money
    by_cost: Money
    by_new: Money
    by_finished: Money = Field(description="Finished since, so that nothing more is spent; less than zero.")
    by_left_out: Money = Field(description="Declined, or taken out of the plan; less than zero.")
    conclusions: list[str]
    derivation: list[DerivationStep]
