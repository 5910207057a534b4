"""The control of money, told through the client: changes of the budget, orders with their deliveries and invoices, and
the measure of the work done."""

import csv
import io
import json
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Any
from uuid import UUID

from swardcost import Client, InvalidRequest, NotAllowed
from swardcost_model.access import Role
from swardcost_model.adjustments import Adjustment, ApprovalLimit, ApprovalLimitsChange, NewAdjustment
from swardcost_model.commitments import Commitment, NewCommitment, NewCommitmentRevision, OrderedLineFields
from swardcost_model.deliveries import InvoiceKind, InvoiceLineFields, NewInvoice
from swardcost_model.progress import NewMeasure
from swardcost_model.unplanned import NewUnplannedWork, UnplannedWork
from swardcost_model.values import Money

from swardcost_api.demo.story import data_file

MONTH, MONTH_END = "2026-09", date(2026, 9, 30)
TAX_PERCENT = Decimal("6.5")
SAND_ORDER, DEAR_INVOICE = "PO-2026-031", "INV 4436"
DEAR_BECAUSE = "The pit's price rose on 24 September, by its letter of the 18th"


def dollars(amount: str) -> Money:
    """An amount of the club's money."""
    return Money(amount=Decimal(amount), currency="USD")


def lines_of(client: Client, budget_id: UUID) -> dict[tuple[str, str | None], UUID]:
    """The budget's lines by what they pay for and their account."""
    lines = client.budgets.read(budget_id).lines
    return {(line.scope_item or line.label, line.account): line.id for line in lines}


def set_limits(client: Client) -> None:
    """Say who may approve what: the controller small changes and emergencies, the committee anything."""
    limits = [
        ApprovalLimit(role=Role.CONTROLLER, up_to=dollars("1000"), emergency_up_to=dollars("5000")),
        ApprovalLimit(role=Role.COMMITTEE, up_to=None),
    ]
    change = ApprovalLimitsChange(limits=limits, another_person=True)
    client.approval_limits.change(change, client.approval_limits.read().version)


def propose_changes(client: Client, budget_id: UUID) -> list[Adjustment]:
    """Propose a transfer between lines and a draw from contingency; nothing counts before it is approved."""
    known, proposed = lines_of(client, budget_id), []
    changes: list[dict[str, Any]] = json.loads(data_file("changes.json"))
    for change in changes:
        for entry in change["entries"]:
            entry["budget_line_id"] = str(known[entry.pop("line"), entry.pop("account")])
            entry |= {"month": MONTH, "amount": {"amount": entry["amount"], "currency": "USD"}}
        new = NewAdjustment.model_validate_json(json.dumps(change))
        proposed.append(client.adjustments.propose(budget_id, new))
    return proposed


def price_the_pump(client: Client, budget_id: UUID) -> UnplannedWork:
    """Price a repair that nobody could plan, to be paid out of contingency."""
    new = NewUnplannedWork.model_validate_json(data_file("pump.json"))
    return client.unplanned_work.price(budget_id, new)


def try_to_approve(client: Client, adjustment: Adjustment) -> str:
    """Approve an adjustment beyond the limit of this key, and give why it is refused."""
    try:
        client.adjustments.approve(adjustment.id)
    except NotAllowed as refused:
        return refused.problem.detail or refused.problem.title
    raise AssertionError("what is beyond a limit of approval is refused")


@dataclass(frozen=True)
class Orders:
    """The order of the sand, its invoice that was dearer, and how many tickets and invoices came in all."""

    sand: Commitment
    dear_invoice: UUID
    tickets: int
    invoices: int


def place_orders(client: Client, budget_id: UUID, seventh_day: Adjustment) -> Orders:
    """Enter the orders with every ticket and invoice that came for them."""
    known, received = lines_of(client, budget_id), 0
    orders: dict[str, Commitment] = {}
    invoices: dict[str, UUID] = {}
    came: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(io.StringIO(data_file("deliveries.csv"))):
        came.setdefault(row["order"], []).append(row)
    entries: list[dict[str, Any]] = json.loads(data_file("orders.json"))
    for entry in entries:
        tax_account, revised = entry.pop("tax_account", None), entry.pop("revised", None)
        taxed = set()
        for number, line in enumerate(entry["lines"], start=1):
            line["number"] = number
            line["budget_line_id"] = str(known[line.pop("line"), line.pop("account")])
            line.setdefault("expected_month", MONTH)
            if line.pop("taxed", True):
                taxed.add(number)
        new = NewCommitment.model_validate_json(json.dumps(entry | {"budget_id": str(budget_id)}))
        order = client.commitments.create(new)
        if revised is not None:
            order = revise(client, order, revised, seventh_day)
        rows = came[order.number]
        received += client.receipts.upload(order.id, tickets(rows)).receipts_added
        tax_line = known["Tax on taxable items", tax_account] if tax_account else None
        for number, billed in groupby(rows, key=lambda row: row["invoice"]):
            invoice = bill(number, [*billed], taxed, tax_line)
            invoices[number] = client.invoices.create(order.id, invoice).id
        orders[order.number] = order
    return Orders(orders[SAND_ORDER], invoices[DEAR_INVOICE], received, len(invoices))


def revise(client: Client, order: Commitment, revised: dict[str, str], paid_by: Adjustment) -> Commitment:
    """Revise the quantity of a contract's only line, paid by an adjustment."""
    (line,) = order.lines
    fields = line.model_dump(include=set(OrderedLineFields.model_fields))
    fields |= {"quantity": Decimal(revised["quantity"]), "unit_price": line.unit_price.amount}
    revision = NewCommitmentRevision(
        revises=order.revision, made_on=date.fromisoformat(revised["on"]), reason=paid_by.reason,
        adjustment_number=paid_by.number, lines=[OrderedLineFields(**fields)],
    )  # fmt: skip
    return client.commitments.revise(order.id, revision)


def tickets(rows: list[dict[str, str]]) -> str:
    """Delivery tickets as a file to upload."""
    out = io.StringIO()
    writer = csv.DictWriter(
        out, ("ticket", "kind", "date", "line", "quantity", "unit"), extrasaction="ignore"
    )
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def bill(number: str, rows: list[dict[str, str]], taxed: set[int], tax_line: UUID | None) -> NewInvoice:
    """An invoice over tickets, with tax on its taxed lines; a credit note, without tax, over what went back."""
    back = rows[0]["kind"] == "return"
    lines, due = [], Decimal(0)
    for row in rows:
        quantity, price = Decimal(row["quantity"]), Decimal(row["unit_price"])
        line = InvoiceLineFields(
            line_number=int(row["line"]), description=f"Ticket {row['ticket']}", quantity=quantity,
            unit_price=price,
        )  # fmt: skip
        lines.append(line)
        if line.line_number in taxed and not back:
            due += quantity * price * TAX_PERCENT / 100
    if due and tax_line is not None:
        tax = due.quantize(Decimal("0.01"))
        lines.append(InvoiceLineFields(budget_line_id=tax_line, description="Sales tax", amount=tax))
    invoiced_on = date.fromisoformat(rows[0]["invoiced_on"])
    kind = InvoiceKind.CREDIT_NOTE if back else InvoiceKind.INVOICE
    return NewInvoice(number=number, kind=kind, invoiced_on=invoiced_on, lines=lines)


def try_to_approve_invoice(client: Client, invoice_id: UUID) -> str:
    """Approve an invoice that differs from its order without a reason, and give why it is refused."""
    try:
        client.invoices.approve(invoice_id)
    except InvalidRequest as refused:
        return refused.problem.detail or refused.problem.title
    raise AssertionError("an invoice that differs is approved with a reason only")


def measure(client: Client, budget_id: UUID) -> int:
    """Enter how much of each line is done at the end of the month, and give how many were measured."""
    known = lines_of(client, budget_id)
    rows = [*csv.DictReader(io.StringIO(data_file("measures.csv")))]
    for row in rows:
        line = known[row["line"], row["account"]]
        done = NewMeasure(budget_line_id=line, measured_on=MONTH_END, done=Decimal(row["done"]))
        client.measures.create(budget_id, done)
    return len(rows)
