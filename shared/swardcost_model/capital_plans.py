"""Capital plans: years, prices and money, as they are stated; and the projects of a plan."""

from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.assets import CalendarYear
from swardcost_model.values import (
    Amount,
    Answer,
    Money,
    Name,
    NonNegative,
    Percent,
    Positive,
    Request,
    Text,
    Timestamp,
    Value,
)

YearlyPercent = Annotated[
    Amount, Field(ge=Decimal(-50), le=Decimal(100), description="Percent a year, of either sign.")
]
MOST_PLAN_YEARS = 40
MOST_PROJECTS = 500


class GrowthGroup(Value):
    """Costs that rise alike, compounded every year from the year of the prices."""

    name: Name = Field(examples=["Pipe and pumps"])
    percent: YearlyPercent = Field(examples=["4.5"])


class Criterion(Value):
    """Something that projects are scored by, from 0 to 10, and how much it weighs."""

    name: Name = Field(examples=["Safety"])
    weight: Positive = Field(le=Decimal(100), examples=["3"])


class YearlyIncome(Value):
    """Money that comes in every year: a contribution, the reserve's share of dues, initiation fees."""

    kind: Literal["contribution", "dues", "initiation"] = "contribution"
    name: Name = Field(examples=["Yearly contribution"])
    units: NonNegative = Field(
        default=Decimal(1),
        description="How many pay it: members, or new members a year; 1 for a contribution.",
    )
    amount: Money = Field(description="Of each, in its first year.")
    percent_a_year: YearlyPercent = Field(
        default=Decimal(0), description="How it rises, compounded from its first year."
    )
    first_year: CalendarYear | None = Field(
        default=None,
        description="Null for the first year of the plan; before it where the amount is that of an earlier year.",
    )
    last_year: CalendarYear | None = Field(default=None, description="Null for its last.")


class Assessment(Value):
    """Money asked for once, in a year."""

    year: CalendarYear
    name: Name = Field(examples=["Irrigation assessment"])
    amount: Money


class PlanLoan(Value):
    """A loan that is drawn at the beginning of a year and paid back from that year on."""

    name: Name = Field(examples=["Irrigation loan"])
    principal: Money
    annual_percent: Percent = Field(examples=["5.5"])
    years: int = Field(ge=1, le=40, strict=True)
    payments_a_year: Literal[1, 2, 4, 12] = 12
    method: Literal["level_payment", "level_principal", "interest_only"] = Field(
        default="level_payment",
        description="With `interest_only` the principal is paid with the last payment.",
    )
    drawn_in: CalendarYear = Field(description="Before the plan for a loan that is being paid back already.")


class MoneyTerms(Value):
    """Where the plan's money comes from, and what must be left of it."""

    opening_reserve: Money = Field(description="At the beginning of the first year.")
    incomes: list[YearlyIncome] = Field(default_factory=list, max_length=50)
    assessments: list[Assessment] = Field(default_factory=list, max_length=100)
    loans: list[PlanLoan] = Field(default_factory=list, max_length=20)
    interest_percent: YearlyPercent = Field(default=Decimal(0), description="Earned on the reserve.")
    interest_on: Literal["opening_balance", "average_balance"] = Field(
        default="opening_balance",
        description="`average_balance`: opening and half of what else comes and goes in the year. Never on less than "
        "nothing.",
    )
    least_balance: Money | None = Field(
        default=None, description="What must be left at the end of every year; null for nothing."
    )
    spending_limit: Money | None = Field(
        default=None,
        description="Most that may be spent on projects in a year, in the first year's money; null for none.",
    )
    spending_limit_percent_a_year: YearlyPercent = Field(
        default=Decimal(0), description="How that limit rises."
    )


class PlanFields(Request):
    """A capital plan."""

    name: Name = Field(examples=["Capital plan 2027 to 2046"])
    first_year: CalendarYear = Field(examples=[2027])
    years: int = Field(ge=1, le=MOST_PLAN_YEARS, strict=True, examples=[20])
    price_year: CalendarYear | None = Field(
        default=None, description="Year of whose prices costs are; null for the first year."
    )
    growth_percent: YearlyPercent = Field(default=Decimal(0), description="Of costs in no group.")
    growth_groups: list[GrowthGroup] = Field(default_factory=list, max_length=30)
    criteria: list[Criterion] = Field(default_factory=list, max_length=20)
    closure_days_a_year: int | None = Field(
        default=None, ge=0, le=366, strict=True, description="Most days a year on which projects may close the course."
    )  # fmt: skip
    capital_threshold: Money | None = Field(
        default=None,
        description="Projects that cost at least this are capital, others operating; null where each says which it is.",
    )
    money: MoneyTerms
    note: Text = ""

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        for what, names in (
            ("growth group", [one.name for one in self.growth_groups]),
            ("criterion", [one.name for one in self.criteria]),
            ("income", [one.name for one in self.money.incomes]),
            ("loan", [one.name for one in self.money.loans]),
        ):
            if len(set(names)) < len(names):
                raise PydanticCustomError("named_twice", "each {what} once", {"what": what})
        return self


class NewPlan(PlanFields):
    """A plan to be begun, as a draft."""


class PlanChange(PlanFields):
    """The draft as it should be from now on."""


class PlanStatus(StrEnum):
    """How far a plan has come."""

    DRAFT = "draft"
    ISSUED = "issued"
    LOCKED = "locked"


class PlanSummary(Answer):
    """A plan in a line."""

    id: UUID
    name: str
    status: PlanStatus
    first_year: int
    years: int
    projects: int
    follows: UUID | None = Field(description="The plan that it goes on from.")
    issued_at: Timestamp | None
    locked_at: Timestamp | None
    version: int


class Plan(PlanFields):
    """A capital plan, without its projects and figures."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    status: PlanStatus
    follows: UUID | None
    issued_at: Timestamp | None
    issued_by: str | None
    locked_at: Timestamp | None
    locked_by: str | None
    version: int


class Phase(Value):
    """A year of a project's work: its part of the cost, and the days on which it closes the course."""

    percent: Percent = Field(le=Decimal(100), examples=["60"])
    closure_days: int = Field(default=0, ge=0, le=366, strict=True)


class Score(Value):
    """How a project does by a criterion."""

    criterion: Name
    score: NonNegative = Field(le=Decimal(10), examples=["8"])


class Prerequisite(Value):
    """A project that must be begun first, by so many years."""

    project_id: UUID
    years_before: int = Field(
        default=1, ge=0, le=30, strict=True,
        description="Years from its beginning to that of this one, at the least; 0 for the same year or later.",
    )  # fmt: skip


class PlanProjectFields(Request):
    """A project of a plan."""

    name: Name = Field(examples=["Replace the pump station"])
    asset_ids: list[UUID] = Field(
        default_factory=list,
        max_length=500,
        description="Assets that it replaces; they begin a new life with it.",
    )
    estimate_id: UUID | None = Field(
        default=None, description="An estimate whose total is the cost, in place of `cost`."
    )
    cost: Money | None = Field(
        default=None,
        description="At the prices of the plan's price year; null for the estimate's, or for the sum of its assets'.",
    )
    growth_group: Name | None = Field(default=None, description="Null for the plan's general rate.")
    year: CalendarYear | None = Field(
        default=None, description="Year in which it begins, as dated; null where it is not dated."
    )
    earliest: CalendarYear | None = None
    latest: CalendarYear | None = None
    required: bool = Field(
        default=False, description="Whether it must be done by `latest`, whatever it scores."
    )
    phases: list[Phase] = Field(
        default_factory=lambda: [Phase(percent=Decimal(100))], min_length=1, max_length=10
    )
    prerequisites: list[Prerequisite] = Field(default_factory=list, max_length=20)
    together_with: Name | None = Field(
        default=None, description="Projects of one name here begin in one year, or not at all."
    )
    scores: list[Score] = Field(default_factory=list, max_length=20)
    spending: Literal["capital", "operating"] | None = Field(
        default=None, description="Null to go by the plan's threshold."
    )
    upkeep_a_year: Money | None = Field(
        default=None,
        description="What each year without it costs more in upkeep, at the prices of the price year; for the cost of "
        "deferring it.",
    )
    cost_range: tuple[Percent, Percent] | None = Field(
        default=None, description="Least and greatest cost in percent of the cost."
    )
    depreciation_years: int | None = Field(
        default=None, ge=1, le=100, strict=True,
        description="Over how many years it is written off in the accounts; null for the lives of its assets.",
    )  # fmt: skip
    moved_because: Text = Field(
        default="",
        description="Why it stands otherwise than in the plan before, in the planner's words.",
        examples=["The pump was judged to last two seasons more"],
    )
    note: Text = ""

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if sum(phase.percent for phase in self.phases) != 100:
            raise PydanticCustomError("phases", "phases whose percents sum to 100")
        if self.cost is not None and self.estimate_id is not None:
            raise PydanticCustomError("one_cost", "either cost or estimate_id")
        if self.cost is None and self.estimate_id is None and not self.asset_ids:
            raise PydanticCustomError("no_cost", "a cost, an estimate_id, or assets whose cost it is")
        if self.earliest is not None and self.latest is not None and self.earliest > self.latest:
            raise PydanticCustomError("years_reversed", "latest not before earliest")
        if self.cost_range is not None and not self.cost_range[0] <= 100 <= self.cost_range[1]:
            raise PydanticCustomError("cost_range", "a range about 100 percent, the least first")
        for what, values in (
            ("asset", self.asset_ids),
            ("prerequisite", [one.project_id for one in self.prerequisites]),
            ("criterion", [one.criterion for one in self.scores]),
        ):
            if len(set(values)) < len(values):
                raise PydanticCustomError("named_twice", "each {what} once", {"what": what})
        return self


class NewPlanProject(PlanProjectFields):
    """A project to be added to a draft."""


class PlanProjectChange(PlanProjectFields):
    """The project as it should be from now on."""


class Decided(StrEnum):
    """What was decided on a project."""

    APPROVED = "approved"
    DEFERRED = "deferred"
    DECLINED = "declined"


class ProjectDecision(Value):
    """What was decided on a project of an issued plan, by whom, and on which conditions."""

    decided: Decided
    conditions: Text = ""
    deferred_to: CalendarYear | None = None
    decided_at: Timestamp
    decided_by: str


class NewDecision(Request):
    """What is decided on a project of an issued plan; it may be decided again until the plan is locked."""

    decided: Decided
    conditions: Text = Field(default="", examples=["If the dues are raised as planned"])
    deferred_to: CalendarYear | None = Field(
        default=None,
        description="The year to which it is deferred, where one is named; for `deferred` alone.",
    )

    @model_validator(mode="after")
    def _deferred_alone(self) -> Self:
        if self.deferred_to is not None and self.decided is not Decided.DEFERRED:
            raise PydanticCustomError("deferred_to", "deferred_to for what is deferred alone")
        return self


class ProjectCompletion(Value):
    """That the work of an opened project is done, and what it had cost by then."""

    year: CalendarYear = Field(description="In which it was finished; its assets begin their new life in it.")
    cost: Money | None = Field(description="Actual and accrued on its budget; null where it has none.")
    renewed_assets: list[UUID]
    note: Text = ""
    completed_at: Timestamp
    completed_by: str


class PlanProject(PlanProjectFields):
    """A project of a plan."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    plan_id: UUID
    number: int
    decision: ProjectDecision | None
    carried_from: UUID | None = Field(description="The project of the plan before that it goes on from.")
    opened_project_id: UUID | None = Field(description="The club's project that it was opened as.")
    completion: ProjectCompletion | None
    version: int
