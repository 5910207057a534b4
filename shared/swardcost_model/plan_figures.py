"""A capital plan in figures: its reserve year by year, what its projects cost, and what deferring them costs."""

from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.capital_plans import PlanProject, PlanStatus
from swardcost_model.figures import DerivationStep
from swardcost_model.values import Amount, Answer, Money

FiguresBasis = Literal["as_dated", "as_decided"]
ChartName = Literal["reserve", "spending", "funded"]
GapKind = Literal["project_cost", "project_score", "asset_cost", "asset_life", "asset_age", "asset_gone"]


class PlanGap(Answer):
    """Something that is not known, so that it counts in no sum."""

    kind: GapKind
    about: UUID = Field(description="The project or asset.")
    words: str


class IncomeOfYear(Answer):
    """What one income brings in a year: units x each, rounded half up."""

    kind: Literal["contribution", "dues", "initiation"]
    name: str
    units: Amount
    each: Money
    amount: Money


class PlanYear(Answer):
    """A year of the reserve: opening + all that comes in + interest - all that goes out = closing."""

    year: int
    opening: Money
    contributions: Money
    dues: Money
    initiation_fees: Money
    assessments: Money
    loans_drawn: Money
    interest: Money
    capital_spending: Money
    operating_spending: Money
    loan_payments: Money
    closing: Money
    incomes: list[IncomeOfYear]
    spending: Money = Field(description="On projects, capital and operating together.")
    spending_limit: Money | None
    over_spending_limit: bool
    closure_days: int = Field(
        description="Of all projects added up, also where they close the course together."
    )
    over_closure_limit: bool
    floor: Money = Field(description="What must be left at the end of the year.")
    below_floor: bool
    owed_on_loans: Money = Field(description="Principal that is still owed at its end.")
    fully_funded: Money | None = Field(
        description="Sum over assets of cost in the year's prices x effective age / life; null where none is known."
    )
    percent_funded: Amount | None = Field(description="Closing in percent of it; null where it is nothing.")
    derivation: list[DerivationStep]


class PhaseOfProject(Answer):
    """A year of a project's work in figures."""

    year: int | None = Field(description="Null where the project is not dated.")
    cost_at_price_year: Money
    cost: Money | None = Field(description="In the money of its year.")
    closure_days: int


class ProjectInFigures(Answer):
    """A project with what it costs, as dated."""

    project_id: UUID
    number: int
    name: str
    year: int | None
    last_year: int | None
    cost_at_price_year: Money | None = Field(description="Null where nobody knows.")
    cost_basis: str
    growth_group: str | None = Field(description="Null for the plan's general rate.")
    growth_percent: Amount
    cost: Money | None = Field(description="Of all phases in the money of their years, added up.")
    phases: list[PhaseOfProject]
    spending: Literal["capital", "operating"]
    spending_because: str
    score: Amount | None = Field(
        description="From 0 to 10: the weighted mean of its scores; null where one is missing."
    )
    derivation: list[DerivationStep]


class PlanFigures(Answer):
    """A plan as it is dated or as it was decided: by year and by project, with what is missing, and what follows."""

    plan_id: UUID
    name: str
    status: PlanStatus
    basis: FiguresBasis
    first_year: int
    last_year: int
    price_year: int
    complete: bool = Field(
        description="False where a cost, life or age is missing or a project is not dated."
    )
    years: list[PlanYear]
    projects: list[ProjectInFigures]
    spent_over_plan: Money
    fully_funded_at_start: Money | None = Field(description="At the end of the year before the first.")
    percent_funded_at_start: Amount | None
    not_dated: list[str] = Field(description="Projects without a year; they are in no sum.")
    left_out: list[str] = Field(
        description="Projects that were declined, or deferred to no year that is named; they are in no sum."
    )
    missing: list[PlanGap]
    conclusions: list[str]
    cautions: list[str]
    method: list[str] = Field(description="How the figures are computed.")


class ContributionOfYear(Answer):
    """A contribution in a year, and what is then left at its end."""

    year: int
    contribution: Money
    contribution_today: Money = Field(description="What the plan has for that year.")
    closing: Money
    floor: Money


class LeastContributionFigures(Answer):
    """The least yearly contribution with which every year closes at or above the floor, to the minor unit.

    It takes the place of the plan's own contributions; dues, fees, assessments and loans stay as they are.
    """

    plan_id: UUID
    percent_a_year: Amount = Field(description="How the contribution rises from year to year.")
    contribution: Money | None = Field(
        description="In the first year; zero where none is needed, null where none is enough."
    )
    contribution_today: Money = Field(description="The plan's own in the first year.")
    more_than_today: Money | None
    floor: Money
    binding_year: int | None = Field(
        description="The year that closes nearest to the floor; null where none is needed, or none is enough."
    )
    first_below_without: int | None = Field(
        description="First year that closes below the floor without any contribution."
    )
    years: list[ContributionOfYear] = Field(description="Without any where none is needed or none is enough.")
    conclusions: list[str]
    cautions: list[str]
    derivation: list[DerivationStep]


class ProjectDeferral(Answer):
    """What it costs to begin a project later than it is dated: growth + upkeep - interest kept = net."""

    project_id: UUID
    number: int
    name: str
    year: int
    later_year: int
    cost: Money = Field(description="As dated.")
    later_cost: Money
    growth: Money = Field(description="By how much the work gets dearer; below zero where costs fall.")
    upkeep: Money = Field(description="Of the years that it is put off, each in its own prices.")
    upkeep_stated: bool = Field(description="Whether the project says what each year without it costs.")
    interest_kept: Money = Field(description="What the reserve earns more until the end of the plan.")
    net: Money = Field(description="What deferring costs in all; below zero where it pays.")
    past_latest: bool = Field(description="Whether it would begin after the latest year that it is given.")
    past_plan: bool = Field(description="Whether some of it would be done after the last year of the plan.")
    words: str
    derivation: list[DerivationStep]


class PlanDeferrals(Answer):
    """What deferring each dated project costs, one at a time, all else as dated."""

    plan_id: UUID
    years: int
    items: list[ProjectDeferral]
    left_out: list[str] = Field(description="Projects without a year or a cost.")
    cautions: list[str]


class AssetLeftOut(Answer):
    """An asset for which no project was added, and why."""

    asset_id: UUID
    code: str
    name: str
    why: str


class ProjectsFromAssets(Answer):
    """The projects that were added for assets due within the plan, and the assets left out."""

    added: list[PlanProject]
    left_out: list[AssetLeftOut]
