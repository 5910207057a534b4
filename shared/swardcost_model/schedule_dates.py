"""Taking the days of a schedule into the scope, where rental days, escalation and months come from."""

from datetime import date
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.alternates import MOST_ALTERNATES
from swardcost_model.schedule import Solution, UnscheduledItem
from swardcost_model.values import Answer, Request


class DatesToTake(Request):
    """Which scope items take their days from the schedule."""

    scope_item_ids: Annotated[list[UUID], Field(min_length=1, max_length=2000)] | None = Field(
        default=None, description="Scope items of the project; all that are scheduled if left out."
    )

    alternate_ids: list[UUID] = Field(
        default_factory=list,
        max_length=MOST_ALTERNATES,
        description="Alternates that are taken; their scope items are scheduled with the others.",
    )

    @model_validator(mode="after")
    def _once(self) -> Self:
        named = self.scope_item_ids or []
        if len(set(named)) != len(named):
            raise PydanticCustomError("twice", "each of scope_item_ids once")
        return self


class OwnDays(Answer):
    """Days of a scope item; null where it has those of its project."""

    starts_on: date | None
    ends_on: date | None


class DatedItem(Answer):
    """A scope item that has the days of its task."""

    scope_item_id: UUID
    number: int
    name: str
    before: OwnDays
    after: OwnDays
    changed: bool
    outside_project: bool = Field(description="Whether it is at work before or after the project's days.")
    version: int = Field(description="Version of the scope item, for its next edit.")


class UndatedItem(UnscheduledItem):
    """A scope item without days in the schedule, and why; it keeps what it had."""

    kept: OwnDays


class DatesTaken(Answer):
    """The days of the scope items as they are now. Estimates already made stay as they are."""

    project_id: UUID
    project: str
    project_first_day: date
    project_last_day: date
    items_changed: int
    items: list[DatedItem]
    kept: list[UndatedItem] = Field(description="Scope items that the schedule gives no days.")
    reopens_on: date
    solution: Solution
    cautions: list[str]
