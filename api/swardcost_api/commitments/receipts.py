"""Receipts: delivery tickets and goods returned, counted in the order's units."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Row, and_, insert, select, update
from swardcost_model import problems
from swardcost_model.deliveries import (
    DeliveryVoiding,
    NewReceipt,
    Receipt,
    ReceiptKind,
    ReceiptRegister,
    ReceivedLine,
    ReceivedLineFields,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Quantity, from_micros, plain, to_micros

from swardcost_api.access.service import record
from swardcost_api.commitments.orders import LOAD, held, held_open
from swardcost_api.commitments.standing import Wanted, conditions, lines_on, of_commitment, receipts_by_day
from swardcost_api.commitments.tables import CommitmentRow, ReceiptLineRow, ReceiptRow
from swardcost_api.commitments.words import figure
from swardcost_api.engine.control.matching import in_order_unit
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS, exact_ratio

_RECEIPT = (
    *(column for column in ReceiptRow.__table__.c if column.name != "club_id"),
    CommitmentRow.number.label("commitment_number"), CommitmentRow.vendor,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReceiptFilter:
    """Which receipts to list; what is `None` does not matter."""

    wanted: Wanted
    voided: bool | None = None


_MOST = Decimal(10) ** 9
"""Quantities from here on are a mistake in the input."""


class Uncountable(Exception):
    """What a ticket says cannot be counted in the order's unit: where in the line, what was expected, what came."""

    def __init__(self, place: str, expected: str, got: str) -> None:
        super().__init__(expected)
        self.place, self.expected, self.got = place, expected, got


def receive(work: UnitOfWork, commitment_id: UUID, new: NewReceipt) -> Receipt:
    """Enter a ticket. More than was ordered is taken, and named by the match.

    Raises `duplicate` for a ticket number that stands already, `wrong-state` for a commitment that is not open,
    `invalid-values` for lines that were not ordered, quantities that cannot be counted, and returns of more than came.
    """
    commitment = held_open(work, commitment_id)
    if standing_tickets(work, commitment_id, [new.ticket.casefold()]):
        raise ProblemError(problems.DUPLICATE, f"Ticket {new.ticket} was entered already.")
    lines = lines_of(work, commitment_id)
    faults = []
    if new.received_on < commitment.signed_on:
        expected = f"{commitment.signed_on}, when it was signed, or later"
        faults.append(Fault(pointer="/received_on", expected=expected, got=new.received_on.isoformat()))
    counted: dict[int, Decimal] = {}
    for index, fields in enumerate(new.lines):
        try:
            counted[fields.line_number] = counted_of(lines, fields)
        except Uncountable as error:
            pointer = f"/lines/{index}/{error.place}"
            faults.append(Fault(pointer=pointer, expected=error.expected, got=error.got))
    sign = -1 if new.kind is ReceiptKind.RETURN else 1
    counted = {number: sign * quantity for number, quantity in counted.items()}
    if not faults:
        places = {fields.line_number: f"/lines/{i}/quantity" for i, fields in enumerate(new.lines)}
        days = {number: [(new.received_on, quantity)] for number, quantity in counted.items()}
        faults = faults_of_totals(work, commitment_id, lines, days, places)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "Nothing was received.", faults)
    receipt_id = work.new_id()
    insert_receipts(work, commitment_id, [(receipt_id, new)])
    insert_receipt_lines(
        work,
        [(receipt_id, one, counted[one.line_number], lines[one.line_number].unit) for one in new.lines],
    )
    after = read_receipt(work, receipt_id)
    record(work, "create", "receipt", receipt_id, after=after)
    return after


def lines_of(work: UnitOfWork, commitment_id: UUID) -> dict[int, Row[Any]]:
    """The lines in force of a commitment, by number."""
    found = lines_on(work, Wanted(ids=[commitment_id]), None)
    return {line.number: line for line in found.get(commitment_id, [])}


def standing_tickets(work: UnitOfWork, commitment_id: UUID, keys: Sequence[str]) -> dict[str, UUID]:
    """Which of some ticket numbers, casefolded, stand in a commitment."""
    statement = select(ReceiptRow.ticket_key, ReceiptRow.id).where(
        ReceiptRow.club_id == work.club_id, ReceiptRow.commitment_id == commitment_id,
        ReceiptRow.ticket_key.in_(keys),
    )  # fmt: skip
    return {str(key): receipt_id for key, receipt_id in work.session.execute(statement)}


def counted_of(lines: Mapping[int, Row[Any]], fields: ReceivedLineFields) -> Decimal:
    """What a line of a ticket counts in the order's unit. Raises `Uncountable`."""
    line = lines.get(fields.line_number)
    if line is None:
        raise Uncountable("line_number", "the number of an ordered line", str(fields.line_number))
    quantity = Quantity(value=fields.quantity, unit=fields.unit)
    if fields.unit == LOAD and line.unit != LOAD:
        if fields.per_load is not None:
            per_load = fields.per_load
        elif line.per_load_micros is not None:
            per_load = Quantity(value=from_micros(line.per_load_micros), unit=line.unit)
        else:
            raise Uncountable("per_load", f"what one load held, in {line.unit}", "nothing")
        one = _converted(per_load, line.unit, "per_load")
        counted = in_order_unit(one * fields.quantity, Fraction(1))
    elif fields.per_load is not None:
        raise Uncountable("per_load", "none, since it counts no loads of another unit", fields.per_load.unit)
    else:
        counted = _converted(quantity, line.unit, "unit")
    if not 0 < counted < _MOST:
        expected = f"at least a millionth of one {line.unit}, and less than 1,000,000,000"
        raise Uncountable("quantity", expected, plain(fields.quantity))
    return counted


def _converted(quantity: Quantity, unit: str, place: str) -> Decimal:
    known = UNITS.get(quantity.unit)
    ratio = None if known is None else exact_ratio(known, UNITS[unit])
    if ratio is None:
        alike = ", ".join(one.name for one in UNITS.values() if one.dimension == UNITS[unit].dimension)
        loads = "" if place == "per_load" else " or load"
        raise Uncountable(place, f"a unit that {unit} compares with: {alike}{loads}", quantity.unit)
    return in_order_unit(quantity.value, ratio)


def faults_of_totals(
    work: UnitOfWork, commitment_id: UUID, lines: Mapping[int, Row[Any]],
    counted: Mapping[int, Sequence[tuple[date, Decimal]]], places: Mapping[int, str],
) -> list[Fault]:  # fmt: skip
    """More returned than came by then, or more in all than an answer could hold; `counted` by line and day."""
    received = receipts_by_day(work, Wanted(ids=[commitment_id]), date.max)
    faults = []
    for number, tickets in counted.items():
        earlier = received.get((commitment_id, number), [])
        before, quantity = (sum((one for _, one in some), Decimal(0)) for some in (earlier, tickets))
        short = _first_short([*earlier, *tickets]) if any(one < 0 for _, one in tickets) else None
        if before + quantity < 0:
            expected = f"at most {figure(before)} {lines[number].unit}, which were received"
            faults.append(Fault(pointer=places[number], expected=expected, got=plain(-quantity)))
        elif short is not None:
            day, lacking = short
            expected = f"{figure(lacking)} {lines[number].unit} less, since no more had come by {day}"
            returned = -sum((one for _, one in tickets if one < 0), Decimal(0))
            faults.append(Fault(pointer=places[number], expected=expected, got=plain(returned)))
        elif not _can_be_shown(before + quantity, lines[number]):
            expected = "quantities of less than 1,000,000,000 in all, worth less than 1,000,000,000,000"
            faults.append(Fault(pointer=places[number], expected=expected, got=plain(quantity)))
    return faults


def _first_short(tickets: Iterable[tuple[date, Decimal]]) -> tuple[date, Decimal] | None:
    """The first day by which more had gone back than had come, and how much more."""
    by_day: dict[date, Decimal] = {}
    for day, quantity in tickets:
        by_day[day] = by_day.get(day, Decimal(0)) + quantity
    balance = Decimal(0)
    for day in sorted(by_day):
        balance += by_day[day]
        if balance < 0:
            return day, -balance
    return None


def _can_be_shown(quantity: Decimal, line: Row[Any]) -> bool:
    worth = quantity * from_micros(line.unit_price_micros)
    return quantity < _MOST and worth < BEYOND - 1


def insert_receipts(
    work: UnitOfWork, commitment_id: UUID, receipts: Sequence[tuple[UUID, NewReceipt]]
) -> None:
    """Store tickets, without their lines."""
    if receipts:
        work.session.execute(
            insert(ReceiptRow),
            [
                {
                    "club_id": work.club_id, "id": receipt_id, "commitment_id": commitment_id, "ticket": new.ticket,
                    "ticket_key": new.ticket.casefold(), "kind": new.kind, "received_on": new.received_on,
                    "note": new.note, "actor": work.caller.name, "created_at": work.now,
                }
                for receipt_id, new in receipts
            ],
        )  # fmt: skip


def insert_receipt_lines(
    work: UnitOfWork, lines: Sequence[tuple[UUID, ReceivedLineFields, Decimal, str]]
) -> None:
    """Store lines of tickets with what they count, below zero for what was returned."""
    if lines:
        work.session.execute(
            insert(ReceiptLineRow),
            [
                {
                    "club_id": work.club_id, "receipt_id": receipt_id, "line_number": fields.line_number,
                    "quantity": plain(fields.quantity), "unit": fields.unit,
                    "per_load": fields.per_load and fields.per_load.model_dump(mode="json"),
                    "counted_micros": to_micros(counted), "counted_unit": unit,
                }
                for receipt_id, fields, counted, unit in lines
            ],
        )  # fmt: skip


def list_receipts(work: UnitOfWork, limit: int, cursor: str | None, wanted: ReceiptFilter) -> Page[Receipt]:
    """Receipts by day, and of a day in the order of their entry."""
    ordering = (ReceiptRow.received_on, ReceiptRow.id)
    statement = _select(*_conditions(work, wanted))
    rows, following = read_page(work, statement, ordering, limit, cursor)
    return Page[Receipt](items=_receipts(work, rows), next=following)


def receipt_register(work: UnitOfWork, wanted: ReceiptFilter) -> ReceiptRegister:
    """All receipts that are wanted, by day."""
    statement = _select(*_conditions(work, wanted)).order_by(ReceiptRow.received_on, ReceiptRow.id)
    return ReceiptRegister(receipts=_receipts(work, list(work.session.execute(statement)), wanted))


def read_receipt(work: UnitOfWork, receipt_id: UUID) -> Receipt:
    """One receipt. Raises `not-found`."""
    statement = _select(ReceiptRow.club_id == work.club_id, ReceiptRow.id == receipt_id)
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("receipt")
    return _receipts(work, [row])[0]


def void_receipt(work: UnitOfWork, receipt_id: UUID, voiding: DeliveryVoiding) -> Receipt:
    """Let a ticket count for nothing; its number can be entered again.

    Raises `wrong-state` for one that is void, or where goods were returned that then never came.
    """
    commitment_id = read_receipt(work, receipt_id).commitment_id
    held(work, commitment_id)
    before = read_receipt(work, receipt_id)
    if before.voided_at is not None:
        raise ProblemError(problems.WRONG_STATE, "The receipt is void already.")
    work.session.execute(
        update(ReceiptRow)
        .where(ReceiptRow.club_id == work.club_id, ReceiptRow.id == receipt_id)
        .values(ticket_key=None, voided_at=work.now, voided_by=work.caller.name, void_reason=voiding.reason)
    )
    if any(map(_first_short, receipts_by_day(work, Wanted(ids=[commitment_id]), date.max).values())):
        raise ProblemError(
            problems.WRONG_STATE, "More would be returned than came; void the return of these goods first."
        )
    after = read_receipt(work, receipt_id)
    record(work, "void", "receipt", receipt_id, before, after)
    return after


def _select(*where: ColumnElement[bool]) -> Any:
    return select(*_RECEIPT).join(CommitmentRow, of_commitment(ReceiptRow)).where(*where)


def _conditions(work: UnitOfWork, wanted: ReceiptFilter) -> list[ColumnElement[bool]]:
    found = [ReceiptRow.club_id == work.club_id, *conditions(work, wanted.wanted)]
    if wanted.voided is not None:
        none = ReceiptRow.ticket_key.is_(None)
        found.append(none if wanted.voided else ~none)
    return found


def _receipts(
    work: UnitOfWork, rows: Sequence[Row[Any]], wanted: ReceiptFilter | None = None
) -> list[Receipt]:
    """Receipts with their lines: those of the rows, or of all that are wanted, in one statement."""
    of_rows = (
        [ReceiptRow.club_id == work.club_id, ReceiptRow.id.in_([row.id for row in rows])]
        if wanted is None
        else _conditions(work, wanted)
    )
    statement = (
        select(
            ReceiptLineRow.receipt_id, ReceiptLineRow.line_number, ReceiptLineRow.quantity, ReceiptLineRow.unit,
            ReceiptLineRow.per_load, ReceiptLineRow.counted_micros, ReceiptLineRow.counted_unit,
        )
        .join(
            ReceiptRow,
            and_(ReceiptRow.club_id == ReceiptLineRow.club_id, ReceiptRow.id == ReceiptLineRow.receipt_id),
        )
        .join(CommitmentRow, of_commitment(ReceiptRow))
        .where(*of_rows)
        .order_by(ReceiptLineRow.receipt_id, ReceiptLineRow.line_number)
    )  # fmt: skip
    lines: dict[UUID, list[ReceivedLine]] = {}
    for line in work.session.execute(statement):
        lines.setdefault(line.receipt_id, []).append(
            ReceivedLine(
                line_number=line.line_number, quantity=line.quantity, unit=line.unit, per_load=line.per_load,
                counted=from_micros(line.counted_micros), counted_unit=line.counted_unit,
            )
        )  # fmt: skip
    shown = [name for name in Receipt.model_fields if name != "lines"]
    return [
        Receipt(**{name: getattr(row, name) for name in shown}, lines=lines.get(row.id, [])) for row in rows
    ]
