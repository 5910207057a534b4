"""Plans and their projects as they are kept, for whatever reads or changes them."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model import problems
from swardcost_model.capital_plans import Plan, PlanFields, PlanProject, PlanProjectFields, PlanStatus
from swardcost_model.problems import ProblemError

from swardcost_api.capital.tables import CapitalPlanRow, PlanProjectRow
from swardcost_api.storage.rows import by_id, missing, read_row
from swardcost_api.storage.work import UnitOfWork

PLAN, PROJECT = "capital plan", "project of a plan"
PLAN_COLUMNS = (
    CapitalPlanRow.id, CapitalPlanRow.name, CapitalPlanRow.status, CapitalPlanRow.follows, CapitalPlanRow.plan,
    CapitalPlanRow.issued_at, CapitalPlanRow.issued_by, CapitalPlanRow.locked_at, CapitalPlanRow.locked_by,
    CapitalPlanRow.version,
)  # fmt: skip
PROJECT_COLUMNS = (
    PlanProjectRow.id, PlanProjectRow.plan_id, PlanProjectRow.number, PlanProjectRow.name, PlanProjectRow.project,
    PlanProjectRow.decision, PlanProjectRow.carried_from, PlanProjectRow.opened_project_id,
    PlanProjectRow.completion, PlanProjectRow.version,
)  # fmt: skip
_PLAN_BY_ID = by_id(CapitalPlanRow, PLAN_COLUMNS)
_PROJECT_BY_ID = by_id(PlanProjectRow, PROJECT_COLUMNS)


def read_plan(work: UnitOfWork, plan_id: UUID) -> Plan:
    """One plan, without its projects and figures. Raises `not-found`."""
    return _plan(read_row(work, _PLAN_BY_ID, plan_id, PLAN))


def draft_to_change(work: UnitOfWork, plan_id: UUID) -> Plan:
    """A draft that nobody else changes, nor any project of it, until this unit of work ends.

    Raises `not-found`, and `wrong-state` for a plan that was issued.
    """
    held = select(*PLAN_COLUMNS).where(
        CapitalPlanRow.club_id == work.club_id, CapitalPlanRow.id == plan_id
    ).with_for_update(key_share=True)  # fmt: skip
    row = work.session.execute(held).first()
    if row is None:
        raise missing(PLAN)
    plan = _plan(row)
    refuse_unless_draft(plan)
    return plan


def refuse_unless_draft(plan: Plan) -> None:
    """Raise `wrong-state` for a plan that was issued."""
    if plan.status is not PlanStatus.DRAFT:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {plan.name!r} is {plan.status}; only a draft can be changed.",
        )


def read_project(work: UnitOfWork, plan_project_id: UUID) -> PlanProject:
    """One project of a plan. Raises `not-found`."""
    return project_of(read_row(work, _PROJECT_BY_ID, plan_project_id, PROJECT))


def projects_of_plan(work: UnitOfWork, plan_id: UUID) -> list[PlanProject]:
    """Every project of a plan, by number."""
    statement = select(*PROJECT_COLUMNS).where(
        PlanProjectRow.club_id == work.club_id, PlanProjectRow.plan_id == plan_id
    )
    return [project_of(row) for row in work.session.execute(statement.order_by(PlanProjectRow.number))]


def projects_of_drafts(work: UnitOfWork) -> list[tuple[str, PlanProject]]:
    """Every project of every draft of the club with the name of its plan, by plan and number."""
    statement = (
        select(CapitalPlanRow.name.label("plan_name"), *PROJECT_COLUMNS)
        .join(
            CapitalPlanRow,
            (CapitalPlanRow.club_id == PlanProjectRow.club_id)
            & (CapitalPlanRow.id == PlanProjectRow.plan_id),
        )
        .where(PlanProjectRow.club_id == work.club_id, CapitalPlanRow.status == PlanStatus.DRAFT)
        .order_by(CapitalPlanRow.name, PlanProjectRow.number)
    )
    rows = work.session.execute(statement)
    return [(row.plan_name, PlanProject(**_but(row, "project", "plan_name"), **row.project)) for row in rows]


def plan_columns(fields: PlanFields) -> dict[str, Any]:
    """What is stated of a plan, as its row keeps it."""
    return {"name": fields.name, "plan": _document(fields, PlanFields)}


def project_columns(fields: PlanProjectFields) -> dict[str, Any]:
    """What is stated of a project, as its row keeps it."""
    return {"name": fields.name, "project": _document(fields, PlanProjectFields)}


def project_of(row: Row[*tuple[Any, ...]]) -> PlanProject:
    """The project that a row of `PROJECT_COLUMNS` keeps."""
    return PlanProject(**_but(row, "project"), **row.project)


def _plan(row: Row[*tuple[Any, ...]]) -> Plan:
    return Plan(**_but(row, "plan"), **row.plan)


def _but(row: Row[*tuple[Any, ...]], *left_out: str) -> dict[str, Any]:
    return {name: value for name, value in row._mapping.items() if name not in left_out}


def _document(
    fields: PlanFields | PlanProjectFields, stated: type[PlanFields] | type[PlanProjectFields]
) -> Any:
    names: Sequence[str] = [name for name in stated.model_fields if name != "name"]
    return fields.model_dump(mode="json", include=set(names))
