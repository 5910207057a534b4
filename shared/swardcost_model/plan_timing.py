"""The best set and timing of a plan's projects under its limits, and why each one moved."""

from decimal import Decimal
from uuid import UUID

from pydantic import Field

from swardcost_model.figures import DerivationStep
from swardcost_model.values import Amount, Answer, Money, Percent, Request


class TimingQuestion(Request):
    """How the projects of a plan are to be placed."""

    late_percent: Percent = Field(
        default=Decimal(3), le=Decimal(100), description="What a year's delay takes from a project's worth."
    )


class TimedProject(Answer):
    """A project where it is placed, or that it is left out, and why it is not where it was wanted."""

    project_id: UUID
    number: int
    name: str
    score: Amount = Field(description="What it counts: its score, 1 where the plan has no criteria.")
    wanted: int | None = Field(description="Its year as dated; null for the first of its window.")
    year: int | None = Field(description="The year in which it begins; null where it is not done.")
    why: str = Field(description="Empty where it is in the year it was wanted in, or earlier.")
    worth: Amount | None = Field(description="What it is worth where it begins; null where it is not done.")
    derivation: list[DerivationStep]


class TimedYear(Answer):
    """A year of the plan with its projects so placed."""

    year: int
    spending: Money
    spending_limit: Money | None
    closure_days: int
    closing: Money
    floor: Money
    derivation: list[DerivationStep]


class BestTiming(Answer):
    """Where to begin which projects, so that they are worth the most within every limit."""

    plan_id: UUID
    late_percent: Amount
    possible: bool = Field(description="False where no timing keeps every limit with all that is required.")
    conflict: str = Field(description="Which limits cannot be kept together; empty where it is possible.")
    worth: Amount | None = Field(description="Sum of scores, each less for every year that it is later.")
    most_worth: Amount | None = Field(description="What no timing within the limits can be worth more than.")
    gap_percent: Amount | None = Field(
        description="By how much it may be short of that; 0 where it is proven the best."
    )
    projects: list[TimedProject]
    years: list[TimedYear]
    not_placed: list[str] = Field(description="Projects that could not be considered, and why.")
    cautions: list[str]
    method: str
    derivation: list[DerivationStep]


class TakenYear(Answer):
    """A project of a draft after the years of the best timing were taken."""

    project_id: UUID
    number: int
    name: str
    before: int | None = Field(description="The year in which it was to begin; null where it had none.")
    after: int | None = Field(description="Null where it is not done by the timing.")
    changed: bool
    version: int


class TimingTaken(Answer):
    """The years that a draft's projects have since the best timing was taken."""

    plan_id: UUID
    late_percent: Amount
    worth: Amount
    gap_percent: Amount = Field(description="By how much the timing may be short of the best.")
    projects_changed: int
    projects: list[TakenYear]
    kept: list[str] = Field(
        description="Projects that could not be considered, and why; they keep the year they had."
    )
