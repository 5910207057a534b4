"""Approved projects of a capital plan as they are opened, worked on, paid for and finished."""

from typing import Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.assets import CalendarYear
from swardcost_model.capital_plans import Decided, PlanProject, PlanStatus
from swardcost_model.figures import DerivationStep
from swardcost_model.projects import Project
from swardcost_model.values import Amount, Answer, Day, Money, Month, Name, Request, Text


class ProjectOpening(Request):
    """How an approved project of a locked plan is opened; nothing of it need be said."""

    project_id: UUID | None = Field(
        default=None,
        description="A project of the club that it is; null for the project of its estimate, or a new one.",
    )
    name: Name | None = Field(default=None, description="Of a new project; null for the name in the plan.")
    starts_on: Day | None = Field(
        default=None, description="Of a new project; null for the first day of its first year."
    )
    ends_on: Day | None = Field(default=None, description="Null for the last day of its last year.")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.project_id is not None and (self.name or self.starts_on or self.ends_on):
            raise PydanticCustomError(
                "one_way", "name and days of a new project, or the project_id of another"
            )
        if self.starts_on is not None and self.ends_on is not None and self.ends_on < self.starts_on:
            raise PydanticCustomError("days_reversed", "a last day not before the first")
        return self


class OpenedProject(Answer):
    """An approved project as it was opened: the club's project, its estimate and its budget."""

    plan_project: PlanProject
    project: Project
    scope_items: int = Field(
        description="Begun from its assets whose size is known, one each; what is to be done is still to be said."
    )
    estimate_id: UUID | None
    estimate_status: str | None
    budget_id: UUID | None
    to_do: list[str] = Field(description="What it takes until there is a budget; empty where there is one.")


class NewCompletion(Request):
    """That the work of an opened project is done."""

    year: CalendarYear
    renew_assets: bool = Field(
        default=True,
        description="Its assets are in use since that year from now on, and what was judged of the old ones is gone.",
    )
    note: Text = ""


ProjectStage = Literal["not_opened", "opened", "estimated", "budgeted", "finished"]


class ProjectStanding(Answer):
    """A project of a locked plan: what was planned, and where its money stands."""

    plan_project_id: UUID
    number: int
    name: str
    year: int | None
    decided: Decided
    stage: ProjectStage
    opened_project_id: UUID | None
    budget_id: UUID | None
    planned: Money | None = Field(description="In the money of its years, as the plan has it.")
    estimated: Money | None = Field(
        description="Total of its accepted estimate, else of the one named in the plan."
    )
    budget: Money | None = Field(description="With all approved adjustments.")
    actual: Money | None = Field(description="Posted up to the month.")
    accrued: Money | None
    open_commitments: Money | None
    to_come: Money | None = Field(
        description="What is left of the budget after actual and accrued, or the open commitments where they are more; "
        "as planned where it has no budget and is not finished. Null where nobody knows what it costs, or when."
    )
    expected: Money | None = Field(
        description="actual + accrued + to come; as planned where it has no budget."
    )
    difference: Money | None = Field(description="expected - planned.")
    percent_of_planned: Amount | None
    words: str
    derivation: list[DerivationStep]


class StandingYear(Answer):
    """A year of a plan as planned, and as its projects go."""

    year: int
    planned_spending: Money
    actual_spending: Money = Field(description="Posted in the year, and accrued in the year of the month.")
    to_come: Money
    finished_as_planned: Money = Field(
        description="Planned for projects that were finished without a budget, of which nobody knows what they cost."
    )
    expected_spending: Money = Field(description="actual_spending + to_come + finished_as_planned.")
    closing_planned: Money
    closing_expected: Money = Field(description="With the incomes as planned and the expected spending.")
    below_floor: bool = Field(description="Whether what is expected is.")


class PlanStanding(Answer):
    """A locked plan beside the money of its opened projects."""

    plan_id: UUID
    name: str
    status: PlanStatus
    through: Month
    projects: list[ProjectStanding]
    years: list[StandingYear]
    planned: Money
    actual: Money = Field(description="Posted and accrued.")
    expected: Money
    conclusions: list[str]
    method: list[str]
