"""Many delivery tickets at once from a CSV file, each line of a ticket counted once however often it comes."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import Row, and_, select
from swardcost_model import problems
from swardcost_model.deliveries import NewReceipt, ReceiptKind, ReceiptsPut, ReceivedLineFields
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.commitments.orders import held_open
from swardcost_api.commitments.receipts import (
    Uncountable,
    counted_of,
    faults_of_totals,
    insert_receipt_lines,
    insert_receipts,
    lines_of,
)
from swardcost_api.commitments.standing import micros_of
from swardcost_api.commitments.tables import ReceiptLineRow, ReceiptRow
from swardcost_api.commitments.words import figure
from swardcost_api.csv_files import CsvRow, read_rows, row_faults
from swardcost_api.faults import FAULTS_SHOWN
from swardcost_api.storage.work import UnitOfWork

COLUMNS = ("ticket", "date", "line", "quantity", "unit")
OPTIONAL = ("note", "per_load", "kind")
MAX_ROWS = 20_000
_WHOLE = re.compile(r"[0-9]{1,9}")
_COLUMN_OF = {
    "received_on": "date", "lines/0/line_number": "line", "lines/0/quantity": "quantity", "lines/0/unit": "unit",
    "lines/0/per_load": "per_load", "lines/0/per_load/value": "per_load", "line_number": "line",
}  # fmt: skip
_Line = tuple[str, int]
_Seen = tuple[Any, str, Decimal]
"""What must be the same where a line of a ticket comes again: its day, delivery or return, and what counts."""


@dataclass
class _Tickets:
    """The tickets of a file, against those that stand already."""

    lines: Mapping[int, Row[Any]]
    signed_on: Any
    stored: Mapping[_Line, _Seen]
    heads: dict[str, tuple[Any, str]]
    new: dict[str, NewReceipt] = field(default_factory=dict)
    counted: dict[_Line, tuple[ReceivedLineFields, Decimal, int]] = field(default_factory=dict)
    seen: dict[_Line, _Seen] = field(default_factory=dict)
    known: int = 0
    faults: list[Fault] = field(default_factory=list)
    fault_count: int = 0

    def take(self, row: CsvRow) -> None:
        """Count a row, or keep what is wrong with it."""
        try:
            receipt = NewReceipt.model_validate(_fields_of(row, self.lines))
        except ValidationError as error:
            self._keep(row_faults(row.number, error, _COLUMN_OF))
            return
        (line,) = receipt.lines
        if receipt.received_on < self.signed_on:
            expected = f"{self.signed_on}, when it was signed, or later"
            self._fault(row, "date", expected, receipt.received_on.isoformat())
            return
        try:
            counted = counted_of(self.lines, line)
        except Uncountable as error:
            self._fault(row, _COLUMN_OF.get(error.place, error.place), error.expected, error.got)
            return
        if receipt.kind is ReceiptKind.RETURN:
            counted = -counted
        self._add(row, receipt, line, counted)

    def _add(self, row: CsvRow, receipt: NewReceipt, line: ReceivedLineFields, counted: Decimal) -> None:
        ticket = receipt.ticket.casefold()
        key, seen = (ticket, line.line_number), (receipt.received_on, receipt.kind.value, counted)
        before = self.seen.get(key) or self.stored.get(key)
        if before is not None:
            if before == seen:
                self.known += 1
            else:
                expected = f"{before[1]} of {figure(before[2])} on {before[0]}, as this line of the ticket was entered"
                self._fault(row, "ticket", expected, f"{seen[1]} of {figure(counted)} on {seen[0]}")
            return
        head = self.heads.setdefault(ticket, seen[:2])
        if head != seen[:2]:
            self._fault(row, "ticket", f"{head[1]} on {head[0]}, as the ticket's other lines", receipt.ticket)
            return
        self.seen[key] = seen
        self.new.setdefault(ticket, receipt)
        self.counted[key] = (line, counted, row.number)

    def _fault(self, row: CsvRow, column: str, expected: str, got: str) -> None:
        self._keep([Fault(pointer=f"row {row.number}, {column}", expected=expected, got=got)])

    def _keep(self, faults: Sequence[Fault]) -> None:
        self.fault_count += len(faults)
        self.faults += faults[: FAULTS_SHOWN - len(self.faults)]


def upload_receipts(work: UnitOfWork, commitment_id: UUID, upload: IO[bytes]) -> ReceiptsPut:
    """Enter every ticket of a file, or none.

    A line of a ticket that says the same as one that stands adds nothing; one that says otherwise is refused. A
    standing ticket gets the lines that it lacks. Raises `invalid-csv`, `too-large`, or `bad-rows` (each fault with row
    and column).
    """
    commitment = held_open(work, commitment_id)
    lines = lines_of(work, commitment_id)
    ids, heads, stored = _standing(work, commitment_id)
    tickets = _Tickets(lines, commitment.signed_on, stored, heads)
    for count, row in enumerate(read_rows(upload, (*COLUMNS, *OPTIONAL), OPTIONAL), start=1):
        if count > MAX_ROWS:
            raise ProblemError(problems.TOO_LARGE, f"A file may have {MAX_ROWS:,} rows.")
        tickets.take(row)
    if not tickets.faults:
        tickets._keep(_faults_of_sums(work, commitment_id, tickets))
    if tickets.faults:
        raise ProblemError(
            problems.BAD_ROWS, f"{_count(tickets.fault_count)}; nothing was received.", tickets.faults
        )
    added = {ticket: work.new_id() for ticket in tickets.new if ticket not in ids}
    insert_receipts(work, commitment_id, [(one, tickets.new[ticket]) for ticket, one in added.items()])
    all_ids = ids | added
    insert_receipt_lines(
        work,
        [
            (all_ids[ticket], line, counted, lines[number].unit)
            for (ticket, number), (line, counted, _) in tickets.counted.items()
        ],
    )
    result = ReceiptsPut(
        receipts_added=len(added), lines_added=len(tickets.counted), lines_known=tickets.known
    )
    document = {"tickets": sorted(one.ticket for one in tickets.new.values())}
    record(work, "upload", "commitment", commitment_id, after=result.model_dump(mode="json") | document)
    return result


def _count(faults: int) -> str:
    return "1 fault" if faults == 1 else f"{faults:,} faults"


def _fields_of(row: CsvRow, lines: Mapping[int, Row[Any]]) -> dict[str, Any]:
    """A row as a ticket with one line; a load is stated in the unit of the order."""
    cells = row.cells
    number: Any = int(cells["line"]) if _WHOLE.fullmatch(cells["line"]) else cells["line"]
    line: dict[str, Any] = {"line_number": number, "quantity": cells["quantity"], "unit": cells["unit"]}
    if cells["per_load"]:
        unit = lines[number].unit if number in lines else cells["unit"]
        line["per_load"] = {"value": cells["per_load"], "unit": unit}
    return {
        "ticket": cells["ticket"], "received_on": cells["date"], "note": cells["note"],
        "kind": cells["kind"] or ReceiptKind.DELIVERY, "lines": [line],
    }  # fmt: skip


def _standing(
    work: UnitOfWork, commitment_id: UUID
) -> tuple[dict[str, UUID], dict[str, tuple[Any, str]], dict[_Line, _Seen]]:
    """The standing tickets of a commitment: their ids, day and kind, and what each line counts."""
    statement = (
        select(
            ReceiptRow.id, ReceiptRow.ticket_key, ReceiptRow.received_on, ReceiptRow.kind,
            ReceiptLineRow.line_number, ReceiptLineRow.counted_micros,
        )
        .join(
            ReceiptLineRow,
            and_(ReceiptLineRow.club_id == ReceiptRow.club_id, ReceiptLineRow.receipt_id == ReceiptRow.id),
        )
        .where(
            ReceiptRow.club_id == work.club_id, ReceiptRow.commitment_id == commitment_id,
            ReceiptRow.ticket_key.is_not(None),
        )
    )  # fmt: skip
    ids, heads, stored = {}, {}, {}
    for row in work.session.execute(statement):
        ids[row.ticket_key] = row.id
        heads[row.ticket_key] = (row.received_on, row.kind)
        counted = micros_of(row.counted_micros)
        stored[row.ticket_key, row.line_number] = (row.received_on, row.kind, counted)
    return ids, heads, stored


def _faults_of_sums(work: UnitOfWork, commitment_id: UUID, tickets: _Tickets) -> list[Fault]:
    """Faults of the lines' totals, at the last row that adds to each."""
    days: dict[int, list[tuple[date, Decimal]]] = {}
    places: dict[int, str] = {}
    for (ticket, number), (_, counted, row) in tickets.counted.items():
        days.setdefault(number, []).append((tickets.seen[ticket, number][0], counted))
        places[number] = f"row {row}, quantity"
    return faults_of_totals(work, commitment_id, tickets.lines, days, places)
