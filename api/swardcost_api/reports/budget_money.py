"""The money of whole budgets: what they allow, what was spent of them by month, and what is to come."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from uuid import UUID

from swardcost_model.budgets import BudgetSummary

from swardcost_api.ledger.service import posting_totals
from swardcost_api.reports.gathering import LineFigures, gather, summed
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class BudgetMoney:
    """A budget up to the end of a month; amounts in minor units, months as ``"2026-09"``.

    `to_come_minor` is summed line by line: what is left of a line after actual and accrued, or its open commitments
    where they are more, so that what one line saves does not pay for what another is over.
    """

    budget: BudgetSummary
    through: str
    current_minor: int
    actual_by_month: Mapping[str, int]
    accrued_minor: int
    open_minor: int
    to_come_minor: int

    @property
    def actual_minor(self) -> int:
        """Posted up to the month."""
        return sum(self.actual_by_month.values())

    @property
    def cost_minor(self) -> int:
        """Posted and accrued."""
        return self.actual_minor + self.accrued_minor

    @property
    def expected_minor(self) -> int:
        """Posted, accrued and to come."""
        return self.cost_minor + self.to_come_minor


def money_of_budgets(
    work: UnitOfWork, budget_ids: Collection[UUID], through: str | None
) -> dict[UUID, BudgetMoney]:
    """Each of some budgets up to the end of a month, this month where none is given; the ledger is added up once."""
    if not budget_ids:
        return {}
    totals = posting_totals(work)
    found = {}
    for budget_id in budget_ids:
        gathered = gather(work, budget_id, through, totals)
        lines = gathered.lines
        found[budget_id] = BudgetMoney(
            gathered.budget, gathered.through, sum(one.state.current_minor for one in lines),
            summed(one.actual_by_month for one in lines), sum(one.accrued_minor for one in lines),
            sum(one.open_minor for one in lines), sum(_to_come(one) for one in lines),
        )  # fmt: skip
    return found


def _to_come(line: LineFigures) -> int:
    return max(line.state.current_minor - line.cost_minor, line.open_minor, 0)
