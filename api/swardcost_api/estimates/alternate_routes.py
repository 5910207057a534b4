"""HTTP operations of alternates of a project's scope, and of what they change in an estimate."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.alternates import Alternate, AlternateChange, NewAlternate
from swardcost_model.estimate_alternates import EstimateAlternates
from swardcost_model.paging import Page

from swardcost_api.estimates import alternate_pricing, alternates
from swardcost_api.estimates.routes import ESTIMATES, PLANNERS, PROJECTS
from swardcost_api.operations import CLUB, CSV, Cursor, Face, Limit, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Alternates", "Options of a project's scope, and what taking each changes in an estimate.")

ALTERNATES = CLUB + "/alternates"


@room.create(
    PROJECTS + "/{project_id}/alternates",
    "Add an alternate to a project",
    needs=PLANNERS,
    collection=ALTERNATES,
    problems=[problems.DUPLICATE],
)
def create_alternate(work: UnitOfWork, project_id: UUID, data: NewAlternate) -> Alternate:
    """What it brings is in the scope only where it is taken; estimates say which alternates they take."""
    return alternates.create_alternate(work, project_id, data)


@room.read(PROJECTS + "/{project_id}/alternates", "List the alternates of a project")
def list_alternates(
    work: UnitOfWork, project_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[Alternate]:
    return alternates.list_alternates(work, project_id, limit, cursor)


@room.read(ALTERNATES + "/{alternate_id}", "Read an alternate")
def read_alternate(work: UnitOfWork, alternate_id: UUID) -> Alternate:
    return alternates.read_alternate(work, alternate_id)


@room.edit(ALTERNATES + "/{alternate_id}", "Edit an alternate", needs=PLANNERS, problems=[problems.DUPLICATE])
def change_alternate(work: UnitOfWork, alternate_id: UUID, data: AlternateChange, if_match: int) -> Alternate:
    """Estimates already made stay as they are."""
    return alternates.change_alternate(work, alternate_id, data, if_match)


@room.remove(
    ALTERNATES + "/{alternate_id}", "Delete an alternate", needs=PLANNERS, problems=[problems.IN_USE]
)
def delete_alternate(work: UnitOfWork, alternate_id: UUID, if_match: int) -> None:
    """Refused while another needs it. What it alone brings is in the base scope from then on."""
    alternates.delete_alternate(work, alternate_id, if_match)


@room.read(
    ESTIMATES + "/{estimate_id}/alternates",
    "Say what each alternate changes in an estimate",
    faces=[Face(CSV, alternate_pricing.alternates_csv)],
)
def read_estimate_alternates(work: UnitOfWork, estimate_id: UUID) -> EstimateAlternates:
    """Line by line, by the estimate's whole arithmetic: each alternate decided the other way, all else as it is."""
    return alternate_pricing.read_estimate_alternates(work, estimate_id)
