"""Where each ordered line stands, in money, for budgets and reports."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model.commitments import CommitmentStatus

from swardcost_api.access.service import read_club
from swardcost_api.commitments.standing import (
    NOT_ORDERED,
    Bill,
    Wanted,
    bills_in_accounts,
    bills_on,
    commitments_on,
    in_accounts_by,
    lines_on,
    ordered_of,
    received_on,
    statuses_on,
    tolerances_of,
)
from swardcost_api.engine.control.matching import Match, match_line
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class LineStanding:
    """An ordered line as stored, and how it matches."""

    row: Row[Any]
    match: Match
    bills: Sequence[Bill]


@dataclass(frozen=True, slots=True)
class Standing:
    """A commitment with its lines on a day; `extras` are bills of what was not ordered."""

    row: Row[Any]
    status: CommitmentStatus
    lines: Sequence[LineStanding]
    extras: Sequence[Bill]

    @property
    def is_open(self) -> bool:
        """Whether what is still to come is expected."""
        return self.status is CommitmentStatus.OPEN

    @property
    def bills(self) -> list[Bill]:
        """Every billed line."""
        return [bill for line in self.lines for bill in line.bills] + list(self.extras)


@dataclass(frozen=True, slots=True)
class LineCommitment:
    """An ordered line under its budget line: quantities in its unit, money in minor units.

    What was billed without having been ordered (tax, freight, extras) stands under line number 0, by budget line, with
    nothing ordered. `open_minor` is what is neither received nor billed of the order, and 0 once it is closed.
    """

    budget_line_id: UUID
    commitment_id: UUID
    commitment_number: str
    vendor: str
    status: CommitmentStatus
    line_number: int
    description: str
    unit: str
    ordered_quantity: Decimal
    ordered_minor: int
    received_quantity: Decimal
    received_minor: int
    billed_quantity: Decimal
    billed_minor: int
    retained_minor: int
    received_not_invoiced_minor: int
    invoiced_not_posted_minor: int
    open_minor: int
    expected_month: str | None

    @property
    def accrued_minor(self) -> int:
        """Received and not invoiced, invoiced and not posted, and retainage held back."""
        return self.received_not_invoiced_minor + self.invoiced_not_posted_minor + self.retained_minor


def standings(
    work: UnitOfWork, wanted: Wanted, on: date | None, currency: str, bills: Sequence[Bill] | None = None
) -> list[Standing]:
    """The wanted commitments as they stood at the end of a day, or stand now, by number.

    `bills` are those that count by the day, where the months of their postings are known; else their own day decides.
    """
    commitments = commitments_on(work, wanted, on)
    if not commitments:
        return []
    statuses = {} if on is None else statuses_on(work, wanted, on)
    lines, received = lines_on(work, wanted, on), received_on(work, wanted, on)
    billed: dict[tuple[UUID, int], list[Bill]] = {}
    for bill in bills_on(work, wanted, on) if bills is None else bills:
        billed.setdefault((bill.commitment_id, bill.line_number), []).append(bill)
    found = []
    for row in commitments:
        status = CommitmentStatus(row.status) if on is None else statuses.get(row.id, CommitmentStatus.OPEN)
        of_lines = [
            _line_standing(row, line, received, billed.get((row.id, line.number), []), currency)
            for line in lines.get(row.id, [])
        ]
        found.append(Standing(row, status, of_lines, billed.get((row.id, NOT_ORDERED), [])))
    return found


def _line_standing(
    commitment: Row[Any], line: Row[Any], received: Mapping[tuple[UUID, int], Decimal], bills: Sequence[Bill],
    currency: str,
) -> LineStanding:  # fmt: skip
    match = match_line(
        ordered_of(line), received.get((commitment.id, line.number), Decimal("0.00")),
        [bill.billed for bill in bills], tolerances_of(commitment, currency), currency,
    )  # fmt: skip
    return LineStanding(line, match, bills)


def committed_by_line(
    work: UnitOfWork,
    budget_id: UUID,
    on: date | None = None,
    bills: Sequence[Bill] | None = None,
    ids: Collection[UUID] | None = None,
) -> list[LineCommitment]:
    """Every line of a budget's commitments, or of those with these ids, at the end of a day, or now, by number.

    `bills` are those of `billed_of_budget`, for whoever looks at several days.
    """
    currency = read_club(work).currency
    month = None if on is None else on.isoformat()[:7]
    counting = in_accounts_by(billed_of_budget(work, budget_id) if bills is None else bills, on)
    found = []
    for standing in standings(work, Wanted(ids=ids, budget_id=budget_id), on, currency, counting):
        found += [_of_line(standing, line, month) for line in standing.lines]
        found += _not_ordered(standing, month)
    return found


def billed_of_budget(work: UnitOfWork, budget_id: UUID) -> list[Bill]:
    """All bills of a budget's commitments with the months of their postings."""
    return bills_in_accounts(work, Wanted(budget_id=budget_id), None)


def _of_line(standing: Standing, line: LineStanding, month: str | None) -> LineCommitment:
    row, match, commitment = line.row, line.match, standing.row
    return LineCommitment(
        row.budget_line_id, commitment.id, commitment.number, commitment.vendor, standing.status, row.number,
        row.description, row.unit, ordered_of(row).quantity, match.ordered_minor, match.received,
        match.received_minor, match.billed, match.billed_minor, sum(bill.withheld_minor for bill in line.bills),
        match.received_not_billed_minor, _not_posted(line.bills, month),
        match.to_come_minor if standing.is_open else 0, row.expected_month,
    )  # fmt: skip


def _not_ordered(standing: Standing, month: str | None) -> list[LineCommitment]:
    by_line: dict[UUID, list[Bill]] = {}
    for bill in standing.extras:
        assert bill.budget_line_id is not None
        by_line.setdefault(bill.budget_line_id, []).append(bill)
    nothing, row = Decimal(0), standing.row
    return [
        LineCommitment(
            budget_line_id, row.id, row.number, row.vendor, standing.status, NOT_ORDERED, "Not ordered", "",
            nothing, 0, nothing, 0, nothing, sum(bill.billed.amount_minor for bill in bills),
            sum(bill.withheld_minor for bill in bills), 0, _not_posted(bills, month), 0, None,
        )
        for budget_line_id, bills in by_line.items()
    ]  # fmt: skip


def _not_posted(bills: Sequence[Bill], month: str | None) -> int:
    """What bills ask to be paid that no posting has, by the end of a month where one is given."""
    return sum(
        bill.to_pay_minor
        for bill in bills
        if bill.posted_month is None or (month is not None and bill.posted_month > month)
    )
