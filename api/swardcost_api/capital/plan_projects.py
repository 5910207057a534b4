"""The projects of a capital plan as they are added, changed and taken out of a draft."""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import insert, select
from swardcost_model import problems
from swardcost_model.capital_plans import (
    MOST_PROJECTS,
    NewPlanProject,
    Plan,
    PlanProject,
    PlanProjectChange,
    PlanProjectFields,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.capital.plan_assets import asset_ids
from swardcost_api.capital.plan_checks import money_fault
from swardcost_api.capital.plan_rows import (
    PROJECT,
    PROJECT_COLUMNS,
    draft_to_change,
    project_columns,
    project_of,
    projects_of_plan,
    read_plan,
    read_project,
)
from swardcost_api.capital.project_checks import (
    misfits,
    not_together,
    outside_window,
    prerequisite_faults,
)
from swardcost_api.capital.tables import PlanProjectRow
from swardcost_api.estimates.service import named_estimates
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row
from swardcost_api.storage.work import UnitOfWork


def create_project(work: UnitOfWork, plan_id: UUID, new: NewPlanProject) -> PlanProject:
    """Add a project to a draft.

    Raises `duplicate` where the plan has one of that name, `invalid-values` for what it names and the club or the plan
    does not have, `wrong-state` for a plan that was issued or is full.
    """
    plan = draft_to_change(work, plan_id)
    others = {one.id: one for one in projects_of_plan(work, plan_id)}
    project_id = work.new_id()
    _refuse_unusable(work, plan, project_id, new, others)
    _refuse_taken_name(plan, new.name, others)
    return add_project(work, plan, project_id, new, others)


def add_project(
    work: UnitOfWork,
    plan: Plan,
    project_id: UUID,
    new: PlanProjectFields,
    others: Mapping[UUID, PlanProject],
    goes_on_from: PlanProject | None = None,
) -> PlanProject:
    """Keep a checked project under the next number; under its own where it goes on from one of the plan before.

    Raises `wrong-state` for a plan that is full.
    """
    if len(others) >= MOST_PROJECTS:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {plan.name!r} has {MOST_PROJECTS} projects, the most that it can have.",
        )
    number = max((one.number for one in others.values()), default=0) + 1
    from_before: dict[str, Any] = {}
    if goes_on_from is not None:
        number = goes_on_from.number
        from_before = {"carried_from": goes_on_from.id, "opened_project_id": goes_on_from.opened_project_id}
    work.session.execute(
        insert(PlanProjectRow).values(
            club_id=work.club_id, id=project_id, plan_id=plan.id, number=number, version=1, **from_before,
            **project_columns(new),
        )
    )  # fmt: skip
    project = read_project(work, project_id)
    record(work, "create", "plan_project", project_id, after=project)
    return project


def list_projects(work: UnitOfWork, plan_id: UUID, limit: int, cursor: str | None) -> Page[PlanProject]:
    """The projects of a plan by number."""
    read_plan(work, plan_id)
    statement = select(*PROJECT_COLUMNS).where(
        PlanProjectRow.club_id == work.club_id, PlanProjectRow.plan_id == plan_id
    )
    rows, following = read_page(work, statement, (PlanProjectRow.number,), limit, cursor)
    return Page[PlanProject](items=[project_of(row) for row in rows], next=following)


def change_project(
    work: UnitOfWork, plan_project_id: UUID, change: PlanProjectChange, if_match: int
) -> PlanProject:
    """Replace a project of a draft; raises as `create_project`."""
    plan, before, others = _held(work, plan_project_id)
    _refuse_unusable(work, plan, plan_project_id, change, others)
    if change.name != before.name:
        _refuse_taken_name(plan, change.name, others)
    edit_row(work, PlanProjectRow, plan_project_id, if_match, PROJECT, **project_columns(change))
    after = read_project(work, plan_project_id)
    record(work, "change", "plan_project", plan_project_id, before, after)
    return after


def delete_project(work: UnitOfWork, plan_project_id: UUID, if_match: int) -> None:
    """Take a project out of a draft. Raises `in-use` while another project needs it."""
    _, before, others = _held(work, plan_project_id)
    needing = [
        f"{one.number} ({one.name})"
        for one in others.values()
        if any(need.project_id == plan_project_id for need in one.prerequisites)
    ]
    if needing:
        raise ProblemError(
            problems.IN_USE,
            f"Project {before.number} ({before.name}) cannot be deleted. It must be begun before "
            f"{', '.join(needing)}.",
        )
    delete_row(work, PlanProjectRow, plan_project_id, if_match, PROJECT)
    record(work, "delete", "plan_project", plan_project_id, before)


def _held(work: UnitOfWork, plan_project_id: UUID) -> tuple[Plan, PlanProject, dict[UUID, PlanProject]]:
    """The draft that a project is of, the project as it stands, and the other projects of the draft."""
    plan = draft_to_change(work, read_project(work, plan_project_id).plan_id)
    others = {one.id: one for one in projects_of_plan(work, plan.id)}
    # Read again under the draft's lock: somebody may have changed or deleted it while this waited for that.
    before = read_project(work, plan_project_id)
    return plan, before, {key: one for key, one in others.items() if key != plan_project_id}


def _refuse_unusable(
    work: UnitOfWork,
    plan: Plan,
    project_id: UUID,
    fields: PlanProjectFields,
    others: Mapping[UUID, PlanProject],
) -> None:
    faults = [
        *(Fault(pointer=one.in_project, expected=one.needed, got=one.got) for one in misfits(plan, fields)),
        *outside_window(fields),
        *_cost_faults(work, plan, fields),
        *_asset_faults(work, fields),
        *prerequisite_faults(project_id, fields, others),
    ]
    if not faults:
        faults += not_together(plan, fields, others)
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "This project cannot be used in the plan; nothing was changed.", faults
        )


def _cost_faults(work: UnitOfWork, plan: Plan, fields: PlanProjectFields) -> Iterator[Fault]:
    currency = plan.money.opening_reserve.currency
    yield from money_fault("/cost", fields.cost, currency)
    yield from money_fault("/upkeep_a_year", fields.upkeep_a_year, currency)
    if fields.estimate_id is None:
        return
    found = named_estimates(work, [fields.estimate_id]).get(fields.estimate_id)
    if found is None:
        yield Fault(pointer="/estimate_id", expected="an estimate of this club", got=str(fields.estimate_id))
        return
    total = found.total
    if not found.complete:
        yield Fault(
            pointer="/estimate_id", expected="a complete estimate", got=f"{found.label}, which has gaps"
        )
    elif total.currency != currency:
        yield Fault(pointer="/estimate_id", expected=f"an estimate in {currency}", got=total.currency)
    elif total.amount < 0:
        yield Fault(pointer="/estimate_id", expected="an estimate of zero or more", got=f"{total.amount:f}")


def _asset_faults(work: UnitOfWork, fields: PlanProjectFields) -> Iterator[Fault]:
    known = asset_ids(work, fields.asset_ids) if fields.asset_ids else set()
    for place, asset_id in enumerate(fields.asset_ids):
        if asset_id not in known:
            yield Fault(pointer=f"/asset_ids/{place}", expected="an asset of this club", got=str(asset_id))


def _refuse_taken_name(plan: Plan, name: str, others: Mapping[UUID, PlanProject]) -> None:
    if any(one.name == name for one in others.values()):
        raise ProblemError(
            problems.DUPLICATE,
            f"There is already a project named {name!r} in the capital plan {plan.name!r}.",
        )
