"""How good an estimate is: its basis, its class, what a checklist finds, and where its prices come from."""

from datetime import date
from enum import StrEnum
from typing import Annotated, Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.catalog import PriceSource
from swardcost_model.price_terms import RentalTerms
from swardcost_model.values import Amount, Answer, Day, Money, Name, Text, Value

Statement = Annotated[Text, Field(min_length=1)]


class CheckId(StrEnum):
    """Questions of the checklist, in the order in which they are asked."""

    PURPOSE = "purpose"
    SCOPE = "scope"
    ASSUMPTIONS = "assumptions"
    EXCLUSIONS = "exclusions"
    SOURCES = "sources"
    CLASS = "class"
    ALL_MEASURED = "all_measured"
    ALL_PRICED = "all_priced"
    PRICES_CURRENT = "prices_current"
    PRICES_FIRM = "prices_firm"
    RANGES = "ranges"
    CONTINGENCY = "contingency"
    ESCALATION = "escalation"
    TAX = "tax"
    ACCOUNTS = "accounts"
    CHECKED = "checked"
    SITE_SEEN = "site_seen"
    UTILITIES_LOCATED = "utilities_located"
    PERMITS = "permits"
    COMPARED = "compared"


class Confirmation(Value):
    """What a person says about a question that figures alone cannot answer."""

    check: CheckId
    met: bool | None = Field(description="Yes, no, or null where it does not apply.")
    note: Text = Field(default="", examples=["Walked all greens with the irrigation technician."])


class BasisFields(Value):
    """The basis of an estimate: what it is for, what it rests on, who made it."""

    purpose: Text = Field(default="", examples=["Decision of the finance committee on the autumn closure."])
    scope_note: Text = Field(default="", description="What is in the scope, in words.")
    assumptions: list[Statement] = Field(default_factory=list, max_length=100)
    exclusions: list[Statement] = Field(default_factory=list, max_length=100)
    sources: list[Statement] = Field(
        default_factory=list,
        max_length=100,
        description="Drawings, measurements, quotes and reports it rests on.",
    )
    estimate_class: int | None = Field(
        default=None, ge=1, le=5, strict=True,
        description="Class by how far the scope is defined: 5 the least, 1 the most (practice for building and general "
        "construction).",
    )  # fmt: skip
    prepared_by: Name | None = None
    prepared_on: Day | None = None
    checked_by: Name | None = None
    checked_on: Day | None = None
    confirmations: list[Confirmation] = Field(default_factory=list, max_length=len(CheckId))

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        named = [one.check for one in self.confirmations]
        if len(set(named)) < len(named):
            raise PydanticCustomError("check_twice", "each check once")
        if self.checked_by is not None and self.checked_by == self.prepared_by:
            raise PydanticCustomError("checked_by_self", "a checker other than the preparer")
        if self.checked_on and self.prepared_on and self.checked_on < self.prepared_on:
            raise PydanticCustomError("dates_reversed", "checked_on on or after prepared_on")
        return self


class BasisChange(BasisFields):
    """The basis as it should be from now on; it can be changed while the estimate is a draft."""


class Basis(BasisFields):
    """The basis of an estimate; empty until somebody writes it."""

    model_config = ConfigDict(extra="ignore")

    estimate_id: UUID
    version: int


class CheckState(StrEnum):
    """What the checklist finds."""

    MET = "met"
    NOT_MET = "not_met"
    NOT_APPLICABLE = "not_applicable"
    OPEN = "open"


class Check(Answer):
    """A question of the checklist and what was found."""

    id: CheckId
    question: str
    state: CheckState
    found: str = Field(description="What the finding rests on, in words.")
    source: str = Field(description="The guide that asks for it.")


class AccuracyBand(Answer):
    """How far the final cost usually lies from an estimate of its class."""

    estimate_class: int
    low_percent: Amount
    high_percent: Amount
    low: Money
    high: Money
    source: str


class SourceShare(Answer):
    """Direct cost by where its prices come from."""

    price_source: PriceSource | None = Field(description="Null for items whose price has no stated source.")
    amount: Money
    percent: Amount


class DoubtfulPrice(Answer):
    """An item whose price is old, expired, or from a single vendor's quote."""

    item: str
    description: str
    vendor: str | None
    price_source: PriceSource | None
    priced_on: date | None
    amount: Money
    percent: Amount = Field(description="Of the direct cost.")
    why: str


class EstimateQuality(Answer):
    """What speaks for and against an estimate."""

    estimate_id: UUID
    basis: Basis
    band: AccuracyBand | None = Field(
        description="Null until the basis names a class and something is priced."
    )
    checks: list[Check]
    met: int
    of: int = Field(description="Checks that apply.")
    complete: bool = Field(description="Whether every check that applies is met.")
    price_sources: list[SourceShare]
    stale: list[DoubtfulPrice]
    single_source: list[DoubtfulPrice]
    choices: list["ChoiceOnEstimate"] = Field(description="Offers that were chosen, and why.")


class ChoiceOnEstimate(Answer):
    """An offer chosen for an item, as it was when the estimate was priced."""

    item: str
    vendor: str
    unit_price: Money | None
    lump_sum: Money | None
    rental: RentalTerms | None = Field(description="Of a rental, its rates in the currency of the estimate.")
    offers_compared: int
    reason: str
    chosen_by: str
    chosen_on: date
    quote_request: str
