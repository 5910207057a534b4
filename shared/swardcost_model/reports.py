"""Budget versus actual."""

from typing import Literal

from pydantic import Field

from swardcost_model.budgets import BudgetSummary
from swardcost_model.values import Amount, Answer, Money, Timestamp

Heading = Literal["line", "account", "month", "scope_item"]


class ReportRow(Answer):
    """Budget and actual under one heading."""

    key: str | None = Field(description="Line number, account, month or scope item; null for what has none.")
    label: str
    budget: Money
    actual: Money
    remaining: Money = Field(description="Budget less actual.")
    percent: Amount | None = Field(
        description="Actual in percent of the budget, to 0.1; null without a budget, or beyond twelve digits."
    )
    variance: Money = Field(description="Actual less budget: above zero is more than planned.")
    postings: int


class ReportSection(Answer):
    """One way of looking at the same money: the rows sum to the totals."""

    by: Heading
    rows: list[ReportRow]


class BudgetReport(Answer):
    """Budget versus actual, by line, account, month and scope item.

    Actual is what was posted: assigned to this budget, plus what is not assigned to any (shown as
    rows of its own). Together with what is assigned to other budgets it is every posting of the club.
    """

    budget: BudgetSummary
    created_at: Timestamp
    total: ReportRow
    to_this_budget: ReportRow = Field(
        description="The budget against what is assigned to it, leaving out what waits to be assigned."
    )
    assigned: Money
    unassigned: Money
    unassigned_postings: int
    assigned_elsewhere: Money
    all_postings: Money
    sections: list[ReportSection]
    derivation: list[str] = Field(description="How each column is computed, in words.")
