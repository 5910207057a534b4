"""HTTP operations of commitments, receipts and invoices."""

from typing import IO, Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.commitments import (
    Accruals,
    Commitment,
    CommitmentChange,
    CommitmentKind,
    CommitmentMatch,
    CommitmentRegister,
    CommitmentRevision,
    CommitmentStatus,
    CommitmentSummary,
    NewCommitment,
    NewCommitmentRevision,
    StatusChange,
)
from swardcost_model.deliveries import (
    DeliveryVoiding,
    Invoice,
    InvoiceApproval,
    InvoiceKind,
    InvoiceMatch,
    InvoiceRegister,
    InvoiceStatus,
    InvoiceSummary,
    NewInvoice,
    NewReceipt,
    Receipt,
    ReceiptRegister,
    ReceiptsPut,
)
from swardcost_model.paging import Page
from swardcost_model.values import Day, Month

from swardcost_api.commitments import (
    accruals,
    faces,
    invoices,
    matching,
    orders,
    receipt_upload,
    receipts,
    registers,
    revisions,
)
from swardcost_api.commitments.standing import Wanted
from swardcost_api.operations import CLUB, CSV, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Commitments",
    "Purchase orders and contracts by line, delivery tickets and invoices, and the three matched with each other.",
)
BUYERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
BOOKKEEPERS = frozenset({Role.CONTROLLER, Role.OWNER})

COMMITMENTS = CLUB + "/commitments"
COMMITMENT = COMMITMENTS + "/{commitment_id}"
RECEIPTS = CLUB + "/receipts"
RECEIPT = RECEIPTS + "/{receipt_id}"
INVOICES = CLUB + "/invoices"
INVOICE = INVOICES + "/{invoice_id}"

OfBudget = Annotated[UUID | None, Query("Only what belongs to this budget.")]
OfCommitment = Annotated[UUID | None, Query("Only what belongs to this commitment.")]
OfVendor = Annotated[str | None, Query("Only of this vendor, by its name on the commitment; A is a.")]
OfStatus = Annotated[CommitmentStatus | None, Query("Only commitments of this status.", example="open")]
AsOf = Annotated[
    Day | None,
    Query("As it stood at the end of this day; as it stands now if absent.", example="2026-09-30"),
]


@room.create(COMMITMENTS, "Enter a commitment", needs=BUYERS)
def create_commitment(work: UnitOfWork, data: NewCommitment) -> Commitment:
    """A purchase order or contract by line, each under a line of the budget that pays for it."""
    return orders.create_commitment(work, data)


@room.read(COMMITMENTS, "List the commitments")
def list_commitments(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: OfStatus = None,
    kind: Annotated[CommitmentKind | None, Query("Only of this kind.", example="contract")] = None,
) -> Page[CommitmentSummary]:
    """By number."""
    wanted = Wanted(budget_id=budget_id, vendor=vendor, status=status, kind=kind)
    return orders.list_commitments(work, limit, cursor, wanted)


@room.read(COMMITMENT, "Read a commitment")
def read_commitment(work: UnitOfWork, commitment_id: UUID) -> Commitment:
    return orders.read_commitment(work, commitment_id)


@room.edit(COMMITMENT, "Edit a commitment", needs=BUYERS)
def change_commitment(
    work: UnitOfWork, commitment_id: UUID, data: CommitmentChange, if_match: int
) -> Commitment:
    """Its title, vendor in the catalog, retainage and tolerance. Its lines are changed by revisions."""
    return orders.change_commitment(work, commitment_id, data, if_match)


@room.create(
    COMMITMENT + "/revisions", "Revise a commitment", needs=BUYERS,
    problems=[problems.WRONG_STATE, problems.STALE_VERSION], collection=COMMITMENTS,
)  # fmt: skip
def revise_commitment(work: UnitOfWork, commitment_id: UUID, data: NewCommitmentRevision) -> Commitment:
    """Complete lines, in force from a day on. Less than was received or billed needs a reason of its own."""
    return revisions.revise(work, commitment_id, data)


@room.read(COMMITMENT + "/revisions", "List the revisions of a commitment")
def list_commitment_revisions(
    work: UnitOfWork, commitment_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[CommitmentRevision]:
    return revisions.list_revisions(work, commitment_id, limit, cursor)


@room.act(COMMITMENT + "/close", "Close a commitment", needs=BUYERS, problems=[problems.WRONG_STATE])
def close_commitment(work: UnitOfWork, commitment_id: UUID, data: StatusChange) -> Commitment:
    """What is still to come is released. What was received and not billed stays an accrual."""
    return revisions.close(work, commitment_id, data)


@room.act(COMMITMENT + "/cancel", "Cancel a commitment", needs=BUYERS, problems=[problems.WRONG_STATE])
def cancel_commitment(work: UnitOfWork, commitment_id: UUID, data: StatusChange) -> Commitment:
    """While nothing was received or billed."""
    return revisions.cancel(work, commitment_id, data)


@room.act(COMMITMENT + "/reopen", "Reopen a commitment", needs=BUYERS, problems=[problems.WRONG_STATE])
def reopen_commitment(work: UnitOfWork, commitment_id: UUID, data: StatusChange) -> Commitment:
    return revisions.reopen(work, commitment_id, data)


@room.read(COMMITMENT + "/match", "Match a commitment three ways")
def match_commitment(work: UnitOfWork, commitment_id: UUID, on: AsOf = None) -> CommitmentMatch:
    """Ordered, received and billed by line, with every difference named in quantity, money and words."""
    return matching.commitment_match(work, commitment_id, on)


@room.read(CLUB + "/commitment-register", "Register of commitments", faces=[Face(CSV, faces.commitment_csv)])
def read_commitment_register(
    work: UnitOfWork,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: Annotated[
        CommitmentStatus | None, Query("Only commitments that have this status now.", example="open")
    ] = None,
    on: AsOf = None,
) -> CommitmentRegister:
    """Every commitment with what was ordered, received, billed and held back, and what is still to come."""
    wanted = Wanted(budget_id=budget_id, vendor=vendor, status=status)
    return registers.commitment_register(work, wanted, on)


@room.create(
    COMMITMENT + "/receipts", "Enter a delivery ticket", needs=BUYERS, problems=[problems.WRONG_STATE],
    collection=RECEIPTS,
)  # fmt: skip
def receive_goods(work: UnitOfWork, commitment_id: UUID, data: NewReceipt) -> Receipt:
    """In any unit of the order's kind, or in loads where it is stated what one holds. More than was ordered is taken,
    and named by the match."""
    return receipts.receive(work, commitment_id, data)


@room.create(
    COMMITMENT + "/receipts/upload", "Enter delivery tickets from a CSV file", needs=BUYERS, upload=True,
    problems=[problems.BAD_ROWS, problems.WRONG_STATE], collection=RECEIPTS,
)  # fmt: skip
def upload_receipts(work: UnitOfWork, commitment_id: UUID, upload: IO[bytes]) -> ReceiptsPut:
    """The columns ticket, date, line, quantity and unit, and perhaps note, per_load (in the order's unit) and kind
    (delivery or return).

    A line of a ticket that says the same as one that stands adds nothing; one that says otherwise is refused, and
    nothing is entered.
    """
    return receipt_upload.upload_receipts(work, commitment_id, upload)


@room.read(RECEIPTS, "List the receipts")
def list_receipts(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    commitment_id: OfCommitment = None,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: OfStatus = None,
    voided: Annotated[bool | None, Query("Only void receipts, or only those that count.")] = None,
) -> Page[Receipt]:
    """By the day on which the goods came or went back."""
    wanted = receipts.ReceiptFilter(_wanted(commitment_id, budget_id, vendor, status), voided)
    return receipts.list_receipts(work, limit, cursor, wanted)


@room.read(CLUB + "/receipt-register", "Register of receipts", faces=[Face(CSV, faces.receipt_csv)])
def read_receipt_register(
    work: UnitOfWork,
    commitment_id: OfCommitment = None,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: OfStatus = None,
    voided: Annotated[bool | None, Query("Only void receipts, or only those that count.")] = None,
) -> ReceiptRegister:
    """Every ticket with its lines as written and as counted in the order's unit."""
    wanted = receipts.ReceiptFilter(_wanted(commitment_id, budget_id, vendor, status), voided)
    return receipts.receipt_register(work, wanted)


@room.read(RECEIPT, "Read a receipt")
def read_receipt(work: UnitOfWork, receipt_id: UUID) -> Receipt:
    return receipts.read_receipt(work, receipt_id)


@room.act(RECEIPT + "/void", "Void a receipt", needs=BUYERS, problems=[problems.WRONG_STATE])
def void_receipt(work: UnitOfWork, receipt_id: UUID, data: DeliveryVoiding) -> Receipt:
    """It counts for nothing from then on, whatever the day, and its ticket can be entered again."""
    return receipts.void_receipt(work, receipt_id, data)


@room.create(
    COMMITMENT + "/invoices", "Enter an invoice", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE],
    collection=INVOICES,
)  # fmt: skip
def enter_invoice(work: UnitOfWork, commitment_id: UUID, data: NewInvoice) -> Invoice:
    """An invoice, a credit note or a release of retainage. Retainage is withheld by the commitment's percentage of
    what was ordered, unless it is stated. Differences are named by the match, not refused."""
    return invoices.enter_invoice(work, commitment_id, data)


@room.read(INVOICES, "List the invoices")
def list_invoices(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    commitment_id: OfCommitment = None,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: Annotated[InvoiceStatus | None, Query("Only invoices of this status.", example="entered")] = None,
    kind: Annotated[InvoiceKind | None, Query("Only of this kind.", example="credit_note")] = None,
) -> Page[InvoiceSummary]:
    """By the day of the invoice."""
    wanted = invoices.InvoiceFilter(_wanted(commitment_id, budget_id, vendor, None), status, kind)
    return invoices.list_invoices(work, limit, cursor, wanted)


@room.read(CLUB + "/invoice-register", "Register of invoices", faces=[Face(CSV, faces.invoice_csv)])
def read_invoice_register(
    work: UnitOfWork,
    commitment_id: OfCommitment = None,
    budget_id: OfBudget = None,
    vendor: OfVendor = None,
    status: Annotated[InvoiceStatus | None, Query("Only invoices of this status.", example="entered")] = None,
    kind: Annotated[InvoiceKind | None, Query("Only of this kind.", example="credit_note")] = None,
) -> InvoiceRegister:
    """Every invoice with what it asks to be paid, how it matches, and its differences in words."""
    wanted = invoices.InvoiceFilter(_wanted(commitment_id, budget_id, vendor, None), status, kind)
    return registers.invoice_register(work, wanted)


@room.read(INVOICE, "Read an invoice")
def read_invoice(work: UnitOfWork, invoice_id: UUID) -> Invoice:
    return invoices.read_invoice(work, invoice_id)


@room.read(INVOICE + "/match", "Match an invoice three ways")
def match_invoice(work: UnitOfWork, invoice_id: UUID) -> InvoiceMatch:
    """Its quantities with the invoices dated before it against order and receipts; its prices against the order's."""
    return matching.invoice_match(work, invoice_id)


@room.act(INVOICE + "/approve", "Approve an invoice", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def approve_invoice(work: UnitOfWork, invoice_id: UUID, data: InvoiceApproval) -> Invoice:
    """One that differs beyond the tolerance needs a reason, which is kept with the differences."""
    return matching.approve_invoice(work, invoice_id, data)


@room.act(INVOICE + "/void", "Void an invoice", needs=BOOKKEEPERS, problems=[problems.WRONG_STATE])
def void_invoice(work: UnitOfWork, invoice_id: UUID, data: DeliveryVoiding) -> Invoice:
    """It counts for nothing from then on, whatever the day, and its number can be entered again."""
    return invoices.void_invoice(work, invoice_id, data)


@room.read(
    CLUB + "/budgets/{budget_id}/accruals", "Accruals of a budget", faces=[Face(CSV, faces.accrual_csv)]
)
def read_accruals(
    work: UnitOfWork,
    budget_id: UUID,
    through: Annotated[Month | None, Query("Last month; this one if absent.", example="2026-10")] = None,
) -> Accruals:
    """At each month end: received and not invoiced, invoiced and not in the accounts, retainage held."""
    return accruals.read_accruals(work, budget_id, through)


def _wanted(
    commitment_id: UUID | None, budget_id: UUID | None, vendor: str | None, status: CommitmentStatus | None
) -> Wanted:
    ids = None if commitment_id is None else [commitment_id]
    return Wanted(ids, budget_id, vendor, status)
