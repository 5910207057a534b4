"""Budgets: the money an accepted estimate gives, by line, account and month."""

from uuid import UUID

from pydantic import Field

from swardcost_model.values import Account, Answer, Money, Month, Timestamp


class MonthAmount(Answer):
    """Money planned for a month."""

    month: Month
    amount: Money


class BudgetLine(Answer):
    """One numbered line: what it pays for, its account, and its amount by month."""

    id: UUID
    number: int
    label: str = Field(description="What the line pays for: the scope item or the markup.")
    scope_item_id: UUID | None = Field(
        description="The scope item, or null for a markup such as contingency."
    )
    markup: str | None
    account: Account | None = Field(description="Ledger account, or null where the estimate named none.")
    amount: Money
    months: list[MonthAmount]


class BudgetSummary(Answer):
    """A budget, without its lines."""

    id: UUID
    name: str
    project_id: UUID
    estimate_id: UUID
    total: Money
    created_at: Timestamp


class Budget(BudgetSummary):
    """A budget with all its lines; the lines sum to the total, and the months to each line."""

    lines: list[BudgetLine]
