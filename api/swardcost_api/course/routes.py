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
from swardcost_model.course_map import AreaMap, AreasMapped, MapUpload
from swardcost_model.course_sanity import CourseSanity
from swardcost_model.paging import Page

from swardcost_api.course import map_import, sanity, service
from swardcost_api.operations import CLUB, GEOJSON, Cursor, Face, Limit, Query, Room
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


@room.read(COURSES + "/{course_id}/sanity", "Compare a course with usual sizes")
def check_course(
    work: UnitOfWork,
    course_id: UUID,
    holes: Annotated[
        int | None,
        Query("Holes of the course; by default as many as areas belong to.", ge=1, le=36, example=18),
    ] = None,
) -> CourseSanity:
    """Totals by kind and single areas against what is usual, areas without a size, and kinds twice on a hole.

    What is unusual is doubted, never refused.
    """
    return sanity.check_course(work, course_id, holes)


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


@room.create(
    COURSES + "/{course_id}/areas/map",
    "Add or redraw areas from a map",
    needs=PLANNERS,
    upload=True,
    upload_media_types=[GEOJSON],
    upload_model=MapUpload,
)
def import_map(
    work: UnitOfWork,
    course_id: UUID,
    upload: IO[bytes],
    replace: Annotated[
        bool, Query("Redraw the areas whose names the course has already, rather than refuse them.")
    ] = False,
) -> AreasMapped:
    """GeoJSON (RFC 7946): every feature becomes an area whose size is measured on the ellipsoid. All, or none.

    Sizes are rounded to a tenth of a square foot, or square metre, by the club's unit system. Rings wound the
    wrong way are turned and noted; rings that cross are refused with the place, and so are positions that only make
    sense with latitude and longitude exchanged. At most 2,000 features,
    200,000 positions, 10,000 of them in one area, and 16 MiB.
    """
    return map_import.import_map(work, course_id, upload, replace)


@room.read(
    COURSES + "/{course_id}/areas/map",
    "Show a course on the map",
    faces=[Face(GEOJSON, AreaMap.model_dump_json)],
)
def map_course(work: UnitOfWork, course_id: UUID) -> AreaMap:
    """GeoJSON (RFC 7946) of all its areas; those that were never drawn have no geometry."""
    return service.areas_on_map(work, course_id=course_id)


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
