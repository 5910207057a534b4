"""The prices of an edition, and how one differs from the same item's in another."""

from collections.abc import Collection
from typing import Any
from uuid import UUID

from pydantic import TypeAdapter
from sqlalchemy import Row, select
from swardcost_model.price_moves import ItemMove, MoveKind, TermMove
from swardcost_model.price_terms import Terms
from swardcost_model.values import Money, from_micros

from swardcost_api.catalog.tables import ItemRow
from swardcost_api.engine.pricing.term_moves import moved_terms, percent_change
from swardcost_api.storage.work import UnitOfWork

_PRICE = (
    ItemRow.code, ItemRow.description, ItemRow.unit, ItemRow.currency, ItemRow.price_micros, ItemRow.terms,
)  # fmt: skip
PriceRow = Row[Any]
_TERMS: TypeAdapter[Terms] = TypeAdapter(Terms)


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
        percent = percent_change(old.amount, new.amount)
    return ItemMove.model_construct(
        code=shown.code, description=shown.description, what=kind,
        unit_before=before.unit if before is not None else None,
        unit_after=after.unit if after is not None else None, before=old, after=new, change=change, percent=percent,
        terms_moved=_terms_moved(before, after) if kind in _WITH_TERMS else [],
    )  # fmt: skip


_WITH_TERMS = (MoveKind.PRICE, MoveKind.TERMS)
"""Moves of items whose terms can be compared figure by figure."""


def _terms_moved(before: PriceRow | None, after: PriceRow | None) -> list[TermMove]:
    assert before is not None
    assert after is not None
    if before.terms == after.terms:
        return []
    return [
        TermMove.model_construct(
            name=one.name, is_money=one.is_money, before=one.before, after=one.after, percent=one.percent
        )
        for one in moved_terms(terms_of(before.terms), terms_of(after.terms))
    ]


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


def terms_of(stored: dict[str, Any] | None) -> Terms | None:
    """Stored terms as they were checked when they were stored."""
    return None if stored is None else _TERMS.validate_python(stored)
