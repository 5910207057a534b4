"""Studies of life-cycle cost as they are put together and kept."""

from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.life_cycle import (
    LifeCycleStudy,
    LifeCycleStudyChange,
    LifeCycleStudyFields,
    NewLifeCycleStudy,
)
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError

from swardcost_api.access.service import record
from swardcost_api.alternatives.life_cycle_terms import study_to_count
from swardcost_api.alternatives.tables import LifeCycleStudyRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

_STUDY = (LifeCycleStudyRow.id, LifeCycleStudyRow.name, LifeCycleStudyRow.study, LifeCycleStudyRow.version)
_STUDY_BY_ID = by_id(LifeCycleStudyRow, _STUDY)
_KIND = "life-cycle study"


def create_study(work: UnitOfWork, new: NewLifeCycleStudy) -> LifeCycleStudy:
    """Keep a study. Raises `duplicate` where the club has one of that name, `invalid-values` where it cannot be
    counted."""
    study_to_count(work, new).costs()
    _refuse_taken_name(work, new.name)
    study = LifeCycleStudy(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(
        insert(LifeCycleStudyRow).values(club_id=work.club_id, id=study.id, version=1, **_columns(new))
    )
    record(work, "create", "life_cycle_study", study.id, after=study)
    return study


def list_studies(work: UnitOfWork, limit: int, cursor: str | None) -> Page[LifeCycleStudy]:
    """The club's studies, in the order in which they were put together."""
    statement = select(*_STUDY).where(LifeCycleStudyRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (LifeCycleStudyRow.id,), limit, cursor)
    return Page[LifeCycleStudy](items=[_study(row) for row in rows], next=following)


def read_study(work: UnitOfWork, study_id: UUID) -> LifeCycleStudy:
    """One study, without its figures. Raises `not-found`."""
    return _study(read_row(work, _STUDY_BY_ID, study_id, _KIND))


def change_study(
    work: UnitOfWork, study_id: UUID, change: LifeCycleStudyChange, if_match: int
) -> LifeCycleStudy:
    """Replace a study. Raises `not-found`, `stale-version`, and as `create_study`."""
    before = read_study(work, study_id)
    study_to_count(work, change).costs()
    if change.name != before.name:
        _refuse_taken_name(work, change.name)
    edit_row(work, LifeCycleStudyRow, study_id, if_match, _KIND, **_columns(change))
    after = LifeCycleStudy(id=study_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "life_cycle_study", study_id, before, after)
    return after


def delete_study(work: UnitOfWork, study_id: UUID, if_match: int) -> None:
    """Delete a study; the estimates stay. Raises `not-found` and `stale-version`."""
    before = read_study(work, study_id)
    delete_row(work, LifeCycleStudyRow, study_id, if_match, _KIND)
    record(work, "delete", "life_cycle_study", study_id, before)


def _refuse_taken_name(work: UnitOfWork, name: str) -> None:
    taken = select(LifeCycleStudyRow.id).where(
        LifeCycleStudyRow.club_id == work.club_id, LifeCycleStudyRow.name == name
    )
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a life-cycle study named {name!r}.")


def _columns(fields: LifeCycleStudyFields) -> dict[str, Any]:
    document = fields.model_dump(mode="json", include=set(LifeCycleStudyFields.model_fields) - {"name"})
    return {"name": fields.name, "study": document}


def _study(row: Row[*tuple[Any, ...]]) -> LifeCycleStudy:
    return LifeCycleStudy(id=row.id, name=row.name, version=row.version, **row.study)
