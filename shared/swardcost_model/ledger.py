"""The ledger: imports of accounting exports, and postings.

A posting's amount is positive for a debit and negative for a credit.
"""

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from swardcost_model.ledger_profiles import MAX_LENGTH, clean_column
from swardcost_model.values import Answer, Money, Month, Request, Text, Timestamp

MAX_FAULTS_KEPT = 10_000
"""Faults that an import of the good rows keeps; the rows at fault are all counted."""

LedgerAccount = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=MAX_LENGTH["account"]),
    AfterValidator(clean_column),
    Field(examples=["1520-10"]),
]
"""An account as the export writes it."""

ProjectCode = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=MAX_LENGTH["project"]),
    AfterValidator(clean_column),
    Field(examples=["CL-2026"]),
]
"""A project, job or cost code as the export writes it."""


class Import(Answer):
    """What became of a file. The totals and dates are those of its good rows, posted or known before."""

    id: UUID
    profile_id: UUID
    filename: str
    sha256: str
    status: Literal["posted", "partly_posted", "voided"] = Field(
        description="`partly_posted`: bad rows were left out; `voided`: what it had posted is removed again."
    )
    rows_read: int
    rows_posted: int = Field(description="Rows that this import added; a voided import keeps the count.")
    rows_known: int = Field(description="Rows that earlier imports had posted already.")
    rows_bad: int = Field(
        description=f"Rows left out, all of them; of their faults the first {MAX_FAULTS_KEPT} are kept."
    )
    rows_assigned: int = Field(description="Rows posted that a rule assigned to a budget line.")
    rows_skipped: int = Field(
        description="Rows that the profile skips, such as subtotals and headings; `rows_read` counts them."
    )
    opening_balances: int = Field(
        description="Rows that stated an opening balance; see the control totals of the import."
    )
    rows_late: int = Field(
        description="Rows posted to a later month than that of their day, because it was closed."
    )
    debits: Money
    credits: Money
    first_date: date | None
    last_date: date | None
    created_at: Timestamp
    actor: str
    weakened_by: UUID | None = Field(
        description="An import that was voided after this one had counted some of its rows as known: upload this "
        "file again to post them."
    )
    voided_at: Timestamp | None
    voided_by: str | None
    void_reason: str | None


class ImportResult(Import):
    """The import that an upload made.

    Where the very same bytes were imported with this version of the profile before, and nothing was voided
    since, it is that earlier import again, with `repeated` true, every row known and none posted.
    """

    repeated: bool


class Voiding(Request):
    """Why what an import posted is removed again."""

    reason: Annotated[Text, StringConstraints(min_length=1)] = Field(
        examples=["The sand is counted twice: this profile leaves out vendors"]
    )


class ImportFault(Answer):
    """Something wrong with a row that was left out of an import."""

    row: int = Field(description="Row of the file, as a spreadsheet counts.")
    column: str | None = Field(description="The column, or null where the whole row is at fault.")
    expected: str
    got: str | None


class PostingPart(Answer):
    """What of a split posting goes to one budget line."""

    budget_line_id: UUID
    amount: Money
    percent: Decimal | None = Field(
        description="The share it was split by, or null where amounts were given."
    )


class PostingDecision(Answer):
    """Who decided how a posting is assigned, when and why."""

    by: str
    at: Timestamp
    reason: str


class Posting(Answer):
    """One row of the club's accounts."""

    id: str = Field(examples=["5d41402abc4b2a76b9719d911017c592-1"])
    import_id: UUID
    row: int = Field(description="Its row in the imported file.")
    posted_on: date
    month: Month = Field(description="The accounting month that it counts in.")
    late: bool = Field(
        description="It counts in a later month than that of its day, because that one was closed."
    )
    account: str
    amount: Money = Field(description="Above zero for a debit, below for a credit.")
    description: str
    vendor: str | None
    reference: str | None
    journal_id: str | None
    journal_line: str | None
    project: str | None
    budget_line_id: UUID | None = Field(description="Null where it is unassigned, or split.")
    parts: list[PostingPart] = Field(
        description="What it is split into, in the posting's own order; empty where it is whole."
    )
    rule_id: UUID | None
    assigned_by: Literal["rule", "hand", "pair"] | None = Field(
        description="`pair`: it takes back another posting and follows that one's assignment."
    )
    decision: PostingDecision | None = Field(
        description="By whom, when and why, where a person decided it; null where a rule did."
    )
    reversal_id: UUID | None = Field(
        description="The confirmed pair that it belongs to, as the original or as the reversal."
    )
    raw: str = Field(description="The row as it stood in the file.")


class PostingExport(Answer):
    """What a file of postings holds, to check it by."""

    postings: int = Field(description="A split one counts once; in the file it has a row for each part.")
    debits: Money
    credits: Money
    net: Money = Field(description="debits - credits.")
