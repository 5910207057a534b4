"""HTTP operations of projects, scopes and estimates."""

from typing import Annotated
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.course_map import ProjectMap
from swardcost_model.estimate_bridge import EstimateBridge
from swardcost_model.estimate_quality import Basis, BasisChange, EstimateQuality
from swardcost_model.estimate_views import EstimateTree, SubtotalTable
from swardcost_model.estimates import (
    Decision,
    Estimate,
    EstimateLine,
    EstimateLineDetail,
    EstimateLineList,
    EstimateRevision,
    EstimateStatus,
    EstimateSummary,
    IssueRequest,
    NewEstimate,
    ProjectTakeOff,
    TakeOff,
)
from swardcost_model.paging import Page
from swardcost_model.price_moves import EditionExposure
from swardcost_model.projects import (
    NewProject,
    NewScopeItem,
    Project,
    ProjectChange,
    ScopeItem,
    ScopeItemChange,
)
from swardcost_model.unplanned import NewUnplannedWork, UnplannedWork

from swardcost_api.csv_files import write_rows
from swardcost_api.estimates import (
    bridging,
    exposure,
    project_map,
    projects,
    quality,
    scopes,
    service,
    take_offs,
    unplanned,
    views,
)
from swardcost_api.estimates.scope_choice import AlternateIds, alternates_named
from swardcost_api.estimates.stored import LINE_COLUMNS, line_cells
from swardcost_api.operations import CLUB, GEOJSON, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Estimates", "Projects, their scope of work, and estimates from pricing to decision.")
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})
DECIDERS = frozenset({Role.COMMITTEE, Role.OWNER})

REPORTERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})

PROJECTS = CLUB + "/projects"
SCOPE_ITEMS = CLUB + "/scope-items"
ESTIMATES = CLUB + "/estimates"
UNPLANNED = CLUB + "/unplanned-work"
UNPLANNED_OF_BUDGET = CLUB + "/budgets/{budget_id}/unplanned-work"


def _lines_csv(lines: EstimateLineList) -> str:
    return write_rows(LINE_COLUMNS, line_cells(lines.items))


def _subtotals_csv(table: SubtotalTable) -> str:
    return write_rows(views.subtotal_columns(table), views.subtotal_cells(table))


def _bridge_csv(found: EstimateBridge) -> str:
    return write_rows(bridging.BRIDGE_COLUMNS, bridging.bridge_cells(found.rows))


@room.create(PROJECTS, "Open a project", needs=PLANNERS)
def create_project(work: UnitOfWork, data: NewProject) -> Project:
    return projects.create_project(work, data)


@room.read(PROJECTS, "List the projects")
def list_projects(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Project]:
    return projects.list_projects(work, limit, cursor)


@room.read(PROJECTS + "/{project_id}", "Read a project")
def read_project(work: UnitOfWork, project_id: UUID) -> Project:
    return projects.read_project(work, project_id)


@room.edit(PROJECTS + "/{project_id}", "Edit a project", needs=PLANNERS)
def change_project(work: UnitOfWork, project_id: UUID, data: ProjectChange, if_match: int) -> Project:
    return projects.change_project(work, project_id, data, if_match)


@room.remove(PROJECTS + "/{project_id}", "Delete a project", needs=PLANNERS, problems=[problems.IN_USE])
def delete_project(work: UnitOfWork, project_id: UUID, if_match: int) -> None:
    """Refused while the project has scope items or estimates."""
    projects.delete_project(work, project_id, if_match)


@room.create(
    PROJECTS + "/{project_id}/scope-items", "Add a scope item", needs=PLANNERS, collection=SCOPE_ITEMS
)
def create_scope_item(work: UnitOfWork, project_id: UUID, data: NewScopeItem) -> ScopeItem:
    return scopes.create_scope_item(work, project_id, data)


@room.read(PROJECTS + "/{project_id}/scope-items", "List the scope")
def list_scope_items(
    work: UnitOfWork, project_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[ScopeItem]:
    return scopes.list_scope_items(work, project_id, limit, cursor)


@room.read(SCOPE_ITEMS + "/{scope_item_id}", "Read a scope item")
def read_scope_item(work: UnitOfWork, scope_item_id: UUID) -> ScopeItem:
    return scopes.read_scope_item(work, scope_item_id)


@room.edit(SCOPE_ITEMS + "/{scope_item_id}", "Edit a scope item", needs=PLANNERS)
def change_scope_item(
    work: UnitOfWork, scope_item_id: UUID, data: ScopeItemChange, if_match: int
) -> ScopeItem:
    return scopes.change_scope_item(work, scope_item_id, data, if_match)


@room.remove(
    SCOPE_ITEMS + "/{scope_item_id}", "Delete a scope item", needs=PLANNERS, problems=[problems.IN_USE]
)
def delete_scope_item(work: UnitOfWork, scope_item_id: UUID, if_match: int) -> None:
    """Refused while it has a task in the schedule."""
    scopes.delete_scope_item(work, scope_item_id, if_match)


@room.read(SCOPE_ITEMS + "/{scope_item_id}/take-off", "Take off the quantities of a scope item")
def read_take_off(work: UnitOfWork, scope_item_id: UUID) -> TakeOff:
    """All measures of the method over the areas as they are now, each with its derivation."""
    return take_offs.take_off(work, scope_item_id)


@room.read(
    PROJECTS + "/{project_id}/map",
    "Show a project on the map",
    faces=[Face(GEOJSON, ProjectMap.model_dump_json)],
    problems=[problems.INVALID_VALUES],
)
def map_project(work: UnitOfWork, project_id: UUID) -> ProjectMap:
    """GeoJSON (RFC 7946): the areas of the scope, each with its share by size of what the scope takes.

    Areas that were never drawn have no geometry.
    """
    return project_map.map_project(work, project_id)


@room.read(
    PROJECTS + "/{project_id}/take-off", "Take off the quantities of a whole scope",
    problems=[problems.INVALID_VALUES],
)  # fmt: skip
def read_project_take_off(
    work: UnitOfWork, project_id: UUID, alternate_ids: AlternateIds = None
) -> ProjectTakeOff:
    """All measures of every scope item, and their sums; the steps are at each item's own take-off."""
    return take_offs.take_off_project(work, project_id, alternates_named(alternate_ids))


@room.create(
    PROJECTS + "/{project_id}/estimates",
    "Price a project's scope",
    needs=PLANNERS,
    collection=ESTIMATES,
    problems=[problems.WRONG_STATE],
)
def create_estimate(work: UnitOfWork, project_id: UUID, data: NewEstimate) -> Estimate:
    return service.create_estimate(work, project_id, data)


@room.read(ESTIMATES, "List the estimates")
def list_estimates(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    project_id: Annotated[UUID | None, Query("Only estimates of this project.")] = None,
    status: Annotated[EstimateStatus | None, Query("Only estimates in this state.")] = None,
) -> Page[EstimateSummary]:
    return service.list_estimates(work, limit, cursor, project_id, status)


@room.read(ESTIMATES + "/{estimate_id}", "Read an estimate")
def read_estimate(work: UnitOfWork, estimate_id: UUID) -> Estimate:
    return service.read_estimate(work, estimate_id)


@room.read(ESTIMATES + "/{estimate_id}/lines", "List the lines of an estimate")
def list_estimate_lines(
    work: UnitOfWork, estimate_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[EstimateLine]:
    return service.list_lines(work, estimate_id, limit, cursor)


@room.read(ESTIMATES + "/{estimate_id}/lines/{number}", "Explain a line of an estimate")
def read_estimate_line(work: UnitOfWork, estimate_id: UUID, number: int) -> EstimateLineDetail:
    """The line with every step of its derivation, and its shares by area."""
    return service.read_line(work, estimate_id, number)


@room.read(
    ESTIMATES + "/{estimate_id}/export",
    "Export all lines of an estimate",
    faces=[Face("text/csv", _lines_csv)],
)
def export_estimate(work: UnitOfWork, estimate_id: UUID) -> EstimateLineList:
    return service.all_lines(work, estimate_id)


@room.read(ESTIMATES + "/{estimate_id}/basis", "Read the basis of an estimate")
def read_estimate_basis(work: UnitOfWork, estimate_id: UUID) -> Basis:
    """What it is for, what it rests on, and who made it; empty until somebody writes it."""
    return quality.read_basis(work, estimate_id)


@room.edit(
    ESTIMATES + "/{estimate_id}/basis",
    "Write the basis of a draft",
    needs=PLANNERS,
    problems=[problems.WRONG_STATE],
)
def change_estimate_basis(work: UnitOfWork, estimate_id: UUID, data: BasisChange, if_match: int) -> Basis:
    """A new revision starts with the basis of the one before. Once issued, the basis stays as it was."""
    return quality.change_basis(work, service.read_estimate(work, estimate_id), data, if_match)


@room.read(ESTIMATES + "/{estimate_id}/quality", "Check the quality of an estimate")
def read_estimate_quality(work: UnitOfWork, estimate_id: UUID) -> EstimateQuality:
    """The checklist with what was found, old and single-source prices, and the cost by where its prices come from."""
    return quality.read_quality(work, service.read_estimate(work, estimate_id))


@room.read(
    ESTIMATES + "/{estimate_id}/exposure",
    "Say what another edition would change in an estimate",
    problems=[problems.INVALID_VALUES],
)
def read_estimate_exposure(
    work: UnitOfWork,
    estimate_id: UUID,
    edition_id: Annotated[UUID, Query("The other edition, a draft or published.")],
) -> EditionExposure:
    """Its items whose price, unit or terms differ there, with what the estimate pays for them now."""
    return exposure.exposure(work, service.read_estimate(work, estimate_id), edition_id)


@room.read(
    ESTIMATES + "/{estimate_id}/subtotals",
    "Add up an estimate by any headings",
    faces=[Face("text/csv", _subtotals_csv)],
    problems=[problems.INVALID_VALUES],
)
def read_estimate_subtotals(
    work: UnitOfWork,
    estimate_id: UUID,
    by: Annotated[str, Query("One to four headings, with commas between.", example="hole,month")],
) -> SubtotalTable:
    """Direct cost, and its cash part, by hole, area, area kind, item, item kind, account, vendor, cost type, price
    source, group, scope item, part or month, alone or crossed; every table sums to the direct cost."""
    return views.subtotals(work, estimate_id, by)


@room.read(
    ESTIMATES + "/{estimate_id}/tree",
    "Read an estimate as a tree",
    faces=[Face("text/plain", views.tree_text)],
    problems=[problems.INVALID_VALUES],
)
def read_estimate_tree(
    work: UnitOfWork,
    estimate_id: UUID,
    by: Annotated[
        str, Query("Headings from the root to the leaves, with commas between.", example="group,scope_item")
    ] = views.TREE_BY,
) -> EstimateTree:
    """Direct cost to be folded at any depth: every node is the sum of its children."""
    return views.tree(work, estimate_id, by)


@room.read(
    ESTIMATES + "/{estimate_id}/bridge",
    "Explain the difference between two estimates",
    faces=[Face("text/csv", _bridge_csv)],
    problems=[problems.WRONG_STATE],
)
def read_estimate_bridge(
    work: UnitOfWork,
    estimate_id: UUID,
    from_estimate_id: Annotated[UUID, Query("The estimate to come from, such as the earlier revision.")],
) -> EstimateBridge:
    """Price, quantity, scope and markups, each to the cent; together they are the difference of the totals."""
    return bridging.bridge(work, from_estimate_id, estimate_id)


@room.create(
    ESTIMATES + "/{estimate_id}/revisions",
    "Price the next revision of an estimate",
    needs=PLANNERS,
    collection=ESTIMATES,
    problems=[problems.WRONG_STATE],
)
def revise_estimate(work: UnitOfWork, estimate_id: UUID, data: EstimateRevision) -> Estimate:
    return service.revise_estimate(work, estimate_id, data)


@room.act(
    ESTIMATES + "/{estimate_id}/issue",
    "Issue an estimate for decision",
    needs=PLANNERS,
    problems=[problems.WRONG_STATE, problems.INCOMPLETE_ESTIMATE],
)
def issue_estimate(work: UnitOfWork, estimate_id: UUID, data: IssueRequest) -> Estimate:
    return service.issue_estimate(work, estimate_id, data)


@room.act(
    ESTIMATES + "/{estimate_id}/accept",
    "Accept an issued estimate",
    needs=DECIDERS,
    problems=[problems.WRONG_STATE],
)
def accept_estimate(work: UnitOfWork, estimate_id: UUID, data: Decision) -> Estimate:
    """Opens the budget, by account and month; its id is in `budget_id`."""
    return service.accept_estimate(work, estimate_id, data)


@room.act(
    ESTIMATES + "/{estimate_id}/decline",
    "Decline an issued estimate",
    needs=DECIDERS,
    problems=[problems.WRONG_STATE],
)
def decline_estimate(work: UnitOfWork, estimate_id: UUID, data: Decision) -> Estimate:
    return service.decline_estimate(work, estimate_id, data)


@room.create(
    UNPLANNED_OF_BUDGET,
    "Price unplanned work and propose to pay it out of contingency",
    needs=REPORTERS,
    collection=UNPLANNED,
)
def price_unplanned_work(work: UnitOfWork, budget_id: UUID, data: NewUnplannedWork) -> UnplannedWork:
    """For when a pump fails in the middle of a closure: one call to price it, one more to approve `adjustment`.

    Priced by the edition of the budget's estimate, with its tax; what the catalog does not have is an allowance.
    """
    return unplanned.price_unplanned(work, budget_id, data)


@room.read(UNPLANNED_OF_BUDGET, "List the unplanned work of a budget")
def list_unplanned_work(
    work: UnitOfWork, budget_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[UnplannedWork]:
    """All of it, whatever was decided about its adjustments."""
    return unplanned.list_unplanned(work, budget_id, limit, cursor)


@room.read(UNPLANNED + "/{unplanned_work_id}", "Read unplanned work")
def read_unplanned_work(work: UnitOfWork, unplanned_work_id: UUID) -> UnplannedWork:
    return unplanned.read_unplanned(work, unplanned_work_id)
