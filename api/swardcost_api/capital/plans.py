"""Capital plans as they are put together and kept."""

from typing import Any
from uuid import UUID

from sqlalchemy import delete, func, insert, select
from swardcost_model import problems
from swardcost_model.capital_plans import NewPlan, Plan, PlanChange, PlanStatus, PlanSummary
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import read_club, record
from swardcost_api.capital.plan_checks import refuse_uncountable
from swardcost_api.capital.plan_rows import (
    PLAN,
    draft_to_change,
    plan_columns,
    projects_of_plan,
    read_plan,
)
from swardcost_api.capital.tables import CapitalPlanRow, PlanProjectRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row
from swardcost_api.storage.work import UnitOfWork

_PROJECTS = (
    select(func.count())
    .where(PlanProjectRow.club_id == CapitalPlanRow.club_id, PlanProjectRow.plan_id == CapitalPlanRow.id)
    .correlate(CapitalPlanRow)
    .scalar_subquery()
)
_SUMMARY: tuple[Any, ...] = (
    CapitalPlanRow.id, CapitalPlanRow.name, CapitalPlanRow.status, CapitalPlanRow.follows, CapitalPlanRow.plan,
    _PROJECTS.label("projects"), CapitalPlanRow.issued_at, CapitalPlanRow.locked_at, CapitalPlanRow.version,
)  # fmt: skip


def create_plan(work: UnitOfWork, new: NewPlan, follows: UUID | None = None) -> Plan:
    """Begin a plan as a draft, which may go on from a locked one.

    Raises `duplicate` where the club has one of that name, `invalid-values` where it could not be counted.
    """
    refuse_uncountable(read_club(work).currency, new)
    _refuse_taken_name(work, new.name)
    plan_id = work.new_id()
    work.session.execute(
        insert(CapitalPlanRow).values(
            club_id=work.club_id,
            id=plan_id,
            status=PlanStatus.DRAFT,
            follows=follows,
            version=1,
            **plan_columns(new),
        )
    )
    plan = read_plan(work, plan_id)
    record(work, "create", "capital_plan", plan_id, after=plan)
    return plan


def list_plans(
    work: UnitOfWork, limit: int, cursor: str | None, status: PlanStatus | None = None
) -> Page[PlanSummary]:
    """The club's plans, in the order in which they were begun."""
    statement = select(*_SUMMARY).where(CapitalPlanRow.club_id == work.club_id)
    if status is not None:
        statement = statement.where(CapitalPlanRow.status == status)
    rows, following = read_page(work, statement, (CapitalPlanRow.id,), limit, cursor)
    items = [PlanSummary(**({**row._mapping["plan"]} | {**row._mapping})) for row in rows]
    return Page[PlanSummary](items=items, next=following)


def change_plan(work: UnitOfWork, plan_id: UUID, change: PlanChange, if_match: int) -> Plan:
    """Replace a draft; raises as `create_plan`, and `invalid-values` where its projects no longer fit."""
    before = draft_to_change(work, plan_id)
    refuse_uncountable(read_club(work).currency, change, projects_of_plan(work, plan_id))
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, CapitalPlanRow, plan_id, if_match, PLAN, **plan_columns(change))
    after = read_plan(work, plan_id)
    record(work, "change", "capital_plan", plan_id, before, after)
    return after


def delete_plan(work: UnitOfWork, plan_id: UUID, if_match: int) -> None:
    """Delete a draft with its projects; assets and estimates stay."""
    before = draft_to_change(work, plan_id)
    mine = (PlanProjectRow.club_id == work.club_id, PlanProjectRow.plan_id == plan_id)
    count = work.session.scalar(select(func.count()).where(*mine))
    work.session.execute(delete(PlanProjectRow).where(*mine))
    delete_row(work, CapitalPlanRow, plan_id, if_match, PLAN)
    document = before.model_dump(mode="json") | {"projects": count}
    record(work, "delete", "capital_plan", plan_id, document)


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(CapitalPlanRow.id).where(
        CapitalPlanRow.club_id == work.club_id, CapitalPlanRow.name == name
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a capital plan named {name!r}.")
