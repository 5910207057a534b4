"""Assets: what the course and its works are made of, how long each part lasts, and what another one costs."""

from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.figures import DerivationStep
from swardcost_model.values import (
    Amount,
    Answer,
    Code,
    Day,
    Money,
    Name,
    NonNegative,
    Percent,
    Positive,
    Quantity,
    Request,
    Text,
    UnitName,
    Value,
)

MOST_YEARS = 200
"""No part of a course is expected to last longer."""
CalendarYear = Annotated[int, Field(ge=1800, le=2299, strict=True)]


class AssetKind(StrEnum):
    """What an asset is, which gives it a starting life."""

    GREEN = "green"
    TEE = "tee"
    RANGE_TEE = "range_tee"
    FAIRWAY = "fairway"
    BUNKER_SAND = "bunker_sand"
    BUNKER_DRAIN = "bunker_drain"
    IRRIGATION = "irrigation"
    IRRIGATION_CONTROL = "irrigation_control"
    PRESSURE_PIPE = "pressure_pipe"
    PUMP_STATION = "pump_station"
    ASPHALT_PATH = "asphalt_path"
    CONCRETE_PATH = "concrete_path"
    METAL_PIPE = "metal_pipe"
    MULCH = "mulch"
    BRIDGE = "bridge"
    WALL = "wall"
    POND = "pond"
    MACHINE = "machine"
    BUILDING = "building"
    OTHER = "other"


class Life(Value):
    """How many years an asset lasts: the least, the likely, the most."""

    low: Positive = Field(le=Decimal(MOST_YEARS), examples=["15"])
    likely: Positive = Field(le=Decimal(MOST_YEARS), examples=["20"])
    high: Positive = Field(le=Decimal(MOST_YEARS), examples=["30"])

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.likely <= self.high:
            raise PydanticCustomError("not_in_order", "low, likely and high in ascending order")
        return self


class Condition(Value):
    """What somebody found an asset to be like on a day: 5 as new, 4 good, 3 fair, 2 poor, 1 at its end."""

    grade: int = Field(ge=1, le=5, strict=True)
    on: Day
    by: Text = ""
    years_left: NonNegative | None = Field(
        default=None,
        le=Decimal(MOST_YEARS),
        description="How many years more whoever looked expects of it from that day; it then takes the place of what "
        "its age and life say.",
    )
    note: Text = ""


class StatedCost(Value):
    """A replacement cost as somebody knows it."""

    by: Literal["stated"]
    cost: Money


class RateCost(Value):
    """A replacement cost by a rate on the asset's size."""

    by: Literal["rate"]
    rate: Money = Field(description="For one `per`.")
    per: UnitName = Field(
        examples=["square_foot"], description="A unit that fits the size of the asset, or its areas."
    )


class EstimateCost(Value):
    """A replacement cost by an estimate's total."""

    by: Literal["estimate"]
    estimate_id: UUID


ReplacementCost = Annotated[StatedCost | RateCost | EstimateCost, Field(discriminator="by")]


class BookValue(Value):
    """What an asset is in the accounts, for straight-line depreciation."""

    cost: Money
    in_service_on: Day
    life_years: int = Field(ge=1, le=100, strict=True)
    salvage: Money | None = Field(
        default=None, description="What it is worth at the end of that life; null for nothing."
    )

    @model_validator(mode="after")
    def _worth_less(self) -> Self:
        if self.salvage is not None and (
            self.salvage.currency != self.cost.currency or not 0 <= self.salvage.amount <= self.cost.amount
        ):
            raise PydanticCustomError("salvage", "a salvage value in the same currency, at most the cost")
        return self


class AssetFields(Request):
    """A part of the course or its works."""

    code: Code = Field(examples=["PUMP-1"], description="The club's own, once in the club.")
    name: Name = Field(examples=["Pump station at the fourth pond"])
    kind: AssetKind
    in_use_since: CalendarYear | None = Field(
        default=None, description="Year in which it was built or last replaced; null where nobody knows."
    )
    life: Life | None = Field(
        default=None,
        description="Null for the starting life of its kind, where there is one (`/v1/asset-lives`).",
    )
    condition: Condition | None = None
    area_ids: list[UUID] = Field(
        default_factory=list, max_length=2000, description="Areas of the course that it is, or lies on."
    )
    size: Quantity | None = Field(
        default=None, description="More than zero; null for the size of its areas together."
    )
    replacement: ReplacementCost | None = Field(
        default=None, description="Null where nobody knows, which is not nothing."
    )
    cost_range: tuple[Percent, Percent] | None = Field(
        default=None,
        description="Least and greatest cost in percent of the replacement cost.",
        examples=[["90", "135"]],
    )
    growth_group: Name | None = Field(
        default=None,
        description="Group whose costs rise alike; null for the plan's general rate.",
        examples=["Pipe and pumps"],
    )
    replaced: bool = Field(
        default=True, description="False for what is not replaced when its life has ended."
    )
    book: BookValue | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if len(set(self.area_ids)) < len(self.area_ids):
            raise PydanticCustomError("area_twice", "each area once")
        if self.cost_range is not None and not self.cost_range[0] <= Decimal(100) <= self.cost_range[1]:
            raise PydanticCustomError("cost_range", "a range about 100 percent, the least first")
        return self


class NewAsset(AssetFields):
    """An asset to be entered."""


class AssetChange(AssetFields):
    """The asset as it should be from now on. Plans already issued stay as they are."""


class LifeBasis(StrEnum):
    """What the year in which an asset is due rests on."""

    OWN_LIFE = "own_life"
    STARTING_LIFE = "starting_life"
    JUDGEMENT = "judgement"


class AssetFigures(Answer):
    """An asset in figures at the end of a year; null where something is not known."""

    year: int
    age: int | None = Field(description="Years in use at the end of that year.")
    life: Life | None
    life_basis: LifeBasis | None
    due_in: int | None = Field(description="Year in which it is due by its likely life, or by judgement.")
    due_early: int | None = Field(description="By its shortest life.")
    due_late: int | None = Field(description="By its longest life.")
    years_left: Amount | None = Field(description="Until its likely end; zero where that has passed.")
    size: Quantity | None = Field(
        description="As stated, else of its areas together; in the unit of its rate where it has one, so that size x "
        "rate, rounded to the minor unit, is the replacement cost."
    )
    estimate: str | None = Field(description="The estimate that its cost is by: number, name and revision.")
    replacement_cost: Money | None = Field(
        description="At the prices that it was stated in; null where an estimate that it is by is incomplete."
    )
    fully_funded: Money | None = Field(
        description="What a reserve would hold for it: replacement cost x age used / life."
    )
    missing: list[str] = Field(description="What is not known, so that it counts in no sum.")
    derivation: list[DerivationStep]


class Asset(AssetFields):
    """An asset of the club."""

    id: UUID
    version: int


class StartingLife(Answer):
    """The starting life of a kind of asset, from a published chart."""

    kind: AssetKind
    words: str
    life: Life | None = Field(description="Null where the chart does not give one.")
    source: str


class StartingLives(Answer):
    """The starting lives of all kinds."""

    items: list[StartingLife]


class AssetUpload(Answer):
    """What an upload of assets did."""

    rows: int
    added: int
    changed: int
    unchanged: int


class ListedAsset(Answer):
    """An asset with the names of its areas, as a file says them."""

    asset: Asset
    areas: list[str]


class AssetList(Answer):
    """All assets at once."""

    items: list[ListedAsset]


class AssetRegister(Answer):
    """The assets of a club with their figures at the end of a year, and their sums."""

    year: int
    items: list["RegisteredAsset"]
    replacement_cost: Money
    fully_funded: Money
    missing: int = Field(
        description="Assets that are not in every sum because something of them is not known."
    )


class RegisteredAsset(Answer):
    """An asset with its figures."""

    asset: Asset
    areas: list[str] = Field(description="Its areas by name.")
    figures: AssetFigures
