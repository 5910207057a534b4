"""Budgets: opened by the acceptance of an estimate, then read; and what other rooms need of them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, func, insert, select
from swardcost_model.adjustments import AdjustmentStatus
from swardcost_model.budgets import Budget, BudgetLine, BudgetSummary, MonthAmount
from swardcost_model.paging import Page
from swardcost_model.values import Money, plain

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.adjustments import finds_commitments as finds_commitments
from swardcost_api.budgets.adjustments import hold_budget as hold_budget
from swardcost_api.budgets.adjustments import list_adjustments as list_adjustments
from swardcost_api.budgets.adjustments import propose as propose
from swardcost_api.budgets.adjustments import read_adjustments as read_adjustments
from swardcost_api.budgets.amounts import stated_minor as stated_minor
from swardcost_api.budgets.amounts import unit_price_micros
from swardcost_api.budgets.contingency import contingency_log as contingency_log
from swardcost_api.budgets.contingency import fund_from_contingency as fund_from_contingency
from swardcost_api.budgets.progress import Measured as Measured
from swardcost_api.budgets.progress import progress_at as progress_at
from swardcost_api.budgets.progress import read_progress as read_progress
from swardcost_api.budgets.state_answers import line_fields
from swardcost_api.budgets.states import ApprovedEntry as ApprovedEntry
from swardcost_api.budgets.states import LineState as LineState
from swardcost_api.budgets.states import approved_entries as approved_entries
from swardcost_api.budgets.states import line_states as line_states
from swardcost_api.budgets.states import planned_months
from swardcost_api.budgets.tables import AdjustmentRow, BudgetLineRow, BudgetMonthRow, BudgetRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, named_in_request, read_row
from swardcost_api.storage.work import UnitOfWork

_ADJUSTED = (
    select(func.coalesce(func.sum(AdjustmentRow.net_minor), 0))
    .where(
        AdjustmentRow.club_id == BudgetRow.club_id,
        AdjustmentRow.budget_id == BudgetRow.id,
        AdjustmentRow.status == AdjustmentStatus.APPROVED,
    )
    .scalar_subquery()
)
_BUDGET = (
    BudgetRow.id, BudgetRow.name, BudgetRow.project_id, BudgetRow.estimate_id, BudgetRow.total_minor,
    _ADJUSTED.label("adjusted_minor"), BudgetRow.created_at,
)  # fmt: skip
_BUDGET_BY_ID = by_id(BudgetRow, _BUDGET)
_LINE_BY_ID = by_id(
    BudgetLineRow,
    (
        BudgetLineRow.id, BudgetLineRow.budget_id, BudgetLineRow.number, BudgetLineRow.label, BudgetLineRow.account,
        BudgetLineRow.unit, BudgetLineRow.markup,
    ),
)  # fmt: skip

LONGEST_NAME = 300
"""Characters that the name of a budget and the label of a line may have."""


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line that a budget is opened with: a scope item's item, or a markup, under one account.

    `months` are its amounts by month in minor units; `quantity` is in `unit`, and neither is there for what has no
    single unit.
    """

    label: str
    scope_item_id: UUID | None
    markup: str | None
    account: str | None
    months: Mapping[str, int]
    quantity: Decimal | None = None
    unit: str | None = None
    scope_item: str | None = None

    @property
    def amount_minor(self) -> int:
        """What the line plans in all."""
        return sum(self.months.values())


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A budget line that a request names."""

    id: UUID
    budget_id: UUID
    number: int
    label: str
    account: str | None
    unit: str | None
    markup: str | None


def open_budget(
    work: UnitOfWork, name: str, project_id: UUID, estimate_id: UUID, lines: Sequence[PlannedLine]
) -> UUID:
    """Open a budget with these lines, numbered as they come; gives its id."""
    budget_id = work.new_id()
    total = sum(line.amount_minor for line in lines)
    currency = read_club(work).currency
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
                "club_id": work.club_id, "id": line_id, "budget_id": budget_id, "number": number,
                "label": shortened(line.label), "scope_item_id": line.scope_item_id, "scope_item": line.scope_item,
                "markup": line.markup, "account": line.account, "amount_minor": line.amount_minor,
                "quantity": None if line.quantity is None else plain(line.quantity), "unit": line.unit,
                "unit_price_micros": unit_price_micros(line.amount_minor, line.quantity, currency),
                "unplanned": False, "opened_by": None,
            }
        )  # fmt: skip
        months += [
            {"club_id": work.club_id, "budget_line_id": line_id, "month": month, "amount_minor": amount}
            for month, amount in line.months.items()
        ]
    if rows:
        work.session.execute(insert(BudgetLineRow), rows)
        work.session.execute(insert(BudgetMonthRow), months)
    after = {"name": name, "estimate_id": str(estimate_id), "lines": len(rows), "total_minor": total}
    record(work, "open", "budget", budget_id, after=after)
    return budget_id


def shortened(name: str) -> str:
    """A name that fits, cut off where it is too long."""
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


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


def budgets_of_projects(work: UnitOfWork, project_ids: Collection[UUID]) -> dict[UUID, BudgetSummary]:
    """The budget of each of some projects that has one, by project, in one query."""
    mine = select(*_BUDGET).where(BudgetRow.club_id == work.club_id, BudgetRow.project_id.in_(project_ids))
    currency = read_club(work).currency
    return {row.project_id: BudgetSummary(**_summary(row, currency)) for row in work.session.execute(mine)}


def read_budget_summary(work: UnitOfWork, budget_id: UUID) -> BudgetSummary:
    """A budget without its lines."""
    row = read_row(work, _BUDGET_BY_ID, budget_id, "budget")
    return BudgetSummary(**_summary(row, read_club(work).currency))


def read_budget(work: UnitOfWork, budget_id: UUID) -> Budget:
    """A budget with its lines and their months."""
    row = read_row(work, _BUDGET_BY_ID, budget_id, "budget")
    currency = read_club(work).currency
    months: dict[UUID, list[MonthAmount]] = {}
    for line_id, month, amount in planned_months(work, budget_id):
        months.setdefault(line_id, []).append(
            MonthAmount(month=month, amount=Money.of_minor(amount, currency))
        )
    return Budget(
        **_summary(row, currency),
        lines=[
            BudgetLine(
                **line_fields(line, currency), amount=Money.of_minor(line.original_minor, currency),
                current=Money.of_minor(line.current_minor, currency), months=months.get(line.id, []),
            )
            for line in line_states(work, budget_id)
        ],
    )  # fmt: skip


def budget_of_estimate(work: UnitOfWork, estimate_id: UUID) -> UUID | None:
    """The budget that an estimate's acceptance opened, if it was accepted."""
    return work.session.scalar(
        select(BudgetRow.id).where(BudgetRow.club_id == work.club_id, BudgetRow.estimate_id == estimate_id)
    )


def line_named(work: UnitOfWork, line_id: UUID, pointer: str) -> NamedLine:
    """The budget line that a request names at a place. Raises `invalid-values` where the club has none such."""
    with named_in_request(pointer, "the id of a budget line of this club", line_id, "Nothing was changed."):
        return NamedLine(*read_row(work, _LINE_BY_ID, line_id, "budget line"))


def _summary(row: Row[*tuple[Any, ...]], currency: str) -> dict[str, Any]:
    return {
        "id": row.id, "name": row.name, "project_id": row.project_id, "estimate_id": row.estimate_id,
        "total": Money.of_minor(row.total_minor, currency),
        "current_total": Money.of_minor(row.total_minor + int(row.adjusted_minor), currency),
        "created_at": row.created_at,
    }  # fmt: skip
