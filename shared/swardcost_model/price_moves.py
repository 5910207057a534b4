"""How prices move from edition to edition: comparing two, carrying one forward, the history of an item."""

from datetime import date
from enum import StrEnum
from typing import Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import Edition, ItemCode, ItemKind, PriceSource
from swardcost_model.values import Amount, Answer, Money, Request


class MoveKind(StrEnum):
    """What is different about an item."""

    ADDED = "added"
    GONE = "gone"
    PRICE = "price"
    UNIT = "unit"
    CURRENCY = "currency"
    TERMS = "terms"


class TermMove(Answer):
    """A rate or another figure of an item's terms that is not the same in two editions."""

    name: str = Field(examples=["week", "week, hour over", "delivery", "breaks, from 100"])
    is_money: bool = Field(
        description="Whether it is money in the item's currency; else a quantity, hours, days or a percentage."
    )
    before: Amount | None = Field(description="Null where the terms did not have it.")
    after: Amount | None = Field(description="Null where the terms have it no more.")
    percent: Amount | None = Field(description="Of the money before; null where there is none or it is zero.")


class ItemMove(Answer):
    """An item that is not the same in two editions."""

    code: str
    description: str
    what: MoveKind = Field(
        description="`unit` and `currency` say that the prices cannot be compared; `terms` that the unit price is the "
        "same and its breaks, charges or build-up are not."
    )
    unit_before: str | None
    unit_after: str | None
    before: Money | None
    after: Money | None
    change: Money | None
    percent: Amount | None = Field(description="Of the price before; null where there is none or it is zero.")
    terms_moved: list[TermMove] = Field(
        description="The figures of its breaks, charges, rental rates or build-up that moved, where unit and currency "
        "are the same."
    )


class EditionComparison(Answer):
    """Two editions of the catalog, item by item."""

    before: Edition
    after: Edition
    added: int
    gone: int
    moved: int
    unchanged: int
    moves: list[ItemMove] = Field(description="Every item that differs, by code.")


class LineExposure(Answer):
    """What another edition would change in an estimate, for one item."""

    code: str
    description: str
    what: MoveKind
    before: Money | None
    after: Money | None
    percent: Amount | None
    terms_moved: list[TermMove]
    amount: Money = Field(description="What the estimate pays for the item, delivery and the like included.")
    share_percent: Amount = Field(description="Of the estimate's direct cost.")


class EditionExposure(Answer):
    """How much of an estimate rests on prices that are different in another edition."""

    estimate_id: UUID
    before: Edition
    after: Edition
    affected: Money
    affected_percent: Amount
    direct: Money
    items: list[LineExposure] = Field(description="The most costly first.")


class CarryForward(Request):
    """Prices of a published edition to be taken into a draft, moved by a percentage or an index."""

    from_edition_id: UUID
    percent: Amount | None = Field(default=None, description="Rise in percent; a fall is negative.")
    index_series_id: UUID | None = Field(
        default=None,
        description="Index to follow, from the month of the one price date to that of the other.",
    )
    kinds: list[ItemKind] = Field(
        default_factory=list,
        max_length=len(ItemKind),
        description="Only items of these kinds; all if none is named.",
    )
    codes: list[ItemCode] = Field(
        default_factory=list, max_length=5000, description="Only these items; all if none is named."
    )
    replace: bool = Field(
        default=False,
        description="Whether items that the draft has already are replaced; else they are left alone.",
    )

    @model_validator(mode="after")
    def _one_rate(self) -> Self:
        if (self.percent is None) == (self.index_series_id is None):
            raise PydanticCustomError("one_rate", "either a percent or an index_series_id")
        if self.percent is not None and not -100 < self.percent <= 1000:
            raise PydanticCustomError("percent_range", "a percent above -100 and at most 1000")
        return self


class StaleWageBase(Answer):
    """A build-up of labor that was carried with the wage bases of another year than the draft's."""

    item: str
    year: int = Field(description="Year of the wage bases that it counts with, as before.")
    message: str


class CarriedForward(Answer):
    """What carrying forward did to the draft."""

    edition: Edition
    from_edition: str
    percent: Amount
    percent_words: str
    added: int
    replaced: int
    left_alone: int
    without_price: int = Field(description="Items that had no price and have none now.")
    stale_wage_bases: list[StaleWageBase] = Field(
        description="Wage bases are set by law, so they are not moved: these are to be looked up for the draft's year."
    )


class PricePoint(Answer):
    """The price of an item in an edition."""

    edition_id: UUID
    edition: str
    price_date: date
    unit: str
    unit_price: Money | None
    low_price: Money | None
    high_price: Money | None
    vendor: str | None
    price_source: PriceSource | None
    percent: Amount | None = Field(
        description="Change from the price before, where unit and currency are the same."
    )


class PriceHistory(Answer):
    """The price of an item through the published editions, the oldest first."""

    code: str
    description: str
    prices: list[PricePoint]
