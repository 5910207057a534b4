"""What vendors can be asked for: how much of each item an estimate needs, however it was charged."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from typing import Any
from uuid import UUID

from sqlalchemy import select
from swardcost_model.price_terms import RentalTerms

from swardcost_api.catalog.service import CatalogItem, items_with_codes
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.storage.work import UnitOfWork

PRICED_BEFORE = "It was priced before the quantity behind its charges was kept; price the scope again."
NOT_MEASURED = "No area that needs it has a size."
NONE_NEEDED = "The estimate needs none of it."

_ROW = (
    EstimateLineRow.item, EstimateLineRow.resource, EstimateLineRow.scope_item_id, EstimateLineRow.scope_item,
    EstimateLineRow.quantity, EstimateLineRow.needed, EstimateLineRow.needed_unit, EstimateLineRow.starts_on,
    EstimateLineRow.ends_on,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class HoursNeeded:
    """Running hours of a machine for a scope item, and the dates between which it is worked on."""

    scope_item_id: UUID
    hours: Decimal
    starts_on: date
    ends_on: date


@dataclass(frozen=True, slots=True)
class ItemNeeded:
    """How much of an item an estimate needs, all its scope items together.

    Of an item with rental `terms`, `hire` are the hours that each scope item needs it for.
    """

    item: str
    description: str
    unit: str
    quantity: Decimal
    scope_item_ids: tuple[UUID, ...]
    hire: tuple[HoursNeeded, ...] = ()
    terms: RentalTerms | None = None


@dataclass(frozen=True, slots=True)
class NotNeeded:
    """Something of an estimate that nobody can be asked for as it is, and why."""

    item: str
    description: str
    why: str


def needs_of(work: UnitOfWork, estimate_id: UUID) -> tuple[list[ItemNeeded], list[NotNeeded]]:
    """What an estimate needs, by code and unit, and what of it cannot be asked for.

    An item that was charged by a lump sum or by rental terms is needed in the quantity behind that. One that the
    edition does not have may be needed in several units, each of which counts by itself. Delivery, surcharges and the
    like are not asked for; they are part of an offer.
    """
    rows = work.session.execute(
        select(*_ROW)
        .where(EstimateLineRow.club_id == work.club_id, EstimateLineRow.estimate_id == estimate_id)
        .order_by(EstimateLineRow.item, EstimateLineRow.number)
    ).all()
    edition_id = work.session.scalar(
        select(EstimateRow.edition_id).where(
            EstimateRow.club_id == work.club_id, EstimateRow.id == estimate_id
        )
    )
    assert edition_id is not None
    items = items_with_codes(work, edition_id, {row.item for row in rows})
    needed: list[ItemNeeded] = []
    not_needed: list[NotNeeded] = []
    for code, of_item in groupby(rows, key=attrgetter("item")):
        lines = list(of_item)
        item = items.get(code)
        described = item.description if item is not None else ""
        not_needed += [NotNeeded(code, described, why) for why in _unknown(lines)]
        for unit in dict.fromkeys(row.needed_unit for row in lines if row.needed is not None):
            of_unit = [row for row in lines if row.needed is not None and row.needed_unit == unit]
            found = _needed(code, described, unit, of_unit, item)
            if found.quantity:
                needed.append(found)
            else:
                not_needed.append(NotNeeded(code, described, NONE_NEEDED))
    return needed, not_needed


def _needed(
    code: str, described: str, unit: str, lines: Sequence[Any], item: CatalogItem | None
) -> ItemNeeded:
    quantity = sum((Decimal(row.needed) for row in lines), Decimal(0))
    scope_items = tuple(dict.fromkeys(row.scope_item_id for row in lines))
    terms = item.terms if item is not None else None
    if not isinstance(terms, RentalTerms) or unit != "hour":
        return ItemNeeded(code, described, unit, quantity, scope_items)
    hire = tuple(
        HoursNeeded(row.scope_item_id, Decimal(row.needed), row.starts_on, row.ends_on)
        for row in lines
        if Decimal(row.needed)
    )
    return ItemNeeded(code, described, unit, quantity, scope_items, hire, terms)


def _unknown(lines: Iterable[Any]) -> Iterable[str]:
    """Why of some of an item's lines nobody knows how much is needed."""
    lines = list(lines)
    known = {row.resource for row in lines if row.needed is not None}
    unknown = [row for row in lines if row.resource not in known]
    unmeasured = list(dict.fromkeys(row.scope_item for row in unknown if row.quantity is None))
    if any(row.quantity is not None for row in unknown):
        yield PRICED_BEFORE
    elif unmeasured and not known:
        yield NOT_MEASURED
    elif unmeasured:
        yield f"What {', '.join(unmeasured)} needs of it is not known, since no area there has a size."
