"""The part of the story that is about orders, tickets and invoices."""

from datetime import date
from decimal import Decimal
from typing import Any

from swardcost_model.commitments import (
    AccrualKind,
    CommitmentChange,
    CommitmentKind,
    CommitmentStatus,
    MatchStatus,
    NewCommitment,
    NewCommitmentRevision,
    OrderedLineFields,
    Tolerance,
)
from swardcost_model.deliveries import (
    InvoiceKind,
    InvoiceLineFields,
    InvoiceStatus,
    NewInvoice,
    NewReceipt,
    ReceivedLineFields,
)
from swardcost_model.values import Quantity

VENDOR = "Alder Creek Sand and Gravel"
TICKETS = (
    "ticket,date,line,quantity,unit,note\n"
    "T-48813,2026-09-15,1,1,load,\n"
    "T-48814,2026-09-16,1,43920,pound,damp\n"
    "T-48812,2026-09-14,1,22.06,short_ton,\n"
)  # fmt: skip
MISTAKE = "Entered twice"


def the_commitments(client: Any, budget: Any) -> None:
    """An order of sand and a contract: delivered, billed, held back, revised and closed."""
    order = an_order(client, budget)
    the_tickets(client, order)
    the_invoices(client, budget, order)
    the_contract(client, budget)
    match = client.commitments.match(order.id, on=date(2026, 9, 30))
    assert (match.number, match.ordered.amount) == ("PO-2026-014", Decimal("2730.00"))
    register = client.commitments.register(budget_id=budget.id)
    assert len(register.rows) == 3
    assert client.commitments.register_csv(budget_id=budget.id).startswith("number,kind,vendor")
    accruals = client.commitments.accruals(budget.id, through="2026-10")
    assert {row.kind for row in accruals.rows} == set(AccrualKind)
    assert client.commitments.accruals_csv(budget.id, through="2026-10").startswith("month,kind")


def an_order(client: Any, budget: Any) -> Any:
    sand = OrderedLineFields(
        number=1, budget_line_id=budget.lines[0].id, description="Topdressing sand, washed", quantity=Decimal(66),
        unit="short_ton", unit_price=Decimal("39.00"), expected_month="2026-09",
        per_load=Quantity(value=Decimal("22.1"), unit="short_ton"),
    )  # fmt: skip
    order = client.commitments.create(
        NewCommitment(
            number="PO-2026-014", kind=CommitmentKind.PURCHASE_ORDER, vendor=VENDOR, budget_id=budget.id,
            title="Sand for the autumn closure", signed_on=date(2026, 8, 20), lines=[sand],
        )
    )  # fmt: skip
    tolerance = Tolerance(quantity_percent=Decimal(2), amount=Decimal("25.00"))
    order = client.commitments.change(
        order.id, CommitmentChange(title="Sand, autumn closure", tolerance=tolerance), order.version
    )
    more = sand.model_copy(update={"quantity": Decimal(70)})
    order = client.commitments.revise(
        order.id,
        NewCommitmentRevision(
            revises=1, made_on=date(2026, 9, 1), reason="Two more greens are dressed", lines=[more]
        ),
    )
    assert [one.revision for one in client.commitments.revisions(order.id)] == [1, 2]
    assert client.commitments.read(order.id) == order
    return order


def the_tickets(client: Any, order: Any) -> None:
    ton = ReceivedLineFields(line_number=1, quantity=Decimal("22.06"), unit="short_ton")
    first = client.receipts.create(
        order.id, NewReceipt(ticket="T-48812", received_on=date(2026, 9, 14), lines=[ton])
    )
    put = client.receipts.upload(order.id, TICKETS)
    assert (put.receipts_added, put.lines_known) == (2, 1)
    again = client.receipts.create(
        order.id, NewReceipt(ticket="48812", received_on=date(2026, 9, 14), lines=[ton])
    )
    assert client.receipts.void(again.id, reason=MISTAKE).void_reason == MISTAKE
    assert client.receipts.read(first.id) in list(client.receipts.list(commitment_id=order.id, voided=False))
    assert len(client.receipts.register(commitment_id=order.id).receipts) == 4
    assert client.receipts.register_csv(commitment_id=order.id).startswith("commitment,vendor,ticket")


def the_invoices(client: Any, budget: Any, order: Any) -> None:
    sand = InvoiceLineFields(
        line_number=1, description="Sand", quantity=Decimal("48.10"), unit_price=Decimal("39.75")
    )
    freight = InvoiceLineFields(budget_line_id=budget.lines[0].id, description="Fuel", amount=Decimal(35))
    invoice = client.invoices.create(
        order.id,
        NewInvoice(
            number="INV-20931",
            invoiced_on=date(2026, 9, 18),
            due_on=date(2026, 10, 18),
            lines=[sand, freight],
        ),
    )
    match = client.invoices.match(invoice.id)
    assert match.status is MatchStatus.DIFFERS
    approved = client.invoices.approve(invoice.id, reason="Fuel and the new price were agreed by telephone")
    assert len(approved.accepted_differences) == 2
    twice = client.invoices.create(
        order.id, NewInvoice(number="20931", invoiced_on=date(2026, 9, 18), lines=[sand])
    )
    assert client.invoices.void(twice.id, reason=MISTAKE).status is InvoiceStatus.VOID
    listed = list(client.invoices.list(commitment_id=order.id, status=InvoiceStatus.APPROVED))
    assert [one.number for one in listed] == ["INV-20931"]
    assert client.invoices.read(invoice.id) == approved
    register = client.invoices.register(commitment_id=order.id)
    assert register.to_pay.amount == Decimal("1946.98")
    assert client.invoices.register_csv(commitment_id=order.id).startswith("commitment,vendor,number")


def the_contract(client: Any, budget: Any) -> None:
    """A lump sum with retainage, part of which is released; and an order that is given up."""
    lump = OrderedLineFields(
        number=1, budget_line_id=budget.lines[1].id, description="Rebuild two bunkers", quantity=Decimal(1),
        unit="lump_sum", unit_price=Decimal("12000.00"), expected_month="2026-10",
    )  # fmt: skip
    fields: dict[str, Any] = {
        "kind": CommitmentKind.CONTRACT, "vendor": "Fen Road Builders", "budget_id": budget.id,
        "signed_on": date(2026, 8, 20), "lines": [lump],
    }  # fmt: skip
    contract = client.commitments.create(
        NewCommitment(number="C-7", title="Bunkers", retainage_percent=Decimal(10), **fields)
    )
    half = ReceivedLineFields(line_number=1, quantity=Decimal("0.5"), unit="lump_sum")
    client.receipts.create(
        contract.id, NewReceipt(ticket="Stage 1", received_on=date(2026, 10, 2), lines=[half])
    )
    stage = InvoiceLineFields(line_number=1, description="Stage 1", amount=Decimal("5500.00"))
    client.invoices.create(contract.id, NewInvoice(number="88", invoiced_on=date(2026, 10, 5), lines=[stage]))
    release = client.invoices.create(
        contract.id,
        NewInvoice(
            number="89", kind=InvoiceKind.RETAINAGE_RELEASE, invoiced_on=date(2026, 10, 20),
            retainage=Decimal(300),
        ),
    )  # fmt: skip
    assert release.to_pay.amount == Decimal("300.00")
    spare = client.commitments.create(NewCommitment(number="C-8", title="Spare", **fields))
    assert client.commitments.cancel(spare.id, reason="Own crew does it").status is CommitmentStatus.CANCELLED
    since = date(2026, 10, 31)
    client.commitments.close(contract.id, reason="The rest is left to spring", since=since)
    contract = client.commitments.reopen(contract.id, reason="The frost held off", since=since)
    assert [one.number for one in client.commitments.list(status=CommitmentStatus.OPEN)] == [
        "C-7", "PO-2026-014"
    ]  # fmt: skip
