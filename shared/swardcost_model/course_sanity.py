"""How the sizes of a course compare with what courses usually have."""

from enum import StrEnum
from uuid import UUID

from pydantic import Field

from swardcost_model.course import AreaKind
from swardcost_model.values import Answer


class UsualRange(Answer):
    """The least and the most that is usual."""

    least_m2: float
    most_m2: float
    shown: str = Field(examples=["2.5 acre to 3.5 acre"])
    source: str


class KindTotal(Answer):
    """All areas of one kind together."""

    kind: AreaKind
    areas: int
    without_size: int
    size_m2: float = Field(description="Of those with a size.")
    shown: str
    usual: UsualRange | None = Field(description="For a course of so many holes; absent where none is known.")


class DoubtKind(StrEnum):
    """What is doubtful about a course."""

    TOTAL_UNUSUAL = "total_unusual"
    SIZE_UNUSUAL = "size_unusual"
    SIZE_MISSING = "size_missing"
    SIZE_DIFFERS_FROM_MAP = "size_differs_from_map"
    TWICE_ON_A_HOLE = "twice_on_a_hole"


class Doubt(Answer):
    """One thing to look at again: the areas, what was found, and what is usual."""

    doubt: DoubtKind
    kind: AreaKind
    message: str
    area_ids: list[UUID] = Field(description="None where it is about all areas of the kind.")
    found_m2: float | None
    found: str | None
    usual: UsualRange | None


class CourseSanity(Answer):
    """A course against what is usual. It doubts and never refuses: an odd course may be right."""

    course_id: UUID
    holes: int
    holes_from: str = Field(description="Where the number of holes comes from.")
    totals: list[KindTotal]
    doubts: list[Doubt]
