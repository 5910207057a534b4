"""Purchase orders and contracts, delivery tickets, and invoices."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from uuid import UUID

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

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"
_COMMITMENTS = _CLUB + "/commitments"
_RECEIPTS = _CLUB + "/receipts"
_INVOICES = _CLUB + "/invoices"


class Commitments:
    """Purchase orders and contracts by line."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewCommitment) -> Commitment:
        """Enter an order or contract as it was signed."""
        return self._session.post(Commitment, _COMMITMENTS, new)

    def list(
        self,
        *,
        budget_id: UUID | None = None,
        vendor: str | None = None,
        status: CommitmentStatus | None = None,
        kind: CommitmentKind | None = None,
    ) -> Iterator[CommitmentSummary]:
        """Every commitment by number; all, or those that the filters leave."""
        return self._session.pages(
            CommitmentSummary, _COMMITMENTS, budget_id=budget_id, vendor=vendor, status=status, kind=kind
        )

    def read(self, commitment_id: UUID) -> Commitment:
        """One commitment with its lines."""
        return self._session.get(Commitment, f"{_COMMITMENTS}/{commitment_id}")

    def change(self, commitment_id: UUID, change: CommitmentChange, version: int) -> Commitment:
        """Change what is not on the lines of a commitment that is still at `version`."""
        return self._session.replace(Commitment, f"{_COMMITMENTS}/{commitment_id}", change, version)

    def revise(self, commitment_id: UUID, new: NewCommitmentRevision) -> Commitment:
        """Put complete lines in the place of those in force."""
        return self._session.post(Commitment, f"{_COMMITMENTS}/{commitment_id}/revisions", new)

    def revisions(self, commitment_id: UUID) -> Iterator[CommitmentRevision]:
        """Every revision with its lines, from the first."""
        return self._session.pages(CommitmentRevision, f"{_COMMITMENTS}/{commitment_id}/revisions")

    def close(self, commitment_id: UUID, reason: str, since: date | None = None) -> Commitment:
        """Release what is still to come."""
        return self._move(commitment_id, "close", reason, since)

    def cancel(self, commitment_id: UUID, reason: str, since: date | None = None) -> Commitment:
        """Give up an order of which nothing came."""
        return self._move(commitment_id, "cancel", reason, since)

    def reopen(self, commitment_id: UUID, reason: str, since: date | None = None) -> Commitment:
        """Expect again what is still to come."""
        return self._move(commitment_id, "reopen", reason, since)

    def _move(self, commitment_id: UUID, action: str, reason: str, since: date | None) -> Commitment:
        change = StatusChange(reason=reason, since=since)
        return self._session.post(Commitment, f"{_COMMITMENTS}/{commitment_id}/{action}", change)

    def match(self, commitment_id: UUID, *, on: date | None = None) -> CommitmentMatch:
        """Ordered, received and billed by line, with every difference named."""
        return self._session.get(CommitmentMatch, f"{_COMMITMENTS}/{commitment_id}/match", on=on)

    def register(
        self,
        *,
        budget_id: UUID | None = None,
        vendor: str | None = None,
        status: CommitmentStatus | None = None,
        on: date | None = None,
    ) -> CommitmentRegister:
        """Every commitment with its sums, as it stood on a day or stands now."""
        return self._session.get(
            CommitmentRegister, f"{_CLUB}/commitment-register", budget_id=budget_id, vendor=vendor, status=status,
            on=on,
        )  # fmt: skip

    def register_csv(self, *, budget_id: UUID | None = None, on: date | None = None) -> str:
        """The register as CSV."""
        return self._session.text(f"{_CLUB}/commitment-register", budget_id=budget_id, on=on)

    def accruals(self, budget_id: UUID, *, through: str | None = None) -> Accruals:
        """The accruals of a budget at each month end."""
        return self._session.get(Accruals, f"{_CLUB}/budgets/{budget_id}/accruals", through=through)

    def accruals_csv(self, budget_id: UUID, *, through: str | None = None) -> str:
        """The accruals of a budget as CSV."""
        return self._session.text(f"{_CLUB}/budgets/{budget_id}/accruals", through=through)


class Receipts:
    """Delivery tickets and goods returned."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, commitment_id: UUID, new: NewReceipt) -> Receipt:
        """Enter a ticket."""
        return self._session.post(Receipt, f"{_COMMITMENTS}/{commitment_id}/receipts", new)

    def upload(self, commitment_id: UUID, csv: str | bytes | Path) -> ReceiptsPut:
        """Enter every ticket of a CSV file, or none."""
        return self._session.upload(ReceiptsPut, f"{_COMMITMENTS}/{commitment_id}/receipts/upload", csv)

    def list(
        self,
        *,
        commitment_id: UUID | None = None,
        budget_id: UUID | None = None,
        vendor: str | None = None,
        status: CommitmentStatus | None = None,
        voided: bool | None = None,
    ) -> Iterator[Receipt]:
        """Every receipt by day; all, or those that the filters leave."""
        return self._session.pages(
            Receipt, _RECEIPTS, commitment_id=commitment_id, budget_id=budget_id, vendor=vendor, status=status,
            voided=voided,
        )  # fmt: skip

    def read(self, receipt_id: UUID) -> Receipt:
        """One receipt."""
        return self._session.get(Receipt, f"{_RECEIPTS}/{receipt_id}")

    def void(self, receipt_id: UUID, reason: str) -> Receipt:
        """Let it count for nothing; its ticket can be entered again."""
        return self._session.post(
            Receipt, f"{_RECEIPTS}/{receipt_id}/void", DeliveryVoiding(reason=reason)
        )

    def register(
        self, *, commitment_id: UUID | None = None, budget_id: UUID | None = None
    ) -> ReceiptRegister:
        """Every ticket with its lines."""
        return self._session.get(
            ReceiptRegister, f"{_CLUB}/receipt-register", commitment_id=commitment_id, budget_id=budget_id
        )

    def register_csv(self, *, commitment_id: UUID | None = None, budget_id: UUID | None = None) -> str:
        """The register as CSV, a row for each line of each ticket."""
        return self._session.text(
            f"{_CLUB}/receipt-register", commitment_id=commitment_id, budget_id=budget_id
        )


class Invoices:
    """Invoices, credit notes and releases of retainage."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, commitment_id: UUID, new: NewInvoice) -> Invoice:
        """Enter an invoice as it came."""
        return self._session.post(Invoice, f"{_COMMITMENTS}/{commitment_id}/invoices", new)

    def list(
        self,
        *,
        commitment_id: UUID | None = None,
        budget_id: UUID | None = None,
        vendor: str | None = None,
        status: InvoiceStatus | None = None,
        kind: InvoiceKind | None = None,
    ) -> Iterator[InvoiceSummary]:
        """Every invoice by day; all, or those that the filters leave."""
        return self._session.pages(
            InvoiceSummary, _INVOICES, commitment_id=commitment_id, budget_id=budget_id, vendor=vendor,
            status=status, kind=kind,
        )  # fmt: skip

    def read(self, invoice_id: UUID) -> Invoice:
        """One invoice with its lines."""
        return self._session.get(Invoice, f"{_INVOICES}/{invoice_id}")

    def match(self, invoice_id: UUID) -> InvoiceMatch:
        """The invoice against order and receipts."""
        return self._session.get(InvoiceMatch, f"{_INVOICES}/{invoice_id}/match")

    def approve(self, invoice_id: UUID, reason: str | None = None) -> Invoice:
        """Approve it for payment; with a reason, where it differs."""
        return self._session.post(
            Invoice, f"{_INVOICES}/{invoice_id}/approve", InvoiceApproval(reason=reason)
        )

    def void(self, invoice_id: UUID, reason: str) -> Invoice:
        """Let it count for nothing; its number can be entered again."""
        return self._session.post(
            Invoice, f"{_INVOICES}/{invoice_id}/void", DeliveryVoiding(reason=reason)
        )

    def register(
        self, *, commitment_id: UUID | None = None, budget_id: UUID | None = None
    ) -> InvoiceRegister:
        """Every invoice with how it matches."""
        return self._session.get(
            InvoiceRegister, f"{_CLUB}/invoice-register", commitment_id=commitment_id, budget_id=budget_id
        )

    def register_csv(self, *, commitment_id: UUID | None = None, budget_id: UUID | None = None) -> str:
        """The register as CSV."""
        return self._session.text(
            f"{_CLUB}/invoice-register", commitment_id=commitment_id, budget_id=budget_id
        )
