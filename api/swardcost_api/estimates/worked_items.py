"""What an estimate does: its scope items with their cost, days and areas, read from what was priced."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from sqlalchemy import select

from swardcost_api.estimates.tables import EstimateLineRow
from swardcost_api.storage.work import UnitOfWork


@dataclass(slots=True)
class WorkedItem:
    """A scope item as it was priced: the cost of its priced lines before markups, its days, its sized areas by id."""

    scope_item_id: UUID
    name: str
    starts_on: date
    ends_on: date
    amount_minor: int = 0
    priced: bool = True
    """Whether all its lines have an amount."""
    areas: dict[str, str] = field(default_factory=dict)


def worked_items(work: UnitOfWork, estimate_id: UUID) -> Mapping[UUID, WorkedItem]:
    """The scope items that an estimate has lines of, in their order."""
    columns = EstimateLineRow
    rows = work.session.execute(
        select(
            columns.scope_item_id, columns.scope_item, columns.starts_on, columns.ends_on, columns.amount_minor,
            columns.shares,
        )
        .where(columns.club_id == work.club_id, columns.estimate_id == estimate_id)
        .order_by(columns.number)
    )  # fmt: skip
    found: dict[UUID, WorkedItem] = {}
    for scope_item_id, name, starts_on, ends_on, amount_minor, shares in rows:
        if scope_item_id not in found:
            found[scope_item_id] = WorkedItem(scope_item_id, name, starts_on, ends_on)
        item = found[scope_item_id]
        item.amount_minor += amount_minor or 0
        item.priced = item.priced and amount_minor is not None
        item.areas |= {area[0]: area[1] for area in shares[0]}
    return found
