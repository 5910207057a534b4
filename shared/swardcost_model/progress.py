"""Measured progress of budget lines: tons spread, square feet laid, percent of what has no unit."""

from datetime import date
from typing import Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import Amount, Answer, Day, NonNegative, Request, Text, Timestamp


class MeasureFields(Request):
    """How much was done by a day, all days before it included."""

    measured_on: Day
    done: NonNegative = Field(
        description="Done to date in the line's unit; in percent, at most 100, where the line has no unit.",
        examples=["412.5"],
    )
    correction: bool = Field(
        default=False,
        description="Whether it mends an earlier measure, and so may be smaller; needs a reason.",
    )
    reason: Text = Field(default="", description="Why it is smaller than what was measured earlier.")
    note: Text = ""

    @model_validator(mode="after")
    def _corrections_say_why(self) -> Self:
        if self.correction and not self.reason:
            raise PydanticCustomError("no_reason", "a reason with a correction")
        return self


class NewMeasure(MeasureFields):
    """A measure of a budget line; a line has one on a day."""

    budget_line_id: UUID


class MeasureChange(MeasureFields):
    """What replaces a measure."""


class Measure(Answer):
    """A measure of a budget line."""

    id: UUID
    budget_id: UUID
    budget_line_id: UUID
    line_number: int
    label: str
    measured_on: date
    done: Amount
    unit: str = Field(description="The line's unit, or percent.")
    correction: bool
    reason: str
    note: str
    measured_by: str
    recorded_at: Timestamp
    version: int


class LineProgress(Answer):
    """Where a line stands by its last measure."""

    budget_line_id: UUID
    line_number: int
    label: str
    measured_on: date
    done: Amount
    unit: str
    planned: Amount | None = Field(
        description="Quantity with the adjustments in effect that day; null where the line has no unit."
    )
    percent: Amount | None = Field(
        description="done / planned x 100, rounded half up to 0.0001; null where nothing is planned."
    )


class ProgressState(Answer):
    """Where a budget's measured lines stand on a day; lines without a measure are not in it."""

    budget_id: UUID
    on: date
    lines: list[LineProgress]
    unmeasured: list[int] = Field(description="Numbers of the lines that have no measure by that day.")
