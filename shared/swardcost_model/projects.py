"""Projects and their scope: which work is done where, how, and with what."""

from datetime import date
from decimal import Decimal
from typing import Any, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import ItemCode
from swardcost_model.values import Answer, Day, Name, Percent, Quantity, Request, Text, Value


class ProjectFields(Request):
    """What is known about a project: its name and when the work is done."""

    name: Name = Field(examples=["Autumn closure, lower course"])
    starts_on: Day
    ends_on: Day
    note: Text = ""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.ends_on < self.starts_on:
            raise PydanticCustomError("dates_reversed", "ends_on on or after starts_on")
        if (self.ends_on - self.starts_on).days > 3660:
            raise PydanticCustomError("dates_far_apart", "a project of at most ten years")
        return self


class NewProject(ProjectFields):
    """A project to be opened. Names are unique within the club."""


class ProjectChange(ProjectFields):
    """The project as it should be from now on."""


class Project(Answer):
    """A project: a programme of work that is priced, approved and followed as one."""

    id: UUID
    name: str
    starts_on: date
    ends_on: date
    note: str
    version: int


class Resource(Value):
    """What is bought or used for a scope item: a catalog item, driven by a measure or by a stated quantity."""

    item: ItemCode = Field(description="Code of the item in the catalog.", examples=["SAND-TD"])
    measure: str | None = Field(
        default=None,
        max_length=60,
        description="Measure of the method that says how much.",
        examples=["sand_mass"],
    )
    quantity: Quantity | None = Field(default=None, description="How much, where no measure says so.")
    waste_percent: Percent = Field(
        default=Decimal(0),
        description="Added for waste, on top of any waste or allowance among the method's parameters.",
    )
    visit: Name = Field(
        default="1",
        description="Which visit of the vendor it belongs to: mobilization is charged once a visit, and shared over "
        "everything in the project that names the same vendor and visit.",
    )
    weekend_percent: Percent = Field(
        default=Decimal(0), le=Decimal(100),
        description="How much of it is delivered or done at the weekend, for surcharges on that.",
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_driver(self) -> Self:
        if (self.measure is None) == (self.quantity is None):
            raise PydanticCustomError("one_driver", "either a measure or a quantity, not both")
        return self


class ScopeItemFields(Request):
    """Work to be done: a method on areas with its parameters, and what it takes."""

    name: Name = Field(examples=["Core greens, first pass"])
    method: str = Field(
        max_length=60,
        description="A built-in method, or one of the club's own, which is used in its latest revision.",
        examples=["hollow_tine_aeration"],
    )
    parameters: dict[str, Any] = Field(
        description="Parameters of the method, as described at `GET /v1/methods/{name}` or, for the club's own, at "
        "`GET /v1/clubs/{club_id}/methods/{name}`.",
    )
    area_ids: list[UUID] = Field(default_factory=list, max_length=2000)
    resources: list[Resource] = Field(
        default_factory=list,
        max_length=100,
        description="What it takes. With a method of the club's own this may be left empty: then the method's lines "
        "are what it takes; resources given here replace them.",
    )
    starts_on: Day | None = Field(
        default=None,
        description="First day of this work, for rental days, escalation and months; null for the project's. A "
        "schedule can set both days.",
    )
    ends_on: Day | None = Field(default=None, description="Its last day; null for the project's.")
    group: Name | None = Field(
        default=None, description="Heading under which an estimate gathers it.", examples=["Greens"]
    )
    note: Text = ""

    @model_validator(mode="after")
    def _days_in_order(self) -> Self:
        if self.starts_on and self.ends_on and self.ends_on < self.starts_on:
            raise PydanticCustomError("dates_reversed", "ends_on on or after starts_on")
        if self.starts_on and self.ends_on and (self.ends_on - self.starts_on).days > 3660:
            raise PydanticCustomError("dates_far_apart", "work of at most ten years")
        return self


class NewScopeItem(ScopeItemFields):
    """A scope item to be added at the end of a project's scope."""


class ScopeItemChange(ScopeItemFields):
    """The scope item as it should be from now on. Estimates already made stay as they are."""


class ScopeItem(Answer):
    """A scope item."""

    id: UUID
    project_id: UUID
    number: int
    name: str
    method: str
    method_revision: int | None = Field(
        description="Revision of the club's own method that it was saved with; null over a built-in method."
    )
    parameters: dict[str, Any]
    area_ids: list[UUID]
    resources: list[Resource]
    starts_on: date | None
    ends_on: date | None
    group: str | None
    note: str
    version: int
