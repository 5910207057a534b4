"""Scenarios of capital plans in figures: each by itself, and beside the first."""

from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.figures import DerivationStep
from swardcost_model.plan_scenarios import ScenarioStart
from swardcost_model.values import Amount, Answer, Money

ProjectOutcome = Literal["done", "in_part", "after_plan", "left_out", "not_dated"]


class ScenarioYear(Answer):
    """A year of a scenario: opening + contributions + other income + loans drawn + interest - spending - payments."""

    year: int
    opening: Money
    contributions: Money
    other_income: Money = Field(description="Dues, initiation fees and assessments.")
    loans_drawn: Money
    interest: Money
    spending: Money
    loan_payments: Money
    closing: Money
    floor: Money
    below_floor: bool
    over_spending_limit: bool
    percent_funded: Amount | None
    derivation: list[DerivationStep]


class ScenarioProject(Answer):
    """A project in a scenario."""

    project_id: UUID
    number: int
    name: str
    year_as_dated: int | None
    year: int | None = Field(description="Null where it is left out or has no year.")
    outcome: ProjectOutcome = Field(description="`in_part`: its last phases are after the plan.")
    cost: Money | None = Field(
        description="Within the plan, in the money of its years; null where nobody knows."
    )
    why: str = Field(description="Why it is not as dated; empty where it is.")


class ScenarioTotals(Answer):
    """What a scenario comes to."""

    contribution_first_year: Money
    contributions: Money = Field(description="Of all years.")
    spending: Money = Field(description="On projects, of all years.")
    interest_earned: Money
    interest_paid: Money = Field(description="On loans, of all years.")
    least_balance: Money = Field(description="At the end of the year that closes lowest.")
    least_balance_year: int
    closing: Money = Field(description="At the end of the last year.")
    owed_on_loans: Money = Field(description="At the end of the last year.")
    first_year_below_floor: int | None
    first_year_below_zero: int | None
    percent_funded: Amount | None = Field(description="At the end of the last year.")
    cost_of_moving: Money = Field(
        description="Of the projects in other years than dated, all together: dearer work and upkeep, less the "
        "interest that is kept; below zero where it pays. Under the same money as the scenario, with all other "
        "projects as dated."
    )
    worth: Amount = Field(
        description="Sum of the scores of what is done, each less for every year that it is later."
    )
    projects_done: int
    projects_moved: int
    projects_left_out: int = Field(description="That are dated in the plan and not begun in this scenario.")


class ScenarioFigures(Answer):
    """A scenario by itself."""

    name: str
    plan_id: UUID
    plan_name: str
    start: ScenarioStart
    changes: list[str] = Field(description="What is changed of the plan, in words.")
    possible: bool = Field(description="False where no timing, or no contribution, keeps the limits.")
    conflict: str = Field(description="Why not; empty where it is possible.")
    gap_percent: Amount | None = Field(
        description="By how much a best timing may be short of the best; 0 where it is proven, null without one."
    )
    totals: ScenarioTotals | None = Field(description="Null where it is not possible.")
    years: list[ScenarioYear]
    projects: list[ScenarioProject]
    warnings: list[str]
    conclusion: str
    derivation: list[DerivationStep]


FigureName = Literal[
    "contribution_first_year", "contributions", "spending", "interest_earned", "interest_paid", "least_balance",
    "closing", "owed_on_loans", "percent_funded", "cost_of_moving", "worth", "projects_done", "projects_moved",
    "projects_left_out",
]  # fmt: skip


class ComparedFigure(Answer):
    """A figure of every scenario in their order, and its difference from that of the first."""

    figure: FigureName
    label: str
    unit: str = Field(description="The currency, `percent`, `points` or `projects`.")
    values: list[Amount | None]
    differences: list[Amount | None] = Field(description="Value less the first; null where one of them is.")


class ComparedYear(Answer):
    """What each scenario leaves at the end of a year, in their order; null in years that it does not have."""

    year: int
    closing: list[Money | None]
    differences: list[Money | None]


class ScenariosSideBySide(Answer):
    """Scenarios of a plan, and how each differs from the first."""

    plan_id: UUID
    name: str
    scenarios: list[ScenarioFigures]
    table: list[ComparedFigure]
    years: list[ComparedYear]
    conclusions: list[str]
    cautions: list[str]
    method: list[str]
