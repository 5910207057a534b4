"""Budgets: the money an accepted estimate gives, by line, account and month, and what became of it."""

from datetime import date
from uuid import UUID

from pydantic import Field

from swardcost_model.values import Account, Amount, Answer, Money, Month, Timestamp


class MonthAmount(Answer):
    """Money planned for a month."""

    month: Month
    amount: Money


class BudgetLineFields(Answer):
    """One numbered line: what it pays for, its account, how much of it and at what price."""

    id: UUID
    number: int
    label: str = Field(description="What the line pays for: the scope item and its item, or the markup.")
    scope_item_id: UUID | None = Field(
        description="The scope item, or null for a markup such as contingency and for a line opened later."
    )
    scope_item: str | None = Field(description="Its name when the estimate was accepted.")
    markup: str | None
    account: Account | None = Field(description="Ledger account, or null where the estimate named none.")
    quantity: Amount | None = Field(
        description="Planned quantity at acceptance; null for markups and where it has no single unit."
    )
    unit: str | None
    unit_price: Money | None = Field(
        description="Planned price of one unit, delivery and the like included: amount / quantity, to 0.000001. The "
        "amount is what was agreed."
    )
    unplanned: bool = Field(description="Whether it was opened for work that nobody could plan.")
    opened_by: int | None = Field(
        description="Number of the adjustment that opened it; null for a line of the estimate."
    )


class BudgetLine(BudgetLineFields):
    """A line with its original amount, the months of that, and its amount with all approved adjustments."""

    amount: Money = Field(description="Original amount, at acceptance.")
    current: Money = Field(description="With all approved adjustments.")
    months: list[MonthAmount] = Field(description="Months of the original amount.")


class BudgetSummary(Answer):
    """A budget, without its lines."""

    id: UUID
    name: str
    project_id: UUID
    estimate_id: UUID
    total: Money = Field(description="Original total, at acceptance.")
    current_total: Money = Field(description="With all approved adjustments.")
    created_at: Timestamp


class Budget(BudgetSummary):
    """A budget with all its lines; the lines sum to the totals, and the months to each line's original amount."""

    lines: list[BudgetLine]


class BudgetFigures(Answer):
    """original + adjustments to the day = adjusted; adjusted + later adjustments = current."""

    original: Money
    adjustments: Money = Field(description="Approved and in effect by the day.")
    adjusted: Money
    later: Money = Field(description="Approved, in effect only after the day.")
    current: Money


class MonthState(BudgetFigures):
    """A month of a line at a day."""

    month: Month


class BudgetLineState(BudgetLineFields, BudgetFigures):
    """A line at a day; the figures hold for each month too."""

    adjusted_quantity: Amount | None
    current_quantity: Amount | None
    pending: Money = Field(
        description="What proposed adjustments would change; not in any other figure here."
    )
    months: list[MonthState]


class BudgetState(BudgetFigures):
    """A budget at a day, line by line."""

    budget_id: UUID
    on: date
    known_on: date | None = Field(
        description="Day whose decisions are the last that count; null for all there are."
    )
    pending: Money = Field(
        description="What proposed adjustments would change, lines yet to be opened included."
    )
    pending_new_lines: Money = Field(description="What of it is for lines yet to be opened.")
    lines: list[BudgetLineState]
