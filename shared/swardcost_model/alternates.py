"""Alternates: options of a project's scope, and what each of them changes in an estimate."""

from enum import StrEnum
from typing import Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import Answer, Money, Name, Request, Text

MOST_ALTERNATES = 50
"""A project has so many alternates at most, because every estimate is priced once more for each of them."""


class AlternateKind(StrEnum):
    """What taking an alternate does to the scope."""

    ADD = "add"
    DEDUCT = "deduct"
    SUBSTITUTE = "substitute"


class AlternateFields(Request):
    """An option of the scope: what taking it brings in and leaves out, and how it depends on others."""

    name: Name = Field(examples=["Contractor slices the greens"])
    brings: list[UUID] = Field(
        default_factory=list, max_length=500,
        description="Scope items that are in the scope only where an alternate that brings them is taken; all others "
        "are its base.",
    )  # fmt: skip
    leaves_out: list[UUID] = Field(
        default_factory=list, max_length=500,
        description="Scope items that are not in the scope where it is taken: of the base, or brought by an alternate "
        "that it needs.",
    )  # fmt: skip
    needs: list[UUID] = Field(
        default_factory=list, max_length=MOST_ALTERNATES,
        description="Alternates of the same project without which it makes no sense; it is taken with them or not at "
        "all.",
    )  # fmt: skip
    choose_one: Name | None = Field(
        default=None,
        description="Group of which at most one is taken; null where it excludes no other.",
        examples=["Greens"],
    )
    note: Text = ""

    @model_validator(mode="after")
    def _changes_something(self) -> Self:
        if not self.brings and not self.leaves_out:
            raise PydanticCustomError(
                "changes_nothing", "at least one scope item that it brings or leaves out"
            )
        return self


class NewAlternate(AlternateFields):
    """An alternate to be added to a project."""


class AlternateChange(AlternateFields):
    """The alternate as it should be from now on. Estimates already made stay as they are."""


class Alternate(Answer):
    """An alternate of a project."""

    id: UUID
    project_id: UUID
    number: int
    name: str
    kind: AlternateKind = Field(
        description="`add` brings scope items only, `deduct` leaves out only, `substitute` does both."
    )
    brings: list[UUID]
    leaves_out: list[UUID]
    needs: list[UUID]
    choose_one: str | None
    note: str
    version: int


class AlternateMove(Answer):
    """Another alternate that is taken or given up along with one."""

    alternate_id: UUID
    number: int
    name: str
    moves: Literal["in", "out"] = Field(description="Whether it comes to be taken, or is taken no more.")


class PricedAlternate(Answer):
    """What an alternate changes in an estimate, by the whole arithmetic: loads, breaks, mobilization and markups.

    Each is priced on its own against the estimate as it stands, so differences of several do not add up.
    """

    alternate_id: UUID
    number: int
    name: str
    kind: AlternateKind
    choose_one: str | None
    taken: bool = Field(
        description="Whether this estimate takes it; its total then holds the difference already."
    )
    moves_with: list[AlternateMove] = Field(
        description="What else changes where this one is taken or given up: what it needs is taken with it, the one of "
        "its group that was taken goes out, and what needs it is given up with it."
    )
    complete: bool = Field(
        description="Whether the difference is whole: false where something that differs has no price, no size or no "
        "rate."
    )
    difference: Money = Field(
        description="Total with it less total without it, everything else of this estimate as it is. Differences are "
        "not additive: whole loads, price breaks and shared mobilization depend on what else is bought."
    )
    cash_difference: Money = Field(description="The same of the cash total.")
    direct_difference: Money = Field(description="The same of the direct cost, before markups.")
    total_otherwise: Money = Field(
        description="The total if it were decided the other way: given up where it is taken, taken where it is not."
    )
