"""Registers: all commitments and all invoices that are asked for, with their sums."""

from datetime import date
from typing import Any

from swardcost_model.commitments import CommitmentRegister, CommitmentRegisterRow
from swardcost_model.deliveries import (
    InvoiceKind,
    InvoiceRegister,
    InvoiceRegisterRow,
    InvoiceStatus,
)
from swardcost_model.values import Money

from swardcost_api.access.service import read_club
from swardcost_api.commitments.invoices import InvoiceFilter, all_invoices, summary_fields
from swardcost_api.commitments.matching import differences_of, differences_of_invoice, status_of
from swardcost_api.commitments.positions import Standing, standings
from swardcost_api.commitments.standing import Wanted
from swardcost_api.storage.work import UnitOfWork

_SUMS = ("ordered", "received", "billed", "retainage_held", "received_not_billed", "open")


def commitment_register(work: UnitOfWork, wanted: Wanted, on: date | None) -> CommitmentRegister:
    """The commitments that are wanted as they stood at the end of a day, or stand now."""
    currency = read_club(work).currency
    found = standings(work, wanted, on, currency)
    sums = [_sums(standing) for standing in found]
    rows = []
    for standing, of_one in zip(found, sums, strict=True):
        row = standing.row
        rows.append(
            CommitmentRegisterRow(
                number=row.number, kind=row.kind, vendor=row.vendor, title=row.title, budget_id=row.budget_id,
                signed_on=row.signed_on, status=standing.status,
                match=status_of(differences_of(standing, currency)), **_money(of_one, currency),
            )
        )  # fmt: skip
    total = {name: sum(one[name] for one in sums) for name in _SUMS}
    return CommitmentRegister(as_of=on, rows=rows, **_money(total, currency))


def _sums(standing: Standing) -> dict[str, int]:
    matches = [line.match for line in standing.lines]
    return {
        "ordered": sum(match.ordered_minor for match in matches),
        "received": sum(match.received_minor for match in matches),
        "billed": sum(bill.billed.amount_minor for bill in standing.bills),
        "retainage_held": sum(bill.withheld_minor for bill in standing.bills),
        "received_not_billed": sum(match.received_not_billed_minor for match in matches),
        "open": sum(match.to_come_minor for match in matches) if standing.is_open else 0,
    }


def _money(minor: dict[str, int], currency: str) -> dict[str, Any]:
    return {name: Money.of_minor(amount, currency) for name, amount in minor.items()}


def invoice_register(work: UnitOfWork, wanted: InvoiceFilter) -> InvoiceRegister:
    """The invoices that are wanted by day, each with how it matches."""
    currency = read_club(work).currency
    invoices = all_invoices(work, wanted)
    standing_of = {one.row.id: one for one in standings(work, wanted.wanted, None, currency)}
    rows = []
    for row in invoices:
        matched = row.status != InvoiceStatus.VOID and row.kind != InvoiceKind.RETAINAGE_RELEASE
        standing = standing_of[row.commitment_id]
        differences = differences_of_invoice(standing, row.id, currency) if matched else []
        rows.append(
            InvoiceRegisterRow(
                **summary_fields(row, currency), match=status_of(differences) if matched else None,
                differences=[one.words for one in differences],
            )
        )  # fmt: skip
    valid = [row for row in invoices if row.status != InvoiceStatus.VOID]
    billed, withheld = sum(row.billed_minor for row in valid), sum(row.withheld_minor for row in valid)
    sums = {"billed": billed, "withheld": withheld, "to_pay": billed - withheld}
    return InvoiceRegister(rows=rows, **_money(sums, currency))
