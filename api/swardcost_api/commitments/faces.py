"""Registers and accruals as rows of a CSV file."""

from collections.abc import Iterable
from decimal import Decimal

from swardcost_model.commitments import Accruals, CommitmentRegister
from swardcost_model.deliveries import InvoiceRegister, ReceiptRegister
from swardcost_model.values import Money

from swardcost_api.csv_files import write_rows

_COMMITMENT = (
    "number", "kind", "vendor", "title", "signed_on", "status", "ordered", "received", "billed", "retainage_held",
    "received_not_billed", "open", "match", "currency",
)  # fmt: skip
_RECEIPT = (
    "commitment", "vendor", "ticket", "kind", "received_on", "line", "quantity", "unit", "counted", "counted_unit",
    "status", "note",
)  # fmt: skip
_INVOICE = (
    "commitment", "vendor", "number", "kind", "status", "invoiced_on", "due_on", "billed", "withheld", "to_pay",
    "match", "differences", "currency",
)  # fmt: skip
_ACCRUAL = ("month", "kind", "commitment", "vendor", "line", "label", "account", "amount", "currency")


def commitment_csv(register: CommitmentRegister) -> str:
    """A row for each commitment; amounts as numbers, in the club's currency."""
    return write_rows(
        _COMMITMENT,
        (
            [
                row.number, row.kind.value, row.vendor, row.title, row.signed_on, row.status.value,
                *_amounts(
                    row.ordered, row.received, row.billed, row.retainage_held, row.received_not_billed, row.open
                ),
                row.match.value, row.ordered.currency,
            ]
            for row in register.rows
        ),
    )  # fmt: skip


def receipt_csv(register: ReceiptRegister) -> str:
    """A row for each line of each ticket."""
    return write_rows(
        _RECEIPT,
        (
            [
                receipt.commitment_number, receipt.vendor, receipt.ticket, receipt.kind.value, receipt.received_on,
                line.line_number, line.quantity, line.unit, line.counted, line.counted_unit,
                "counts" if receipt.voided_at is None else "void", receipt.note,
            ]
            for receipt in register.receipts
            for line in receipt.lines
        ),
    )  # fmt: skip


def invoice_csv(register: InvoiceRegister) -> str:
    """A row for each invoice, with its differences in words."""
    return write_rows(
        _INVOICE,
        (
            [
                row.commitment_number, row.vendor, row.number, row.kind.value, row.status.value, row.invoiced_on,
                row.due_on, *_amounts(row.billed, row.withheld, row.to_pay),
                row.match.value if row.match else None, "; ".join(row.differences), row.billed.currency,
            ]
            for row in register.rows
        ),
    )  # fmt: skip


def accrual_csv(accruals: Accruals) -> str:
    """A row for each accrual at each month end."""
    return write_rows(
        _ACCRUAL,
        (
            [
                row.month, row.kind.value, row.commitment_number, row.vendor, row.line, row.label, row.account,
                row.amount.amount, row.amount.currency,
            ]
            for row in accruals.rows
        ),
    )  # fmt: skip


def _amounts(*amounts: Money) -> Iterable[Decimal]:
    return (one.amount for one in amounts)
