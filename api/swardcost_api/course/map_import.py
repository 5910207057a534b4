"""Importing a map: each feature becomes an area, or redraws the one of its name; all of them or none."""

from collections.abc import Sequence
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import select
from swardcost_model import problems
from swardcost_model.course import Area, NewArea
from swardcost_model.course_map import AreasMapped
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Quantity

from swardcost_api.access.service import read_club, record
from swardcost_api.course.area_rows import AREA, area_of, columns_of, insert_areas, new_area
from swardcost_api.course.map_reading import DrawnArea, read_map
from swardcost_api.course.service import read_course
from swardcost_api.course.tables import AreaRow
from swardcost_api.faults import FAULTS_SHOWN, faults_of
from swardcost_api.storage.rows import edit_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS, exact

_SIZE_UNITS = {"us_customary": "square_foot", "metric": "square_meter"}
_Kept = tuple[Area, dict[str, Any] | None]


def import_map(work: UnitOfWork, course_id: UUID, upload: IO[bytes], replace: bool) -> AreasMapped:
    """Add the areas of a map to a course; with `replace`, areas of the same name are redrawn instead.

    A redrawn area gets kind, size and outline of its feature, and its hole where the feature states one; a
    feature without an outline and size leaves those as they are. Raises what `read_map` does, `invalid-values` for an
    area that rounds to nothing, and `duplicate` for a name that is taken, each with its place.
    """
    read_course(work, course_id)
    unit = _SIZE_UNITS[read_club(work).unit_system]
    reading = read_map(upload)
    known = _known(work, course_id)
    if not replace:
        _refuse_taken(reading.areas, known)
    faults: list[Fault] = []
    added: list[_Kept] = []
    redrawn: list[tuple[_Kept, _Kept]] = []
    for drawn in reading.areas:
        before = known.get(drawn.fields.name)
        try:
            if before is None:
                added.append((_measured(drawn, work.new_id(), course_id, unit), drawn.geometry))
            else:
                redrawn.append((before, _redrawn(drawn, before, unit)))
        except ValidationError as error:
            faults += faults_of(error, (*drawn.pointer.split("/")[1:], "properties"))
        except ValueError as error:
            faults.append(Fault(pointer=f"{drawn.pointer}/geometry", expected=str(error)))
    if faults:
        raise ProblemError(
            problems.INVALID_VALUES, "The map cannot be used; nothing was changed.", faults[:FAULTS_SHOWN]
        )
    insert_areas(work, [area for area, _ in added], {area.id: geometry for area, geometry in added})
    changes = [(before, after) for before, after in redrawn if before != after]
    return AreasMapped(
        added=len(added), changed=len(changes), unchanged=len(redrawn) - len(changes), skipped=reading.skipped,
        notes=reading.notes, areas=[area for area, _ in added] + [_put(work, *change) for change in changes],
    )  # fmt: skip


def _known(work: UnitOfWork, course_id: UUID) -> dict[str, _Kept]:
    """The course's areas by name, with their outlines; nobody else changes them until this transaction ends."""
    statement = select(*AREA, AreaRow.geometry).where(
        AreaRow.club_id == work.club_id, AreaRow.course_id == course_id
    )
    rows = work.session.execute(statement.order_by(AreaRow.id).with_for_update(key_share=True))
    return {row.name: (area_of(row), row.geometry) for row in rows}


def _refuse_taken(areas: Sequence[DrawnArea], known: dict[str, _Kept]) -> None:
    taken = [
        Fault(
            pointer=f"{drawn.pointer}/properties/name", expected="a name that the course does not have, or `replace`",
            got=drawn.fields.name,
        )
        for drawn in areas
        if drawn.fields.name in known
    ]  # fmt: skip
    if taken:
        detail = f"This course has {len(taken)} of these areas already; nothing was changed."
        raise ProblemError(problems.DUPLICATE, detail, taken[:FAULTS_SHOWN])


def _size(drawn: DrawnArea, unit: str) -> Quantity | None:
    """The measured surface to a tenth of the club's unit; of an area without an outline, the size it states."""
    if drawn.measured is None:
        return drawn.fields.size
    value = round(drawn.measured.area_m2 / UNITS[unit].si_factor, 1)
    if value <= 0:
        raise ValueError(f"an outline around at least a tenth of a {unit.replace('_', ' ')}")
    return Quantity(value=exact(value, 1), unit=unit)


def _perimeter(drawn: DrawnArea) -> float | None:
    return None if drawn.measured is None else round(drawn.measured.perimeter_m, 3)


def _measured(drawn: DrawnArea, area_id: UUID, course_id: UUID, unit: str) -> Area:
    fields = drawn.fields.model_copy(update={"size": _size(drawn, unit)})
    return new_area(area_id, course_id, fields, 1, _perimeter(drawn))


def _redrawn(drawn: DrawnArea, before: _Kept, unit: str) -> _Kept:
    """An area as the map has it, at the version it is at."""
    area, geometry = before
    size = _size(drawn, unit)
    fields = NewArea.model_construct(
        kind=drawn.fields.kind, name=area.name, size=area.size if size is None else size,
        hole=area.hole if drawn.fields.hole is None else drawn.fields.hole,
    )  # fmt: skip
    if drawn.measured is None:
        return new_area(area.id, area.course_id, fields, area.version, area.perimeter_m), geometry
    return new_area(area.id, area.course_id, fields, area.version, _perimeter(drawn)), drawn.geometry


def _put(work: UnitOfWork, before: _Kept, after: _Kept) -> Area:
    area, geometry = after
    edit_row(work, AreaRow, area.id, area.version, "area", **{**columns_of(area), "geometry": geometry})
    changed = area.model_copy(update={"version": area.version + 1})
    record(work, "change", "area", area.id, before[0], changed)
    return changed
