"""Comparisons: several estimates of the same need side by side, and what each of them leaves out."""

from datetime import date
from enum import StrEnum
from typing import Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.estimate_bridge import EstimateBridge
from swardcost_model.estimates import EstimateStatus
from swardcost_model.figures import DerivationStep
from swardcost_model.values import Amount, Answer, Money, Name, Request, Text, Value


class Alternative(Value):
    """One of the ways that are compared: an estimate, and what its figures cannot tell."""

    label: Name = Field(examples=["Contractor cores the greens"])
    estimate_id: UUID
    days_closed: int | None = Field(
        default=None, ge=0, le=3660, strict=True,
        description="Days that the course is closed, where somebody knows better; null to count the days of its work.",
    )  # fmt: skip
    leaves_out: list[Text] = Field(
        default_factory=list,
        max_length=50,
        description="What this alternative does not do or does not count, in words, beside what is found.",
        examples=[["Thatch below three inches stays where it is."]],
    )
    note: Text = ""


class ComparisonFields(Request):
    """What is compared and why. The first alternative is the one that the others are held against."""

    name: Name = Field(examples=["Greens in autumn 2027"])
    question: Text = Field(
        default="", examples=["Does the contractor's machine pay for one closure of three weeks?"]
    )
    alternatives: list[Alternative] = Field(min_length=2, max_length=6)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        for what, values in (
            ("estimate", [one.estimate_id for one in self.alternatives]),
            ("label", [one.label for one in self.alternatives]),
        ):
            if len(set(values)) < len(values):
                raise PydanticCustomError("alternative_twice", "each {what} once", {"what": what})
        return self


class NewComparison(ComparisonFields):
    """A comparison to be kept."""


class ComparisonChange(ComparisonFields):
    """The comparison as it should be from now on."""


class Comparison(ComparisonFields):
    """A comparison as it was put together; its figures are read apart."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


class DaysClosed(Answer):
    """How long the course is closed, and how that is known."""

    days: int
    first_day: date | None = Field(description="First day of work; null where the days were stated.")
    last_day: date | None
    words: str = Field(examples=["Days from first to last day of each scope item, each day once."])


class LeftOutKind(StrEnum):
    """How it is known that something is left out."""

    SCOPE = "scope"
    AREA = "area"
    GAP = "gap"
    EXCLUSION = "exclusion"
    STATED = "stated"


class LeftOut(Answer):
    """Something that an alternative does not do or count, and how that is known."""

    kind: LeftOutKind = Field(
        description="`scope`: work that another alternative does; `area`: areas that another works on; `gap`: it makes "
        "the estimate incomplete; `exclusion`: the basis of the estimate says so; `stated`: the comparison says so."
    )
    words: str
    cost_elsewhere: Money | None = Field(
        description="What the work costs, before markups, in the first alternative that has it; for `scope` alone."
    )


class SimulatedCost(Answer):
    """What the latest simulation of an estimate says of its cost and its reopening."""

    simulation_id: UUID
    trials: int
    seed: int
    mean: Money
    p10: Money
    p50: Money
    p80: Money
    p90: Money
    chance_percent: Amount = Field(
        description="Percent of the trials in which the estimate's own total is enough."
    )
    reopens_p80: date | None = Field(
        description="The day on which the course is open again in 80 of 100 trials; null where it was not simulated."
    )


class AlternativeFigures(Answer):
    """An alternative in figures."""

    label: str
    note: str
    estimate_id: UUID
    number: int
    revision: int
    estimate: str = Field(description="Name of the estimate.")
    project_id: UUID
    status: EstimateStatus
    superseded: bool = Field(
        description="Whether a later revision was issued, which this comparison does not show."
    )
    complete: bool
    total: Money
    cash_total: Money
    low_total: Money
    high_total: Money
    more_than_first: Money = Field(description="Its total less that of the first alternative.")
    more_cash_than_first: Money
    days_closed: DaysClosed
    area_worked: DerivationStep | None = Field(description="Ground that is worked on, each area once.")
    area_touched: DerivationStep | None = Field(
        description="Surface that tools touch, the sum of all passes."
    )
    sand: DerivationStep | None
    trips: DerivationStep | None
    labor_hours: DerivationStep | None
    machine_hours: DerivationStep | None
    risk: SimulatedCost | None = Field(description="Null where the estimate was not simulated.")
    leaves_out: list[LeftOut]
    differences: EstimateBridge | None = Field(
        description="From the first alternative to this one, line by line; null for the first itself."
    )


class ComparisonFigures(Answer):
    """Alternatives side by side. A figure that an estimate does not have is null, which is not zero."""

    comparison_id: UUID
    name: str
    question: str
    alternatives: list[AlternativeFigures]
    conclusions: list[str] = Field(
        description="What the figures say, in words: the least in each respect, and what speaks against comparing."
    )
    cautions: list[str]
