"""Assigning postings to budget lines: by hand, by rules, and split over several lines; and what rules would do."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Self
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.ledger import LedgerAccount, ProjectCode
from swardcost_model.values import Answer, Money, Name, Positive, Request, Text, Value

Reason = Annotated[Text, StringConstraints(min_length=1)]
MAX_PARTS = 50
"""Budget lines that one posting may be split over."""
SAMPLES = 20
"""Postings that a preview shows of those that a rule would take."""


class HandAssignment(Request):
    """A posting assigned by hand, or, with null, kept unassigned by hand; rules leave it alone afterwards.

    A posting that was split is no longer.
    """

    budget_line_id: UUID | None
    reason: Reason


class Share(Value):
    """What part of a posting goes to a budget line."""

    budget_line_id: UUID
    percent: Positive = Field(le=Decimal(100), examples=["60"])


def _lines_differ(parts: "Sequence[Share | AmountPart]") -> None:
    if len({part.budget_line_id for part in parts}) != len(parts):
        raise PydanticCustomError("same_line", "each budget line once")


def _whole(shares: list[Share]) -> list[Share]:
    _lines_differ(shares)
    if sum(share.percent for share in shares) != 100:
        raise PydanticCustomError("percent", "percentages that sum to 100")
    return shares


Shares = Annotated[list[Share], Field(min_length=2, max_length=MAX_PARTS), AfterValidator(_whole)]
"""Shares over different lines that sum to 100 percent. The cents left over go where the remainders are largest."""


class AmountPart(Value):
    """What amount of a posting goes to a budget line: of the posting's own sign."""

    budget_line_id: UUID
    amount: Money


class Splitting(Request):
    """A posting to be split over budget lines, either by `shares` or by `amounts` that sum to it exactly."""

    shares: Shares | None = None
    amounts: list[AmountPart] | None = Field(default=None, min_length=2, max_length=MAX_PARTS)
    reason: Reason = Field(examples=["One load went to both greens"])

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.shares is None) == (self.amounts is None):
            raise PydanticCustomError("one_way", "either `shares` or `amounts`")
        _lines_differ(self.amounts or [])
        return self


class Unsplitting(Request):
    """Why a posting is whole again; it is then unassigned by hand until it is assigned or split anew."""

    reason: Reason


class RuleConditions(Value):
    """What a posting must be like for a rule to take it: everything that is given, and at least one thing."""

    account: LedgerAccount | None = Field(default=None, description="The account is exactly this.")
    account_prefix: LedgerAccount | None = Field(default=None, description="The account begins with this.")
    text_contains: Name | None = Field(
        default=None, description="The description contains this, in any letter case."
    )
    vendor_contains: Name | None = Field(
        default=None, description="The vendor contains this, in any letter case."
    )
    project_code: ProjectCode | None = Field(default=None, description="The project code is exactly this.")
    date_from: date | None = Field(default=None, description="Posted on this day or later.")
    date_to: date | None = Field(default=None, description="Posted on this day or earlier.")
    amount_min: Money | None = Field(default=None, description="Of this signed amount or more.")
    amount_max: Money | None = Field(default=None, description="Of this signed amount or less.")

    @model_validator(mode="after")
    def _conditions_can_hold(self) -> Self:
        if not self.model_dump(exclude_none=True):
            raise PydanticCustomError("no_condition", "at least one condition")
        if self.account is not None and self.account_prefix is not None:
            raise PydanticCustomError("account", "`account` or `account_prefix`, not both")
        if self.date_from and self.date_to and self.date_to < self.date_from:
            raise PydanticCustomError("dates", "`date_to` on or after `date_from`")
        if self.amount_min and self.amount_max and self.amount_max.amount < self.amount_min.amount:
            raise PydanticCustomError("amounts", "`amount_max` of `amount_min` or more")
        return self


class RuleFields(Value):
    """A rule: which postings go to which budget line, or are split over several. The lowest priority number is tried
    first."""

    name: Name = Field(examples=["Topdressing sand"])
    priority: int = Field(default=100, ge=0, le=1_000_000)
    conditions: RuleConditions
    budget_line_id: UUID | None = Field(default=None, description="The line that takes them whole.")
    shares: Shares | None = Field(default=None, description="Or the lines that they are split over.")

    @model_validator(mode="after")
    def _one_target(self) -> Self:
        if (self.budget_line_id is None) == (self.shares is None):
            raise PydanticCustomError("one_target", "either `budget_line_id` or `shares`")
        return self


class NewRule(RuleFields):
    """A rule to be added to a budget. Names are unique within the budget."""

    budget_id: UUID


class RuleChange(RuleFields):
    """The rule as it should be from now on (all fields). Postings already assigned stay where they are."""


class Rule(RuleFields):
    """A rule of a budget."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    budget_id: UUID
    version: int


class RuleCount(Answer):
    """How many postings a rule assigned."""

    rule_id: UUID
    name: str
    postings: int


class RulesApplied(Answer):
    """What applying the rules did: `tried` unassigned postings, of which `assigned` found a rule."""

    tried: int
    assigned: int
    in_closed_months: int = Field(description="Unassigned postings left alone because their month is closed.")
    rules: list[RuleCount] = Field(description="All rules, in the order in which they are tried.")


class PreviewRequest(Request):
    """What to preview: a rule that is not saved yet, or without one, all rules as they are."""

    rule: NewRule | None = None
    in_place_of: UUID | None = Field(
        default=None, description="The saved rule that `rule` would replace, left out of the comparison."
    )

    @model_validator(mode="after")
    def _replaces_by_something(self) -> Self:
        if self.in_place_of is not None and self.rule is None:
            raise PydanticCustomError("in_place_of", "`rule` with `in_place_of`")
        return self


class SampledPosting(Answer):
    """A posting that a rule would take."""

    id: str
    posted_on: date
    account: str
    amount: Money
    description: str
    vendor: str | None


class OtherRule(Answer):
    """Another rule that has, or gets, postings which meet the conditions too."""

    rule_id: UUID
    name: str | None = Field(description="Null where the rule is deleted.")
    assigned: int = Field(description="Postings that it has assigned already; they stay where they are.")
    comes_first: int = Field(description="Unassigned postings that it would take, because it is tried first.")


class RulePreview(Answer):
    """What one rule would do with the postings of open months, were it applied now."""

    rule_id: UUID | None = Field(description="Null for the rule that is not saved.")
    name: str
    postings: int = Field(description="Unassigned postings that it would take.")
    amount: Money = Field(description="What they sum to.")
    samples: list[SampledPosting] = Field(description=f"The first of them by date, {SAMPLES} at most.")
    others: list[OtherRule]
    decided_by_hand: int = Field(
        description="Postings that meet the conditions and were decided by a person."
    )
    in_closed_months: int = Field(description="Unassigned postings that meet them, in closed months.")


class AssignmentPreview(Answer):
    """What rules would do; nothing was changed."""

    tried: int = Field(description="Unassigned postings of open months that were looked at.")
    rules: list[RulePreview] = Field(description="The rule asked about, or all in the order of trying.")
