"""The prices of an edition, and how one differs from the same item's in another."""

from collections.abc import Collection
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model.price_moves import ItemMove, MoveKind
from swardcost_model.values import Money, from_micros

from swardcost_api.catalog.tables import ItemRow
from swardcost_api.storage.work import UnitOfWork

PERCENT_PLACES = Decimal("0.01")
_PRICE = (
    ItemRow.code, ItemRow.description, ItemRow.unit, ItemRow.currency, ItemRow.price_micros, ItemRow.terms,
)  # fmt: skip
PriceRow = Row[Any]


def prices_in(
    work: UnitOfWork, edition_id: UUID, codes: Collection[str] | None = None
) -> dict[str, PriceRow]:
    """The prices of an edition by code, all or those of some items."""
    statement = select(*_PRICE).where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)
    if codes is not None:
        statement = statement.where(ItemRow.code.in_(codes))
    return {row.code: row for row in work.session.execute(statement)}


def move_between(before: PriceRow | None, after: PriceRow | None) -> ItemMove | None:
    """How an item differs between two editions; `None` where it does not. Never both absent."""
    shown = after if after is not None else before
    assert shown is not None
    kind = _kind_of_move(before, after)
    if kind is None:
        return None
    old, new = price_in(before), price_in(after)
    change = percent = None
    if kind is MoveKind.PRICE and old is not None and new is not None:
        change = new - old
        percent = percent_of(change.amount, old.amount)
    return ItemMove.model_construct(
        code=shown.code, description=shown.description, what=kind,
        unit_before=before.unit if before is not None else None,
        unit_after=after.unit if after is not None else None, before=old, after=new, change=change, percent=percent,
    )  # fmt: skip


def _kind_of_move(before: PriceRow | None, after: PriceRow | None) -> MoveKind | None:
    if before is None:
        return MoveKind.ADDED
    if after is None:
        return MoveKind.GONE
    for name, kind in (
        ("unit", MoveKind.UNIT), ("currency", MoveKind.CURRENCY), ("price_micros", MoveKind.PRICE),
        ("terms", MoveKind.TERMS),
    ):  # fmt: skip
        if getattr(before, name) != getattr(after, name):
            return kind
    return None


def price_in(row: PriceRow | None) -> Money | None:
    if row is None or row.price_micros is None:
        return None
    return Money.model_construct(amount=from_micros(row.price_micros), currency=row.currency)


def percent_of(change: Decimal, of: Decimal) -> Decimal | None:
    return (change * 100 / of).quantize(PERCENT_PLACES, ROUND_HALF_UP) if of else None
