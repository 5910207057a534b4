"""HTTP operations of budgets."""

from datetime import date
from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
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
from swardcost_model.paging import Page
from swardcost_model.progress import Measure, MeasureChange, NewMeasure, ProgressState

from swardcost_api.budgets import adjustments, contingency, limits, progress, service, state_answers
from swardcost_api.operations import CLUB, CSV, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Budgets",
    "Budgets that accepted estimates opened, their adjustments and limits of approval, and measured progress.",
)
PROPOSERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})
DECIDERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.COMMITTEE, Role.OWNER})
MEASURERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})
OWNERS = frozenset({Role.OWNER})

BUDGETS = CLUB + "/budgets"
BUDGET = BUDGETS + "/{budget_id}"
ADJUSTMENTS = CLUB + "/adjustments"
ADJUSTMENT = ADJUSTMENTS + "/{adjustment_id}"
LIMITS = CLUB + "/approval-limits"
MEASURES = CLUB + "/measures"
MEASURE = MEASURES + "/{measure_id}"


@room.read(BUDGETS, "List the budgets")
def list_budgets(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    project_id: Annotated[UUID | None, Query("Only budgets of this project.")] = None,
) -> Page[BudgetSummary]:
    return service.list_budgets(work, limit, cursor, project_id)


@room.read(BUDGET, "Read a budget")
def read_budget(work: UnitOfWork, budget_id: UUID) -> Budget:
    return service.read_budget(work, budget_id)


@room.read(BUDGET + "/lines", "Read a budget at a day", faces=[Face(CSV, state_answers.state_csv)])
def read_budget_lines(
    work: UnitOfWork,
    budget_id: UUID,
    on: Annotated[date | None, Query("The day; today if absent.", example="2026-09-30")] = None,
    known_on: Annotated[
        date | None,
        Query(
            "Leave out decisions taken after this day (UTC), as if they were not known.", example="2026-09-30"
        ),
    ] = None,
) -> BudgetState:
    """original + adjustments in effect = adjusted, + later ones = current: in total, by line and by month."""
    return state_answers.read_state(work, budget_id, on, known_on)


@room.create(BUDGET + "/adjustments", "Propose an adjustment", needs=PROPOSERS, collection=ADJUSTMENTS)
def propose_adjustment(work: UnitOfWork, budget_id: UUID, data: NewAdjustment) -> Adjustment:
    """It changes nothing until it is approved. What it takes must be there, in its line and month, on every day."""
    return adjustments.propose(work, budget_id, data)


@room.read(BUDGET + "/adjustments", "List the adjustments of a budget")
def list_adjustments(
    work: UnitOfWork,
    budget_id: UUID,
    limit: Limit = 50,
    cursor: Cursor = None,
    status: Annotated[
        AdjustmentStatus | None, Query("Only adjustments of this status.", example="approved")
    ] = None,
    kind: Annotated[
        AdjustmentKind | None, Query("Only adjustments of this kind.", example="transfer")
    ] = None,
    unplanned: Annotated[bool | None, Query("Only those for unplanned work, or only the others.")] = None,
) -> Page[AdjustmentSummary]:
    """By number."""
    return adjustments.list_adjustments(work, budget_id, limit, cursor, status, kind, unplanned)


@room.read(ADJUSTMENT, "Read an adjustment")
def read_adjustment(work: UnitOfWork, adjustment_id: UUID) -> Adjustment:
    return adjustments.read_adjustment(work, adjustment_id)


@room.act(ADJUSTMENT + "/approve", "Approve an adjustment", needs=DECIDERS, problems=[problems.WRONG_STATE])
def approve_adjustment(work: UnitOfWork, adjustment_id: UUID, data: AdjustmentDecision) -> Adjustment:
    """Within the limit of the caller's role. An approved adjustment never changes; another one can undo it."""
    return adjustments.approve(work, adjustment_id, data)


@room.act(ADJUSTMENT + "/decline", "Decline an adjustment", needs=DECIDERS, problems=[problems.WRONG_STATE])
def decline_adjustment(work: UnitOfWork, adjustment_id: UUID, data: AdjustmentDecision) -> Adjustment:
    return adjustments.decline(work, adjustment_id, data)


@room.act(
    ADJUSTMENT + "/withdraw", "Withdraw an adjustment", needs=PROPOSERS, problems=[problems.WRONG_STATE]
)
def withdraw_adjustment(work: UnitOfWork, adjustment_id: UUID, data: AdjustmentDecision) -> Adjustment:
    """While nobody has decided it."""
    return adjustments.withdraw(work, adjustment_id, data)


@room.read(BUDGET + "/contingency", "Read the contingency log", faces=[Face(CSV, contingency.log_csv)])
def read_contingency_log(work: UnitOfWork, budget_id: UUID) -> ContingencyLog:
    """What there was, every draw and return with its reason and approver, and what is left."""
    return contingency.contingency_log(work, budget_id)


@room.read(LIMITS, "Read the limits of approval")
def read_approval_limits(work: UnitOfWork) -> ApprovalLimits:
    """A club that has set none lets an owner approve any amount."""
    return limits.read_limits(work)


@room.edit(LIMITS, "Edit the limits of approval", needs=OWNERS)
def change_approval_limits(work: UnitOfWork, data: ApprovalLimitsChange, if_match: int) -> ApprovalLimits:
    """They hold for every adjustment that is not decided yet."""
    return limits.change_limits(work, data, if_match)


@room.create(
    BUDGET + "/measures", "Enter a measure of progress", needs=MEASURERS, problems=[problems.DUPLICATE],
    collection=MEASURES,
)  # fmt: skip
def measure_progress(work: UnitOfWork, budget_id: UUID, data: NewMeasure) -> Measure:
    """Done to date, in the line's own unit. Smaller than an earlier measure only as a correction, with a reason."""
    return progress.measure(work, budget_id, data)


@room.read(BUDGET + "/measures", "List the measures of progress")
def list_measures(
    work: UnitOfWork,
    budget_id: UUID,
    limit: Limit = 50,
    cursor: Cursor = None,
    budget_line_id: Annotated[UUID | None, Query("Only measures of this line.")] = None,
) -> Page[Measure]:
    """By day."""
    return progress.list_measures(work, budget_id, limit, cursor, budget_line_id)


@room.read(BUDGET + "/progress", "Read the progress of a budget")
def read_progress(
    work: UnitOfWork,
    budget_id: UUID,
    on: Annotated[date | None, Query("The day; today if absent.", example="2026-09-30")] = None,
) -> ProgressState:
    """By the last measure of each line."""
    return progress.read_progress(work, budget_id, on)


@room.read(MEASURE, "Read a measure of progress")
def read_measure(work: UnitOfWork, measure_id: UUID) -> Measure:
    return progress.read_measure(work, measure_id)


@room.edit(MEASURE, "Edit a measure of progress", needs=MEASURERS, problems=[problems.DUPLICATE])
def change_measure(work: UnitOfWork, measure_id: UUID, data: MeasureChange, if_match: int) -> Measure:
    return progress.change_measure(work, measure_id, data, if_match)


@room.remove(MEASURE, "Delete a measure of progress", needs=MEASURERS, problems=[problems.WRONG_STATE])
def delete_measure(work: UnitOfWork, measure_id: UUID, if_match: int) -> None:
    progress.delete_measure(work, measure_id, if_match)
