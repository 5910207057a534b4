"""Copies of capital plans, to work out another way beside the first."""

from typing import Any
from uuid import UUID

from sqlalchemy import insert, select
from swardcost_model.capital_plans import NewPlan, Plan, PlanFields
from swardcost_model.plan_scenarios import PlanCopy

from swardcost_api.access.service import record
from swardcost_api.capital.plan_rows import project_columns, projects_of_plan, read_plan
from swardcost_api.capital.plans import create_plan
from swardcost_api.capital.tables import CapitalPlanRow, PlanProjectRow
from swardcost_api.storage.work import UnitOfWork


def copy_plan(work: UnitOfWork, plan_id: UUID, copy: PlanCopy) -> Plan:
    """A draft with the terms of a plan of any status, and its projects by their numbers.

    Without decisions, openings and completions, and going on from no plan. Raises `not-found`, `duplicate` where the
    club has a plan of that name, `invalid-values` where the plan could not be counted any more.
    """
    _hold(work, plan_id)
    stated = read_plan(work, plan_id).model_dump(include=set(PlanFields.model_fields))
    plan = create_plan(work, NewPlan.model_validate(stated | {"name": copy.name}))
    projects = projects_of_plan(work, plan_id)
    new_ids = {one.id: work.new_id() for one in projects}
    rows: list[dict[str, Any]] = []
    for one in projects:
        needs = [
            need.model_copy(update={"project_id": new_ids[need.project_id]}) for need in one.prerequisites
        ]
        columns = project_columns(one.model_copy(update={"prerequisites": needs}))
        rows.append(
            {"club_id": work.club_id, "id": new_ids[one.id], "plan_id": plan.id, "number": one.number, "version": 1}
            | columns
        )  # fmt: skip
    if rows:
        work.session.execute(insert(PlanProjectRow), rows)
    document = {"copied_from": str(plan_id), "projects": len(rows)}
    record(work, "copy", "capital_plan", plan.id, after=document)
    return plan


def _hold(work: UnitOfWork, plan_id: UUID) -> None:
    """Keep others from changing a plan and its projects until it is copied; it may be copied twice at once."""
    held = select(CapitalPlanRow.id).where(
        CapitalPlanRow.club_id == work.club_id, CapitalPlanRow.id == plan_id
    )
    work.session.execute(held.with_for_update(read=True))
