"""Planned, paid and expected money by month."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from swardcost_model.control import CashFlow, CashMonth, ForecastMethod
from swardcost_model.values import Money

from swardcost_api.engine.control.cash_flow import cash_flow, spread_rest
from swardcost_api.engine.control.months import next_month
from swardcost_api.reports.forecasting import LineForecast, line_forecasts
from swardcost_api.reports.gathering import Gathered, gather, summed
from swardcost_api.storage.work import UnitOfWork

HOW = [
    "planned: adjusted budget of the month; paid: postings of the month, up to the report's month",
    "accrued at the end of the report's month is taken to be paid in the next",
    "committed: open commitments in the month in which they are expected, or else in the next",
    "not ordered = estimate at completion - cost - open commitments, over the months of the line's plan still to come",
    "planned so far and money so far: sums up to and including the month",
]
COLUMNS = (
    "month", "planned", "paid", "accrued", "committed", "not_ordered", "planned_so_far", "money_so_far", "currency",
)  # fmt: skip
MONEY = frozenset(COLUMNS[1:8])


def budget_cash_flow(
    work: UnitOfWork, budget_id: UUID, through: str | None, method: ForecastMethod
) -> CashFlow:
    """Cash by month, as known at the end of a month: this month where none is given."""
    gathered = gather(work, budget_id, through)
    return cash_of(gathered, line_forecasts(work, gathered, method), method, work.now)


def cash_of(
    gathered: Gathered, forecasts: Sequence[LineForecast], method: ForecastMethod, now: datetime
) -> CashFlow:
    """Cash by month of a gathered budget whose lines were forecast by a method."""
    currency, following = gathered.currency, next_month(gathered.through)
    planned = summed(line.state.adjusted_by_month for line in gathered.lines)
    paid = summed(line.actual_by_month for line in gathered.lines)
    accrued = {following: sum(line.accrued_minor for line in gathered.lines)}
    committed = summed(
        {max(one.expected_month or following, following): one.open_minor}
        for line in gathered.lines
        for one in line.commitments
    )
    not_ordered = summed(
        spread_rest(
            one.at_completion_minor - one.line.cost_minor - one.line.open_minor,
            one.line.state.adjusted_by_month, gathered.through,
        )
        for one in forecasts
    )  # fmt: skip
    parts = [
        {month: amount for month, amount in part.items() if amount}
        for part in (accrued, committed, not_ordered)
    ]
    expected = summed(parts)
    rows = cash_flow(planned, paid, expected)

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    return CashFlow(
        budget=gathered.budget, through=gathered.through, created_at=now, method=method,
        months=[
            CashMonth(
                month=row.month, planned=money(row.planned_minor), paid=money(row.paid_minor),
                accrued=money(parts[0].get(row.month, 0)), committed=money(parts[1].get(row.month, 0)),
                not_ordered=money(parts[2].get(row.month, 0)), planned_so_far=money(row.planned_so_far_minor),
                money_so_far=money(row.money_so_far_minor),
            )
            for row in rows
        ],
        planned=money(sum(planned.values())), paid=money(sum(paid.values())),
        expected=money(sum(expected.values())), derivation=HOW,
    )  # fmt: skip


def cash_cells(report: CashFlow) -> Iterable[Sequence[Any]]:
    """The report as rows of a table with `COLUMNS`."""
    for row in report.months:
        amounts = (row.planned, row.paid, row.accrued, row.committed, row.not_ordered, row.planned_so_far,
                   row.money_so_far)  # fmt: skip
        yield (row.month, *(one.amount for one in amounts), row.planned.currency)
