"""A budget at any day, line by line and month by month, as an answer and as a CSV file."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from swardcost_model.budgets import BudgetFigures, BudgetLineState, BudgetState, MonthState
from swardcost_model.values import Money, from_micros

from swardcost_api.access.service import read_club
from swardcost_api.budgets.states import LineState, require_budget, states_and_pending
from swardcost_api.csv_files import write_rows
from swardcost_api.storage.work import UnitOfWork


def read_state(work: UnitOfWork, budget_id: UUID, on: date | None, known_on: date | None) -> BudgetState:
    """The budget at a day (today if none), by the decisions taken until a day (all if none)."""
    require_budget(work, budget_id)
    currency = read_club(work).currency
    lines, pending = states_and_pending(work, budget_id, on, known_on)
    sums = (
        sum(line.original_minor for line in lines), sum(line.adjusted_minor for line in lines),
        sum(line.current_minor for line in lines),
    )  # fmt: skip
    return BudgetState(
        budget_id=budget_id, on=on or work.now.date(), known_on=known_on, **_figures(*sums, currency),
        pending=Money.of_minor(sum(pending.by_line.values()) + pending.new_lines, currency),
        pending_new_lines=Money.of_minor(pending.new_lines, currency),
        lines=[_line(line, currency) for line in lines],
    )  # fmt: skip


def line_fields(line: LineState, currency: str) -> dict[str, Any]:
    """What is said of a line wherever it is shown."""
    price = None
    if line.unit_price_micros is not None:
        price = Money.model_construct(amount=from_micros(line.unit_price_micros), currency=currency)  # type: ignore[arg-type]
    return {
        "id": line.id, "number": line.number, "label": line.label, "scope_item_id": line.scope_item_id,
        "scope_item": line.scope_item, "markup": line.markup, "account": line.account, "quantity": line.quantity,
        "unit": line.unit, "unit_price": price, "unplanned": line.unplanned, "opened_by": line.opened_by,
    }  # fmt: skip


def _line(line: LineState, currency: str) -> BudgetLineState:
    return BudgetLineState(
        **line_fields(line, currency), adjusted_quantity=line.adjusted_quantity,
        current_quantity=line.current_quantity, pending=Money.of_minor(line.pending_minor, currency),
        **_figures(line.original_minor, line.adjusted_minor, line.current_minor, currency),
        months=[
            MonthState(
                month=month,
                **_figures(original, line.adjusted_by_month[month], line.current_by_month[month], currency),
            )
            for month, original in line.original_by_month.items()
        ],
    )  # fmt: skip


def _figures(original: int, adjusted: int, current: int, currency: str) -> dict[str, Money]:
    minors = {
        "original": original, "adjustments": adjusted - original, "adjusted": adjusted,
        "later": current - adjusted, "current": current,
    }  # fmt: skip
    return {name: Money.of_minor(minor, currency) for name, minor in minors.items()}


STATE_COLUMNS = (
    "line", "label", "account", "month", "original", "adjustments", "adjusted", "later", "current", "pending",
    "currency", "quantity", "adjusted_quantity", "current_quantity", "unit", "unit_price", "unplanned", "opened_by",
)  # fmt: skip


def state_csv(state: BudgetState) -> str:
    """A budget at a day as a CSV file: a row for each month of each line, a row for each line (without a month), and
    the total last."""
    return write_rows(STATE_COLUMNS, _cells(state))


def _cells(state: BudgetState) -> Iterable[Sequence[Any]]:
    for line in state.lines:
        for month in line.months:
            yield (
                line.number,
                line.label,
                line.account,
                month.month,
                *_amounts(month),
                None,
                *_of_line(line),
            )
        yield (
            line.number,
            line.label,
            line.account,
            None,
            *_amounts(line),
            line.pending.amount,
            *_of_line(line),
        )
    blank = [None] * 7
    currency = state.current.currency
    yield (None, "Total", None, None, *_amounts(state), state.pending.amount, currency, *blank)


def _amounts(figures: BudgetFigures) -> Sequence[Any]:
    return [
        money.amount
        for money in (figures.original, figures.adjustments, figures.adjusted, figures.later, figures.current)
    ]


def _of_line(line: BudgetLineState) -> Sequence[Any]:
    return (
        line.current.currency, line.quantity, line.adjusted_quantity, line.current_quantity, line.unit,
        line.unit_price.amount if line.unit_price else None, "yes" if line.unplanned else "no", line.opened_by,
    )  # fmt: skip
