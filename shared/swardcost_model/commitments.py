"""Commitments: purchase orders and contracts by line, their revisions, and the order, its receipts and its invoices
matched three ways."""

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import (
    Account,
    Amount,
    Answer,
    Day,
    Money,
    Month,
    Name,
    NonNegative,
    Percent,
    Quantity,
    Request,
    Text,
    Timestamp,
    UnitName,
    Value,
)


class CommitmentKind(StrEnum):
    """What binds the club."""

    PURCHASE_ORDER = "purchase_order"
    CONTRACT = "contract"


class CommitmentStatus(StrEnum):
    """An open commitment takes receipts and invoices; what is to come of a closed or cancelled one is released."""

    OPEN = "open"
    CLOSED = "closed"
    CANCELLED = "cancelled"


Reason = Annotated[Text, StringConstraints(min_length=1)]
CommitmentNumber = Annotated[Name, StringConstraints(max_length=60), Field(examples=["PO-2026-014"])]
LineNumber = Annotated[int, Field(ge=1, le=9999)]
_LINES = Field(min_length=1, max_length=500)


class Tolerance(Value):
    """How far apart is still a match: a difference is tolerated within its percentage, or up to the amount.

    Exactly at the tolerance is within.
    """

    quantity_percent: Percent = Field(
        default=Decimal(0), description="Of the quantity that it is compared with."
    )
    price_percent: Percent = Field(default=Decimal(0), description="Of the price ordered.")
    tax_percent: Percent = Field(
        default=Decimal(0),
        description="What may be billed beside the ordered lines, such as sales tax, of what those lines are billed.",
    )
    amount: NonNegative = Field(
        default=Decimal(0), description="In the club's currency, whatever the percentage."
    )


class OrderedLineFields(Value):
    """A line to be ordered. A lump sum has the unit `lump_sum` and the quantity 1."""

    number: LineNumber
    budget_line_id: UUID = Field(description="Line of the commitment's budget that pays for it.")
    description: Name = Field(examples=["Topdressing sand, washed"])
    quantity: NonNegative
    unit: UnitName = Field(examples=["short_ton"])
    unit_price: NonNegative = Field(description="In the club's currency.")
    per_load: Quantity | None = Field(
        default=None, description="What one load of it holds, for tickets that count loads."
    )
    expected_month: Month

    @model_validator(mode="after")
    def _a_lump_sum_is_one(self) -> Self:
        if self.unit == "lump_sum" and self.quantity not in (0, 1):
            raise PydanticCustomError("lump_sum", "a lump sum in the quantity 1 (or 0 where it is given up)")
        return self


def _each_number_once(lines: list[OrderedLineFields]) -> None:
    numbers = [line.number for line in lines]
    if len(set(numbers)) < len(numbers):
        raise PydanticCustomError("line_twice", "each line number once")


class NewCommitment(Request):
    """A purchase order or contract that the club has signed."""

    number: CommitmentNumber = Field(description="Number on the order or contract, used once by the club.")
    kind: CommitmentKind
    vendor: Name = Field(
        examples=["Alder Creek Sand and Gravel"], description="As it writes itself on invoices."
    )
    vendor_id: UUID | None = Field(default=None, description="The vendor in the catalog, if it is there.")
    budget_id: UUID
    title: Name = Field(examples=["Sand for the autumn closure"])
    signed_on: Day
    retainage_percent: Percent = Field(default=Decimal(0), le=Decimal(100))
    tolerance: Tolerance = Field(default_factory=Tolerance)
    note: Text = ""
    lines: list[OrderedLineFields] = _LINES

    @model_validator(mode="after")
    def _lines_differ(self) -> Self:
        _each_number_once(self.lines)
        return self


class CommitmentChange(Request):
    """What is not on the lines, as it should be from now on; invoices entered already stay as they are."""

    title: Name
    vendor_id: UUID | None = None
    retainage_percent: Percent = Field(default=Decimal(0), le=Decimal(100))
    tolerance: Tolerance = Field(default_factory=Tolerance)
    note: Text = ""


class NewCommitmentRevision(Request):
    """The complete lines as they should be from a day on.

    Lines keep their numbers; one that was received or billed may come down to what it was, but not go away.
    """

    revises: int = Field(ge=1, le=100_000, description="The revision that this one was made from.")
    made_on: Day
    reason: Reason
    adjustment_number: int | None = Field(
        default=None, ge=1, le=1_000_000, description="Budget adjustment that pays for it."
    )
    accept_less: Reason | None = Field(
        default=None, description="Why less is ordered than was received or billed already."
    )
    lines: list[OrderedLineFields] = _LINES

    @model_validator(mode="after")
    def _lines_differ(self) -> Self:
        _each_number_once(self.lines)
        return self


class StatusChange(Request):
    """Closing, cancelling or reopening, with the reason."""

    reason: Reason
    since: Day | None = Field(
        default=None,
        description="First day of the new status; today if absent, or the day of the status before if that is later.",
    )


class OrderedLine(Answer):
    """An ordered line; quantity x unit price, rounded half up, is the amount."""

    number: int
    budget_line_id: UUID
    description: str
    quantity: Amount
    unit: str
    unit_price: Money
    amount: Money
    per_load: Quantity | None
    expected_month: Month


class CommitmentSummary(Answer):
    """A commitment in a line."""

    id: UUID
    number: str
    kind: CommitmentKind
    vendor: str
    vendor_id: UUID | None
    budget_id: UUID
    title: str
    signed_on: date
    status: CommitmentStatus
    revision: int
    ordered: Money
    version: int


class StatusEntry(Answer):
    """When and why a commitment was closed, cancelled or reopened."""

    status: CommitmentStatus
    since: date
    reason: str
    actor: str
    created_at: Timestamp


class Commitment(CommitmentSummary):
    """A commitment with its lines as they are now."""

    retainage_percent: Amount
    tolerance: Tolerance
    note: str
    lines: list[OrderedLine]
    statuses: list[StatusEntry]
    created_at: Timestamp


class CommitmentRevision(Answer):
    """A state of the lines, in force from `made_on`."""

    revision: int
    made_on: date
    reason: str
    accept_less: str | None
    adjustment_number: int | None
    ordered: Money
    actor: str
    created_at: Timestamp
    lines: list[OrderedLine]


class GapKind(StrEnum):
    """What can be different between an order, its receipts and its invoices."""

    BILLED_MORE_THAN_RECEIVED = "billed_more_than_received"
    BILLED_MORE_THAN_ORDERED = "billed_more_than_ordered"
    RECEIVED_MORE_THAN_ORDERED = "received_more_than_ordered"
    RECEIVED_NOT_BILLED = "received_not_billed"
    PRICE_ABOVE_ORDER = "price_above_order"
    PRICE_BELOW_ORDER = "price_below_order"
    NOT_ORDERED = "not_ordered"


class MatchStatus(StrEnum):
    """Whether everything agrees within the tolerance."""

    MATCHED = "matched"
    DIFFERS = "differs"


class MatchDifference(Answer):
    """A named difference; quantity and amount are above zero."""

    kind: GapKind
    line_number: int | None = Field(description="The ordered line, or null for what was not ordered.")
    quantity: Amount | None
    unit: str | None
    amount: Money
    within_tolerance: bool
    words: str = Field(examples=["line 1: billed 4.00 short tons more than received: 162.00"])


class MatchedLine(Answer):
    """An ordered line three ways. Values are quantities at the order's price; differences are taken between values:
    ordered + over_delivered + price_difference = billed + received_not_billed + to_come."""

    number: int
    budget_line_id: UUID
    description: str
    unit: str
    unit_price: Money
    ordered_quantity: Amount
    ordered: Money
    received_quantity: Amount
    received: Money
    billed_quantity: Amount
    billed: Money
    received_not_billed: Money
    to_come: Money = Field(description="Ordered, not received and not billed, whatever the status.")
    over_delivered: Money = Field(description="Received or billed beyond what was ordered.")
    price_difference: Money = Field(
        description="Billed less its quantity at the order's price; with many invoices, cents of rounding too."
    )
    status: MatchStatus
    differences: list[MatchDifference]


class NotOrderedLine(Answer):
    """What was billed to a budget line without having been ordered: tax, freight, extras."""

    budget_line_id: UUID
    billed: Money


class CommitmentMatch(Answer):
    """A commitment three ways, by line and in all."""

    commitment_id: UUID
    number: str
    vendor: str
    as_of: date | None
    status: MatchStatus
    ordered: Money
    received: Money
    billed: Money = Field(description="By all invoices and credit notes, what was not ordered included.")
    not_ordered: Money
    retainage_held: Money
    to_pay: Money = Field(description="Billed less retainage held: what was asked to be paid so far.")
    received_not_billed: Money
    to_come: Money
    released: Money = Field(description="What is to come no more, because it was closed or cancelled.")
    lines: list[MatchedLine]
    lines_not_ordered: list[NotOrderedLine]
    differences: list[str] = Field(description="Every difference in words, by line.")
    derivation: list[str]


class CommitmentRegisterRow(Answer):
    """A line of the register of commitments."""

    number: str
    kind: CommitmentKind
    vendor: str
    title: str
    budget_id: UUID
    signed_on: date
    status: CommitmentStatus
    ordered: Money
    received: Money
    billed: Money
    retainage_held: Money
    received_not_billed: Money
    open: Money = Field(description="Still to come; nothing of one that is closed or cancelled.")
    match: MatchStatus


class CommitmentRegister(Answer):
    """The commitments with their sums."""

    as_of: date | None
    rows: list[CommitmentRegisterRow]
    ordered: Money
    received: Money
    billed: Money
    retainage_held: Money
    received_not_billed: Money
    open: Money


class AccrualKind(StrEnum):
    """Why an amount belongs to a month that the accounts do not show yet."""

    RECEIVED_NOT_INVOICED = "received_not_invoiced"
    INVOICED_NOT_POSTED = "invoiced_not_posted"
    RETAINAGE_HELD = "retainage_held"


class AccrualRow(Answer):
    """An accrual as it stands at the end of a month."""

    month: Month
    kind: AccrualKind
    budget_line_id: UUID
    line: int = Field(description="Number of the budget line.")
    label: str = Field(description="What the budget line is called.")
    account: Account | None
    commitment_number: str
    vendor: str
    amount: Money


class Accruals(Answer):
    """Accruals at month ends. They are balances: next month's stands in place of this month's, and is not added."""

    budget_id: UUID
    through: Month
    rows: list[AccrualRow]
    derivation: list[str]
