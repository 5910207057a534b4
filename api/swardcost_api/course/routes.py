"""HTTP operations of courses and areas."""

from typing import IO, Annotated, Literal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
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
from swardcost_model.paging import Page

from swardcost_api.course import service
from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room("Course", "Courses and their areas with measured sizes.")
PLANNERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

COURSES = CLUB + "/courses"
AREAS = CLUB + "/areas"


@room.create(COURSES, "Add a course", needs=PLANNERS)
def create_course(work: UnitOfWork, data: NewCourse) -> Course:
    return service.create_course(work, data)


@room.read(COURSES, "List the courses")
def list_courses(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Course]:
    return service.list_courses(work, limit, cursor)


@room.read(COURSES + "/{course_id}", "Read a course")
def read_course(work: UnitOfWork, course_id: UUID) -> Course:
    return service.read_course(work, course_id)


@room.edit(COURSES + "/{course_id}", "Rename a course", needs=PLANNERS)
def change_course(work: UnitOfWork, course_id: UUID, data: CourseChange, if_match: int) -> Course:
    return service.change_course(work, course_id, data, if_match)


@room.remove(COURSES + "/{course_id}", "Delete a course", needs=PLANNERS, problems=[problems.IN_USE])
def delete_course(work: UnitOfWork, course_id: UUID, if_match: int) -> None:
    service.delete_course(work, course_id, if_match)


@room.create(COURSES + "/{course_id}/areas", "Add an area", needs=PLANNERS, collection=AREAS)
def create_area(work: UnitOfWork, course_id: UUID, data: NewArea) -> Area:
    return service.create_area(work, course_id, data)


@room.create(
    COURSES + "/{course_id}/areas/upload",
    "Add areas from CSV",
    needs=PLANNERS,
    upload=True,
    problems=[problems.BAD_ROWS],
)
def add_areas(work: UnitOfWork, course_id: UUID, upload: IO[bytes]) -> AreasAdded:
    """The header is `kind,hole,name,size,unit`. All rows are added, or none."""
    return service.add_areas(work, course_id, upload)


@room.read(AREAS, "List the areas")
def list_areas(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    course_id: Annotated[UUID | None, Query("Only areas of this course.")] = None,
    kind: Annotated[AreaKind | None, Query("Only areas of this kind.", example="green")] = None,
    hole: Annotated[int | None, Query("Only areas of this hole.", ge=1, le=36)] = None,
    sort: Annotated[
        Literal["name", "-name"], Query("By name, from the first or (-) from the last.")
    ] = "name",
) -> Page[Area]:
    return service.list_areas(work, limit, cursor, course_id, kind, hole, descending=sort == "-name")


@room.read(AREAS + "/{area_id}", "Read an area")
def read_area(work: UnitOfWork, area_id: UUID) -> Area:
    return service.read_area(work, area_id)


@room.edit(AREAS + "/{area_id}", "Edit an area", needs=PLANNERS)
def change_area(work: UnitOfWork, area_id: UUID, data: AreaChange, if_match: int) -> Area:
    return service.change_area(work, area_id, data, if_match)


@room.remove(AREAS + "/{area_id}", "Delete an area", needs=PLANNERS, problems=[problems.IN_USE])
def delete_area(work: UnitOfWork, area_id: UUID, if_match: int) -> None:
    service.delete_area(work, area_id, if_match)
