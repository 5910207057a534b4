"""Budgets: opened by the acceptance of an estimate, then read."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model.budgets import Budget, BudgetLine, BudgetSummary, MonthAmount
from swardcost_model.paging import Page
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.tables import BudgetLineRow, BudgetMonthRow, BudgetRow
from swardcost_api.engine.control.phasing import phase
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

_BUDGET = (
    BudgetRow.id, BudgetRow.name, BudgetRow.project_id, BudgetRow.estimate_id, BudgetRow.total_minor,
    BudgetRow.created_at,
)  # fmt: skip
_BUDGET_BY_ID = by_id(BudgetRow, _BUDGET)


LONGEST_NAME = 300
"""Characters that the name of a budget may have."""


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line that a budget is opened with: a scope item, or a markup, under one account."""

    label: str
    scope_item_id: UUID | None
    markup: str | None
    account: str | None
    amount_minor: int


def open_budget(
    work: UnitOfWork,
    name: str,
    project_id: UUID,
    estimate_id: UUID,
    lines: Sequence[PlannedLine],
    starts_on: date,
    ends_on: date,
) -> UUID:
    """Open a budget with these lines, each spread over the months of the work by days; gives its id."""
    budget_id = work.new_id()
    total = sum(line.amount_minor for line in lines)
    work.session.execute(
        insert(BudgetRow).values(
            club_id=work.club_id, id=budget_id, project_id=project_id, estimate_id=estimate_id, name=name,
            total_minor=total, created_at=work.now,
        )
    )  # fmt: skip
    rows, months = [], []
    for number, line in enumerate(lines, start=1):
        line_id = work.new_id()
        rows.append(
            {
                "club_id": work.club_id, "id": line_id, "budget_id": budget_id, "number": number, "label": line.label,
                "scope_item_id": line.scope_item_id, "markup": line.markup, "account": line.account,
                "amount_minor": line.amount_minor,
            }
        )  # fmt: skip
        months += [
            {"club_id": work.club_id, "budget_line_id": line_id, "month": month, "amount_minor": amount}
            for month, amount in phase(line.amount_minor, starts_on, ends_on).items()
        ]
    if rows:
        work.session.execute(insert(BudgetLineRow), rows)
        work.session.execute(insert(BudgetMonthRow), months)
    after = {"name": name, "estimate_id": str(estimate_id), "lines": len(rows), "total_minor": total}
    record(work, "open", "budget", budget_id, after=after)
    return budget_id


def list_budgets(
    work: UnitOfWork, limit: int, cursor: str | None, project_id: UUID | None
) -> Page[BudgetSummary]:
    """The club's budgets, oldest first."""
    statement = select(*_BUDGET).where(BudgetRow.club_id == work.club_id)
    if project_id is not None:
        statement = statement.where(BudgetRow.project_id == project_id)
    rows, following = read_page(work, statement, (BudgetRow.id,), limit, cursor)
    currency = read_club(work).currency
    return Page[BudgetSummary](
        items=[BudgetSummary(**_summary(row, currency)) for row in rows], next=following
    )


def read_budget(work: UnitOfWork, budget_id: UUID) -> Budget:
    """A budget with its lines and their months."""
    row = read_row(work, _BUDGET_BY_ID, budget_id, "budget")
    currency = read_club(work).currency
    months: dict[UUID, list[MonthAmount]] = {}
    for line_id, month, amount in planned_months(work, budget_id):
        months.setdefault(line_id, []).append(
            MonthAmount(month=month, amount=Money.of_minor(amount, currency))
        )
    lines = work.session.execute(
        select(*BudgetLineRow.__table__.c)
        .where(BudgetLineRow.club_id == work.club_id, BudgetLineRow.budget_id == budget_id)
        .order_by(BudgetLineRow.number)
    )
    return Budget(
        **_summary(row, currency),
        lines=[
            BudgetLine(
                id=line.id, number=line.number, label=line.label, scope_item_id=line.scope_item_id,
                markup=line.markup, account=line.account, amount=Money.of_minor(line.amount_minor, currency),
                months=months.get(line.id, []),
            )
            for line in lines
        ],
    )  # fmt: skip


def budget_of_estimate(work: UnitOfWork, estimate_id: UUID) -> UUID | None:
    """The budget that an estimate's acceptance opened, if it was accepted."""
    return work.session.scalar(
        select(BudgetRow.id).where(BudgetRow.club_id == work.club_id, BudgetRow.estimate_id == estimate_id)
    )


def planned_months(work: UnitOfWork, budget_id: UUID) -> list[tuple[UUID, str, int]]:
    """Every month of every line of a budget: line, month, amount in minor units."""
    statement = (
        select(BudgetMonthRow.budget_line_id, BudgetMonthRow.month, BudgetMonthRow.amount_minor)
        .join(
            BudgetLineRow,
            (BudgetLineRow.club_id == BudgetMonthRow.club_id)
            & (BudgetLineRow.id == BudgetMonthRow.budget_line_id),
        )
        .where(BudgetMonthRow.club_id == work.club_id, BudgetLineRow.budget_id == budget_id)
        .order_by(BudgetLineRow.number, BudgetMonthRow.month)
    )
    return [(line_id, month, amount) for line_id, month, amount in work.session.execute(statement)]


def _summary(row: Row[*tuple[Any, ...]], currency: str) -> dict[str, Any]:
    return {
        "id": row.id, "name": row.name, "project_id": row.project_id, "estimate_id": row.estimate_id,
        "total": Money.of_minor(row.total_minor, currency), "created_at": row.created_at,
    }  # fmt: skip
