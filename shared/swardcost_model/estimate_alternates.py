"""The alternates of an estimate line by line: where the difference of each comes from."""

from uuid import UUID

from pydantic import Field

from swardcost_model.alternates import PricedAlternate
from swardcost_model.estimates import LinePart, MarkupKind
from swardcost_model.values import Answer, Money


class AlternateLine(Answer):
    """A line that an alternate adds, takes away or changes."""

    scope_item_id: UUID
    scope_item: str
    item: str
    part: LinePart
    description: str
    priced: bool = Field(description="False where the line, on either side, has no amount.")
    amount_without: Money | None = Field(
        description="Amount without the alternate; null where there is no such line, or it has no amount."
    )
    amount_with: Money | None = Field(description="Amount with the alternate; null likewise.")
    difference: Money | None = Field(
        description="With less without, where a line that is not there costs nothing; null where it is not priced."
    )


class AlternateMarkup(Answer):
    """A markup whose amount an alternate changes."""

    kind: MarkupKind
    label: str
    amount_without: Money
    amount_with: Money
    difference: Money


class AlternateDetail(PricedAlternate):
    """An alternate with its lines: the differences of lines and markups sum to its difference."""

    lines: list[AlternateLine]
    markups: list[AlternateMarkup]


class EstimateAlternates(Answer):
    """Every alternate that an estimate was priced with, line by line."""

    estimate_id: UUID
    total: Money = Field(description="Total of the estimate as it stands.")
    alternates: list[AlternateDetail]
