"""Unplanned work: priced within minutes when something fails, and paid out of contingency."""

from datetime import date
from typing import Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.adjustments import Adjustment
from swardcost_model.catalog import ItemCode, PriceSource
from swardcost_model.estimates import DerivationStep, EstimateWarning, LinePart, MarkupLine
from swardcost_model.values import (
    Account,
    Amount,
    Answer,
    Day,
    Money,
    Name,
    Quantity,
    Request,
    Text,
    Timestamp,
    Value,
)


class UnplannedEntry(Value):
    """What it takes: so much of a catalog item, or an allowance for what the catalog does not have."""

    item: ItemCode | None = Field(default=None, description="Code of the item in the catalog.")
    quantity: Quantity | None = Field(
        default=None, description="How much of the item, in any unit that fits."
    )
    description: Name | None = Field(default=None, description="What an allowance is for.")
    amount: Money | None = Field(default=None, description="The allowance, all included.")

    @model_validator(mode="after")
    def _priced_or_allowed(self) -> Self:
        given = [one is not None for one in (self.item, self.quantity, self.description, self.amount)]
        if given not in ([True, True, False, False], [False, False, True, True]):
            raise PydanticCustomError(
                "item_or_allowance", "an item with its quantity, or a description with its amount"
            )
        return self


class NewUnplannedWork(Request):
    """Work that nobody could plan, to be priced and paid out of contingency."""

    name: Name = Field(examples=["Pump station repair"])
    what_happened: Text = Field(min_length=1, examples=["The main pump seized during the closure."])
    happened_on: Day = Field(description="Day from which it counts, and the first day of the work.")
    ends_on: Day | None = Field(default=None, description="Last day of the work; the first day if absent.")
    account: Account = Field(description="Ledger account of the budget line that it opens.")
    entries: list[UnplannedEntry] = Field(min_length=1, max_length=100)
    beyond_contingency: bool = Field(
        default=False,
        description="Whether to ask for new money where contingency does not reach; else it is refused then.",
    )

    @model_validator(mode="after")
    def _days_in_order(self) -> Self:
        if self.ends_on is not None and self.ends_on < self.happened_on:
            raise PydanticCustomError("dates_reversed", "ends_on on or after happened_on")
        if self.ends_on is not None and (self.ends_on - self.happened_on).days > 366:
            raise PydanticCustomError("dates_far_apart", "work of at most a year")
        return self


class UnplannedLine(Answer):
    """One line: quantity times unit price is the amount, to the cent."""

    number: int
    item: str | None = Field(description="Null for an allowance.")
    part: LinePart
    description: str
    vendor: str | None
    quantity: Amount
    unit: str
    unit_price: Money
    price_source: PriceSource | None
    amount: Money
    derivation: list[DerivationStep]


class UnplannedWork(Answer):
    """Unplanned work as it was priced, and the adjustment that pays for it."""

    id: UUID
    budget_id: UUID
    name: str
    what_happened: str
    happened_on: date
    ends_on: date
    account: Account
    edition: str
    lines: list[UnplannedLine]
    markups: list[MarkupLine] = Field(
        description="Tax, as in the budget's estimate, on what the catalog prices."
    )
    total: Money
    from_contingency: Money
    new_money: Money = Field(description="What contingency does not reach.")
    warnings: list[EstimateWarning]
    cautions: list[str]
    created_by: str
    created_at: Timestamp
    adjustment: Adjustment
