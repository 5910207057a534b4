"""Scenarios of capital plans: what is changed of a plan, for the answer alone, before it is counted again."""

from decimal import Decimal
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.assets import CalendarYear
from swardcost_model.capital_plans import MOST_PROJECTS, Assessment, PlanLoan, YearlyPercent
from swardcost_model.values import Amount, Money, Name, Percent, Request, Value

MOST_SCENARIOS, MOST_SOLVED = 8, 2
ScenarioStart = Literal["as_dated", "as_decided", "best_timing"]


class LeastContribution(Value):
    """The least contribution that keeps the reserve at its floor takes the place of the plan's own."""

    kind: Literal["least"] = "least"
    percent_a_year: YearlyPercent = Field(default=Decimal(0), description="How it rises from year to year.")


class StatedContribution(Value):
    """A contribution takes the place of the plan's own, from the first year to the last."""

    kind: Literal["stated"] = "stated"
    amount: Money = Field(description="In the first year.")
    percent_a_year: YearlyPercent = Field(default=Decimal(0), description="How it rises from year to year.")


class ContributionByPercent(Value):
    """The contribution of every year by so many percent more, or less."""

    kind: Literal["by_percent"] = "by_percent"
    percent: Amount = Field(ge=Decimal(-100), le=Decimal(1000), examples=["-10"])


class ContributionByAmount(Value):
    """The contribution of every year by so much more, or less; never less than nothing."""

    kind: Literal["by_amount"] = "by_amount"
    amount: Money = Field(
        description="The same in every year.", examples=[{"amount": "20000.00", "currency": "USD"}]
    )


ContributionChange = Annotated[
    LeastContribution | StatedContribution | ContributionByPercent | ContributionByAmount,
    Field(discriminator="kind"),
]


class MoneyChanges(Value):
    """What is changed of a plan's money; what is not named stays as it is."""

    contribution: ContributionChange | None = None
    assessments: list[Assessment] = Field(
        default_factory=list, max_length=20, description="Asked for as well."
    )
    loans: list[PlanLoan] = Field(default_factory=list, max_length=10, description="Drawn as well.")
    growth_points: Amount = Field(
        default=Decimal(0),
        ge=Decimal(-50),
        le=Decimal(50),
        description="Added to every percentage of growth of costs.",
    )
    interest_points: Amount = Field(
        default=Decimal(0),
        ge=Decimal(-50),
        le=Decimal(50),
        description="Added to the interest on the reserve.",
    )
    least_balance: Money | None = Field(default=None, description="Another floor; zero for none.")
    spending_limit: Money | None = Field(
        default=None, description="Another limit, in the first year's money."
    )
    without_spending_limit: bool = False

    @model_validator(mode="after")
    def _one_limit(self) -> Self:
        if self.spending_limit is not None and self.without_spending_limit:
            raise PydanticCustomError("one_limit", "either spending_limit or without_spending_limit")
        return self


class MovedProject(Value):
    """A project that begins in another year."""

    project_id: UUID
    year: CalendarYear


class ProjectChanges(Value):
    """What is changed of a plan's projects: left out, put off all together, moved one by one, in this order."""

    left_out: list[UUID] = Field(default_factory=list, max_length=MOST_PROJECTS, description="Not done.")
    deferred_by: int = Field(
        default=0, ge=0, le=10, strict=True,
        description="Years by which every dated project begins later, but those in `moved`.",
    )  # fmt: skip
    moved: list[MovedProject] = Field(default_factory=list, max_length=MOST_PROJECTS)
    capital_threshold: Money | None = Field(
        default=None,
        description="Another threshold from which projects are capital, where they do not say it.",
    )

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        named = [*self.left_out, *(one.project_id for one in self.moved)]
        if len(set(named)) < len(named):
            raise PydanticCustomError("named_twice", "each project once in left_out and moved")
        return self


class Scenario(Value):
    """A plan with what is changed of it; the plan itself stays as it is."""

    name: Name = Field(examples=["Least contribution"])
    plan_id: UUID | None = Field(
        default=None, description="Another plan of the club; null for the one asked about."
    )
    start: ScenarioStart = Field(
        default="as_dated",
        description="`as_decided`: deferred projects in the year they were deferred to or not at all, declined ones "
        "not at all. `best_timing`: every project where it is worth most within all limits, moved ones where they are "
        "moved.",
    )  # fmt: skip
    money: MoneyChanges = Field(default_factory=MoneyChanges)
    projects: ProjectChanges = Field(default_factory=ProjectChanges)

    @model_validator(mode="after")
    def _not_both(self) -> Self:
        if self.start == "best_timing" and self.projects.deferred_by:
            raise PydanticCustomError(
                "not_both", "deferred_by 0 with best_timing, which finds the years itself"
            )
        return self


class ScenarioQuestion(Request):
    """Scenarios to be counted side by side; the others are held against the first."""

    scenarios: list[Scenario] = Field(min_length=1, max_length=MOST_SCENARIOS)
    late_percent: Percent = Field(
        default=Decimal(3), le=Decimal(100), description="What a year's delay takes from a project's worth."
    )

    @model_validator(mode="after")
    def _few_and_told_apart(self) -> Self:
        names = [one.name for one in self.scenarios]
        if len(set(names)) < len(names):
            raise PydanticCustomError("named_twice", "each name once")
        if sum(one.start == "best_timing" for one in self.scenarios) > MOST_SOLVED:
            raise PydanticCustomError(
                "most_solved", "at most {most} scenarios that start with best_timing", {"most": MOST_SOLVED}
            )
        return self


class PlanCopy(Request):
    """What a copy of a plan is called."""

    name: Name = Field(examples=["Capital plan 2027 to 2046, with a loan"])
