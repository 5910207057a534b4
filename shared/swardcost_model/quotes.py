"""Quotes: asked of several vendors on the same quantities, received, compared like with like, and chosen."""

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import ItemCode
from swardcost_model.estimates import DerivationStep
from swardcost_model.price_terms import RentalRates
from swardcost_model.values import (
    Amount,
    Answer,
    Currency,
    Day,
    Money,
    Name,
    NonNegative,
    Percent,
    Positive,
    Request,
    Text,
    Timestamp,
    UnitName,
    Value,
)


class RequestStatus(StrEnum):
    """Where a request stands. Quotes are taken while it is open; what was chosen stands until it is reopened."""

    OPEN = "open"
    CHOSEN = "chosen"
    WITHDRAWN = "withdrawn"


class NewQuoteRequest(Request):
    """A request to be sent to vendors: what, how much, and until when."""

    name: Name = Field(examples=["Sand for the autumn closure"])
    estimate_id: UUID = Field(description="Estimate whose lines say how much is needed.")
    items: list[ItemCode] = Field(
        default_factory=list,
        max_length=500,
        description="Items of it to ask for; all of them if none is named.",
    )
    vendor_ids: list[UUID] = Field(min_length=1, max_length=50, description="Vendors that are asked.")
    due_on: Day
    note: Text = ""


class AskedStay(Answer):
    """A machine's work for one scope item: its running hours, as early between the dates as they can be done."""

    scope_item_id: UUID
    hours: Amount
    starts_on: date = Field(description="First day of the scope item.")
    ends_on: date = Field(description="Last day of the scope item.")
    first_day: date = Field(description="First day at work.")
    last_day: date = Field(description="Last day at work.")
    working_days: int
    calendar_days: int = Field(description="From the first to the last day, both among them.")
    weeks: int = Field(description="Calendar weeks that those days begin.")


class AskedHire(Answer):
    """On which days a machine is needed, by which every vendor's rates are compared."""

    hours: Amount = Field(description="Running hours in all.")
    hours_a_day: Amount = Field(description="Most running hours on a working day.")
    works_weekends: bool
    machines: int = Field(description="How many are needed at once.")
    stays: list[AskedStay] = Field(min_length=1)


class AskedItem(Answer):
    """An item with the quantity that every vendor is asked for; of a rental, its days at work."""

    item: str
    description: str
    quantity: Amount
    unit: str
    hire: AskedHire | None = Field(default=None, description="Of a machine priced by rental terms, its days.")
    scope_item_ids: list[UUID] | None = Field(
        default=None, description="Scope items that need it; null in requests made before this was kept."
    )


class NotAsked(Answer):
    """Something of the estimate that vendors are not asked for."""

    item: str
    description: str
    why: str = Field(examples=["The estimate needs none of it."])


class QuoteRequestSummary(Answer):
    """A request in a line."""

    id: UUID
    number: int
    name: str
    project_id: UUID
    estimate_id: UUID
    status: RequestStatus
    due_on: date
    vendors: list[str]
    received: int
    created_at: Timestamp
    version: int


class QuoteRequest(QuoteRequestSummary):
    """A request with all that is asked for, and what became of it."""

    items: list[AskedItem]
    left_out: list[NotAsked] = Field(description="What of the estimate is not asked for, and why.")
    vendor_ids: list[UUID]
    note: str
    chosen: list["Award"]
    reason: str | None
    decided_by: str | None
    decided_at: Timestamp | None


class QuotedItem(Value):
    """What a vendor offers for an item: a unit price, a lump sum for all that is asked, rental rates, or nothing."""

    item: ItemCode
    unit: UnitName | None = Field(
        default=None,
        description="Unit that it is asked for by; needed where one item is asked for by several.",
    )
    unit_price: NonNegative | None = Field(
        default=None, description="For one of the unit that is asked for; not of a rental."
    )
    lump_sum: NonNegative | None = Field(default=None, description="For the whole quantity asked for.")
    rental: RentalRates | None = Field(
        default=None,
        description="Of a rental: its rates, of which the cheapest cover of the days asked for is taken.",
    )
    left_out: Text = Field(default="", description="Why the vendor offers nothing for it, in words.")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        offers = (self.unit_price, self.lump_sum, self.rental, self.left_out or None)
        if sum(one is not None for one in offers) != 1:
            raise PydanticCustomError("one_offer", "exactly one of unit_price, lump_sum, rental and left_out")
        return self


class QuoteFields(Request):
    """A vendor's quote as it was received. Items that it does not name count as left out."""

    vendor_id: UUID
    reference: Text = Field(default="", examples=["quotes/alder-creek-2026-07.pdf"])
    received_on: Day
    valid_until: Day | None = None
    currency: Currency = Field(examples=["USD"])
    exchange_rate: Positive | None = Field(
        default=None, description="One unit of its currency in the club's; needed where they differ."
    )
    rate_source: Name | None = None
    discount_percent: Percent = Field(
        default=Decimal(0),
        le=Decimal(100),
        description="On the prices of the items; of a rental on its rates by time, not on delivery, pick-up and fuel.",
    )
    fixed_charge: NonNegative = Field(
        default=Decimal(0), description="Delivery and mobilization, charged once whatever is bought."
    )
    lump_sum_holds_percent: Percent = Field(
        default=Decimal(10),
        description="By how many percent a quantity may leave the one asked for before its lump sum is in doubt.",
    )
    items: list[QuotedItem] = Field(min_length=1, max_length=500)
    note: Text = ""

    @model_validator(mode="after")
    def _each_item_once(self) -> Self:
        named = [(one.item, one.unit) for one in self.items]
        if len(set(named)) < len(named):
            raise PydanticCustomError("item_twice", "each item once")
        if self.valid_until and self.valid_until < self.received_on:
            raise PydanticCustomError("dates_reversed", "valid_until on or after received_on")
        return self


class NewQuote(QuoteFields):
    """A quote to be entered. A vendor has one for a request."""


class QuoteChange(QuoteFields):
    """The quote as it should be from now on."""


class Quote(QuoteFields):
    """A quote received."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    request_id: UUID
    vendor_name: str
    version: int


class LevelledItem(Answer):
    """An item in a vendor's column: what was quoted, or what the catalog says where it was left out."""

    item: str
    quantity: Amount
    unit: str
    unit_price: Money | None = Field(
        description="In the club's currency, after discount; null with a lump sum and where there is no price."
    )
    amount: Money | None = Field(description="Null where neither the vendor nor the catalog has a price.")
    from_catalog: bool = Field(description="That the vendor leaves it out.")
    words: str = Field(examples=["left out: priced from the catalog at 38.50 a short ton"])


class LevelledQuote(Answer):
    """A vendor's quote on the same footing as the others."""

    quote_id: UUID
    vendor: str
    quoted: Money = Field(description="What it quotes, after discount and with fixed charges.")
    added: Money = Field(description="What it leaves out, at the catalog's prices, as far as there are any.")
    levelled: Money | None = Field(description="Both together; null where something cannot be priced.")
    rank: int | None = Field(description="By levelled total; equal totals share one. Null without a total.")
    expired: bool = Field(description="That it no longer holds on the day of the comparison.")
    items: list[LevelledItem]
    notes: list[str]
    derivation: list[DerivationStep]


class Award(Value):
    """Items bought from the vendor of a quote."""

    quote_id: UUID
    items: list[ItemCode] = Field(
        default_factory=list, max_length=500, description="All that the quote offers if none is named."
    )


class SplitAward(Answer):
    """The cheapest way to buy from several of the vendors, of those whose quotes still hold.

    What any of these quotes offers is bought from a vendor; the catalog's price stands in only for what none of them
    offers.
    """

    total: Money
    saved: Money | None = Field(
        description="Against the best single vendor; null where no single one can be compared. Below zero where that "
        "vendor leaves something out and the catalog has a lower price for it than any quote."
    )
    items_by_vendor: dict[str, list[str]]
    from_catalog: list[str] = Field(
        description="Items that no quote that holds offers, counted at the catalog's prices."
    )
    words: str = Field(
        description="What of it is bought from vendors and what the catalog's price stands in for.",
        examples=["No quote that holds offers CREW; it counts at the catalog's price."],
    )


class QuoteComparison(Answer):
    """All quotes of a request on the same quantities, the cheapest first.

    Ranks are given to expired quotes too; what is recommended comes from those that still hold.
    """

    request_id: UUID
    as_of: date
    quotes: list[LevelledQuote]
    lowest_by_item: dict[str, str] = Field(
        description="Vendor with the lowest quoted amount, by item; items that nobody offers are not there."
    )
    best_single: str | None = Field(description="Vendor with the lowest levelled total.")
    spread: Money | None = Field(description="From the lowest to the highest levelled total.")
    best_split: SplitAward | None = Field(
        description="Null where some item has no price at all, and with more than eight quotes that hold."
    )
    warnings: list[str]


class QuoteChoice(Request):
    """Which quotes are taken, for which items, and why."""

    awards: list[Award] = Field(min_length=1, max_length=50)
    reason: Text = Field(
        min_length=1, examples=["Lowest on the same quantities; washed sand of the same grading."]
    )


class Withdrawal(Request):
    """Why a request or a choice is given up."""

    reason: Text = Field(min_length=1)
