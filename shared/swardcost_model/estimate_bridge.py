"""From one estimate to another: what of the difference is price, quantity, scope and markups."""

from enum import StrEnum
from uuid import UUID

from pydantic import Field

from swardcost_model.estimates import LinePart, MarkupKind
from swardcost_model.values import Answer, Money


class EffectKind(StrEnum):
    """What a part of the difference comes from."""

    PRICE = "price"
    QUANTITY = "quantity"
    SCOPE = "scope"
    MARKUP_BASE = "markup_base"
    MARKUP_RATE = "markup_rate"
    MARKUP_ADDED_OR_REMOVED = "markup_added_or_removed"


class NotPriced(StrEnum):
    """Which of the two estimates has a line without a price."""

    EARLIER = "earlier"
    LATER = "later"
    BOTH = "both"


class BridgedEstimate(Answer):
    """An end of the bridge."""

    id: UUID
    number: int
    revision: int
    name: str
    edition: str
    total: Money


class BridgeEffect(Answer):
    """One effect over the whole estimate."""

    kind: EffectKind
    label: str = Field(description="The effect in words.")
    amount: Money


class BridgeRow(Answer):
    """A line or a markup that is not the same in both, or a line without a price; its effects sum to its amount."""

    kind: EffectKind = Field(description="The effect that is the largest in size here.")
    markup: MarkupKind | None = Field(description="Null for a line.")
    scope_item_id: UUID | None = Field(description="Null for a markup, as are the item and the part.")
    scope_item: str | None
    item: str | None
    part: LinePart | None
    label: str = Field(description="Description of the line, or label of the markup.")
    words: str = Field(description="Each effect in words, with what it is computed from.")
    not_priced: NotPriced | None = Field(
        description="Set for a line without a price: that estimate does not count it, which is not a price of zero. "
        "What the other one has for it is in the scope effect."
    )
    price_effect: Money
    quantity_effect: Money
    scope_effect: Money
    markup_base_effect: Money
    markup_rate_effect: Money
    markup_added_or_removed_effect: Money = Field(
        description="Of a markup that only one of the estimates has."
    )
    amount: Money = Field(
        description="What it costs in the later estimate less what it costs in the earlier."
    )


class EstimateBridge(Answer):
    """Two estimates of a club, and the difference of their totals by cause.

    Price effect: (new price - old price) x new quantity. Quantity effect: (new quantity - old quantity) x old price.
    Base effect of a markup: (new base - old base) x old rate. Rate effect: (new rate - old rate) x new base. Each is
    rounded half up to the minor unit; what rounding leaves goes into the larger of the two. Scope is what is in one
    of the estimates only, or cannot be compared, such as what one of them could not price. A markup that only one of
    them has is an effect of its own.
    """

    from_estimate: BridgedEstimate
    to_estimate: BridgedEstimate
    difference: Money
    effects: list[BridgeEffect] = Field(description="Every effect once; they sum to the difference.")
    rows: list[BridgeRow] = Field(
        description="All that differs or has no price, the largest first; they sum to the difference."
    )
