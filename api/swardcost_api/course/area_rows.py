"""Areas between their rows and what the rooms speak of."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import PydanticCustomError
from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.course import Area, AreaFields, AreaKind
from swardcost_model.problems import ProblemError
from swardcost_model.values import Quantity

from swardcost_api.access.service import record
from swardcost_api.course.tables import AreaRow
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import to_si, without_dust

AREA = (
    AreaRow.id, AreaRow.course_id, AreaRow.kind, AreaRow.name, AreaRow.hole, AreaRow.size_value,
    AreaRow.size_unit, AreaRow.size_m2, AreaRow.perimeter_m, AreaRow.version,
)  # fmt: skip
"""What is selected of an area; its outline only where it is asked for."""


def new_area(
    area_id: UUID, course_id: UUID, fields: AreaFields, version: int, perimeter_m: float | None = None
) -> Area:
    """The area that some fields describe. Raises a validation error for a size that is no area."""
    size_m2 = None
    if fields.size is not None:
        try:
            size_m2 = without_dust(to_si(fields.size, "area"))
        except PydanticCustomError as error:
            raise ValidationError.from_exception_data(
                "Area",
                [{"type": error, "loc": ("size", "unit"), "input": fields.size.unit}],
            ) from None
    return Area(
        id=area_id, course_id=course_id, size_m2=size_m2, perimeter_m=perimeter_m, version=version,
        **{name: getattr(fields, name) for name in AreaFields.model_fields},
    )  # fmt: skip


def area_of(row: Row[*tuple[Any, ...]]) -> Area:
    """The area that a selected row holds."""
    size = None
    if row.size_value is not None:
        size = Quantity.model_construct(value=Decimal(row.size_value), unit=row.size_unit)
    return Area.model_construct(
        id=row.id, course_id=row.course_id, kind=AreaKind(row.kind), name=row.name, hole=row.hole, size=size,
        size_m2=row.size_m2, perimeter_m=row.perimeter_m, version=row.version,
    )  # fmt: skip


def columns_of(area: Area) -> dict[str, Any]:
    """What an area puts into its row."""
    return {
        "kind": area.kind, "name": area.name, "hole": area.hole, "size_m2": area.size_m2,
        "size_value": format(area.size.value, "f") if area.size else None,
        "size_unit": area.size.unit if area.size else None, "perimeter_m": area.perimeter_m,
    }  # fmt: skip


def insert_areas(
    work: UnitOfWork, areas: Sequence[Area], geometries: Mapping[UUID, dict[str, Any] | None] | None = None
) -> None:
    """Add areas that no other has the name of, with their outlines where there are any."""
    if not areas:
        return
    drawn = geometries or {}
    work.session.execute(
        insert(AreaRow),
        [
            {
                "club_id": work.club_id,
                "id": area.id,
                "course_id": area.course_id,
                "version": 1,
                "geometry": drawn.get(area.id),
                **columns_of(area),
            }
            for area in areas
        ],
    )
    for area in areas:
        record(work, "create", "area", area.id, after=area)


def refuse_taken_names(work: UnitOfWork, course_id: UUID, names: Sequence[str]) -> None:
    """Raises `duplicate` where the course has areas of these names."""
    statement = select(AreaRow.name).where(
        AreaRow.club_id == work.club_id, AreaRow.course_id == course_id, AreaRow.name.in_(names)
    )
    taken = sorted(work.session.scalars(statement))
    if taken:
        raise ProblemError(
            problems.DUPLICATE, f"This course has these areas already: {', '.join(taken[:10])}."
        )
