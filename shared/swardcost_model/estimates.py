"""Estimates: a scope priced with an edition of the catalog, every figure with its derivation."""

from datetime import date
from enum import StrEnum
from typing import Literal, Self
from uuid import UUID

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.alternates import MOST_ALTERNATES, PricedAlternate
from swardcost_model.catalog import PriceSource
from swardcost_model.figures import DerivationStep as DerivationStep
from swardcost_model.figures import Figure as Figure
from swardcost_model.values import (
    Account,
    Amount,
    Answer,
    Day,
    Money,
    Name,
    Percent,
    Request,
    Text,
    Timestamp,
    Value,
)


class EstimateStatus(StrEnum):
    """Where an estimate stands. Only an issued one can be accepted or declined."""

    DRAFT = "draft"
    ISSUED = "issued"
    ACCEPTED = "accepted"
    DECLINED = "declined"


class MarkupKind(StrEnum):
    """Markups in the order in which they apply."""

    TAX = "tax"
    OVERHEAD = "overhead"
    ESCALATION = "escalation"
    CONTINGENCY = "contingency"


class Markup(Value):
    """A markup: its rate, and the account it is budgeted under (or spread over the accounts it rests on)."""

    kind: MarkupKind
    percent: Percent | None = Field(
        default=None,
        description="Rate in percent; for escalation, a year. Null where a place's tax rates or an index say it.",
    )
    place: Name | None = Field(
        default=None,
        description="Tax only: the place whose rates, by class of things, and exemption certificates apply.",
        examples=["Harrow County"],
    )
    index_series_id: UUID | None = Field(
        default=None, description="Escalation only: the price index that prices are taken to follow."
    )
    compounding: Literal["yearly", "simple"] = Field(
        default="yearly",
        description="Escalation by a percentage only: compounded yearly, or simple interest.",
    )
    account: Account | None = None

    @model_validator(mode="after")
    def _one_rate(self) -> Self:
        given = [self.percent is not None, self.place is not None, self.index_series_id is not None]
        ways = {MarkupKind.TAX: "percent or place", MarkupKind.ESCALATION: "percent or index_series_id"}
        allowed = [True, self.kind is MarkupKind.TAX, self.kind is MarkupKind.ESCALATION]
        if sum(given) != 1 or any(one and not may for one, may in zip(given, allowed, strict=True)):
            expected = ways.get(self.kind, "percent")
            raise PydanticCustomError(
                "one_rate",
                "exactly one rate for {kind}: {expected}",
                {"kind": self.kind.value, "expected": expected},
            )
        return self


class PricingTerms(Request):
    """What a scope is priced by: the edition and the markups."""

    edition_id: UUID
    markups: list[Markup] = Field(default_factory=list, max_length=4)
    as_of: Day | None = Field(
        default=None, description="Date at which prices are judged stale; today if absent."
    )

    @model_validator(mode="after")
    def _each_markup_once(self) -> Self:
        kinds = [markup.kind for markup in self.markups]
        if len(set(kinds)) != len(kinds):
            raise PydanticCustomError("markup_twice", "each kind of markup once")
        return self


class EstimateTerms(PricingTerms):
    """How a scope is priced: the edition, the markups, and the alternates that are taken."""

    alternate_ids: list[UUID] = Field(
        default_factory=list,
        max_length=MOST_ALTERNATES,
        description="Alternates of the project that are taken, with those that they need; none where it is empty.",
    )

    @model_validator(mode="after")
    def _each_alternate_once(self) -> Self:
        _refuse_twice(self.alternate_ids)
        return self


class NewEstimate(EstimateTerms):
    """An estimate to be priced from a project's scope as it stands now."""

    name: Name = Field(examples=["Own crew, hollow tines"])


class EstimateRevision(PricingTerms):
    """A new revision of an estimate, priced from the scope as it stands now."""

    alternate_ids: list[UUID] | None = Field(
        default=None,
        max_length=MOST_ALTERNATES,
        description="Alternates of the project that are taken. Null, or left away, for those that the revised estimate "
        "takes, so that a new price list does not undo what was chosen; an empty list for none.",
    )

    @model_validator(mode="after")
    def _each_alternate_once(self) -> Self:
        _refuse_twice(self.alternate_ids or [])
        return self


def _refuse_twice(alternate_ids: list[UUID]) -> None:
    if len(set(alternate_ids)) != len(alternate_ids):
        raise PydanticCustomError("alternate_twice", "each alternate once")


class IssueRequest(Request):
    """Issuing makes an estimate ready for a decision; one with gaps needs a reason."""

    incomplete_because: Text | None = Field(default=None, min_length=1)


class Decision(Request):
    """The committee's decision, with an optional note for the minutes."""

    note: Text = ""


class WarningKind(StrEnum):
    """What can be amiss with an estimate: first what makes it incomplete, then what a reader should know."""

    UNPRICED = "unpriced"
    MISSING_ITEM = "missing_item"
    MISSING_SIZE = "missing_size"
    NOTHING_PRICED = "nothing_priced"
    NO_TAX_RATE = "no_tax_rate"
    NO_INDEX = "no_index"
    OFFER_UNIT = "offer_unit"

    STALE = "stale"
    NOT_VALID_AT_WORK = "not_valid_at_work"
    LATE_ORDER = "late_order"
    CHEAPER_BREAK = "cheaper_break"
    OVERRUN = "overrun"
    NO_ACCOUNT = "no_account"
    OFFER_QUANTITY = "offer_quantity"
    OFFER_SCOPE = "offer_scope"


class LinePart(StrEnum):
    """What a line is for: the price itself, or what comes with it."""

    PRICE = "price"
    MINIMUM_CHARGE = "minimum_charge"
    DELIVERY = "delivery"
    PICK_UP = "pick_up"
    SURCHARGE = "surcharge"
    MOBILIZATION = "mobilization"
    RENTAL = "rental"
    OVER_HOURS = "over_hours"
    DAMAGE_WAIVER = "damage_waiver"
    FUEL = "fuel"


class EstimateWarning(Answer):
    """A gap or a doubt: what, where, and whether it makes the estimate incomplete."""

    kind: WarningKind
    message: str
    line: int | None = None
    scope_item_id: UUID | None = None
    gap: bool = Field(description="Whether the estimate is incomplete because of it.")


class Subtotal(Answer):
    """Direct cost under one heading; `key` is null for cost that belongs to none."""

    key: str | None = Field(description="Hole, kind, account, or id of the scope item.")
    label: str = Field(description="The heading in words.")
    amount: Money


class Subtotals(Answer):
    """Direct cost by several headings; each list sums to the direct cost."""

    by_hole: list[Subtotal]
    by_area_kind: list[Subtotal]
    by_item_kind: list[Subtotal]
    by_account: list[Subtotal]
    by_scope_item: list[Subtotal]


class MarkupLine(Answer):
    """A markup on its own line: base times rate is the amount."""

    kind: MarkupKind
    label: str
    base: Money
    base_words: str
    percent: Amount = Field(
        description="Rate applied to the base, in percent; a computed one is rounded to 0.000001."
    )
    amount: Money
    cash_amount: Money = Field(
        description="What of it is cash beyond the operating budget: the same rate on the cash part of the base."
    )
    account: Account | None
    derivation: list[DerivationStep]


class AreaShare(Answer):
    """The part of a line that belongs to an area."""

    area_id: UUID
    name: str
    hole: int | None
    kind: str
    amount: Money


class EstimateLine(Answer):
    """One line: purchase quantity times unit price is the amount, to the cent."""

    number: int
    scope_item_id: UUID
    scope_item: str
    group: str | None
    resource: int = Field(
        description="Number of what the scope names; delivery, breaks and the like are lines of their own under it."
    )
    part: LinePart
    item: str
    item_kind: str | None
    description: str
    vendor: str | None
    account: Account | None
    taxable: bool
    quantity: Amount | None = Field(description="Purchase quantity; null where no area has a size.")
    unit: str
    rounding: str
    unit_price: Money | None
    price_source: PriceSource | None
    amount: Money | None
    cash_amount: Money | None = Field(description="What of it the operating budget does not hold already.")
    low_amount: Money | None = Field(description="The amount at the item's lowest price.")
    high_amount: Money | None = Field(description="The amount at the item's highest price.")
    starts_on: date
    ends_on: date


class EstimateLineDetail(EstimateLine):
    """A line with its derivation and its shares by area."""

    derivation: list[DerivationStep]
    shares: list[AreaShare]


class EstimateLineList(Answer):
    """All lines of an estimate."""

    items: list[EstimateLine]


class EstimateSummary(Answer):
    """An estimate in a line."""

    id: UUID
    project_id: UUID
    number: int
    revision: int
    name: str
    status: EstimateStatus
    complete: bool
    total: Money
    cash_total: Money = Field(
        description="What of the total is cash beyond the operating budget, which pays own staff and machines already."
    )
    created_at: Timestamp
    superseded_by: UUID | None = Field(description="The later revision that was issued, if any.")
    version: int


class WorkFigures(Answer):
    """The work of an estimate in figures, each with its formula; null where nothing of the scope measures it.

    Nothing missing is read as zero: what a scope item does not tell is named in `left_out`.
    """

    area_worked: DerivationStep | None = Field(description="Ground that is worked on, each area once.")
    area_touched: DerivationStep | None = Field(
        description="Surface that tools open, the sum of all passes, where methods measure it."
    )
    sand: DerivationStep | None = Field(description="Mass of the sand to bring in, with its allowance.")
    trips: DerivationStep | None = Field(
        description="Round trips of hauling, one to a load, whole for each scope item."
    )
    labor_hours: DerivationStep | None = Field(
        description="Hours of people needed, of items of the kind labor, with waste."
    )
    machine_hours: DerivationStep | None = Field(
        description="Hours of machines needed, own and hired, of items counted in hours, with waste."
    )
    left_out: list[str] = Field(
        description="What is in none of the figures though it belongs there, and why."
    )


class Estimate(EstimateSummary):
    """An estimate: totals, markups, subtotals and warnings; its lines are read apart."""

    edition_id: UUID
    edition: str
    price_date: date
    as_of: date
    starts_on: date
    ends_on: date
    line_count: int
    direct: Money
    low_total: Money = Field(description="The total if every item with a range cost the least.")
    high_total: Money = Field(description="The total if every item with a range cost the most.")
    markups: list[MarkupLine]
    subtotals: Subtotals
    alternates: list[PricedAlternate] = Field(
        description="Every alternate that the project had, taken or not, with what it changes; empty for an estimate "
        "that was priced before alternates were kept."
    )
    work: WorkFigures | None = Field(
        description="What the work comes to; null for an estimate that was priced before this was kept."
    )
    warnings: list[EstimateWarning]
    cautions: list[str]
    created_by: str
    revises: UUID | None
    issued_at: Timestamp | None
    issued_by: str | None
    incomplete_because: str | None
    decided_at: Timestamp | None
    decided_by: str | None
    decision_note: str | None
    budget_id: UUID | None


class ItemMeasures(Answer):
    """The measures of one scope item; none where it needs areas and none of them has a size."""

    scope_item_id: UUID
    number: int
    name: str
    method: str
    measures: dict[str, str] = Field(description="Value by measure, in the unit in which its formula holds.")
    units: dict[str, str] = Field(description="Unit by measure.")
    missing_sizes: int = Field(description="How many of its areas have no size and are not in the figures.")


class ProjectTakeOff(Answer):
    """The measures of a whole scope, and what adds up over it."""

    project_id: UUID
    alternate_ids: list[UUID] = Field(
        description="Alternates that are taken; the scope is without all others."
    )
    items: list[ItemMeasures]
    totals: list[Figure] = Field(
        description="Sums over the scope of what can be added: sand, hours, loads (whole for each scope item). The "
        "area is that of the ground, each area once."
    )


class TakeOff(Answer):
    """The measures of a scope item with their derivations."""

    scope_item_id: UUID
    area: Figure
    measures: list[Figure]
    derivations: dict[str, list[DerivationStep]]
    missing_sizes: list[str] = Field(
        description="Names of areas without a size, which are not in the figures."
    )
    cautions: list[str]
