"""Invoices, credit notes and releases of retainage: entering, approving, voiding and finding them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, insert, select, update
from swardcost_model import problems
from swardcost_model.commitments import CommitmentStatus
from swardcost_model.deliveries import (
    DeliveryVoiding,
    Invoice,
    InvoiceKind,
    InvoiceLine,
    InvoiceStatus,
    InvoiceSummary,
    NewInvoice,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import read_budget
from swardcost_api.commitments.bills import make_out, overdrawn
from swardcost_api.commitments.orders import held, held_open, price_of
from swardcost_api.commitments.receipts import lines_of
from swardcost_api.commitments.standing import Wanted, bills_on, conditions, of_commitment
from swardcost_api.commitments.tables import CommitmentRow, InvoiceLineRow, InvoiceRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

_INVOICE = (
    *(column for column in InvoiceRow.__table__.c if column.name not in ("club_id", "vendor_key")),
    CommitmentRow.number.label("commitment_number"), CommitmentRow.vendor,
)  # fmt: skip
_MONEY = ("billed", "withheld", "to_pay")


@dataclass(frozen=True, slots=True)
class InvoiceFilter:
    """Which invoices to list; what is `None` does not matter."""

    wanted: Wanted
    status: InvoiceStatus | None = None
    kind: InvoiceKind | None = None


def enter_invoice(work: UnitOfWork, commitment_id: UUID, new: NewInvoice) -> Invoice:
    """Enter a bill as it came; differences from order and receipts are named by the match, not refused.

    Raises `duplicate` for a number that the vendor used already, `wrong-state` for a commitment that is not open
    (retainage of a closed one is still paid out), `invalid-values` for what no bill of this order could say.
    """
    released = new.kind is InvoiceKind.RETAINAGE_RELEASE
    commitment = held(work, commitment_id) if released else held_open(work, commitment_id)
    if commitment.status == CommitmentStatus.CANCELLED:
        raise ProblemError(problems.WRONG_STATE, "The commitment is cancelled; reopen it first.")
    key = new.number.casefold()
    taken = select(InvoiceRow.id).where(
        InvoiceRow.club_id == work.club_id, InvoiceRow.vendor_key == commitment.vendor_key,
        InvoiceRow.number_key == key,
    )  # fmt: skip
    if work.session.scalar(taken) is not None:
        raise ProblemError(
            problems.DUPLICATE, f"Invoice {new.number} of {commitment.vendor} was entered already."
        )
    budget = read_budget(work, commitment.budget_id)
    bills = bills_on(work, Wanted(ids=[commitment_id]), None)
    made = make_out(
        new, commitment, lines_of(work, commitment_id), {line.id for line in budget.lines}, bills,
        budget.total.currency,
    )  # fmt: skip
    invoice_id = work.new_id()
    work.session.execute(
        insert(InvoiceRow).values(
            club_id=work.club_id, id=invoice_id, commitment_id=commitment_id, vendor_key=commitment.vendor_key,
            number=new.number, number_key=key, kind=new.kind, invoiced_on=new.invoiced_on, due_on=new.due_on,
            status=InvoiceStatus.ENTERED, billed_minor=sum(line.amount_minor for line in made),
            withheld_minor=sum(line.withheld_minor for line in made), note=new.note, actor=work.caller.name,
            created_at=work.now, accepted_differences=[],
        )
    )  # fmt: skip
    of_invoice = {"club_id": work.club_id, "invoice_id": invoice_id}
    work.session.execute(
        insert(InvoiceLineRow),
        [of_invoice | {"number": number} | line.columns() for number, line in enumerate(made, start=1)],
    )
    why = None
    if new.kind is not InvoiceKind.INVOICE:  # which only adds
        why = overdrawn(bills_on(work, Wanted(ids=[commitment_id]), None))
    if why is not None:
        expected = "credit of at most what was billed on each line by its day, in quantity and amount"
        raise ProblemError(
            problems.INVALID_VALUES, "The invoice was not entered.",
            [Fault(pointer="/lines", expected=expected, got=why)],
        )  # fmt: skip
    after = read_invoice(work, invoice_id)
    record(work, "create", "invoice", invoice_id, after=after)
    return after


def void_invoice(work: UnitOfWork, invoice_id: UUID, voiding: DeliveryVoiding) -> Invoice:
    """Let an invoice count for nothing; its number can be entered again.

    Raises `wrong-state` for one that is void, or on which credit or a release of retainage rests.
    """
    commitment_id = read_invoice(work, invoice_id).commitment_id
    held(work, commitment_id)
    before = read_invoice(work, invoice_id)
    if before.status is InvoiceStatus.VOID:
        raise ProblemError(problems.WRONG_STATE, "The invoice is void already.")
    decide(work, invoice_id, InvoiceStatus.VOID, voiding.reason, number_key=None)
    why = overdrawn(bills_on(work, Wanted(ids=[commitment_id]), None))
    if why is not None:
        raise ProblemError(
            problems.WRONG_STATE, f"Without it {why}; void the credit note or release that rests on it first."
        )
    after = read_invoice(work, invoice_id)
    record(work, "void", "invoice", invoice_id, before, after)
    return after


def decide(
    work: UnitOfWork, invoice_id: UUID, status: InvoiceStatus, reason: str | None, **more: Any
) -> None:
    """Write down who moved an invoice to another status, and why."""
    work.session.execute(
        update(InvoiceRow)
        .where(InvoiceRow.club_id == work.club_id, InvoiceRow.id == invoice_id)
        .values(status=status, decided_at=work.now, decided_by=work.caller.name, reason=reason, **more)
    )


def read_invoice(work: UnitOfWork, invoice_id: UUID) -> Invoice:
    """One invoice with its lines. Raises `not-found`."""
    statement = select_invoices(InvoiceRow.club_id == work.club_id, InvoiceRow.id == invoice_id)
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("invoice")
    currency = read_club(work).currency
    lines = work.session.execute(
        select(*InvoiceLineRow.__table__.c)
        .where(InvoiceLineRow.club_id == work.club_id, InvoiceLineRow.invoice_id == invoice_id)
        .order_by(InvoiceLineRow.number)
    )
    told = ("note", "actor", "created_at", "decided_by", "decided_at", "reason", "accepted_differences")
    return Invoice(
        **summary_fields(row, currency), **{name: getattr(row, name) for name in told},
        lines=[_line(line, currency) for line in lines],
    )  # fmt: skip


def _line(row: Row[Any], currency: str) -> InvoiceLine:
    price, quantity = row.unit_price_micros, row.quantity_micros
    return InvoiceLine(
        number=row.number, line_number=row.line_number, budget_line_id=row.budget_line_id,
        description=row.description, quantity=None if quantity is None else from_micros(quantity),
        unit_price=None if price is None else price_of(price, currency),
        amount=Money.of_minor(row.amount_minor, currency),
        withheld=Money.of_minor(row.withheld_minor, currency),
    )  # fmt: skip


def list_invoices(
    work: UnitOfWork, limit: int, cursor: str | None, wanted: InvoiceFilter
) -> Page[InvoiceSummary]:
    """Invoices by day, and of a day in the order of their entry."""
    ordering = (InvoiceRow.invoiced_on, InvoiceRow.id)
    statement = select_invoices(*invoice_conditions(work, wanted))
    rows, following = read_page(work, statement, ordering, limit, cursor)
    currency = read_club(work).currency
    return Page[InvoiceSummary](
        items=[InvoiceSummary(**summary_fields(row, currency)) for row in rows], next=following
    )


def all_invoices(work: UnitOfWork, wanted: InvoiceFilter) -> Sequence[Row[Any]]:
    """Every invoice that is wanted, by day."""
    statement = select_invoices(*invoice_conditions(work, wanted))
    return work.session.execute(statement.order_by(InvoiceRow.invoiced_on, InvoiceRow.id)).all()


def select_invoices(*where: ColumnElement[bool]) -> Any:
    """Selects invoices with the number and vendor of their commitment."""
    return select(*_INVOICE).join(CommitmentRow, of_commitment(InvoiceRow)).where(*where)


def invoice_conditions(work: UnitOfWork, wanted: InvoiceFilter) -> list[ColumnElement[bool]]:
    """The invoices of the club that are wanted."""
    found = [InvoiceRow.club_id == work.club_id, *conditions(work, wanted.wanted)]
    if wanted.status is not None:
        found.append(InvoiceRow.status == wanted.status)
    if wanted.kind is not None:
        found.append(InvoiceRow.kind == wanted.kind)
    return found


def summary_fields(row: Row[Any], currency: str) -> Mapping[str, Any]:
    """What is said of an invoice wherever it is shown."""
    shown = {name: getattr(row, name) for name in InvoiceSummary.model_fields if name not in _MONEY}
    return shown | {
        "billed": Money.of_minor(row.billed_minor, currency),
        "withheld": Money.of_minor(row.withheld_minor, currency),
        "to_pay": Money.of_minor(row.billed_minor - row.withheld_minor, currency),
    }
