"""What of an estimate is uncertain: ranges of its figures, events that may happen, and scenarios to look at."""

from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import (
    Amount,
    Answer,
    Code,
    Name,
    NonNegative,
    Percent,
    Positive,
    Request,
    Text,
    UnitName,
    Value,
)


class ThreePoints(Value):
    """A range by its least, likely and greatest figure: with straight sides, or weighing the likely one more."""

    shape: Literal["triangular", "pert"]
    low: NonNegative = Field(examples=["95"])
    likely: NonNegative = Field(examples=["100"])
    high: NonNegative = Field(examples=["125"])

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.likely <= self.high:
            raise PydanticCustomError("not_in_order", "low, likely and high in ascending order")
        return self


class EvenRange(Value):
    """A range within which every figure is alike."""

    shape: Literal["uniform"]
    low: NonNegative
    high: NonNegative

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.low > self.high:
            raise PydanticCustomError("not_in_order", "low and high in ascending order")
        return self


class SkewedRange(Value):
    """A figure without an upper end whose logarithm is normal, by the figures that nine and one in ten exceed."""

    shape: Literal["lognormal"]
    p10: Positive = Field(description="Nine times in ten it is more than this.")
    p90: Positive = Field(description="One time in ten it is more than this.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.p10 > self.p90:
            raise PydanticCustomError("not_in_order", "p10 and p90 in ascending order")
        return self


class SpreadRange(Value):
    """The same kind of figure by its median and its spread: two in three lie between median / spread and median x
    spread."""

    shape: Literal["lognormal_by_spread"]
    median: Positive = Field(examples=["105"])
    spread: Positive = Field(
        ge=Decimal(1),
        le=Decimal(10),
        description="Geometric standard deviation; 1 is none.",
        examples=["1.2"],
    )


class HistoryRange(Value):
    """How it turned out before; between two neighbouring figures every one is alike, none lies beyond them."""

    shape: Literal["history"]
    figures: list[NonNegative] = Field(
        min_length=2,
        max_length=1000,
        description="What it was each time, in the unit of the range; with percent, actual in percent of estimated.",
    )


StatedRange = Annotated[
    ThreePoints | EvenRange | SkewedRange | SpreadRange | HistoryRange,
    Field(discriminator="shape"),
]


class UncertainKind(StrEnum):
    """Which figure of the estimate a range is on."""

    PRICE = "price"
    QUANTITY = "quantity"
    PRODUCTION = "production"
    DURATION = "duration"


class Load(Value):
    """How much a figure follows a common cause: 1 or -1 wholly, 0 not at all."""

    cause: Name = Field(examples=["Fuel price"])
    load: Amount = Field(ge=Decimal(-1), le=Decimal(1), examples=["0.7"])


class UncertainFigure(Value):
    """A figure of the estimate with its range.

    `price` is that of the named items (breaks and rental rates move with it); `quantity` is what the named scope items
    need, of all their items or of the named ones; `production` is how fast the named scope items go, which divides
    the hours they need of what is counted or hired by the hour; `duration` is how long their tasks take.
    """

    name: Name = Field(examples=["Price of sand"])
    kind: UncertainKind
    items: list[Code] = Field(
        default_factory=list, max_length=500,
        description="Codes of items: for a price those that have it, for a quantity those it is limited to.",
    )  # fmt: skip
    scope_item_ids: list[UUID] = Field(
        default_factory=list,
        max_length=500,
        description="Scope items; not for a price, which is one for all.",
    )
    range: StatedRange
    stated_in: UnitName = Field(
        default="percent",
        description="`percent` of what was estimated; or, for the price of one item, `price`: money per its unit; or, "
        "for the quantity of one item in one scope item, a unit: how much is needed before waste.",
    )
    causes: list[Load] = Field(
        default_factory=list,
        max_length=20,
        description="Common causes. Figures that follow the same one turn out together; their ranges are as stated.",
    )
    note: Text = Field(default="", description="Where the range comes from.")

    @model_validator(mode="after")
    def _on_something(self) -> Self:
        by_item = self.kind is UncertainKind.PRICE
        if by_item and (not self.items or self.scope_item_ids):
            raise PydanticCustomError("on_nothing", "the items that have the price, and no scope items")
        if not by_item and not self.scope_item_ids:
            raise PydanticCustomError("on_nothing", "the scope items whose figure it is")
        if self.items and self.kind in (UncertainKind.PRODUCTION, UncertainKind.DURATION):
            raise PydanticCustomError("items_named", "no items, since the pace is that of the whole work")
        for name, values in (("items", self.items), ("scope_item_ids", self.scope_item_ids)):
            if len(set(values)) < len(values):
                raise PydanticCustomError("named_twice", "each of {name} once", {"name": name})
        causes = [one.cause for one in self.causes]
        if len(set(causes)) < len(causes):
            raise PydanticCustomError("named_twice", "each of {name} once", {"name": "causes"})
        if sum(one.load * one.load for one in self.causes) > 1:
            raise PydanticCustomError("loads_too_large", "loads whose squares sum to at most 1")
        return self


class UncertainEvent(Value):
    """Something that happens or not, such as rain that stops the work, with what it costs and delays if it does."""

    name: Name = Field(examples=["Pump fails in the first week"])
    probability_percent: Percent = Field(le=Decimal(100), examples=["15"])
    cost: StatedRange = Field(
        description="What it costs, in the currency of the estimate; added as it is, without markups."
    )
    delay_days: StatedRange | None = Field(
        default=None,
        description="Working days by which the reopening moves, rounded up to whole ones; null for none.",
    )
    causes: list[Load] = Field(default_factory=list, max_length=20)
    note: Text = ""

    @model_validator(mode="after")
    def _loads_hold(self) -> Self:
        causes = [one.cause for one in self.causes]
        if len(set(causes)) < len(causes):
            raise PydanticCustomError("named_twice", "each of {name} once", {"name": "causes"})
        if sum(one.load * one.load for one in self.causes) > 1:
            raise PydanticCustomError("loads_too_large", "loads whose squares sum to at most 1")
        return self


class Setting(Value):
    """What an uncertain figure is in a scenario; it may lie beyond its range."""

    figure: Name
    percent: Percent = Field(description="In percent of what was estimated.", examples=["130"])


class Scenario(Value):
    """Several figures set at once, and events that happen, such as a dry year or half the crew."""

    name: Name = Field(examples=["Diesel up by three tenths"])
    settings: list[Setting] = Field(default_factory=list, max_length=200)
    events: list[Name] = Field(
        default_factory=list, max_length=50, description="Events that happen, at their likely cost and delay."
    )
    note: Text = ""

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        names = [one.figure for one in self.settings]
        if len(set(names)) < len(names) or len(set(self.events)) < len(self.events):
            raise PydanticCustomError("named_twice", "each figure and each event once")
        if not names and not self.events:
            raise PydanticCustomError("on_nothing", "at least one figure or event")
        return self


class UncertaintyFields(Request):
    """The uncertainty of an estimate. What is not named here is taken as it was estimated."""

    figures: list[UncertainFigure] = Field(default_factory=list, max_length=200)
    events: list[UncertainEvent] = Field(default_factory=list, max_length=50)
    scenarios: list[Scenario] = Field(default_factory=list, max_length=50)

    @model_validator(mode="after")
    def _each_name_once(self) -> Self:
        named = [one.name for one in self.figures] + [one.name for one in self.events]
        if len(set(named)) < len(named):
            raise PydanticCustomError("named_twice", "each figure and event with a name of its own")
        scenarios = [one.name for one in self.scenarios]
        if len(set(scenarios)) < len(scenarios):
            raise PydanticCustomError("named_twice", "each scenario with a name of its own")
        return self


class UncertaintyChange(UncertaintyFields):
    """The uncertainty as it should be from now on; simulations that were run stay as they are."""

    figures: list[UncertainFigure] = Field(max_length=200)


class Uncertainty(UncertaintyFields):
    """What is uncertain of an estimate; empty until somebody says."""

    model_config = ConfigDict(extra="ignore")

    estimate_id: UUID
    version: int


class UncertaintyProposal(Answer):
    """Ranges that the edition's own prices speak for. Nothing is kept until it is sent as the uncertainty."""

    figures: list[UncertainFigure]
    without_range: list[Code] = Field(
        description="Items whose price has no lowest and highest; they stay as estimated until somebody says otherwise."
    )
