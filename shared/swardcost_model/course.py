"""Courses and their areas: greens, tees, fairways and the rest, with their measured sizes."""

from enum import StrEnum
from uuid import UUID

from pydantic import ConfigDict, Field

from swardcost_model.values import Answer, Name, Quantity, Request, Value


class AreaKind(StrEnum):
    """What an area of a golf course is."""

    GREEN = "green"
    TEE = "tee"
    FAIRWAY = "fairway"
    APPROACH = "approach"
    COLLAR = "collar"
    BUNKER = "bunker"
    ROUGH = "rough"
    NATIVE = "native"
    BANK = "bank"
    POND = "pond"
    PATH = "path"
    PRACTICE = "practice"
    NURSERY = "nursery"
    BUILDING = "building"
    OTHER = "other"


class NewCourse(Request):
    """A course to be added, by its name."""

    name: Name = Field(examples=["Lower course"])


class Course(Answer):
    """A course of the club."""

    id: UUID
    name: str
    version: int


class CourseChange(Request):
    """What may be changed about a course."""

    name: Name


class AreaFields(Value):
    """What is known about an area; the size is kept as typed and may be missing."""

    kind: AreaKind
    name: Name = Field(examples=["Green 7"])
    hole: int | None = Field(default=None, ge=1, le=36, description="The hole it belongs to, if any.")
    size: Quantity | None = Field(
        default=None,
        description="Measured surface, in any area unit. An area without a size is never read as zero.",
        examples=[{"value": "6200", "unit": "square_foot"}],
    )


class NewArea(AreaFields):
    """An area to be added to a course. Names are unique within a course."""


class AreaChange(AreaFields):
    """The area as it should be from now on (all fields, not only those that change)."""


class Area(AreaFields):
    """An area of a course, with its size also in square metres."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    course_id: UUID
    name: str
    size_m2: float | None
    perimeter_m: float | None = Field(
        default=None,
        description="Length of its outlines, holes included, where the area came from a map.",
    )
    version: int


class AreasAdded(Answer):
    """What an upload of areas added."""

    added: int
    areas: list[Area]
