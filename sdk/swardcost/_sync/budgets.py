"""Budgets at any day, their adjustments and who may approve them, unplanned work, and measured progress."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from swardcost_model.adjustments import (
    Adjustment,
    AdjustmentDecision,
    AdjustmentKind,
    AdjustmentStatus,
    AdjustmentSummary,
    ApprovalLimits,
    ApprovalLimitsChange,
    ContingencyLog,
    NewAdjustment,
)
from swardcost_model.budgets import Budget, BudgetState, BudgetSummary
from swardcost_model.progress import Measure, MeasureChange, NewMeasure, ProgressState
from swardcost_model.reports import BudgetReport
from swardcost_model.unplanned import NewUnplannedWork, UnplannedWork

from swardcost._sync.session import Session

_BUDGETS = "/v1/clubs/{club}/budgets"
_ADJUSTMENTS = "/v1/clubs/{club}/adjustments"
_LIMITS = "/v1/clubs/{club}/approval-limits"
_MEASURES = "/v1/clubs/{club}/measures"
_UNPLANNED = "/v1/clubs/{club}/unplanned-work"


class Budgets:
    """Budgets and what became of them."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def list(self, project_id: UUID | None = None) -> Iterator[BudgetSummary]:
        """Every budget; all, or those of a project."""
        return self._session.pages(BudgetSummary, _BUDGETS, project_id=project_id)

    def read(self, budget_id: UUID) -> Budget:
        """A budget with its lines and their months."""
        return self._session.get(Budget, f"{_BUDGETS}/{budget_id}")

    def state(
        self, budget_id: UUID, *, on: date | None = None, known_on: date | None = None
    ) -> BudgetState:
        """The budget at a day, line by line; with `known_on`, by the decisions taken until that day."""
        path = f"{_BUDGETS}/{budget_id}/lines"
        return self._session.get(BudgetState, path, on=on, known_on=known_on)

    def state_csv(
        self, budget_id: UUID, *, on: date | None = None, known_on: date | None = None
    ) -> str:
        """The same as CSV, month by month."""
        return self._session.text(f"{_BUDGETS}/{budget_id}/lines", on=on, known_on=known_on)

    def contingency(self, budget_id: UUID) -> ContingencyLog:
        """What contingency paid for, and what is left."""
        return self._session.get(ContingencyLog, f"{_BUDGETS}/{budget_id}/contingency")

    def contingency_csv(self, budget_id: UUID) -> str:
        """The same as CSV."""
        return self._session.text(f"{_BUDGETS}/{budget_id}/contingency")

    def progress(self, budget_id: UUID, *, on: date | None = None) -> ProgressState:
        """Where the measured lines stand on a day."""
        return self._session.get(ProgressState, f"{_BUDGETS}/{budget_id}/progress", on=on)

    def report(self, budget_id: UUID) -> BudgetReport:
        """Budget versus actual."""
        return self._session.get(BudgetReport, f"{_BUDGETS}/{budget_id}/report")

    def report_csv(self, budget_id: UUID) -> str:
        """Budget versus actual as CSV."""
        return self._session.text(f"{_BUDGETS}/{budget_id}/report")


class Adjustments:
    """Numbered changes of a budget."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def propose(self, budget_id: UUID, new: NewAdjustment) -> Adjustment:
        """Propose an adjustment; it changes nothing until it is approved."""
        return self._session.post(Adjustment, f"{_BUDGETS}/{budget_id}/adjustments", new)

    def list(
        self,
        budget_id: UUID,
        *,
        status: AdjustmentStatus | None = None,
        kind: AdjustmentKind | None = None,
        unplanned: bool | None = None,
    ) -> Iterator[AdjustmentSummary]:
        """Every adjustment of a budget, by number."""
        path = f"{_BUDGETS}/{budget_id}/adjustments"
        return self._session.pages(AdjustmentSummary, path, status=status, kind=kind, unplanned=unplanned)

    def read(self, adjustment_id: UUID) -> Adjustment:
        """One adjustment with its entries."""
        return self._session.get(Adjustment, f"{_ADJUSTMENTS}/{adjustment_id}")

    def approve(self, adjustment_id: UUID, note: str = "") -> Adjustment:
        """Approve an adjustment; it never changes from then on."""
        return self._decide(adjustment_id, "approve", note)

    def decline(self, adjustment_id: UUID, note: str = "") -> Adjustment:
        """Decline an adjustment."""
        return self._decide(adjustment_id, "decline", note)

    def withdraw(self, adjustment_id: UUID, note: str = "") -> Adjustment:
        """Take back an adjustment that nobody has decided."""
        return self._decide(adjustment_id, "withdraw", note)

    def _decide(self, adjustment_id: UUID, decision: str, note: str) -> Adjustment:
        path = f"{_ADJUSTMENTS}/{adjustment_id}/{decision}"
        return self._session.post(Adjustment, path, AdjustmentDecision(note=note))


class LimitsOfApproval:
    """Who may approve adjustments of which amount."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def read(self) -> ApprovalLimits:
        """The limits as they are."""
        return self._session.get(ApprovalLimits, _LIMITS)

    def change(self, change: ApprovalLimitsChange, version: int) -> ApprovalLimits:
        """Replace the limits that are still at `version`."""
        return self._session.replace(ApprovalLimits, _LIMITS, change, version)


class Unplanned:
    """Work that nobody could plan."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def price(self, budget_id: UUID, new: NewUnplannedWork) -> UnplannedWork:
        """Price the work and propose to pay it out of contingency: approve its `adjustment` next."""
        return self._session.post(UnplannedWork, f"{_BUDGETS}/{budget_id}/unplanned-work", new)

    def list(self, budget_id: UUID) -> Iterator[UnplannedWork]:
        """All unplanned work of a budget, whatever was decided."""
        return self._session.pages(UnplannedWork, f"{_BUDGETS}/{budget_id}/unplanned-work")

    def read(self, unplanned_work_id: UUID) -> UnplannedWork:
        """One piece of unplanned work with its adjustment."""
        return self._session.get(UnplannedWork, f"{_UNPLANNED}/{unplanned_work_id}")


class Measures:
    """Measures of progress."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, budget_id: UUID, new: NewMeasure) -> Measure:
        """Enter how much of a line is done to date."""
        return self._session.post(Measure, f"{_BUDGETS}/{budget_id}/measures", new)

    def list(self, budget_id: UUID, *, budget_line_id: UUID | None = None) -> Iterator[Measure]:
        """Every measure of a budget, by day; all, or those of a line."""
        path = f"{_BUDGETS}/{budget_id}/measures"
        return self._session.pages(Measure, path, budget_line_id=budget_line_id)

    def read(self, measure_id: UUID) -> Measure:
        """One measure."""
        return self._session.get(Measure, f"{_MEASURES}/{measure_id}")

    def change(self, measure_id: UUID, change: MeasureChange, version: int) -> Measure:
        """Replace a measure that is still at `version`."""
        return self._session.replace(Measure, f"{_MEASURES}/{measure_id}", change, version)

    def delete(self, measure_id: UUID, version: int) -> None:
        """Delete a measure that is still at `version`."""
        self._session.remove(f"{_MEASURES}/{measure_id}", version)
