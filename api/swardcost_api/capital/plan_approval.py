"""From a draft to a locked plan: issued with its assets as they stood, decided on project by project, locked."""

from uuid import UUID

from sqlalchemy import select, update
from swardcost_model import problems
from swardcost_model.capital_plans import NewDecision, Plan, PlanProject, PlanStatus, ProjectDecision
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.capital.plan_assets import assets_as_they_stand
from swardcost_api.capital.plan_rows import (
    PLAN,
    draft_to_change,
    projects_of_plan,
    read_plan,
    read_project,
)
from swardcost_api.capital.tables import CapitalPlanRow, PlanProjectRow
from swardcost_api.storage.rows import edit_row, missing
from swardcost_api.storage.work import UnitOfWork

_NAMED = 10


def issue_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    """Make a draft ready for decision; its figures rest on the assets as they stand now from then on.

    Raises `wrong-state` for a plan that was issued already, or one without projects.
    """
    before = draft_to_change(work, plan_id)
    if not projects_of_plan(work, plan_id):
        raise ProblemError(problems.WRONG_STATE, f"The capital plan {before.name!r} has no projects.")
    assets = [one.model_dump(mode="json") for one in assets_as_they_stand(work)]
    edit_row(
        work, CapitalPlanRow, plan_id, before.version, PLAN, status=PlanStatus.ISSUED, assets=assets,
        issued_at=work.now, issued_by=work.caller.name,
    )  # fmt: skip
    record(
        work, "issue", "capital_plan", plan_id, {"status": before.status.value}, {"status": PlanStatus.ISSUED.value}
    )  # fmt: skip
    return read_plan(work, plan_id)


def decide(work: UnitOfWork, plan_project_id: UUID, new: NewDecision) -> PlanProject:
    """Decide on a project of an issued plan; the last decision before the plan is locked holds.

    Raises `wrong-state` for a draft or a locked plan, `invalid-values` for a year before the plan or not later than the
    project is dated.
    """
    before = read_project(work, plan_project_id)
    plan = _issued(work, before.plan_id)
    if new.deferred_to is not None:
        earliest = plan.first_year if before.year is None else before.year + 1
        if new.deferred_to < earliest:
            fault = Fault(pointer="/deferred_to", expected=f"{earliest} or later", got=str(new.deferred_to))
            raise ProblemError(problems.INVALID_VALUES, "Nothing was decided.", [fault])
    decision = ProjectDecision(
        **new.model_dump(), decided_at=work.now, decided_by=work.caller.name
    )  # fmt: skip
    work.session.execute(
        update(PlanProjectRow)
        .where(PlanProjectRow.club_id == work.club_id, PlanProjectRow.id == plan_project_id)
        .values(decision=decision.model_dump(mode="json"), version=PlanProjectRow.version + 1)
    )
    after = read_project(work, plan_project_id)
    record(work, new.decided.value, "plan_project", plan_project_id, before, after)
    return after


def lock_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    """Close an issued plan once every project of it is decided on; nothing of it changes any more.

    Raises `wrong-state` for another plan, and where projects wait, naming the first of them.
    """
    before = _issued(work, plan_id)
    waiting = [
        f"{one.number} ({one.name})" for one in projects_of_plan(work, plan_id) if one.decision is None
    ]
    if waiting:
        more = f" and {len(waiting) - _NAMED} more" if len(waiting) > _NAMED else ""
        raise ProblemError(
            problems.WRONG_STATE, f"Nothing is decided on project {', '.join(waiting[:_NAMED])}{more}."
        )
    edit_row(
        work, CapitalPlanRow, plan_id, before.version, PLAN, status=PlanStatus.LOCKED, locked_at=work.now,
        locked_by=work.caller.name,
    )  # fmt: skip
    record(
        work, "lock", "capital_plan", plan_id, {"status": before.status.value}, {"status": PlanStatus.LOCKED.value}
    )  # fmt: skip
    return read_plan(work, plan_id)


def _issued(work: UnitOfWork, plan_id: UUID) -> Plan:
    """An issued plan that nobody else decides on or locks until this unit of work ends."""
    held = (
        select(CapitalPlanRow.id)
        .where(CapitalPlanRow.club_id == work.club_id, CapitalPlanRow.id == plan_id)
        .with_for_update(key_share=True)
    )
    if work.session.scalar(held) is None:
        raise missing(PLAN)
    plan = read_plan(work, plan_id)
    if plan.status is not PlanStatus.ISSUED:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {plan.name!r} is {plan.status}; only one that is issued is decided on.",
        )
    return plan
