"""Courses and their areas: adding one by one or from CSV, editing, deleting while unused."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import PydanticCustomError
from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.course import (
    Area,
    AreaChange,
    AreaFields,
    AreaKind,
    AreasAdded,
    Course,
    CourseChange,
    NewArea,
    NewCourse,
)
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Quantity

from swardcost_api.access.service import record
from swardcost_api.course.tables import AreaRow, CourseRow
from swardcost_api.csv_files import CsvRow, read_rows, row_faults
from swardcost_api.storage.paging import Ordering, read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import to_si

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


_COURSE = (CourseRow.id, CourseRow.name, CourseRow.version)
_AREA = (
    AreaRow.id, AreaRow.course_id, AreaRow.kind, AreaRow.name, AreaRow.hole, AreaRow.size_value,
    AreaRow.size_unit, AreaRow.size_m2, AreaRow.version,
)  # fmt: skip
_COURSE_BY_ID = by_id(CourseRow, _COURSE)
_AREA_BY_ID = by_id(AreaRow, _AREA)


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
    _refuse_taken_area_names(work, course_id, [new.name])
    area = _area(work.new_id(), course_id, new, version=1)
    _insert_areas(work, [area])
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
            area = _area(work.new_id(), course_id, _area_in(row), version=1)
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
    _refuse_taken_area_names(work, course_id, list(rows_by_name))
    _insert_areas(work, areas)
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
    statement = select(*_AREA).where(AreaRow.club_id == work.club_id)
    if course_id is not None:
        statement = statement.where(AreaRow.course_id == course_id)
    if kind is not None:
        statement = statement.where(AreaRow.kind == kind)
    if hole is not None:
        statement = statement.where(AreaRow.hole == hole)
    ordering: Ordering = (AreaRow.name, AreaRow.id)
    rows, following = read_page(work, statement, ordering, limit, cursor, descending=descending)
    return Page[Area](items=[_area_of(row) for row in rows], next=following)


def read_area(work: UnitOfWork, area_id: UUID) -> Area:
    """One area."""
    return _area_of(read_row(work, _AREA_BY_ID, area_id, "area"))


def areas_with_ids(work: UnitOfWork, ids: Sequence[UUID]) -> dict[UUID, Area]:
    """The areas of this club among some ids."""
    statement = select(*_AREA).where(AreaRow.club_id == work.club_id, AreaRow.id.in_(ids))
    return {row.id: _area_of(row) for row in work.session.execute(statement)}


def area_facts(work: UnitOfWork) -> dict[UUID, AreaFacts]:
    """What pricing needs to know of every area of the club, in one query."""
    statement = select(AreaRow.id, AreaRow.name, AreaRow.hole, AreaRow.kind, AreaRow.size_m2).where(
        AreaRow.club_id == work.club_id
    )
    return {area_id: AreaFacts(str(area_id), *more) for area_id, *more in work.session.execute(statement)}


def change_area(work: UnitOfWork, area_id: UUID, change: AreaChange, if_match: int) -> Area:
    """Replace what is known about an area. Estimates already made keep the size they used."""
    before = read_area(work, area_id)
    if change.name != before.name:
        _refuse_taken_area_names(work, before.course_id, [change.name])
    after = _area(area_id, before.course_id, change, version=if_match + 1)
    edit_row(work, AreaRow, area_id, if_match, "area", **_columns(after))
    record(work, "change", "area", area_id, before, after)
    return after


def delete_area(work: UnitOfWork, area_id: UUID, if_match: int) -> None:
    """Delete an area that no scope uses."""
    before = read_area(work, area_id)
    delete_row(work, AreaRow, area_id, if_match, "area")
    record(work, "delete", "area", area_id, before)


def _area(area_id: UUID, course_id: UUID, fields: AreaFields, version: int) -> Area:
    """The area that some fields describe. Raises a validation error for a size that is no area."""
    size_m2 = None
    if fields.size is not None:
        try:
            size_m2 = round(to_si(fields.size, "area"), 6)
        except PydanticCustomError as error:
            raise ValidationError.from_exception_data(
                "Area",
                [{"type": error, "loc": ("size", "unit"), "input": fields.size.unit}],
            ) from None
    return Area(
        id=area_id, course_id=course_id, size_m2=size_m2, version=version,
        **{name: getattr(fields, name) for name in AreaFields.model_fields},
    )  # fmt: skip


def _area_in(row: CsvRow) -> NewArea:
    """A row of the file of areas as an area to be added."""
    cells = row.cells
    fields: dict[str, Any] = {"kind": cells["kind"].lower(), "name": cells["name"]}
    if cells["hole"]:
        fields["hole"] = cells["hole"]
    if cells["size"] or cells["unit"]:
        fields["size"] = {"value": cells["size"], "unit": cells["unit"]}
    return NewArea.model_validate(fields)


def _area_of(row: Row[*tuple[Any, ...]]) -> Area:
    size = None
    if row.size_value is not None:
        size = Quantity.model_construct(value=Decimal(row.size_value), unit=row.size_unit)
    return Area.model_construct(
        id=row.id, course_id=row.course_id, kind=AreaKind(row.kind), name=row.name, hole=row.hole, size=size,
        size_m2=row.size_m2, version=row.version,
    )  # fmt: skip


def _columns(area: Area) -> dict[str, Any]:
    return {
        "kind": area.kind, "name": area.name, "hole": area.hole, "size_m2": area.size_m2,
        "size_value": format(area.size.value, "f") if area.size else None,
        "size_unit": area.size.unit if area.size else None,
    }  # fmt: skip


def _insert_areas(work: UnitOfWork, areas: Sequence[Area]) -> None:
    if not areas:
        return
    work.session.execute(
        insert(AreaRow),
        [
            {
                "club_id": work.club_id,
                "id": area.id,
                "course_id": area.course_id,
                "version": 1,
                **_columns(area),
            }
            for area in areas
        ],
    )
    for area in areas:
        record(work, "create", "area", area.id, after=area)


def _refuse_taken_course_name(work: UnitOfWork, name: str) -> None:
    taken = select(CourseRow.id).where(CourseRow.club_id == work.club_id, CourseRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a course named {name!r}.")


def _refuse_taken_area_names(work: UnitOfWork, course_id: UUID, names: Sequence[str]) -> None:
    statement = select(AreaRow.name).where(
        AreaRow.club_id == work.club_id, AreaRow.course_id == course_id, AreaRow.name.in_(names)
    )
    taken = sorted(work.session.scalars(statement))
    if taken:
        raise ProblemError(
            problems.DUPLICATE, f"This course has these areas already: {', '.join(taken[:10])}."
        )
