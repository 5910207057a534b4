"""The items of an edition, one by one: what may be stored, adding, listing, editing and deleting."""

import re
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError
from sqlalchemy import Row, Select, and_, delete, insert, select, update
from swardcost_model import problems
from swardcost_model.catalog import Edition, Item, ItemChange, ItemFields, ItemKind, NewItem, PriceSource
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.values import Currency, Money, from_micros, to_micros

from swardcost_api.access.service import record
from swardcost_api.catalog.service import draft_to_change, read_edition
from swardcost_api.catalog.tables import ItemRow, VendorRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import unit_named

STORED = (
    "kind", "description", "unit", "price_micros", "free", "taxable", "account", "vendor_id", "price_source",
    "priced_on", "valid_until", "note",
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
    refuse_unusable(new, edition.currency)
    _refuse_unknown_vendor(work, new)
    if work.session.execute(_select_item(work, edition_id, new.code)).first() is not None:
        raise ProblemError(problems.DUPLICATE, f"This edition has an item {new.code} already.")
    work.session.execute(
        insert(ItemRow).values(
            club_id=work.club_id, edition_id=edition_id, code=new.code, version=1, **stored(new)
        )
    )
    after = _read_item(work, edition, new.code)
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
    edition = read_edition(work, edition_id)
    statement = _select_items(work, edition_id)
    if kind is not None:
        statement = statement.where(ItemRow.kind == kind)
    if vendor_id is not None:
        statement = statement.where(ItemRow.vendor_id == vendor_id)
    if account is not None:
        statement = statement.where(ItemRow.account == account)
    if unpriced is not None:
        priced = ItemRow.price_micros.is_not(None)
        statement = statement.where(~priced if unpriced else priced)
    rows, following = read_page(work, statement, (ItemRow.code,), limit, cursor, descending=descending)
    return Page[Item](items=[_item_of(row, edition.currency) for row in rows], next=following)


def all_items(work: UnitOfWork, edition: Edition) -> list[Item]:
    """Every item of an edition, by code."""
    statement = _select_items(work, edition.id).order_by(ItemRow.code)
    return [_item_of(row, edition.currency) for row in work.session.execute(statement)]


def read_item(work: UnitOfWork, edition_id: UUID, code: str) -> Item:
    """One item."""
    return _read_item(work, read_edition(work, edition_id), code)


def change_item(work: UnitOfWork, edition_id: UUID, code: str, change: ItemChange, if_match: int) -> Item:
    """Replace what an item of a draft is and costs."""
    edition = draft_to_change(work, edition_id)
    before = _current_item(work, edition, code, if_match)
    refuse_unusable(change, edition.currency)
    _refuse_unknown_vendor(work, change)
    work.session.execute(
        update(ItemRow)
        .where(*_is_item(work, edition_id, code))
        .values(version=if_match + 1, **stored(change))
    )
    after = _read_item(work, edition, code)
    record(work, "change", "item", code, before, after)
    return after


def delete_item(work: UnitOfWork, edition_id: UUID, code: str, if_match: int) -> None:
    """Take an item out of a draft."""
    edition = draft_to_change(work, edition_id)
    before = _current_item(work, edition, code, if_match)
    work.session.execute(delete(ItemRow).where(*_is_item(work, edition_id, code)))
    record(work, "delete", "item", code, before)


def refuse_unusable(fields: ItemFields, currency: str) -> None:
    """Raise a validation error for what is well formed but no item of an edition in this currency."""
    faults: list[InitErrorDetails] = []

    def refuse(place: str, expected: str, got: Any) -> None:
        error = PydanticCustomError("unusable_item", "{expected}", {"expected": expected})
        faults.append({"type": error, "loc": tuple(place.split("/")), "input": got})

    try:
        unit_named(fields.unit)
    except PydanticCustomError as error:
        faults.append({"type": error, "loc": ("unit",), "input": fields.unit})
    price = fields.unit_price
    if price is not None and price.currency != currency:
        refuse("unit_price/currency", f"the edition's currency, {currency}", price.currency)
    if price is not None and price.amount < 0:
        refuse("unit_price", "a price of zero or more", str(price.amount))
    if price is not None and price.amount == 0 and not fields.free:
        refuse(
            "unit_price",
            "a price above zero, or zero with `free` true, or none where none is known",
            str(price.amount),
        )
    if fields.free and (price is None or price.amount != 0):
        refuse("free", "false, unless the price is zero", True)
    if fields.priced_on and fields.valid_until and fields.valid_until < fields.priced_on:
        refuse(
            "valid_until", f"{fields.priced_on}, when the price was got, or later", str(fields.valid_until)
        )
    if faults:
        raise ValidationError.from_exception_data("Item", faults)


def stored(fields: ItemFields) -> dict[str, Any]:
    """An item's fields as its columns, in the order of `STORED`."""
    price = fields.unit_price
    price_micros = to_micros(price.amount) if price is not None else None
    return {name: price_micros if name == "price_micros" else getattr(fields, name) for name in STORED}


def _refuse_unknown_vendor(work: UnitOfWork, fields: ItemFields) -> None:
    if fields.vendor_id is None:
        return
    known = select(VendorRow.id).where(VendorRow.club_id == work.club_id, VendorRow.id == fields.vendor_id)
    if work.session.scalar(known) is None:
        error = PydanticCustomError("unknown_vendor", "the id of a vendor of this club")
        raise ValidationError.from_exception_data(
            "Item", [{"type": error, "loc": ("vendor_id",), "input": str(fields.vendor_id)}]
        )


def _select_items(work: UnitOfWork, edition_id: UUID) -> Select[*tuple[Any, ...]]:
    vendor = and_(VendorRow.club_id == ItemRow.club_id, VendorRow.id == ItemRow.vendor_id)
    statement: Select[*tuple[Any, ...]] = select(*_ITEM).select_from(ItemRow).outerjoin(VendorRow, vendor)
    return statement.where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)


def _is_item(work: UnitOfWork, edition_id: UUID, code: str) -> tuple[Any, ...]:
    return ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id, ItemRow.code == code


def _select_item(work: UnitOfWork, edition_id: UUID, code: str) -> Select[*tuple[Any, ...]]:
    return _select_items(work, edition_id).where(ItemRow.code == code)


def _read_item(work: UnitOfWork, edition: Edition, code: str) -> Item:
    # A path may hold any text, even what a database refuses to compare with.
    row = (
        work.session.execute(_select_item(work, edition.id, code)).first() if _CODE.fullmatch(code) else None
    )
    if row is None:
        raise ProblemError(problems.NOT_FOUND, "There is no item with this code in this edition.")
    return _item_of(row, edition.currency)


def _current_item(work: UnitOfWork, edition: Edition, code: str, if_match: int) -> Item:
    """The item of a locked draft, if it is still at the version that an edit names."""
    item = _read_item(work, edition, code)
    if item.version != if_match:
        raise ProblemError(
            problems.STALE_VERSION,
            f"This item is at version {item.version}; the edit was made against {if_match}.",
        )
    return item


def _item_of(row: Row[*tuple[Any, ...]], currency: Currency) -> Item:
    fields = dict(row._mapping)
    price, source = fields.pop("price_micros"), fields["price_source"]
    fields["kind"] = ItemKind(fields["kind"])
    fields["price_source"] = PriceSource(source) if source is not None else None
    fields["unit_price"] = (
        Money.model_construct(amount=from_micros(price), currency=currency) if price is not None else None
    )
    return Item.model_construct(**fields)
