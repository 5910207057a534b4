"""Approved projects of a locked plan: opened as a project of the club with its estimate and budget, and finished."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import select, update
from swardcost_model import problems
from swardcost_model.assets import Asset, AssetChange, AssetFields
from swardcost_model.capital_plans import (
    Decided,
    Plan,
    PlanProject,
    PlanStatus,
    ProjectCompletion,
)
from swardcost_model.estimates import Decision, Estimate, EstimateStatus
from swardcost_model.plan_progress import NewCompletion, OpenedProject, ProjectOpening
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.projects import NewProject, NewScopeItem, Project
from swardcost_model.values import Money

from swardcost_api.access.service import record
from swardcost_api.budgets.service import budgets_of_projects
from swardcost_api.capital.asset_figures import figures_of, read_register
from swardcost_api.capital.assets import change_asset
from swardcost_api.capital.plan_rows import PROJECT, read_plan, read_project
from swardcost_api.capital.plan_words import listed
from swardcost_api.capital.tables import PlanProjectRow
from swardcost_api.estimates.service import (
    accept_estimate,
    create_project,
    create_scope_item,
    estimated_projects,
    read_estimate,
)
from swardcost_api.estimates.service import read_project as read_club_project
from swardcost_api.reports.service import money_of_budgets
from swardcost_api.storage.rows import missing, named_in_request
from swardcost_api.storage.work import UnitOfWork

_LONGEST_NAME = 200


def open_project(work: UnitOfWork, plan_project_id: UUID, opening: ProjectOpening) -> OpenedProject:
    """Open an approved project of a locked plan as a project of the club.

    It is the project of its estimate, which is accepted on the strength of the plan where it is issued, so that its
    budget is opened; or a project that is named; or a new one, with a scope item begun for each of its assets whose
    size is known.

    Raises `wrong-state` for what is not approved, not locked or opened already, `invalid-values` for another project
    than its estimate's, `duplicate` where a new one's name is taken or another project of the plan was opened as it.
    """
    before, plan = _approved(work, plan_project_id)
    if before.opened_project_id is not None:
        raise ProblemError(problems.WRONG_STATE, f"Project {_label(before)} is opened already.")
    begun = _Begun()
    estimate = None if before.estimate_id is None else read_estimate(work, before.estimate_id)
    if estimate is not None:
        project = _project_of_estimate(work, estimate, opening)
    elif opening.project_id is not None:
        with named_in_request(
            "/project_id", "a project of this club", opening.project_id, "Nothing was opened."
        ):
            project = read_club_project(work, opening.project_id)
    else:
        project = create_project(work, _new_project(plan, before, opening))
        begun = _begin_scope(work, before, project)
    _refuse_opened_twice(work, plan, project)
    if estimate is not None:
        estimate = _accepted(work, estimate, before, plan)
    _edit(work, plan_project_id, opened_project_id=project.id)
    after = read_project(work, plan_project_id)
    record(work, "open", "plan_project", plan_project_id, before, after)
    return _opened(work, after, project, begun, estimate)


def withdraw_opening(work: UnitOfWork, plan_project_id: UUID) -> PlanProject:
    """Have a project of the plan be opened as nothing again; the club's project, estimate and budget stay.

    Raises `wrong-state` for one that is not opened, or finished.
    """
    before, _ = _opened_before(work, plan_project_id)
    _edit(work, plan_project_id, opened_project_id=None)
    after = read_project(work, plan_project_id)
    record(work, "withdraw-opening", "plan_project", plan_project_id, before, after)
    return after


def complete_project(work: UnitOfWork, plan_project_id: UUID, new: NewCompletion) -> PlanProject:
    """Say that the work of an opened project is done; its assets begin their new life, and its cost so far is kept.

    Raises `wrong-state` for a project that is not opened, or finished already, `invalid-values` for a year before the
    plan or after this one.
    """
    before, plan = _opened_before(work, plan_project_id)
    assert before.opened_project_id is not None
    if not plan.first_year <= new.year <= work.now.year:
        expected = f"a year from {plan.first_year}, the first of the plan, to {work.now.year}"
        fault = Fault(pointer="/year", expected=expected, got=str(new.year))
        raise ProblemError(problems.INVALID_VALUES, "Nothing was changed.", [fault])
    budget = budgets_of_projects(work, [before.opened_project_id]).get(before.opened_project_id)
    cost = None
    if budget is not None:
        money = money_of_budgets(work, [budget.id], None)[budget.id]
        cost = Money.of_minor(money.cost_minor, budget.total.currency)
    renewed = _renew_assets(work, before, new.year) if new.renew_assets else []
    completion = ProjectCompletion(
        year=new.year, cost=cost, renewed_assets=renewed, note=new.note, completed_at=work.now,
        completed_by=work.caller.name,
    )  # fmt: skip
    _edit(work, plan_project_id, completion=completion.model_dump(mode="json"))
    after = read_project(work, plan_project_id)
    record(work, "complete", "plan_project", plan_project_id, before, after)
    return after


def _label(project: PlanProject) -> str:
    return f"{project.number} ({project.name})"


def _held(work: UnitOfWork, plan_project_id: UUID) -> tuple[PlanProject, Plan]:
    """A project that nobody else opens or finishes until this unit of work ends, and its plan, which is locked."""
    mine = (PlanProjectRow.club_id == work.club_id, PlanProjectRow.id == plan_project_id)
    if work.session.scalar(select(PlanProjectRow.id).where(*mine).with_for_update(key_share=True)) is None:
        raise missing(PROJECT)
    project = read_project(work, plan_project_id)
    plan = read_plan(work, project.plan_id)
    if plan.status is not PlanStatus.LOCKED:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The capital plan {plan.name!r} is {plan.status}; projects are opened and finished once it is locked.",
        )
    return project, plan


def _approved(work: UnitOfWork, plan_project_id: UUID) -> tuple[PlanProject, Plan]:
    project, plan = _held(work, plan_project_id)
    decided = None if project.decision is None else project.decision.decided
    if decided is not Decided.APPROVED:
        raise ProblemError(
            problems.WRONG_STATE, f"Project {_label(project)} was {decided}; only what is approved is opened."
        )
    return project, plan


def _opened_before(work: UnitOfWork, plan_project_id: UUID) -> tuple[PlanProject, Plan]:
    project, plan = _held(work, plan_project_id)
    if project.opened_project_id is None:
        raise ProblemError(problems.WRONG_STATE, f"Project {_label(project)} is not opened.")
    if project.completion is not None:
        words = f"Project {_label(project)} was finished in {project.completion.year}."
        raise ProblemError(problems.WRONG_STATE, words)
    return project, plan


def _project_of_estimate(work: UnitOfWork, estimate: Estimate, opening: ProjectOpening) -> Project:
    expected = "null, since the project is that of its estimate"
    faults = [
        Fault(pointer=f"/{name}", expected=expected, got=str(value))
        for name in ("project_id", "name", "starts_on", "ends_on")
        if (value := getattr(opening, name)) is not None and value != estimate.project_id
    ]
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "Nothing was opened.", faults)
    return read_club_project(work, estimate.project_id)


def _new_project(plan: Plan, project: PlanProject, opening: ProjectOpening) -> NewProject:
    year = project.year
    starts, ends = opening.starts_on, opening.ends_on
    if year is None and (starts is None or ends is None):
        missing_days = [name for name in ("starts_on", "ends_on") if getattr(opening, name) is None]
        faults = [
            Fault(pointer=f"/{name}", expected="a day, since the plan does not date this project", got="null")
            for name in missing_days
        ]
        raise ProblemError(problems.INVALID_VALUES, "Nothing was opened.", faults)
    if year is not None:
        starts = starts or date(year, 1, 1)
        ends = ends or date(year + len(project.phases) - 1, 12, 31)
    assert starts is not None
    assert ends is not None
    if ends < starts:
        fault = Fault(pointer="/ends_on", expected=f"a day not before {starts}", got=str(ends))
        raise ProblemError(problems.INVALID_VALUES, "Nothing was opened.", [fault])
    return NewProject(
        name=opening.name or project.name, starts_on=starts, ends_on=ends,
        note=" ".join([f"Project {_label(project)} of the capital plan {plan.name!r}.", *_conditions(project)]),
    )  # fmt: skip


def _conditions(project: PlanProject) -> Iterator[str]:
    decision = project.decision
    if decision is not None:
        yield f"Approved by {decision.decided_by} on {decision.decided_at.date().isoformat()}."
        if decision.conditions:
            yield f"Conditions: {decision.conditions}"


@dataclass(frozen=True, slots=True)
class _Begun:
    """How many scope items were begun from assets, and the assets of which none was, since their size is not known."""

    items: int = 0
    without_size: Sequence[Asset] = ()


def _begin_scope(work: UnitOfWork, project: PlanProject, opened: Project) -> _Begun:
    """A scope item for each of its assets that is still there, of the asset's size on its areas."""
    if not project.asset_ids:
        return _Begun()
    known = read_register(work)
    items, without_size = 0, []
    for asset in known.assets:
        if asset.id not in project.asset_ids:
            continue
        size = figures_of(asset, known).size
        if size is None:
            without_size.append(asset)
            continue
        new = NewScopeItem(
            name=_shortened(f"Replace {asset.name} ({asset.code})"), method="plain_quantity",
            parameters={"quantity": size.model_dump(mode="json")}, area_ids=asset.area_ids,
            note="Begun from the capital plan; say what is to be done and with what.",
        )  # fmt: skip
        create_scope_item(work, opened.id, new)
        items += 1
    return _Begun(items, without_size)


def _shortened(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"


def _refuse_opened_twice(work: UnitOfWork, plan: Plan, project: Project) -> None:
    other = work.session.scalar(
        select(PlanProjectRow.name).where(
            PlanProjectRow.club_id == work.club_id,
            PlanProjectRow.plan_id == plan.id,
            PlanProjectRow.opened_project_id == project.id,
        )
    )
    if other is not None:
        raise ProblemError(
            problems.DUPLICATE,
            f"{other!r} of this plan was opened as the project {project.name!r} already; its money would count twice.",
        )


def _accepted(work: UnitOfWork, estimate: Estimate, project: PlanProject, plan: Plan) -> Estimate:
    """Its estimate, accepted where it is issued and its project has no budget yet."""
    waiting = estimate.status is EstimateStatus.ISSUED and estimate.superseded_by is None
    if not waiting or estimate.project_id in budgets_of_projects(work, [estimate.project_id]):
        return estimate
    because = [f"As project {_label(project)} of the capital plan {plan.name!r}.", *_conditions(project)]
    return accept_estimate(work, estimate.id, Decision(note=" ".join(because)))


def _opened(
    work: UnitOfWork, after: PlanProject, project: Project, begun: _Begun, estimate: Estimate | None
) -> OpenedProject:
    budget = budgets_of_projects(work, [project.id]).get(project.id)
    to_do = [] if budget is not None else list(_to_do(work, project, begun, estimate))
    return OpenedProject(
        plan_project=after, project=project, scope_items=begun.items,
        estimate_id=None if estimate is None else estimate.id,
        estimate_status=None if estimate is None else estimate.status.value,
        budget_id=None if budget is None else budget.id, to_do=to_do,
    )  # fmt: skip


def _to_do(work: UnitOfWork, project: Project, begun: _Begun, estimate: Estimate | None) -> Iterator[str]:
    if estimate is None:
        if begun.items:
            yield "Say in its scope what is to be done and with what: each item begun has a quantity only."
        if begun.without_size:
            names = listed([f"{one.code} ({one.name})" for one in begun.without_size])
            yield f"Add to its scope what is to be done of these assets, whose size is not known: {names}."
        elif not begun.items and project.id not in estimated_projects(work, [project.id]):
            yield "Add to its scope what is to be done."
        yield "Price the scope, issue the estimate and have it accepted: that opens the budget."
        return
    number = f"Estimate {estimate.number}, revision {estimate.revision},"
    if estimate.superseded_by is not None:
        yield f"{number} is superseded; have the later revision accepted: that opens the budget."
    elif estimate.status is EstimateStatus.DRAFT:
        yield f"{number} is a draft; issue it and have it accepted: that opens the budget."
    else:
        yield f"{number} was {estimate.status}; price the scope anew."


def _renew_assets(work: UnitOfWork, project: PlanProject, year: int) -> list[UUID]:
    """Have the project's assets that are still there be in use since a year, unless they are so or later already."""
    renewed = []
    for asset in read_register(work).assets:
        if asset.id in project.asset_ids and (asset.in_use_since is None or asset.in_use_since < year):
            change_asset(work, asset.id, _renewed(asset, year), asset.version)
            renewed.append(asset.id)
    return renewed


def _renewed(asset: Asset, year: int) -> AssetChange:
    fields: dict[str, Any] = {name: getattr(asset, name) for name in AssetFields.model_fields}
    return AssetChange(**fields | {"in_use_since": year, "condition": None, "book": None})


def _edit(work: UnitOfWork, plan_project_id: UUID, **changes: Any) -> None:
    work.session.execute(
        update(PlanProjectRow)
        .where(PlanProjectRow.club_id == work.club_id, PlanProjectRow.id == plan_project_id)
        .values(version=PlanProjectRow.version + 1, **changes)
    )
