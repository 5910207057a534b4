"""The items of an edition, one by one: adding, listing, editing and deleting."""

import re
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, and_, delete, insert, or_, select, update
from swardcost_model import problems
from swardcost_model.catalog import Edition, Item, ItemChange, ItemFields, ItemKind, NewItem, PriceSource
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Currency, Money, from_micros, to_micros

from swardcost_api.access.service import record
from swardcost_api.catalog.item_rules import Currencies, Prices, prices_of
from swardcost_api.catalog.service import (
    draft_to_change,
    read_edition,
    refuse_unknown_vendor,
    terms_of,
    vendor_currencies,
)
from swardcost_api.catalog.tables import ItemRow, VendorRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import stale
from swardcost_api.storage.work import UnitOfWork

STORED = (
    "kind", "description", "unit", "currency", "price_micros", "low_micros", "high_micros", "cash_micros", "free",
    "taxable", "tax_class", "in_operating_budget", "account", "vendor_id", "price_source", "priced_on", "valid_from",
    "valid_until", "reference", "terms", "note",
)  # fmt: skip
"""Columns of an item that a caller decides, besides its code."""

_CODE = re.compile(r"[A-Za-z0-9._-]{1,60}")
_ITEM = (
    ItemRow.edition_id, ItemRow.code, *(getattr(ItemRow, name) for name in STORED), ItemRow.version,
    VendorRow.name.label("vendor_name"),
)  # fmt: skip


def create_item(work: UnitOfWork, edition_id: UUID, new: NewItem) -> Item:
    """Add an item to a draft. Raises `duplicate` where the draft has one of that code."""
    edition = draft_to_change(work, edition_id)
    prices = prices_of(new, currencies_of(work, edition))
    if new.vendor_id is not None:
        refuse_unknown_vendor(work, new.vendor_id)
    if work.session.execute(_select_item(work, edition_id, new.code)).first() is not None:
        raise ProblemError(problems.DUPLICATE, f"This edition has an item {new.code} already.")
    work.session.execute(
        insert(ItemRow).values(
            club_id=work.club_id, edition_id=edition_id, code=new.code, version=1, **stored(new, prices)
        )
    )
    after = _read_item(work, edition_id, new.code)
    record(work, "create", "item", new.code, after=after)
    return after


def list_items(
    work: UnitOfWork,
    edition_id: UUID,
    limit: int,
    cursor: str | None,
    *,
    kind: ItemKind | None,
    vendor_id: UUID | None,
    account: str | None,
    unpriced: bool | None,
    descending: bool = False,
) -> Page[Item]:
    """An edition's items, by code, all or those of a kind, vendor or account, with or without a price."""
    read_edition(work, edition_id)
    statement = _select_items(work, edition_id)
    if kind is not None:
        statement = statement.where(ItemRow.kind == kind)
    if vendor_id is not None:
        statement = statement.where(ItemRow.vendor_id == vendor_id)
    if account is not None:
        statement = statement.where(ItemRow.account == account)
    if unpriced is not None:
        by_terms = and_(ItemRow.kind == ItemKind.RENTAL, ItemRow.terms.is_not(None))
        priced = or_(ItemRow.price_micros.is_not(None), by_terms)
        statement = statement.where(~priced if unpriced else priced)
    rows, following = read_page(work, statement, (ItemRow.code,), limit, cursor, descending=descending)
    return Page[Item](items=[_item_of(row) for row in rows], next=following)


def currencies_of(work: UnitOfWork, edition: Edition) -> Currencies:
    """What the items of an edition may be priced in."""
    return Currencies(edition.currency, vendor_currencies(work, edition.id))


def all_items(work: UnitOfWork, edition_id: UUID) -> list[Item]:
    """Every item of an edition, by code."""
    statement = _select_items(work, edition_id).order_by(ItemRow.code)
    return [_item_of(row) for row in work.session.execute(statement)]


def read_item(work: UnitOfWork, edition_id: UUID, code: str) -> Item:
    """One item."""
    read_edition(work, edition_id)
    return _read_item(work, edition_id, code)


def change_item(work: UnitOfWork, edition_id: UUID, code: str, change: ItemChange, if_match: int) -> Item:
    """Replace what an item of a draft is and costs."""
    edition = draft_to_change(work, edition_id)
    before = _current_item(work, edition_id, code, if_match)
    prices = prices_of(change, currencies_of(work, edition))
    if change.vendor_id is not None:
        refuse_unknown_vendor(work, change.vendor_id)
    work.session.execute(
        update(ItemRow)
        .where(*_is_item(work, edition_id, code))
        .values(version=if_match + 1, **stored(change, prices))
    )
    after = _read_item(work, edition_id, code)
    record(work, "change", "item", code, before, after)
    return after


def delete_item(work: UnitOfWork, edition_id: UUID, code: str, if_match: int) -> None:
    """Take an item out of a draft."""
    draft_to_change(work, edition_id)
    before = _current_item(work, edition_id, code, if_match)
    work.session.execute(delete(ItemRow).where(*_is_item(work, edition_id, code)))
    record(work, "delete", "item", code, before)


def stored(fields: ItemFields, prices: Prices) -> dict[str, Any]:
    """An item's fields as its columns, in the order of `STORED`."""
    low, high, terms = fields.low_price, fields.high_price, fields.terms
    computed = {
        "currency": prices.currency,
        "price_micros": _micros(prices.unit),
        "low_micros": _micros(low.amount) if low is not None else None,
        "high_micros": _micros(high.amount) if high is not None else None,
        "cash_micros": _micros(prices.cash),
        "terms": terms.model_dump(mode="json") if terms is not None else None,
    }
    return {name: computed[name] if name in computed else getattr(fields, name) for name in STORED}


def _micros(price: Decimal | None) -> int | None:
    return to_micros(price) if price is not None else None


def _select_items(work: UnitOfWork, edition_id: UUID) -> Select[*tuple[Any, ...]]:
    vendor = and_(VendorRow.club_id == ItemRow.club_id, VendorRow.id == ItemRow.vendor_id)
    statement: Select[*tuple[Any, ...]] = select(*_ITEM).select_from(ItemRow).outerjoin(VendorRow, vendor)
    return statement.where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)


def _is_item(work: UnitOfWork, edition_id: UUID, code: str) -> tuple[Any, ...]:
    return ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id, ItemRow.code == code


def _select_item(work: UnitOfWork, edition_id: UUID, code: str) -> Select[*tuple[Any, ...]]:
    return _select_items(work, edition_id).where(ItemRow.code == code)


def _read_item(work: UnitOfWork, edition_id: UUID, code: str) -> Item:
    # A path may hold any text, even what a database refuses to compare with.
    row = (
        work.session.execute(_select_item(work, edition_id, code)).first() if _CODE.fullmatch(code) else None
    )
    if row is None:
        raise ProblemError(problems.NOT_FOUND, "There is no item with this code in this edition.")
    return _item_of(row)


def _current_item(work: UnitOfWork, edition_id: UUID, code: str, if_match: int) -> Item:
    """The item of a locked draft, if it is still at the version that an edit names."""
    item = _read_item(work, edition_id, code)
    if item.version != if_match:
        raise stale("item", item.version, if_match)
    return item


def _item_of(row: Row[*tuple[Any, ...]]) -> Item:
    fields = dict(row._mapping)
    source, currency = fields["price_source"], fields["currency"]
    fields["kind"] = ItemKind(fields["kind"])
    fields["price_source"] = PriceSource(source) if source is not None else None
    fields["unit_price"] = _money(fields.pop("price_micros"), currency)
    fields["low_price"] = _money(fields.pop("low_micros"), currency)
    fields["high_price"] = _money(fields.pop("high_micros"), currency)
    fields["terms"] = terms_of(fields["terms"])
    del fields["cash_micros"]
    return Item.model_construct(**fields)


def _money(micros: int | None, currency: Currency) -> Money | None:
    return None if micros is None else Money.model_construct(amount=from_micros(micros), currency=currency)
