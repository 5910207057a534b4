"""What of a capital plan is not done as dated: deferred, declined, or never dated, and what that costs."""

from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.capital_plans import PlanStatus
from swardcost_model.figures import DerivationStep
from swardcost_model.plan_figures import ProjectDeferral
from swardcost_model.values import Answer, Money

WhyNotDone = Literal["deferred", "declined", "not_dated"]
PutOff = Literal["to_its_year", "one_year", "not_done"]


class ProjectNotDone(Answer):
    """A project that is not done as dated."""

    project_id: UUID
    number: int
    name: str
    why: WhyNotDone
    conditions: str = Field(description="Of the decision.")
    year: int | None = Field(description="As dated.")
    deferred_to: int | None
    put_off: PutOff = Field(
        description="What is counted: until the year it was deferred to; one year, where none is named; or that it is "
        "not done at all."
    )
    deferral: ProjectDeferral | None = Field(
        description="What putting it off costs, from its year as dated, or from the first of the plan where it has "
        "none; null where it is not done at all, has no cost, or was deferred to a year without being dated."
    )
    not_spent: Money | None = Field(
        description="Its cost as dated, where it is in no year of the plan any more; null where it was not dated."
    )
    upkeep: Money | None = Field(
        description="Further upkeep from its year to the last of the plan, where it is declined; null where none is "
        "stated."
    )
    words: str
    derivation: list[DerivationStep] = Field(description="Of the upkeep; a deferral has its own steps.")


class PlanDeferred(Answer):
    """What of a plan is not done as dated, and what that costs."""

    plan_id: UUID
    name: str
    status: PlanStatus
    items: list[ProjectNotDone]
    cost_to_their_years: Money = Field(
        description="Sum of the net costs of what is deferred to a year; below zero where deferring pays."
    )
    cost_of_one_year: Money = Field(
        description="Sum of the net costs of what is put off to no year, for one year."
    )
    not_spent: Money
    upkeep: Money = Field(description="Of what is declined.")
    conclusions: list[str]
    cautions: list[str]
