"""The ledger: import profiles, imports of accounting exports, postings, and the rules that assign them.

A posting's amount is positive for a debit and negative for a credit.
"""

from datetime import date
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.ledger_profiles import MAX_LENGTH, clean_column
from swardcost_model.values import Answer, Money, Month, Name, Request, Text, Timestamp, Value

MAX_FAULTS_KEPT = 10_000
"""Faults that an import of the good rows keeps; the rows at fault are all counted."""

LedgerAccount = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=MAX_LENGTH["account"]),
    AfterValidator(clean_column),
    Field(examples=["1520-10"]),
]
"""An account as the export writes it."""


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


class Posting(Answer):
    """One row of the club's accounts."""

    id: str = Field(examples=["5d41402abc4b2a76b9719d911017c592-1"])
    import_id: UUID
    row: int = Field(description="Its row in the imported file.")
    posted_on: date
    month: Month
    account: str
    amount: Money = Field(description="Above zero for a debit, below for a credit.")
    description: str
    vendor: str | None
    reference: str | None
    journal_id: str | None
    journal_line: str | None
    budget_line_id: UUID | None
    rule_id: UUID | None
    assigned_by: Literal["rule", "hand"] | None
    raw: str = Field(description="The row as it stood in the file.")


class HandAssignment(Request):
    """A posting assigned by hand, or, with null, kept unassigned by hand; rules leave it alone afterwards."""

    budget_line_id: UUID | None
    reason: Annotated[Text, StringConstraints(min_length=1)]


class RuleConditions(Value):
    """What a posting must be like for a rule to take it: everything that is given, and at least one thing."""

    account: LedgerAccount | None = Field(default=None, description="The account is exactly this.")
    account_prefix: LedgerAccount | None = Field(default=None, description="The account begins with this.")
    text_contains: Name | None = Field(
        default=None, description="The description contains this, in any letter case."
    )
    vendor_contains: Name | None = Field(
        default=None, description="The vendor contains this, in any letter case."
    )
    date_from: date | None = Field(default=None, description="Posted on this day or later.")
    date_to: date | None = Field(default=None, description="Posted on this day or earlier.")
    amount_min: Money | None = Field(default=None, description="Of this signed amount or more.")
    amount_max: Money | None = Field(default=None, description="Of this signed amount or less.")

    @model_validator(mode="after")
    def _conditions_can_hold(self) -> Self:
        if not self.model_dump(exclude_none=True):
            raise PydanticCustomError("no_condition", "at least one condition")
        if self.account is not None and self.account_prefix is not None:
            raise PydanticCustomError("account", "`account` or `account_prefix`, not both")
        if self.date_from and self.date_to and self.date_to < self.date_from:
            raise PydanticCustomError("dates", "`date_to` on or after `date_from`")
        if self.amount_min and self.amount_max and self.amount_max.amount < self.amount_min.amount:
            raise PydanticCustomError("amounts", "`amount_max` of `amount_min` or more")
        return self


class RuleFields(Value):
    """A rule: which postings go to which budget line. The lowest priority number is tried first."""

    name: Name = Field(examples=["Topdressing sand"])
    priority: int = Field(default=100, ge=0, le=1_000_000)
    conditions: RuleConditions
    budget_line_id: UUID


class NewRule(RuleFields):
    """A rule to be added to a budget. Names are unique within the budget."""

    budget_id: UUID


class RuleChange(RuleFields):
    """The rule as it should be from now on (all fields). Postings already assigned stay where they are."""


class Rule(RuleFields):
    """A rule of a budget."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    budget_id: UUID
    version: int


class RuleCount(Answer):
    """How many postings a rule assigned."""

    rule_id: UUID
    name: str
    postings: int


class RulesApplied(Answer):
    """What applying the rules did: `tried` unassigned postings, of which `assigned` found a rule."""

    tried: int
    assigned: int
    rules: list[RuleCount] = Field(description="All rules, in the order in which they are tried.")
