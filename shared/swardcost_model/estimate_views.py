"""Views of an estimate: its direct cost under headings of the reader's choice, as a table or as a tree."""

from enum import StrEnum
from uuid import UUID

from pydantic import Field

from swardcost_model.values import Answer, Money


class Heading(StrEnum):
    """What direct cost can be added up by."""

    GROUP = "group"
    SCOPE_ITEM = "scope_item"
    ITEM = "item"
    ITEM_KIND = "item_kind"
    COST_TYPE = "cost_type"
    ACCOUNT = "account"
    VENDOR = "vendor"
    PRICE_SOURCE = "price_source"
    PART = "part"
    RESOURCE = "resource"
    LINE = "line"
    HOLE = "hole"
    AREA_KIND = "area_kind"
    AREA = "area"
    MONTH = "month"


class CostType(StrEnum):
    """The types of direct cost."""

    MATERIAL = "material"
    LABOR = "labor"
    EQUIPMENT = "equipment"
    CONTRACT = "contract"
    FREIGHT = "freight"
    OTHER = "other"


class SubtotalRow(Answer):
    """Direct cost under one key of each heading; a key is null for cost that belongs to none of them."""

    keys: list[str | None] = Field(
        description="One for each heading: the id of a scope item or area, the number of a resource, line or hole, "
        "the code of an item, a month such as `2026-03`, or the name itself."
    )
    labels: list[str] = Field(description="The keys in words.")
    amount: Money
    cash_amount: Money = Field(description="What of it the operating budget does not hold already.")


class SubtotalTable(Answer):
    """Direct cost by one or several headings; the rows sum to the direct cost."""

    estimate_id: UUID
    by: list[Heading]
    rows: list[SubtotalRow]
    direct: Money
    direct_cash: Money
    unpriced_lines: list[int] = Field(
        description="Numbers of the lines without an amount, which are in no sum."
    )


class TreeNode(Answer):
    """Direct cost under one key of a heading, within that of the nodes above; its children sum to it."""

    heading: Heading
    key: str | None
    label: str
    amount: Money
    cash_amount: Money = Field(description="What of it the operating budget does not hold already.")
    line: int | None = Field(description="Number of the line, where the heading is `line`.")
    children: list["TreeNode"]


class EstimateTree(Answer):
    """Direct cost as a tree, a level for each heading; the nodes sum to the direct cost."""

    estimate_id: UUID
    by: list[Heading]
    nodes: list[TreeNode]
    direct: Money
    direct_cash: Money
    unpriced_lines: list[int] = Field(
        description="Numbers of the lines without an amount, which are in no sum."
    )
