"""Adjustments: numbered changes to a budget that balance, who may approve them, and the log of contingency."""

from datetime import date
from enum import StrEnum
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.access import Role
from swardcost_model.values import (
    Account,
    Amount,
    Answer,
    Day,
    Money,
    Month,
    Name,
    Request,
    Text,
    Timestamp,
    UnitName,
    Value,
)


class AdjustmentKind(StrEnum):
    """What an adjustment does, which says how its entries must balance."""

    TRANSFER = "transfer"
    ADDITION = "addition"
    REDUCTION = "reduction"
    CONTINGENCY_DRAW = "contingency_draw"
    CHANGE_ORDER = "change_order"


class AdjustmentStatus(StrEnum):
    """Where an adjustment stands. Only a proposed one can be decided; an approved one never changes."""

    PROPOSED = "proposed"
    APPROVED = "approved"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


class LineToOpen(Value):
    """A budget line that an adjustment opens when it is approved."""

    label: Name = Field(examples=["Pump station repair"])
    account: Account | None = None
    unit: UnitName | None = Field(default=None, description="Unit of its quantity, where it has one.")


class NewEntry(Value):
    """Money to or from one month of a budget line, or of a line to be opened."""

    budget_line_id: UUID | None = None
    new_line: Annotated[int, Field(ge=1)] | None = Field(
        default=None, description="Which of `new_lines`, counted from 1, instead of a budget line."
    )
    month: Month
    amount: Money = Field(description="Positive adds to the line, negative takes from it.")
    quantity: Amount | None = Field(
        default=None, description="How much more or less is planned, in the line's unit."
    )

    @model_validator(mode="after")
    def _one_line(self) -> Self:
        if (self.budget_line_id is None) == (self.new_line is None):
            raise PydanticCustomError("one_line", "exactly one of budget_line_id and new_line")
        return self


class NewAdjustment(Request):
    """An adjustment to be proposed.

    A transfer and a contingency draw sum to zero; an addition only adds, a reduction only takes; a change order may do
    both, and may be paid in part out of contingency.
    """

    kind: AdjustmentKind
    effective_on: Day = Field(description="Day from which it counts, once approved.")
    reason: Text = Field(min_length=1)
    reference: Annotated[Text, Field(max_length=200)] = Field(
        default="", description="Minutes, letter or change order of others that it rests on."
    )
    commitment_id: UUID | None = Field(
        default=None, description="The purchase order or contract that it follows from."
    )
    unplanned: bool = Field(
        default=False,
        description="Work that nobody could plan; has limits of approval of its own. Only for a contingency draw or a "
        "change order.",
    )
    new_lines: list[LineToOpen] = Field(default_factory=list, max_length=50)
    entries: list[NewEntry] = Field(min_length=1, max_length=1000)


class AdjustmentDecision(Request):
    """A decision on an adjustment, with an optional note for the minutes."""

    note: Text = ""


class AdjustmentEntry(Answer):
    """Money to or from one month of a line."""

    budget_line_id: UUID | None = Field(description="Null while the line is still to be opened.")
    line_number: int | None
    new_line: int | None = Field(description="Which of `new_lines` it is, counted from 1.")
    label: str
    month: Month
    amount: Money
    quantity: Amount | None
    unit: str | None


class AdjustmentSummary(Answer):
    """An adjustment, without its entries."""

    id: UUID
    budget_id: UUID
    number: int
    kind: AdjustmentKind
    status: AdjustmentStatus
    effective_on: date
    reason: str
    reference: str
    commitment_id: UUID | None
    unplanned: bool
    amount: Money = Field(
        description="What the approver's limit is held against: the sum of what it adds, or of what it takes if more."
    )
    net: Money = Field(description="What it changes in the budget's total: zero if it balances.")
    proposed_by: str
    proposed_at: Timestamp
    decided_by: str | None
    decided_at: Timestamp | None
    decision_note: str | None


class Adjustment(AdjustmentSummary):
    """An adjustment with its entries and the lines it opens."""

    new_lines: list[LineToOpen]
    entries: list[AdjustmentEntry]


Approver = Literal[Role.OWNER, Role.SUPERINTENDENT, Role.CONTROLLER, Role.COMMITTEE]
"""A role that can be given a limit of approval."""


class ApprovalLimit(Value):
    """How large an adjustment a role may approve."""

    role: Approver
    up_to: Money | None = Field(description="Largest amount, itself included; null for any amount.")
    emergency_up_to: Money | None = Field(
        default=None, description="Largest amount of unplanned work; null for the same as `up_to`."
    )


class ApprovalLimitsChange(Request):
    """Who may approve what. A role that is not named approves nothing."""

    limits: list[ApprovalLimit] = Field(min_length=1, max_length=4)
    another_person: bool = Field(
        default=False, description="Whether whoever proposed an adjustment may not approve it."
    )

    @model_validator(mode="after")
    def _each_role_once(self) -> Self:
        roles = [limit.role for limit in self.limits]
        if len(set(roles)) != len(roles):
            raise PydanticCustomError("role_twice", "each role once")
        return self


class ApprovalLimits(Answer):
    """Who may approve what, as it is now."""

    limits: list[ApprovalLimit]
    another_person: bool
    version: int


class ContingencyMove(Answer):
    """An adjustment that took from contingency or gave to it, and what was left after it."""

    adjustment_id: UUID
    adjustment_number: int
    kind: AdjustmentKind
    effective_on: date
    reason: str
    reference: str
    unplanned: bool
    given_to: list[str] = Field(description="Labels of the other lines that it gives to or takes from.")
    amount: Money = Field(description="Negative for a draw, positive for what came back or was added.")
    balance: Money = Field(description="Contingency left after it.")
    proposed_by: str
    approved_by: str
    approved_at: Timestamp


class ContingencyLog(Answer):
    """The contingency of a budget: what there was, every move, and what is left."""

    budget_id: UUID
    opening: Money
    moves: list[ContingencyMove] = Field(
        description="By the day from which they count; on one day what adds comes first."
    )
    drawn: Money
    returned: Money = Field(description="What came back or was added.")
    left: Money = Field(description="opening - drawn + returned.")
    percent_left: Amount | None = Field(
        description="left / opening x 100, rounded half up to 0.1; null without an opening."
    )
    pending: Money = Field(
        description="What proposed adjustments would change; not in any other figure here."
    )
