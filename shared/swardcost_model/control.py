"""Where the money of a budget stands, where it is going, and why it differs from the plan.

In all of these reports a line's cost is what was posted to it and what was accrued; both up to the end of a month.
"""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field, StringConstraints

from swardcost_model.budgets import BudgetSummary
from swardcost_model.values import Account, Amount, Answer, Money, Month, Request, Text, Timestamp

ForecastMethod = Literal["as_budgeted", "current_rate", "cost_and_schedule_rate", "own_figure"]
Cause = Literal["scope", "timing", "quantity", "price", "spending", "coding"]


class MoneyStanding(Answer):
    """Budget, cost and what is still open, of a line or in all.

    original + adjustments = adjusted; actual + accrued + open_commitments = exposure; adjusted - exposure = available.
    """

    original: Money = Field(description="As the accepted estimate gave it.")
    adjustments: Money = Field(description="Approved and in effect by the day.")
    adjusted: Money
    pending: Money = Field(
        description="What proposed adjustments would change; in none of the other figures."
    )
    actual: Money = Field(description="Postings up to the month, splits counted by their parts.")
    accrued: Money = Field(
        description="Received and not invoiced, invoiced and not posted, and retainage held back."
    )
    open_commitments: Money = Field(description="Ordered, and neither received nor billed.")
    exposure: Money
    available: Money
    percent: Amount | None = Field(description="Actual and accrued in percent of adjusted, to 0.1.")
    postings: int


class StandingLine(MoneyStanding):
    """Where a budget line stands."""

    id: UUID
    number: int
    label: str
    account: Account | None
    unplanned: bool = Field(description="Work that nobody had planned, such as a failed pump.")


class BudgetStanding(Answer):
    """Budget versus actual with commitments and accruals, line by line; the lines sum to the total."""

    budget: BudgetSummary
    through: Month = Field(description="The last month of postings that counts.")
    on: date = Field(description="The last day of that month.")
    created_at: Timestamp
    lines: list[StandingLine]
    unplanned: MoneyStanding = Field(description="The unplanned lines together; they are in the total too.")
    total: MoneyStanding
    unassigned: Money = Field(
        description="Postings of the club that are assigned to no budget; in none of these."
    )
    unassigned_postings: int
    derivation: list[str] = Field(description="How each column is computed, in words.")


class OwnForecastFields(Request):
    """What the superintendent expects a line still to take, from a day on."""

    budget_line_id: UUID
    stated_on: date
    to_complete: Money
    reason: Annotated[Text, StringConstraints(min_length=1)] = Field(
        examples=["Two greens of sand are still to be spread"]
    )


class OwnForecast(OwnForecastFields):
    """A stated figure; the last one by a day counts, and all are kept."""

    id: UUID
    stated_by: str
    stated_at: Timestamp


class MethodForecast(Answer):
    """The estimate at completion by one method; nulls where the method has no answer."""

    method: ForecastMethod
    to_complete: Money | None
    at_completion: Money | None
    variance: Money | None = Field(
        description="Budget less estimate at completion: below zero is dearer than budgeted."
    )


class EarnedFigures(Answer):
    """Earned value at a day; above zero is favourable in both variances."""

    budget_at_completion: Money
    planned: Money = Field(description="Adjusted budget up to the month.")
    earned: Money = Field(description="Adjusted budget x share done.")
    cost: Money = Field(description="Actual and accrued.")
    schedule_variance: Money
    cost_variance: Money
    schedule_index: Amount | None = Field(description="Earned / planned, to 0.001.")
    cost_index: Amount | None = Field(description="Earned / cost, to 0.001.")
    index_to_complete: Amount | None = Field(
        description="(Budget - earned) / (budget - cost): the cost index that the rest must reach."
    )
    percent_done: Amount | None = Field(description="Earned in percent of the budget, to 0.1.")
    at_completion: Money = Field(
        description="By the chosen method, never less than cost and open commitments."
    )
    to_complete: Money
    variance_at_completion: Money = Field(description="Budget less estimate at completion.")


class ForecastLine(EarnedFigures):
    """Earned value and forecast of a line."""

    id: UUID
    number: int
    label: str
    account: Account | None
    unplanned: bool
    measured: str = Field(
        description="How the share done is known, in words.",
        examples=["820 of 1,000 short tons on 2026-10-12 (82 %)"],
    )
    cost_since_measured: Money | None = Field(
        description="What the cost, posted and accrued, grew by after the month in which it was last measured, where "
        "that is taken for more work done: earned is then the cost, but at least what was measured, and at most that "
        "and this growth. Null where what was measured counts, or nothing was."
    )
    method: ForecastMethod = Field(
        description="The method that gave the estimate: the one asked for, or `as_budgeted` where it has no answer."
    )
    committed_floor: bool = Field(
        description="The method gave less than cost and open commitments, which stand in its place."
    )
    forecasts: list[MethodForecast]


class Forecast(Answer):
    """Earned value and the estimate at completion by stated methods; the lines sum to the total."""

    budget: BudgetSummary
    through: Month
    on: date
    created_at: Timestamp
    method: ForecastMethod
    lines: list[ForecastLine]
    total: EarnedFigures
    unmeasured: int = Field(
        description="Lines whose share done is not known; they count as on budget so far."
    )
    outdated: int = Field(
        description="Lines on which more is taken to be done than was measured, for what they cost since; until they "
        "are measured again."
    )
    derivation: list[str]


class CashMonth(Answer):
    """Money of one month."""

    month: str = Field(examples=["2026-10"])
    planned: Money = Field(description="Adjusted budget.")
    paid: Money = Field(description="Postings.")
    accrued: Money = Field(description="Owed at the end of the report's month, taken to be paid in the next.")
    committed: Money = Field(description="Open commitments, by the month in which they are expected.")
    not_ordered: Money = Field(
        description="The rest of the estimate at completion, by the months of the plan."
    )
    planned_so_far: Money
    money_so_far: Money = Field(description="Paid, accrued, committed and not ordered up to this month.")


class CashFlow(Answer):
    """Planned, paid and expected money by month; the last sums are the budget and the estimate at completion."""

    budget: BudgetSummary
    through: Month
    created_at: Timestamp
    method: ForecastMethod
    months: list[CashMonth]
    planned: Money
    paid: Money
    expected: Money
    derivation: list[str]


class ExplainedCause(Answer):
    """One part of a difference: above zero is more money than planned."""

    cause: Cause
    amount: Money
    words: str = Field(examples=["82 more short tons than planned: 3,321.00"])


class ExplainedLine(Answer):
    """Why a line's cost differs from its original plan up to the month; the causes sum to the difference."""

    id: UUID
    number: int
    label: str
    account: Account | None
    unplanned: bool
    planned: Money = Field(description="Original plan up to the month.")
    cost: Money = Field(description="Actual and accrued.")
    difference: Money = Field(description="Cost less planned.")
    causes: list[ExplainedCause]
    words: str = Field(description="The causes in one sentence.")


class CauseTotal(Answer):
    """What a cause comes to in all."""

    cause: Cause
    amount: Money
    formula: str


class Explanation(Answer):
    """Why the money is different: every line's difference by cause, to the cent."""

    budget: BudgetSummary
    through: Month
    on: date
    created_at: Timestamp
    lines: list[ExplainedLine] = Field(description="The largest differences first.")
    causes: list[CauseTotal]
    planned: Money
    cost: Money
    difference: Money
