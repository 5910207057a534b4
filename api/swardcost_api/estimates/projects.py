"""Projects: programmes of work that are priced, approved and followed as one."""

from uuid import UUID

from sqlalchemy import func, insert, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.projects import NewProject, Project, ProjectChange

from swardcost_api.access.service import record
from swardcost_api.estimates.tables import EstimateRow, ProjectRow, ScopeItemRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, missing, read_row
from swardcost_api.storage.work import UnitOfWork

_PROJECT = (
    ProjectRow.id, ProjectRow.name, ProjectRow.starts_on, ProjectRow.ends_on, ProjectRow.note, ProjectRow.version,
)  # fmt: skip
_PROJECT_BY_ID = by_id(ProjectRow, _PROJECT)


def create_project(work: UnitOfWork, new: NewProject) -> Project:
    """Open a project. Raises `duplicate` where the club has one of that name."""
    _refuse_taken_name(work, new.name)
    project = Project(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(insert(ProjectRow).values(club_id=work.club_id, **project.model_dump()))
    record(work, "create", "project", project.id, after=project)
    return project


def list_projects(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Project]:
    """The club's projects, in the order in which they were opened."""
    statement = select(*_PROJECT).where(ProjectRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (ProjectRow.id,), limit, cursor)
    return Page[Project](items=[Project(**row._mapping) for row in rows], next=following)


def read_project(work: UnitOfWork, project_id: UUID) -> Project:
    """One project."""
    return Project(**read_row(work, _PROJECT_BY_ID, project_id, "project")._mapping)


def change_project(work: UnitOfWork, project_id: UUID, change: ProjectChange, if_match: int) -> Project:
    """Replace what is known about a project. Estimates already made keep the dates they used."""
    before = read_project(work, project_id)
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, ProjectRow, project_id, if_match, "project", **change.model_dump())
    after = Project(id=project_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "project", project_id, before, after)
    return after


def hold_project(work: UnitOfWork, project_id: UUID) -> None:
    """Keep others from changing or pricing a project's scope until this transaction ends. Raises `not-found`.

    Scope items are numbered one by one, and an estimate prices the scope as it stood at one moment.
    """
    mine = select(ProjectRow.id).where(ProjectRow.club_id == work.club_id, ProjectRow.id == project_id)
    if work.session.scalar(mine.with_for_update(key_share=True)) is None:
        raise missing("project")


def delete_project(work: UnitOfWork, project_id: UUID, if_match: int) -> None:
    """Delete a project that has neither scope nor estimates."""
    before = read_project(work, project_id)
    _refuse_used(work, before)
    delete_row(work, ProjectRow, project_id, if_match, "project")
    record(work, "delete", "project", project_id, before)


def _refuse_used(work: UnitOfWork, project: Project) -> None:
    uses = []
    for table, words in ((ScopeItemRow, "scope items"), (EstimateRow, "estimates")):
        count = work.session.scalar(
            select(func.count()).where(table.club_id == work.club_id, table.project_id == project.id)
        )
        if count:
            uses.append(f"{words}: {count}")
    if uses:
        raise ProblemError(
            problems.IN_USE, f"The project {project.name!r} cannot be deleted. It has {', '.join(uses)}."
        )


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(ProjectRow.id).where(ProjectRow.club_id == work.club_id, ProjectRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a project named {name!r}.")
