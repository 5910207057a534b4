"""The club's own methods of work: a built-in one with its parameters set, or so much for so much of what one counts."""

from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import ItemCode
from swardcost_model.methods import MeasureDescription
from swardcost_model.values import Answer, Name, Percent, Quantity, Text, Timestamp, UnitName, Value

_WORDS = r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$"

MethodName = Annotated[
    str,
    StringConstraints(pattern=_WORDS, min_length=3, max_length=60),
    Field(examples=["our_greens_dressing"]),
]
"""Name of a method: small letters, digits and single underscores."""
MeasureName = Annotated[
    str, StringConstraints(pattern=_WORDS, min_length=3, max_length=40), Field(examples=["wetting_agent"])
]
"""Name of a quantity that a method yields: small letters, digits and single underscores."""
Sentence = Annotated[Text, StringConstraints(min_length=1)]


class BaseMethod(Value):
    """A built-in method with some or all of its parameters set."""

    method: str = Field(max_length=60, description="Name of the built-in method.", examples=["topdressing"])
    presets: dict[str, Any] = Field(
        default_factory=dict,
        description="Parameters as described at `GET /v1/methods/{name}`; those not set here are given on the "
        "scope item. What is set must hold by itself and go together; null is refused.",
        examples=[{"bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}}],
    )
    presets_may_change: bool = Field(
        default=False, description="Whether a scope item may give a parameter that is set here."
    )


class Driver(Value):
    """What one counts or measures, and everything else follows from."""

    name: MeasureName = Field(examples=["irrigation_heads"])
    unit: UnitName = Field(
        description="With a unit of area it is the size of the scope item's areas. A length, volume, mass, time "
        "or count is stated on the scope item, in the parameter of this name.",
        examples=["head"],
    )


class Production(Value):
    """How fast the work goes and with how many people; gives `machine_time` and, with a crew, `crew_time`."""

    per_hour: Quantity = Field(
        description="So much of the driver is done in an hour.", examples=[{"value": "3", "unit": "head"}]
    )
    crew_size: int | None = Field(
        default=None, ge=1, le=500, description="People on the work as long as it runs.", examples=[2]
    )


class Rate(Value):
    """So much of one thing for so much of another."""

    amount: Quantity = Field(examples=[{"value": "2", "unit": "pound"}])
    per: Quantity = Field(examples=[{"value": "1", "unit": "thousand_square_feet"}])


class MethodLine(Value):
    """What the work takes: an item of the catalog, and how much of it."""

    name: MeasureName = Field(description="The quantity needed becomes a measure of this name.")
    item: ItemCode = Field(description="Code of the item in the catalog; looked up when a scope is priced.")
    driven_by: str | None = Field(
        default=None,
        max_length=60,
        description="Measure that says how much: the driver if absent, `machine_time` or `crew_time`; over a base, "
        "any of its measures.",
        examples=["crew_time"],
    )
    rate: Rate | None = Field(
        default=None, description="So much for so much of that measure; as much as it where absent."
    )
    minimum: Quantity | None = Field(
        default=None,
        description="The least that is needed, once for a scope item and before waste.",
        examples=[{"value": "5", "unit": "pound"}],
    )
    waste_percent: Percent = Field(default=Decimal(0), description="Added for waste when it is bought.")
    note: Text = ""


class ClubMethodFields(Value):
    """A way of working as the club has it: over a built-in method, or driven by what one counts or measures."""

    title: Name = Field(examples=["Dressing greens our way"])
    summary: Text = Field(default="", examples=["A light dressing with wetting agent, by two people."])
    base: BaseMethod | None = Field(default=None, description="Built-in method that it changes; or `driver`.")
    driver: Driver | None = Field(default=None, description="What it is counted or measured by; or `base`.")
    production: Production | None = Field(
        default=None, description="Only with a driver; a base has a pace among its own parameters."
    )
    lines: list[MethodLine] = Field(default_factory=list, max_length=100)
    cautions: list[Sentence] = Field(
        default_factory=list, max_length=20, description="The club's own, shown after those of the base."
    )
    sources: list[Sentence] = Field(
        default_factory=list, max_length=20, description="Where the rates come from, shown with every figure.",
        examples=[["Own records of 2023 to 2025"]],
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_way_of_saying_how_much(self) -> Self:
        if (self.base is None) == (self.driver is None):
            raise PydanticCustomError("base_or_driver", "exactly one of base and driver")
        if self.production is not None and self.driver is None:
            raise PydanticCustomError(
                "production_of_base", "no production beside a base; set the base's own parameters"
            )
        return self


class NewClubMethod(ClubMethodFields):
    """A method to be kept. Names are unique within the club and none of a built-in method's."""

    name: MethodName


class ClubMethodChange(ClubMethodFields):
    """The method as it should be from now on: the next revision. Scope items keep the one they were saved with."""


class ClubMethodSummary(Answer):
    """A club's method in a line."""

    name: str
    title: str
    summary: str
    revision: int


class ClubMethodRevision(ClubMethodFields):
    """A revision of a club's method, as it was kept, and what follows from it."""

    model_config = ConfigDict(extra="ignore")

    name: str
    revision: int
    created_at: Timestamp
    created_by: str
    needs_areas: bool
    parameters: dict[str, Any] = Field(description="What a scope item gives, as a JSON Schema.")
    measures: list[MeasureDescription]
    all_cautions: list[str] = Field(
        description="Cautions of the base and of the club, as estimates show them."
    )


class ClubMethod(ClubMethodRevision):
    """A club's method: its latest revision, whose number is also the version that an edit names."""

    version: int
