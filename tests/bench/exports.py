"""Accounting exports of any length, the profile they are read with, and rules that assign their rows."""

import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date, timedelta
from typing import IO
from uuid import UUID

from conftest import CLUB
from swardcost_api.budgets import service as budgets
from swardcost_api.ledger import profiles, rules
from swardcost_api.ledger.importing import ImportOrder, post_export, read_export
from swardcost_api.operations import CSV
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, Transactions, UnitOfWork
from swardcost_model.ledger import ImportResult
from swardcost_model.ledger_assignment import NewRule, RuleConditions
from swardcost_model.ledger_profiles import MappedColumns, NewProfile

HEADER = "Date,Account,Description,Amount,Vendor,Reference,Journal\r\n"
VENDORS = ("Alder Creek Sand and Gravel", "Marsh Lane Machinery", "Heron Turf", "", "Quarry Road Haulage")


def row(number: int) -> str:
    """A row as an accounting program writes it; no two are equal, days go up slowly."""
    day = date(2026, 1, 1) + timedelta(days=number // 400)
    amount = f"{(number * 7919) % 900_000 / 100 - 500:.2f}"
    vendor = VENDORS[number % len(VENDORS)]
    return (
        f"{day},15{number % 12}0-10,Delivery {number} of sand and other matters,{amount},{vendor},"
        f"INV-{number // 3},J{number // 50}\r\n"
    )


@contextmanager
def export_of(rows: int) -> Iterator[IO[bytes]]:
    """An export of so many rows, as the service keeps an upload."""
    with tempfile.SpooledTemporaryFile(max_size=1024 * 1024) as upload:
        upload.write(HEADER.encode())
        for first in range(0, rows, 10_000):
            upload.write("".join(map(row, range(first, min(first + 10_000, rows)))).encode())
        upload.seek(0)
        yield upload


def save_profile(work: UnitOfWork) -> UUID:
    """The profile of these exports."""
    columns = MappedColumns(
        date="Date", account="Account", description="Description", amount="Amount", vendor="Vendor",
        reference="Reference", journal_id="Journal",
    )  # fmt: skip
    return profiles.create_profile(work, NewProfile(name="General ledger detail", columns=columns)).id


def save_rules(work: UnitOfWork, budget_id: UUID) -> None:
    """A rule for each line of a budget; together they take about half of the rows."""
    for line in budgets.read_budget(work, budget_id).lines:
        conditions = RuleConditions(account=f"15{line.number % 12}0-10", text_contains=f"{line.number % 7}")
        rules.create_rule(
            work,
            NewRule(name=f"Rule {line.number}", budget_id=budget_id, conditions=conditions,
                    budget_line_id=line.id),
        )  # fmt: skip


def import_rows(database: Database, profile_id: UUID, rows: int) -> ImportResult:
    """Import so many rows, as an upload does."""
    transactions = Transactions(database, CLUB, OPERATOR)
    with (
        export_of(rows) as upload,
        closing(read_export(transactions, upload, order_for(profile_id))) as read,
        transactions.writing(read.connection) as work,
    ):
        return post_export(work, read)


def order_for(profile_id: UUID) -> ImportOrder:
    """What is asked of an import of such an export."""
    return ImportOrder(profile_id=profile_id, filename="export.csv", media_type=CSV)
