"""Orders, receipts and invoices matched three ways: the match of a commitment and of an invoice, and approval."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.commitments import (
    CommitmentMatch,
    GapKind,
    MatchDifference,
    MatchedLine,
    MatchStatus,
    NotOrderedLine,
)
from swardcost_model.deliveries import Invoice, InvoiceApproval, InvoiceMatch, InvoiceStatus
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import read_club, record
from swardcost_api.commitments.invoices import decide, read_invoice
from swardcost_api.commitments.orders import held, price_of
from swardcost_api.commitments.positions import LineStanding, Standing, standings
from swardcost_api.commitments.standing import NOT_ORDERED, Bill, Wanted, ordered_of, tolerances_of
from swardcost_api.commitments.words import words_for
from swardcost_api.engine.control.matching import Billed, Difference, Tolerances, match_line, not_ordered
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

MATCHED_BY = [
    "value = quantity x price ordered, rounded half up; differences are taken between values, so that they add up",
    "ordered + over_delivered + price_difference = billed + received_not_billed + to_come",
    "a lump sum is matched by money alone; received, it is the part of it that tickets state",
    "a difference is within the tolerance where its percentage or its amount covers it; exactly at it is within",
    "what is billed without an order is within it up to tax_percent of what each invoice bills of them, rounded up",
    "received_not_billed is told, and is no disagreement",
]
_PRICES = (GapKind.PRICE_ABOVE_ORDER, GapKind.PRICE_BELOW_ORDER)


def commitment_match(work: UnitOfWork, commitment_id: UUID, on: date | None) -> CommitmentMatch:
    """A commitment three ways at the end of a day, or now. Raises `not-found`; before it was signed, too."""
    currency = read_club(work).currency
    found = standings(work, Wanted(ids=[commitment_id]), on, currency)
    if not found:
        raise missing("commitment")
    standing = found[0]
    differences = differences_of(standing, currency)

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    matches = [line.match for line in standing.lines]
    billed = sum(bill.billed.amount_minor for bill in standing.bills)
    held_back = sum(bill.withheld_minor for bill in standing.bills)
    to_come = sum(match.to_come_minor for match in matches)
    return CommitmentMatch(
        commitment_id=commitment_id, number=standing.row.number, vendor=standing.row.vendor, as_of=on,
        status=status_of(differences), ordered=money(sum(match.ordered_minor for match in matches)),
        received=money(sum(match.received_minor for match in matches)), billed=money(billed),
        not_ordered=money(sum(bill.billed.amount_minor for bill in standing.extras)),
        retainage_held=money(held_back), to_pay=money(billed - held_back),
        received_not_billed=money(sum(match.received_not_billed_minor for match in matches)),
        to_come=money(to_come if standing.is_open else 0), released=money(0 if standing.is_open else to_come),
        lines=[_matched_line(standing, line, differences, currency) for line in standing.lines],
        lines_not_ordered=[
            NotOrderedLine(budget_line_id=line_id, billed=money(amount))
            for line_id, amount in _extras(standing.extras).items()
        ],
        differences=[one.words for one in differences], derivation=MATCHED_BY,
    )  # fmt: skip


def differences_of(standing: Standing, currency: str) -> list[MatchDifference]:
    """Every difference of a commitment, by line, and what was not ordered."""
    tolerances = tolerances_of(standing.row, currency)
    found = []
    for line in standing.lines:
        billings = [bill.billed for bill in line.bills]
        found += [_told(one, line, billings, currency) for one in line.match.differences]
    return found + _told_extras(standing.bills, tolerances, currency)


def _told_extras(bills: Sequence[Bill], tolerances: Tolerances, currency: str) -> list[MatchDifference]:
    """What some bills of a commitment charge beside its lines; up to the tax on those lines it is tolerated."""
    by_invoice: dict[UUID, int] = {}
    for bill in bills:
        if bill.line_number != NOT_ORDERED:
            by_invoice[bill.invoice_id] = by_invoice.get(bill.invoice_id, 0) + bill.billed.amount_minor
    amounts = list(_extras([bill for bill in bills if bill.line_number == NOT_ORDERED]).values())
    found = not_ordered(amounts, tolerances, tolerances.tax_on(by_invoice.values()))
    return [_told(one, None, [], currency) for one in found]


def status_of(differences: Iterable[MatchDifference]) -> MatchStatus:
    """Differs, if anything is outside the tolerance; goods not billed yet are no disagreement."""
    outside = (
        one for one in differences if not one.within_tolerance and one.kind is not GapKind.RECEIVED_NOT_BILLED
    )
    return MatchStatus.DIFFERS if any(outside) else MatchStatus.MATCHED


def _told(
    difference: Difference, line: LineStanding | None, billings: Sequence[Billed], currency: str
) -> MatchDifference:
    unit = None if line is None else line.row.unit
    price = Decimal(0) if line is None else from_micros(line.row.unit_price_micros)
    words = words_for(difference, unit or "", price, billings, currency)
    return MatchDifference(
        kind=difference.gap, line_number=None if line is None else line.row.number, quantity=difference.quantity,
        unit=None if difference.quantity is None else unit,
        amount=Money.of_minor(difference.amount_minor, currency), within_tolerance=difference.within,
        words=words if line is None else f"line {line.row.number}: {words}",
    )  # fmt: skip


def _matched_line(
    standing: Standing, line: LineStanding, differences: Sequence[MatchDifference], currency: str
) -> MatchedLine:
    row, match = line.row, line.match
    own = [one for one in differences if one.line_number == row.number]

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    return MatchedLine(
        number=row.number, budget_line_id=row.budget_line_id, description=row.description, unit=row.unit,
        unit_price=price_of(row.unit_price_micros, currency), ordered_quantity=from_micros(row.quantity_micros),
        ordered=money(match.ordered_minor), received_quantity=match.received, received=money(match.received_minor),
        billed_quantity=match.billed, billed=money(match.billed_minor),
        received_not_billed=money(match.received_not_billed_minor), to_come=money(match.to_come_minor),
        over_delivered=money(match.over_minor), price_difference=money(match.price_difference_minor),
        status=status_of(own), differences=own,
    )  # fmt: skip


def _extras(bills: Sequence[Bill]) -> dict[UUID, int]:
    """What was billed without an order, by budget line."""
    found: dict[UUID, int] = {}
    for bill in bills:
        assert bill.budget_line_id is not None
        found[bill.budget_line_id] = found.get(bill.budget_line_id, 0) + bill.billed.amount_minor
    return found


def invoice_match(work: UnitOfWork, invoice_id: UUID) -> InvoiceMatch:
    """An invoice three ways: quantities with the invoices before it, prices by its own lines. Raises `not-found`."""
    invoice = read_invoice(work, invoice_id)
    if invoice.status is InvoiceStatus.VOID:
        return InvoiceMatch(
            invoice_id=invoice_id, number=invoice.number, status=MatchStatus.MATCHED, differences=[],
            derivation=["void: it counts for nothing"],
        )  # fmt: skip
    currency = read_club(work).currency
    (standing,) = standings(work, Wanted(ids=[invoice.commitment_id]), None, currency)
    differences = differences_of_invoice(standing, invoice_id, currency)
    return InvoiceMatch(
        invoice_id=invoice_id, number=invoice.number, status=status_of(differences), differences=differences,
        derivation=[
            *MATCHED_BY, "quantities count with the invoices dated before it, and all receipts; prices by its own lines"
        ],
    )  # fmt: skip


def differences_of_invoice(standing: Standing, invoice_id: UUID, currency: str) -> list[MatchDifference]:
    """What is different about one invoice of a commitment, by line."""
    tolerances = tolerances_of(standing.row, currency)
    found = []
    for line in standing.lines:
        own = [bill.billed for bill in line.bills if bill.invoice_id == invoice_id]
        if not any(one.quantity or one.amount_minor for one in own):  # a release of retainage bills nothing
            continue
        last = max(index for index, bill in enumerate(line.bills) if bill.invoice_id == invoice_id)
        through = [bill.billed for bill in line.bills[: last + 1]]
        order, received = ordered_of(line.row), line.match.received
        so_far = match_line(order, received, through, tolerances, currency)
        found += [
            _told(one, line, through, currency)
            for one in so_far.differences
            if one.gap not in (*_PRICES, GapKind.RECEIVED_NOT_BILLED, GapKind.RECEIVED_MORE_THAN_ORDERED)
        ]
        alone = match_line(order, received, own, tolerances, currency)
        found += [_told(one, line, own, currency) for one in alone.differences if one.gap in _PRICES]
    bills = [bill for bill in standing.bills if bill.invoice_id == invoice_id]
    return found + _told_extras(bills, tolerances, currency)


def approve_invoice(work: UnitOfWork, invoice_id: UUID, approval: InvoiceApproval) -> Invoice:
    """Approve an invoice for payment; what differs beyond the tolerance needs a reason, and is kept with it.

    Raises `wrong-state` unless it was entered and not decided, `invalid-values` where the reason is missing.
    """
    held(work, read_invoice(work, invoice_id).commitment_id)
    before = read_invoice(work, invoice_id)
    if before.status is not InvoiceStatus.ENTERED:
        raise ProblemError(problems.WRONG_STATE, f"The invoice is {before.status}.")
    match = invoice_match(work, invoice_id)
    outside = [one.words for one in match.differences if not one.within_tolerance]
    if match.status is MatchStatus.DIFFERS and approval.reason is None:
        expected = "a reason, since it differs: " + "; ".join(outside)
        raise ProblemError(
            problems.INVALID_VALUES, "The invoice was not approved.",
            [Fault(pointer="/reason", expected=expected[:2000], got="none")],
        )  # fmt: skip
    decide(work, invoice_id, InvoiceStatus.APPROVED, approval.reason, accepted_differences=outside)
    after = read_invoice(work, invoice_id)
    record(work, "approve", "invoice", invoice_id, before, after)
    return after
