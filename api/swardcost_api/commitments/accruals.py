"""Accruals of a budget's commitments at month ends."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model.commitments import AccrualKind, AccrualRow, Accruals
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.budgets.service import read_budget
from swardcost_api.commitments.standing import (
    NOT_ORDERED,
    Bill,
    Wanted,
    all_lines,
    bills_in_accounts,
    commitments_on,
    ordered_of,
    receipts_by_day,
)
from swardcost_api.engine.control.accrual import (
    LineHistory,
    invoiced_not_posted,
    received_not_invoiced,
    retainage_held,
)
from swardcost_api.engine.control.months import last_day, months_between
from swardcost_api.storage.work import UnitOfWork

MONTHS_TOLD = 600
ACCRUALS_BY = [
    "received_not_invoiced: quantity received beyond what was billed, at the order's price, by the dates of tickets "
    "and invoices and the revision in force",
    "invoiced_not_posted: invoices less retainage whose number no posting of their vendor, or of no vendor, has as its "
    "reference by that month",
    "an invoice that is posted before its date counts from the month of its posting",
    "retainage_held: withheld from invoices, less what credit notes gave back and releases paid out",
    "each is a balance at the end of its month",
]


@dataclass(frozen=True, slots=True)
class Accrual:
    """What belongs to a month and is not in the accounts yet: a balance at the end of the month, in minor units."""

    month: str
    budget_line_id: UUID
    account: str | None
    kind: AccrualKind
    amount_minor: int
    commitment_number: str
    vendor: str


def accruals_by_month(work: UnitOfWork, budget_id: UUID, through_month: str) -> list[Accrual]:
    """Every accrual that is not zero at the end of each month up to one, by month, commitment, line and kind.

    Each is a balance: what stands at the end of May stands in June's again while it is not settled. Of a time longer
    than fifty years the last fifty are told.
    """
    club = read_club(work)
    if through_month < "0001":
        return []
    wanted, until = Wanted(budget_id=budget_id), last_day(through_month)
    commitments = commitments_on(work, wanted, until)
    if not commitments:
        return []
    accounts = {line.id: line.account for line in read_budget(work, budget_id).lines}
    receipts = receipts_by_day(work, wanted, until)
    bills = bills_in_accounts(work, wanted, until)
    days = [day for ticket in receipts.values() for day, _ in ticket] + [bill.counts_from for bill in bills]
    months = months_between(min(days).isoformat()[:7], through_month)[-MONTHS_TOLD:] if days else []
    lines = all_lines(work, wanted)
    found: list[Accrual] = []
    for commitment in commitments:
        of_commitment = _Lines(
            lines.get(commitment.id, []), [bill for bill in bills if bill.commitment_id == commitment.id]
        )
        for month, budget_line_id, kind, amount in of_commitment.amounts(
            {number: days for (one, number), days in receipts.items() if one == commitment.id},
            months, club.currency,
        ):  # fmt: skip
            found.append(
                Accrual(
                    month, budget_line_id, accounts.get(budget_line_id), kind, amount, commitment.number,
                    commitment.vendor,
                )
            )  # fmt: skip
    return sorted(found, key=lambda one: (one.month, one.commitment_number))


class _Lines:
    """The lines of one commitment through their revisions, and its bills."""

    def __init__(self, rows: Sequence[Row[Any]], bills: Sequence[Bill]) -> None:
        self.revisions: dict[int, list[Row[Any]]] = {}
        for row in rows:
            self.revisions.setdefault(row.number, []).append(row)
        self.bills: dict[tuple[int, UUID | None], list[Bill]] = {}
        for bill in bills:
            extra = bill.budget_line_id if bill.line_number == NOT_ORDERED else None
            self.bills.setdefault((bill.line_number, extra), []).append(bill)

    def amounts(
        self, receipts: Mapping[int, Sequence[tuple[date, Any]]], months: Sequence[str], currency: str
    ) -> Iterable[tuple[str, UUID, AccrualKind, int]]:
        """Month, budget line, kind and amount of what is not zero."""
        sums: dict[tuple[str, UUID, AccrualKind], int] = {}
        for number, rows in self.revisions.items():
            bills = self.bills.get((number, None), [])
            history = LineHistory(
                [(row.made_on, ordered_of(row)) for row in rows], receipts.get(number, []),
                [(bill.counts_from, bill.billed) for bill in bills],
            )  # fmt: skip
            by_kind = _of_bills(bills, months)
            by_kind[AccrualKind.RECEIVED_NOT_INVOICED] = received_not_invoiced(history, months, currency)
            for kind, by_month in by_kind.items():
                for month, amount in by_month.items():
                    key = (month, _in_force(rows, month).budget_line_id, kind)
                    sums[key] = sums.get(key, 0) + amount
        for (_, budget_line_id), bills in self.bills.items():
            if budget_line_id is None:
                continue
            for kind, by_month in _of_bills(bills, months).items():
                for month, amount in by_month.items():
                    key = (month, budget_line_id, kind)
                    sums[key] = sums.get(key, 0) + amount
        return [(*key, amount) for key, amount in sums.items() if amount]


def _of_bills(bills: Sequence[Bill], months: Sequence[str]) -> dict[AccrualKind, dict[str, int]]:
    return {
        AccrualKind.INVOICED_NOT_POSTED: invoiced_not_posted(
            ((bill.counts_from, bill.posted_month, bill.to_pay_minor) for bill in bills), months
        ),
        AccrualKind.RETAINAGE_HELD: retainage_held(
            ((bill.counts_from, bill.withheld_minor) for bill in bills), months
        ),
    }


def _in_force(rows: Sequence[Row[Any]], month: str) -> Row[Any]:
    """The line as it was at the end of a month; before it was ordered, as it was ordered first."""
    until = last_day(month)
    return next((row for row in reversed(rows) if row.made_on <= until), rows[0])


def read_accruals(work: UnitOfWork, budget_id: UUID, through: str | None) -> Accruals:
    """The accruals of a budget at the month ends up to one, this month's if none is given. Raises `not-found`."""
    lines = {line.id: line for line in read_budget(work, budget_id).lines}
    month = through or work.now.date().isoformat()[:7]
    currency = read_club(work).currency
    return Accruals(
        budget_id=budget_id, through=month, derivation=ACCRUALS_BY,
        rows=[
            AccrualRow(
                month=one.month, kind=one.kind, budget_line_id=one.budget_line_id,
                line=lines[one.budget_line_id].number, label=lines[one.budget_line_id].label, account=one.account,
                commitment_number=one.commitment_number, vendor=one.vendor,
                amount=Money.of_minor(one.amount_minor, currency),
            )
            for one in accruals_by_month(work, budget_id, month)
        ],
    )  # fmt: skip
