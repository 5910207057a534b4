"""Courses and their areas: adding one by one or from CSV, editing, showing on a map, deleting while unused."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import insert, select
from swardcost_model import problems
from swardcost_model.course import (
    Area,
    AreaChange,
    AreaKind,
    AreasAdded,
    Course,
    CourseChange,
    NewArea,
    NewCourse,
)
from swardcost_model.course_map import (
    AreaFeature,
    AreaMap,
    AreaProperties,
    MultiPolygonGeometry,
    PolygonGeometry,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import record
from swardcost_api.course.area_rows import (
    AREA,
    area_of,
    columns_of,
    insert_areas,
    new_area,
    refuse_taken_names,
)
from swardcost_api.course.tables import AreaRow, CourseRow
from swardcost_api.csv_files import CsvRow, read_rows, row_faults
from swardcost_api.storage.paging import Ordering, read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork

AREA_COLUMNS = ("kind", "hole", "name", "size", "unit")
"""Header of the CSV file of areas; `hole`, and `size` with `unit`, may be empty."""


@dataclass(frozen=True, slots=True)
class AreaFacts:
    """An area as pricing needs it; without a size it has none, which is not zero. Its id is text, ready to keep."""

    id: str
    name: str
    hole: int | None
    kind: str
    size_m2: float | None
    course: str


_COURSE = (CourseRow.id, CourseRow.name, CourseRow.version)
_COURSE_BY_ID = by_id(CourseRow, _COURSE)
_AREA_BY_ID = by_id(AreaRow, AREA)


def create_course(work: UnitOfWork, new: NewCourse) -> Course:
    """Add a course. Raises `duplicate` where the club has one of that name."""
    _refuse_taken_course_name(work, new.name)
    course = Course(id=work.new_id(), name=new.name, version=1)
    work.session.execute(insert(CourseRow).values(club_id=work.club_id, **course.model_dump()))
    record(work, "create", "course", course.id, after=course)
    return course


def list_courses(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Course]:
    """The club's courses, by name."""
    statement = select(*_COURSE).where(CourseRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (CourseRow.name,), limit, cursor)
    return Page[Course](items=[Course(**row._mapping) for row in rows], next=following)


def read_course(work: UnitOfWork, course_id: UUID) -> Course:
    """One course."""
    return Course(**read_row(work, _COURSE_BY_ID, course_id, "course")._mapping)


def change_course(work: UnitOfWork, course_id: UUID, change: CourseChange, if_match: int) -> Course:
    """Rename a course."""
    before = read_course(work, course_id)
    if change.name != before.name:
        _refuse_taken_course_name(work, change.name)
    edit_row(work, CourseRow, course_id, if_match, "course", name=change.name)
    after = Course(id=course_id, name=change.name, version=if_match + 1)
    record(work, "change", "course", course_id, before, after)
    return after


def delete_course(work: UnitOfWork, course_id: UUID, if_match: int) -> None:
    """Delete a course that has no areas and no projects."""
    before = read_course(work, course_id)
    delete_row(work, CourseRow, course_id, if_match, "course")
    record(work, "delete", "course", course_id, before)


def create_area(work: UnitOfWork, course_id: UUID, new: NewArea) -> Area:
    """Add an area to a course. Raises `duplicate` where the course has one of that name."""
    read_course(work, course_id)
    refuse_taken_names(work, course_id, [new.name])
    area = new_area(work.new_id(), course_id, new, version=1)
    insert_areas(work, [area])
    return area


def add_areas(work: UnitOfWork, course_id: UUID, upload: IO[bytes]) -> AreasAdded:
    """Add all areas of a CSV file to a course, or, if any row is at fault, none of them.

    Raises `invalid-csv` (not readable), `bad-rows` (each fault with row and column) or `duplicate`.
    """
    read_course(work, course_id)
    areas: list[Area] = []
    faults: list[Fault] = []
    rows_by_name: dict[str, int] = {}
    for row in read_rows(upload, AREA_COLUMNS):
        try:
            area = new_area(work.new_id(), course_id, _area_in(row), version=1)
        except ValidationError as error:
            faults += row_faults(row.number, error, {"size/value": "size", "size/unit": "unit"})
            continue
        if area.name in rows_by_name:
            faults.append(
                Fault(pointer=f"row {row.number}, name", expected=f"a name other than in row {rows_by_name[area.name]}",
                      got=area.name)
            )  # fmt: skip
        rows_by_name[area.name] = row.number
        areas.append(area)
    if faults:
        raise ProblemError(problems.BAD_ROWS, f"{len(faults)} faults; no area was added.", faults)
    refuse_taken_names(work, course_id, list(rows_by_name))
    insert_areas(work, areas)
    return AreasAdded(added=len(areas), areas=areas)


def list_areas(
    work: UnitOfWork,
    limit: int,
    cursor: str | None,
    course_id: UUID | None,
    kind: AreaKind | None,
    hole: int | None,
    *,
    descending: bool = False,
) -> Page[Area]:
    """The club's areas, by name, all or those of a course, kind or hole."""
    statement = select(*AREA).where(AreaRow.club_id == work.club_id)
    if course_id is not None:
        statement = statement.where(AreaRow.course_id == course_id)
    if kind is not None:
        statement = statement.where(AreaRow.kind == kind)
    if hole is not None:
        statement = statement.where(AreaRow.hole == hole)
    ordering: Ordering = (AreaRow.name, AreaRow.id)
    rows, following = read_page(work, statement, ordering, limit, cursor, descending=descending)
    return Page[Area](items=[area_of(row) for row in rows], next=following)


def read_area(work: UnitOfWork, area_id: UUID) -> Area:
    """One area."""
    return area_of(read_row(work, _AREA_BY_ID, area_id, "area"))


def areas_with_ids(work: UnitOfWork, ids: Sequence[UUID]) -> dict[UUID, Area]:
    """The areas of this club among some ids."""
    statement = select(*AREA).where(AreaRow.club_id == work.club_id, AreaRow.id.in_(ids))
    return {row.id: area_of(row) for row in work.session.execute(statement)}


def all_areas(work: UnitOfWork) -> dict[UUID, Area]:
    """Every area of the club, with its size as it was stated, in one query."""
    statement = select(*AREA).where(AreaRow.club_id == work.club_id)
    return {row.id: area_of(row) for row in work.session.execute(statement)}


def areas_on_map(
    work: UnitOfWork, *, course_id: UUID | None = None, ids: Sequence[UUID] | None = None
) -> AreaMap:
    """Areas of this club with their outlines, by name: those of a course, or those with some ids."""
    statement = select(*AREA, AreaRow.geometry).where(AreaRow.club_id == work.club_id)
    if course_id is not None:
        read_course(work, course_id)
        statement = statement.where(AreaRow.course_id == course_id)
    if ids is not None:
        statement = statement.where(AreaRow.id.in_(ids))
    rows = work.session.execute(statement.order_by(AreaRow.name, AreaRow.id))
    return AreaMap(features=[_feature(area_of(row), row.geometry) for row in rows])


def area_facts(work: UnitOfWork) -> dict[UUID, AreaFacts]:
    """What pricing needs to know of every area of the club, in one query."""
    statement = (
        select(AreaRow.id, AreaRow.name, AreaRow.hole, AreaRow.kind, AreaRow.size_m2, CourseRow.name)
        .join(CourseRow, (CourseRow.club_id == AreaRow.club_id) & (CourseRow.id == AreaRow.course_id))
        .where(AreaRow.club_id == work.club_id)
    )
    return {
        area_id: AreaFacts(str(area_id), name, hole, kind, size_m2, course)
        for area_id, name, hole, kind, size_m2, course in work.session.execute(statement)
    }


def change_area(work: UnitOfWork, area_id: UUID, change: AreaChange, if_match: int) -> Area:
    """Replace what is known about an area. Estimates already made keep the size they used."""
    before = read_area(work, area_id)
    if change.name != before.name:
        refuse_taken_names(work, before.course_id, [change.name])
    after = new_area(area_id, before.course_id, change, if_match + 1, before.perimeter_m)
    edit_row(work, AreaRow, area_id, if_match, "area", **columns_of(after))
    record(work, "change", "area", area_id, before, after)
    return after


def delete_area(work: UnitOfWork, area_id: UUID, if_match: int) -> None:
    """Delete an area that no scope uses."""
    before = read_area(work, area_id)
    delete_row(work, AreaRow, area_id, if_match, "area")
    record(work, "delete", "area", area_id, before)


def _area_in(row: CsvRow) -> NewArea:
    """A row of the file of areas as an area to be added."""
    cells = row.cells
    fields: dict[str, Any] = {"kind": cells["kind"].lower(), "name": cells["name"]}
    if cells["hole"]:
        fields["hole"] = cells["hole"]
    if cells["size"] or cells["unit"]:
        fields["size"] = {"value": cells["size"], "unit": cells["unit"]}
    return NewArea.model_validate(fields)


def _feature(area: Area, geometry: dict[str, Any] | None) -> AreaFeature:
    """An area as a feature; its stored outline is sound and is not checked again."""
    drawn = None
    if geometry is not None:
        kind = PolygonGeometry if geometry["type"] == "Polygon" else MultiPolygonGeometry
        drawn = kind.model_construct(**geometry)
    return AreaFeature.model_construct(
        id=area.id, geometry=drawn,
        properties=AreaProperties.model_construct(
            **{name: getattr(area, name) for name in AreaProperties.model_fields}
        ),
    )  # fmt: skip


def _refuse_taken_course_name(work: UnitOfWork, name: str) -> None:
    taken = select(CourseRow.id).where(CourseRow.club_id == work.club_id, CourseRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a course named {name!r}.")
