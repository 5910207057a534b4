"""Receipts and invoices of commitments: delivery tickets, goods returned, bills, credit notes, retainage paid out."""

from datetime import date
from enum import StrEnum
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.commitments import LineNumber, MatchDifference, MatchStatus, Reason
from swardcost_model.values import (
    Amount,
    Answer,
    Day,
    Money,
    Name,
    NonNegative,
    Positive,
    Quantity,
    Request,
    Text,
    Timestamp,
    UnitName,
    Value,
)


class ReceiptKind(StrEnum):
    """Goods that came, or that went back."""

    DELIVERY = "delivery"
    RETURN = "return"


Ticket = Annotated[Name, StringConstraints(max_length=100), Field(examples=["T-48812"])]
InvoiceNumber = Annotated[Name, StringConstraints(max_length=100), Field(examples=["INV-20931"])]


class ReceivedLineFields(Value):
    """A line of a ticket, in any unit of the order's kind; a ticket that counts loads needs to know what one holds."""

    line_number: LineNumber
    quantity: Positive
    unit: UnitName = Field(examples=["short_ton"])
    per_load: Quantity | None = Field(
        default=None, description="What one load held; the order's own figure if absent."
    )


class NewReceipt(Request):
    """A delivery ticket, or goods returned. A ticket number is used once in a commitment."""

    ticket: Ticket
    kind: ReceiptKind = ReceiptKind.DELIVERY
    received_on: Day
    note: Text = ""
    lines: list[ReceivedLineFields] = Field(min_length=1, max_length=200)

    @model_validator(mode="after")
    def _each_line_once(self) -> Self:
        numbers = [line.line_number for line in self.lines]
        if len(set(numbers)) < len(numbers):
            raise PydanticCustomError("line_twice", "each ordered line once")
        return self


class ReceivedLine(Answer):
    """A line of a ticket as written, and what counts of it in the order's unit, below zero for a return."""

    line_number: int
    quantity: Amount
    unit: str
    per_load: Quantity | None
    counted: Amount
    counted_unit: str


class Receipt(Answer):
    """A ticket that was entered. A voided one counts for nothing."""

    id: UUID
    commitment_id: UUID
    commitment_number: str
    vendor: str
    ticket: str
    kind: ReceiptKind
    received_on: date
    note: str
    lines: list[ReceivedLine]
    actor: str
    created_at: Timestamp
    voided_at: Timestamp | None
    voided_by: str | None
    void_reason: str | None


class ReceiptsPut(Answer):
    """What an upload of tickets added. Lines that were known already add nothing."""

    receipts_added: int
    lines_added: int
    lines_known: int


class ReceiptRegister(Answer):
    """All tickets that were asked for, in the order of their days."""

    receipts: list[Receipt]


class InvoiceKind(StrEnum):
    """A bill, a correction in the club's favour, or a bill for retainage."""

    INVOICE = "invoice"
    CREDIT_NOTE = "credit_note"
    RETAINAGE_RELEASE = "retainage_release"


class InvoiceStatus(StrEnum):
    """Where an invoice stands; a void one counts for nothing."""

    ENTERED = "entered"
    APPROVED = "approved"
    VOID = "void"


class InvoiceLineFields(Value):
    """A billed line: of an ordered line, or without one (tax, freight, an extra) and then of a budget line.

    With quantity and unit price their product is the amount; an amount alone is for what was not ordered, for parts
    of a lump sum, and for a price put right by a credit note.
    """

    line_number: LineNumber | None = Field(default=None, description="The ordered line.")
    budget_line_id: UUID | None = Field(default=None, description="The budget line of what was not ordered.")
    description: Name
    quantity: Positive | None = Field(default=None, description="In the order's unit.")
    unit_price: NonNegative | None = None
    amount: NonNegative | None = Field(
        default=None, description="Left out, it is quantity x unit price, half up."
    )

    @model_validator(mode="after")
    def _one_line_and_one_sum(self) -> Self:
        if (self.line_number is None) == (self.budget_line_id is None):
            raise PydanticCustomError("one_line", "exactly one of line_number and budget_line_id")
        if (self.quantity is None) != (self.unit_price is None):
            raise PydanticCustomError("half_a_product", "quantity and unit_price together, or neither")
        if self.quantity is None and self.amount is None:
            raise PydanticCustomError("no_amount", "quantity and unit_price, or an amount")
        return self


class NewInvoice(Request):
    """An invoice or credit note by line, in amounts above zero; or a release of retainage by its amount."""

    number: InvoiceNumber = Field(description="The vendor's number, used once by it.")
    kind: InvoiceKind = InvoiceKind.INVOICE
    invoiced_on: Day
    due_on: Day | None = None
    retainage: NonNegative | None = Field(
        default=None,
        description="Withheld from an invoice, given back by a credit note, paid out by a release. Left out, it is the "
        "commitment's percentage of the ordered lines, and all that is held for a release.",
    )
    note: Text = ""
    lines: list[InvoiceLineFields] = Field(default_factory=list, max_length=200)

    @model_validator(mode="after")
    def _lines_as_the_kind_has_them(self) -> Self:
        if (self.kind is InvoiceKind.RETAINAGE_RELEASE) == bool(self.lines):
            raise PydanticCustomError(
                "lines_of_kind", "lines, except for a release of retainage, which has none"
            )
        if self.due_on is not None and self.due_on < self.invoiced_on:
            raise PydanticCustomError("dates_reversed", "due_on on or after invoiced_on")
        return self


class InvoiceLine(Answer):
    """A billed line, below zero on a credit note; `withheld` below zero is given back or paid out."""

    number: int
    line_number: int | None
    budget_line_id: UUID | None = Field(description="Of what was not ordered; else the ordered line has it.")
    description: str
    quantity: Amount | None
    unit_price: Money | None
    amount: Money
    withheld: Money


class InvoiceSummary(Answer):
    """An invoice in a line. Billed less withheld is what it asks to be paid."""

    id: UUID
    commitment_id: UUID
    commitment_number: str
    vendor: str
    number: str
    kind: InvoiceKind
    status: InvoiceStatus
    invoiced_on: date
    due_on: date | None
    billed: Money
    withheld: Money
    to_pay: Money


class Invoice(InvoiceSummary):
    """An invoice with its lines."""

    note: str
    lines: list[InvoiceLine]
    actor: str
    created_at: Timestamp
    decided_by: str | None = Field(description="Who approved or voided it.")
    decided_at: Timestamp | None
    reason: str | None
    accepted_differences: list[str] = Field(description="What was different when it was approved, in words.")


class InvoiceMatch(Answer):
    """An invoice three ways: its lines against the order and all receipts, with the invoices before it."""

    invoice_id: UUID
    number: str
    status: MatchStatus
    differences: list[MatchDifference]
    derivation: list[str]


class InvoiceRegisterRow(InvoiceSummary):
    """A line of the register of invoices."""

    match: MatchStatus | None = Field(description="Null for a void invoice and a release of retainage.")
    differences: list[str]


class InvoiceRegister(Answer):
    """All invoices that were asked for, in the order of their days, and the sums of those that stand."""

    rows: list[InvoiceRegisterRow]
    billed: Money
    withheld: Money
    to_pay: Money


class InvoiceApproval(Request):
    """Approval of an invoice; one that differs beyond the tolerance needs a reason."""

    reason: Reason | None = None


class DeliveryVoiding(Request):
    """Why a receipt or an invoice counts for nothing from now on."""

    reason: Reason
