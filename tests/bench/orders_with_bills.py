"""What reports rest on besides postings: orders of a budget with tickets and bills, and measured progress."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from swardcost_api.budgets.progress import measure
from swardcost_api.budgets.service import LineState, line_states
from swardcost_api.commitments.invoices import enter_invoice
from swardcost_api.commitments.orders import create_commitment
from swardcost_api.commitments.receipts import receive
from swardcost_api.storage.work import UnitOfWork
from swardcost_model.commitments import Commitment, CommitmentKind, NewCommitment, OrderedLineFields
from swardcost_model.deliveries import InvoiceLineFields, NewInvoice, NewReceipt, ReceivedLineFields
from swardcost_model.progress import NewMeasure

ORDERS, LINES_OF_AN_ORDER, TICKETS, BILLS = 12, 5, 10, 5
"""Orders, and how many of each belong to one."""

POSTED_VENDOR = "Alder Creek Sand and Gravel"
FIRST = date(2026, 2, 2)


def place_orders(work: UnitOfWork, budget_id: UUID) -> None:
    """Orders with tickets and bills over the lines of a budget; postings numbered INV-n have some of the bills."""
    states = line_states(work, budget_id)
    for order in range(ORDERS):
        made = _order(work, budget_id, order, states)
        for number in range(TICKETS):
            line = ReceivedLineFields(
                line_number=number % LINES_OF_AN_ORDER + 1, quantity=Decimal(7), unit="short_ton"
            )
            day = FIRST + timedelta(days=7 * number)
            receive(work, made.id, NewReceipt(ticket=f"T-{order}-{number}", received_on=day, lines=[line]))
        for number in range(BILLS):
            bill = InvoiceLineFields(
                line_number=number + 1, description="Sand", quantity=Decimal(9), unit_price=Decimal("41.20")
            )
            name = f"INV-{order * 1000 + number}" if number % 2 else f"NOT-POSTED-{order}-{number}"
            day = FIRST + timedelta(days=14 * number)
            enter_invoice(work, made.id, NewInvoice(number=name, invoiced_on=day, lines=[bill]))


def _order(work: UnitOfWork, budget_id: UUID, order: int, states: list[LineState]) -> Commitment:
    lines = [
        OrderedLineFields(
            number=number + 1, budget_line_id=states[(order * LINES_OF_AN_ORDER + number) % len(states)].id,
            description="Sand", quantity=Decimal(100), unit="short_ton", unit_price=Decimal("40.50"),
            expected_month="2027-01",
        )
        for number in range(LINES_OF_AN_ORDER)
    ]  # fmt: skip
    new = NewCommitment(
        number=f"PO-{order}", kind=CommitmentKind.PURCHASE_ORDER, vendor=POSTED_VENDOR, budget_id=budget_id,
        title="Sand", signed_on=FIRST, retainage_percent=Decimal(5), lines=lines,
    )  # fmt: skip
    return create_commitment(work, new)


def measure_lines(work: UnitOfWork, budget_id: UUID) -> None:
    """Half of every second line done."""
    for line in line_states(work, budget_id)[::2]:
        done = Decimal(50) if line.unit is None else round((line.adjusted_quantity or Decimal(0)) / 2, 4)
        measure(work, budget_id, NewMeasure(budget_line_id=line.id, measured_on=FIRST, done=done))
