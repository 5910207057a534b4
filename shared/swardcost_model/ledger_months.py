"""Accounting months: the trial balance, the reconciliation with it, closing and reopening."""

from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.ledger import LedgerAccount
from swardcost_model.values import (
    Amount,
    Answer,
    Currency,
    Money,
    Month,
    NonNegative,
    Request,
    Text,
    Timestamp,
    Value,
)

MAX_ACCOUNTS = 10_000
"""Accounts that a trial balance may have."""

Reason = Annotated[Text, StringConstraints(min_length=1)]
MonthStatus = Literal["open", "closed"]
Basis = Literal["movement", "closing_balance"]
"""What a trial balance states: what each account moved by in the month, or its balance at the month's end together
with the one at its start."""


class TrialBalanceLine(Value):
    """One account: `debit` and `credit`, or one signed `balance` (debit positive)."""

    account: LedgerAccount
    debit: NonNegative | None = None
    credit: NonNegative | None = None
    balance: Amount | None = None
    opening: Amount | None = Field(
        default=None,
        description="Balance at the start of the month, debit positive, beside a closing balance.",
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        two_columns = self.debit is not None or self.credit is not None
        if two_columns == (self.balance is not None):
            raise PydanticCustomError("one_way", "either `balance`, or `debit` or `credit` or both")
        return self


class NewTrialBalance(Request):
    """The trial balance of a month, whole: it takes the place of the one before."""

    basis: Basis = Field(
        description="Whether the figures are the month's movement, or closing balances; these need `opening` with each."
    )
    currency: Currency = Field(examples=["USD"])
    lines: list[TrialBalanceLine] = Field(min_length=1, max_length=MAX_ACCOUNTS)
    source: Text = Field(
        default="", description="Where it comes from.", examples=["Trial balance of 31 March"]
    )

    @model_validator(mode="after")
    def _lines_are_what_the_basis_says(self) -> Self:
        if len({line.account for line in self.lines}) != len(self.lines):
            raise PydanticCustomError("accounts", "each account once")
        with_opening = self.basis == "closing_balance"
        if any((line.opening is not None) != with_opening for line in self.lines):
            raise PydanticCustomError("opening", "`opening` with every closing balance, and with no movement")
        return self


class StatedAccount(Answer):
    """An account of the trial balance."""

    account: str
    opening: Money | None
    closing: Money | None
    movement: Money = Field(description="Debits less credits of the month; closing less opening balance.")


class TrialBalance(Answer):
    """The trial balance that a month is reconciled with."""

    month: Month
    basis: Basis
    source: str
    stated_at: Timestamp
    stated_by: str
    total: Money = Field(
        description="Sum of all movements: zero where the trial balance holds every account."
    )
    accounts: list[StatedAccount]
    version: int = Field(description="The version of the month.")


class MonthFigures(Answer):
    """What the postings of a month come to."""

    postings: int
    debits: Money
    credits: Money
    unassigned_postings: int = Field(description="Postings without a budget line.")
    unassigned: Money = Field(description="What those sum to.")
    late_postings: int = Field(
        description="Postings of earlier days that came when their own month was closed."
    )


class MonthSummary(MonthFigures):
    """An accounting month with postings or a trial balance."""

    month: Month
    status: MonthStatus
    trial_balance: bool = Field(description="Whether a trial balance is stated.")


class MonthList(Answer):
    """The accounting months, from the earliest."""

    closed_through: Month | None = Field(
        description="The last closed month. It and all months before it take no posting any more."
    )
    items: list[MonthSummary]


class LedgerMonth(MonthSummary):
    """One accounting month. Its version counts trial balances, closings and reopenings."""

    closed_at: Timestamp | None
    closed_by: str | None
    fingerprint: str = Field(
        description="Changes with any posting of the month that is added, removed or assigned otherwise."
    )
    unchanged: bool | None = Field(
        description="For a closed month, whether its totals are still those it was closed with."
    )
    version: int


class ReconciledAccount(Answer):
    """One account in the postings and in the trial balance."""

    account: str
    ledger: Money | None = Field(description="Movement by the postings; null where there are none.")
    trial_balance: Money | None = Field(
        description="Movement by the trial balance; null where the account is not in it."
    )
    difference: Money | None = Field(description="Ledger less trial balance; null without a trial balance.")
    only_in: Literal["ledger", "trial_balance"] | None
    reason: str | None = Field(description="Why it differs, as said when the month was closed.")


class Reconciliation(Answer):
    """A month's postings against its trial balance."""

    month: Month
    status: MonthStatus
    trial_balance: bool = Field(description="Whether a trial balance is stated.")
    accounts: list[ReconciledAccount]
    differing: int = Field(description="Accounts that differ.")
    ledger: Money
    stated: Money | None = Field(description="Sum of the movements of the trial balance.")
    difference: Money | None
    unassigned_postings: int
    late_postings: int
    fingerprint: str
    derivation: list[str]


class DifferenceReason(Value):
    """Why the ledger and the trial balance differ in one account."""

    account: LedgerAccount
    difference: Money | None = Field(
        default=None, description="The difference that is explained; another one by now refuses the closing."
    )
    reason: Reason = Field(examples=["Bank fees are booked with the next statement"])


class Closing(Request):
    """What the closing of a month is based on."""

    reasons: list[DifferenceReason] = Field(default_factory=list, max_length=MAX_ACCOUNTS)
    accept_unassigned: Reason | None = Field(
        default=None, description="Why postings of the month may stay without a budget line."
    )
    note: Text = ""

    @model_validator(mode="after")
    def _each_account_once(self) -> Self:
        if len({one.account for one in self.reasons}) != len(self.reasons):
            raise PydanticCustomError("accounts", "each account once")
        return self


class Reopening(Request):
    """Why a closed month is opened again."""

    reason: Reason


class ExplainedDifference(Answer):
    """A difference that a month was closed with."""

    account: str
    difference: Money
    reason: str


class MonthEvent(MonthFigures):
    """A closing or a reopening of a month, with the totals it had then."""

    id: UUID
    month: Month
    action: Literal["close", "reopen"]
    at: Timestamp
    actor: str
    reason: str = Field(description="Why it was reopened, or the note of the closing.")
    accept_unassigned: str | None
    differences: list[ExplainedDifference]
    fingerprint: str
