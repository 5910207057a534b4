"""What stands on a day: commitments with their lines in force, what was received and what was billed.

Each function is one statement, for however many commitments are wanted.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, cast
from uuid import UUID

from sqlalchemy import ColumnElement, Row, Select, and_, func, select
from swardcost_model.commitments import CommitmentKind, CommitmentStatus, Tolerance
from swardcost_model.values import from_micros, to_minor

from swardcost_api.commitments.tables import (
    CommitmentRow,
    InvoiceLineRow,
    InvoiceRow,
    OrderedLineRow,
    ReceiptLineRow,
    ReceiptRow,
    RevisionRow,
    StatusRow,
)
from swardcost_api.engine.control.matching import Billed, Ordered, Tolerances
from swardcost_api.engine.control.months import last_day
from swardcost_api.ledger.service import posted_references
from swardcost_api.storage.work import UnitOfWork

LUMP_SUM = "lump_sum"
NOT_ORDERED = 0
"""Line number under which stands what was billed without an ordered line."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which commitments; what is `None` does not matter."""

    ids: Iterable[UUID] | None = None
    budget_id: UUID | None = None
    vendor: str | None = None
    status: CommitmentStatus | None = None
    kind: CommitmentKind | None = None


@dataclass(frozen=True, slots=True)
class Bill:
    """A line of a standing invoice: what it bills, what of that is withheld, and the month of its posting."""

    commitment_id: UUID
    invoice_id: UUID
    reference: tuple[str, str]
    invoiced_on: date
    line_number: int
    budget_line_id: UUID | None
    billed: Billed
    withheld_minor: int
    posted_month: str | None = None

    @property
    def to_pay_minor(self) -> int:
        """What the line asks to be paid."""
        return self.billed.amount_minor - self.withheld_minor

    @property
    def counts_from(self) -> date:
        """The day from which it is a bill in the accounts: its own, or the end of the month of an earlier posting."""
        if self.posted_month is None:
            return self.invoiced_on
        return min(self.invoiced_on, last_day(self.posted_month))


def conditions(work: UnitOfWork, wanted: Wanted) -> list[ColumnElement[bool]]:
    """The commitments of the club that are wanted."""
    found: list[ColumnElement[bool]] = [CommitmentRow.club_id == work.club_id]
    if wanted.ids is not None:
        found.append(CommitmentRow.id.in_(list(wanted.ids)))
    if wanted.budget_id is not None:
        found.append(CommitmentRow.budget_id == wanted.budget_id)
    if wanted.vendor is not None:
        found.append(CommitmentRow.vendor_key == wanted.vendor.strip().casefold())
    if wanted.status is not None:
        found.append(CommitmentRow.status == wanted.status)
    if wanted.kind is not None:
        found.append(CommitmentRow.kind == wanted.kind)
    return found


def of_commitment(table: Any) -> ColumnElement[bool]:
    """Joins what belongs to a commitment to it."""
    return and_(table.club_id == CommitmentRow.club_id, table.commitment_id == CommitmentRow.id)


def commitments_on(work: UnitOfWork, wanted: Wanted, on: date | None) -> list[Row[Any]]:
    """The wanted commitments that were signed by a day, by number."""
    statement = select(*CommitmentRow.__table__.c).where(*conditions(work, wanted))
    if on is not None:
        statement = statement.where(CommitmentRow.signed_on <= on)
    return list(work.session.execute(statement.order_by(CommitmentRow.number_key)))


def statuses_on(work: UnitOfWork, wanted: Wanted, on: date) -> dict[UUID, CommitmentStatus]:
    """The statuses that commitments had on a day; those never closed or cancelled by then are not named."""
    statement = (
        select(StatusRow.commitment_id, StatusRow.status)
        .join(CommitmentRow, of_commitment(StatusRow))
        .where(*conditions(work, wanted), StatusRow.since <= on)
        .order_by(StatusRow.commitment_id, StatusRow.number)
    )
    return {one: CommitmentStatus(status) for one, status in work.session.execute(statement)}


def lines_on(work: UnitOfWork, wanted: Wanted, on: date | None) -> dict[UUID, list[Row[Any]]]:
    """The lines in force on a day, or now, by commitment."""
    statement = (
        select(*OrderedLineRow.__table__.c)
        .join(CommitmentRow, of_commitment(OrderedLineRow))
        .where(*conditions(work, wanted))
    )
    if on is None:
        statement = statement.where(OrderedLineRow.revision == CommitmentRow.revision)
    else:
        latest = (
            select(RevisionRow.commitment_id, func.max(RevisionRow.revision).label("revision"))
            .where(RevisionRow.club_id == work.club_id, RevisionRow.made_on <= on)
            .group_by(RevisionRow.commitment_id)
            .subquery()
        )
        in_force = and_(
            latest.c.commitment_id == OrderedLineRow.commitment_id,
            latest.c.revision == OrderedLineRow.revision,
        )
        statement = statement.join(latest, in_force)
    return _by_commitment(work, statement.order_by(OrderedLineRow.commitment_id, OrderedLineRow.number))


def all_lines(work: UnitOfWork, wanted: Wanted) -> dict[UUID, list[Row[Any]]]:
    """The lines of every revision with the day from which they are in force, in order of revisions."""
    statement = (
        select(*OrderedLineRow.__table__.c, RevisionRow.made_on)
        .join(CommitmentRow, of_commitment(OrderedLineRow))
        .join(
            RevisionRow,
            and_(
                RevisionRow.club_id == OrderedLineRow.club_id,
                RevisionRow.commitment_id == OrderedLineRow.commitment_id,
                RevisionRow.revision == OrderedLineRow.revision,
            ),
        )
        .where(*conditions(work, wanted))
    )
    return _by_commitment(
        work, statement.order_by(OrderedLineRow.commitment_id, OrderedLineRow.revision, OrderedLineRow.number)
    )


def _by_commitment(work: UnitOfWork, statement: Select[*tuple[Any, ...]]) -> dict[UUID, list[Row[Any]]]:
    found: dict[UUID, list[Row[Any]]] = {}
    for row in work.session.execute(statement):
        found.setdefault(row.commitment_id, []).append(row)
    return found


def received_on(work: UnitOfWork, wanted: Wanted, on: date | None) -> dict[tuple[UUID, int], Decimal]:
    """What was received of each line by a day, net of returns, in the order's unit."""
    statement = _received(work, wanted, on, func.sum(ReceiptLineRow.counted_micros)).group_by(
        ReceiptRow.commitment_id, ReceiptLineRow.line_number
    )
    return {
        (commitment_id, line): micros_of(total)
        for commitment_id, line, total in work.session.execute(statement)
    }


def receipts_by_day(
    work: UnitOfWork, wanted: Wanted, on: date
) -> dict[tuple[UUID, int], list[tuple[date, Decimal]]]:
    """What was received of each line on each day up to one."""
    total = func.sum(ReceiptLineRow.counted_micros)
    by = (ReceiptRow.commitment_id, ReceiptLineRow.line_number, ReceiptRow.received_on)
    statement = _received(work, wanted, on, ReceiptRow.received_on, total).group_by(*by)
    found: dict[tuple[UUID, int], list[tuple[date, Decimal]]] = {}
    for commitment_id, line, day, micros in work.session.execute(statement):
        found.setdefault((commitment_id, line), []).append((day, micros_of(micros)))
    return found


def _received(work: UnitOfWork, wanted: Wanted, on: date | None, *columns: Any) -> Select[*tuple[Any, ...]]:
    statement = (
        select(ReceiptRow.commitment_id, ReceiptLineRow.line_number, *columns)
        .join(
            ReceiptLineRow,
            and_(ReceiptLineRow.club_id == ReceiptRow.club_id, ReceiptLineRow.receipt_id == ReceiptRow.id),
        )
        .join(CommitmentRow, of_commitment(ReceiptRow))
        .where(*conditions(work, wanted), ReceiptRow.ticket_key.is_not(None))
    )
    return statement if on is None else statement.where(ReceiptRow.received_on <= on)


def bills_on(work: UnitOfWork, wanted: Wanted, on: date | None) -> list[Bill]:
    """Every line of the invoices that stand, up to a day, in the order of days and of their entry."""
    columns = (
        InvoiceRow.commitment_id, InvoiceRow.id, InvoiceRow.vendor_key, InvoiceRow.number_key, InvoiceRow.invoiced_on,
        InvoiceLineRow.line_number, InvoiceLineRow.budget_line_id, InvoiceLineRow.quantity_micros,
        InvoiceLineRow.unit_price_micros, InvoiceLineRow.amount_minor, InvoiceLineRow.withheld_minor,
    )  # fmt: skip
    statement = (
        select(*columns)
        .join(
            InvoiceLineRow,
            and_(InvoiceLineRow.club_id == InvoiceRow.club_id, InvoiceLineRow.invoice_id == InvoiceRow.id),
        )
        .join(CommitmentRow, of_commitment(InvoiceRow))
        .where(*conditions(work, wanted), InvoiceRow.number_key.is_not(None))
        .order_by(InvoiceRow.invoiced_on, InvoiceRow.id, InvoiceLineRow.number)
    )
    if on is not None:
        statement = statement.where(InvoiceRow.invoiced_on <= on)
    return [_bill(row) for row in work.session.execute(statement)]


def _bill(row: Any) -> Bill:
    return Bill(
        row.commitment_id, row.id, (row.vendor_key, row.number_key), row.invoiced_on,
        row.line_number or NOT_ORDERED, row.budget_line_id,
        Billed(
            None if row.quantity_micros is None else micros_of(row.quantity_micros),
            None if row.unit_price_micros is None else from_micros(row.unit_price_micros), row.amount_minor,
        ),
        row.withheld_minor,
    )  # fmt: skip


def with_postings(work: UnitOfWork, bills: Iterable[Bill]) -> list[Bill]:
    """The bills, each with the month of the first posting that has its vendor (or none) and its number."""
    rows = list(bills)
    posted = posted_references(work, {bill.reference[1] for bill in rows})

    def month(vendor: str, number: str) -> str | None:
        months = [posted[key] for key in ((vendor, number), ("", number)) if key in posted]
        return min(months) if months else None

    return [replace(bill, posted_month=month(*bill.reference)) for bill in rows]


def bills_in_accounts(work: UnitOfWork, wanted: Wanted, on: date | None) -> list[Bill]:
    """The bills with the months of their postings: those dated by a day, and those that the accounts have by then.

    A bill of October that is posted in September counts from September, so that what it bills is not accrued as well.
    """
    return in_accounts_by(with_postings(work, bills_on(work, wanted, None)), on)


def in_accounts_by(bills: Sequence[Bill], on: date | None) -> list[Bill]:
    """Those of bills with their months that count by a day."""
    return [bill for bill in bills if on is None or bill.counts_from <= on]


def micros_of(micros: Any) -> Decimal:
    """A stored quantity, or a sum of them, as the decimal that it stands for."""
    return from_micros(int(micros))


def ordered_of(line: Row[Any]) -> Ordered:
    """What a stored line orders."""
    return Ordered(
        micros_of(line.quantity_micros), from_micros(line.unit_price_micros), line.unit == LUMP_SUM
    )


def tolerances_of(commitment: Row[Any], currency: str) -> Tolerances:
    """The tolerances of a stored commitment."""
    stated = Tolerance(**cast(dict[str, Any], commitment.tolerance))
    amount = to_minor(stated.amount, currency)
    return Tolerances(stated.quantity_percent, stated.price_percent, amount, stated.tax_percent)
