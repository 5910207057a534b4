"""Vendors, editions of the catalog, and what pricing needs of an edition's items and their vendors."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any, cast
from uuid import UUID

from sqlalchemy import Row, delete, func, insert, literal, select
from swardcost_model import problems
from swardcost_model.catalog import (
    Edition,
    EditionChange,
    EditionStatus,
    ItemKind,
    NewEdition,
    NewVendor,
    PriceSource,
    Vendor,
    VendorChange,
)
from swardcost_model.paging import Page
from swardcost_model.price_terms import Terms
from swardcost_model.problems import ProblemError
from swardcost_model.values import Currency, from_micros

from swardcost_api.access.service import read_club, record
from swardcost_api.catalog.price_rows import move_between as move_between
from swardcost_api.catalog.price_rows import prices_in as prices_in
from swardcost_api.catalog.price_rows import terms_of as terms_of
from swardcost_api.catalog.refusals import Refusals
from swardcost_api.catalog.tables import EditionRow, EditionVendorRow, ItemRow, VendorRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import delete_row, edit_row, missing, named_in_request
from swardcost_api.storage.work import UnitOfWork

_VENDOR = (
    VendorRow.id, VendorRow.name, VendorRow.phone, VendorRow.email, VendorRow.note, VendorRow.version,
)  # fmt: skip
_EDITION = (
    EditionRow.id, EditionRow.name, EditionRow.status, EditionRow.currency, EditionRow.price_date,
    EditionRow.created_at, EditionRow.published_at, EditionRow.version,
)  # fmt: skip


@dataclass(frozen=True)
class CatalogItem:
    """An item as pricing needs it.

    `price_micros` is `None` where no price is known, never zero for that, and with rental terms. All money is
    in `currency`. `cash_micros` is known of build-ups alone: what an hour costs beyond the operating budget.
    """

    code: str
    kind: ItemKind
    description: str
    unit: str
    currency: Currency
    price_micros: int | None
    low_micros: int | None
    high_micros: int | None
    cash_micros: int | None
    free: bool
    taxable: bool
    tax_class: str
    in_operating_budget: bool
    account: str | None
    vendor_id: UUID | None
    vendor_name: str | None
    price_source: PriceSource | None
    priced_on: date | None
    valid_from: date | None
    valid_until: date | None
    reference: str
    stored_terms: dict[str, Any] | None = field(repr=False, hash=False)

    @cached_property
    def terms(self) -> Terms | None:
        """How it is priced beyond its unit price; parsed when first asked for."""
        return terms_of(self.stored_terms)


@dataclass(frozen=True, slots=True)
class VendorTermsFacts:
    """What holds for all of a vendor's items in an edition, as pricing needs it.

    `exchange_rate` is one unit of the vendor's currency in the edition's; `None` where they are the same.
    `mobilization` is in the vendor's currency, once a visit.
    """

    vendor_id: UUID
    vendor_name: str
    currency: Currency
    exchange_rate: Decimal | None
    rate_date: date | None
    rate_source: str | None
    mobilization: Decimal


_PRICED = (
    ItemRow.code, ItemRow.kind, ItemRow.description, ItemRow.unit, ItemRow.currency, ItemRow.price_micros,
    ItemRow.low_micros, ItemRow.high_micros, ItemRow.cash_micros, ItemRow.free, ItemRow.taxable, ItemRow.tax_class,
    ItemRow.in_operating_budget, ItemRow.account, ItemRow.vendor_id, VendorRow.name.label("vendor_name"),
    ItemRow.price_source, ItemRow.priced_on, ItemRow.valid_from, ItemRow.valid_until, ItemRow.reference,
    ItemRow.terms.label("stored_terms"),
)  # fmt: skip


def create_vendor(work: UnitOfWork, new: NewVendor) -> Vendor:
    """Add a vendor. Raises `duplicate` where the club has one of that name."""
    _refuse_taken_vendor_name(work, new.name)
    vendor = Vendor(id=work.new_id(), version=1, **new.model_dump())
    work.session.execute(insert(VendorRow).values(club_id=work.club_id, **vendor.model_dump()))
    record(work, "create", "vendor", vendor.id, after=vendor)
    return vendor


def list_vendors(work: UnitOfWork, limit: int, cursor: str | None) -> Page[Vendor]:
    """The club's vendors, by name."""
    statement = select(*_VENDOR).where(VendorRow.club_id == work.club_id)
    rows, following = read_page(work, statement, (VendorRow.name,), limit, cursor)
    return Page[Vendor](items=[Vendor(**row._mapping) for row in rows], next=following)


def read_vendor(work: UnitOfWork, vendor_id: UUID) -> Vendor:
    """One vendor."""
    statement = select(*_VENDOR).where(VendorRow.club_id == work.club_id, VendorRow.id == vendor_id)
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("vendor")
    return Vendor(**row._mapping)


def change_vendor(work: UnitOfWork, vendor_id: UUID, change: VendorChange, if_match: int) -> Vendor:
    """Replace what is known about a vendor, in every edition."""
    before = read_vendor(work, vendor_id)
    if change.name != before.name:
        _refuse_taken_vendor_name(work, change.name)
    edit_row(work, VendorRow, vendor_id, if_match, "vendor", **change.model_dump())
    after = Vendor(id=vendor_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "vendor", vendor_id, before, after)
    return after


def delete_vendor(work: UnitOfWork, vendor_id: UUID, if_match: int) -> None:
    """Delete a vendor. Raises `in-use` while an item of any edition, or terms in one, name it."""
    before = read_vendor(work, vendor_id)
    naming = (
        select(ItemRow.code, EditionRow.name)
        .join(EditionRow, (EditionRow.club_id == ItemRow.club_id) & (EditionRow.id == ItemRow.edition_id))
        .where(ItemRow.club_id == work.club_id, ItemRow.vendor_id == vendor_id)
        .order_by(ItemRow.edition_id, ItemRow.code)
    )
    item = work.session.execute(naming.limit(1)).first()
    if item is not None:
        raise ProblemError(
            problems.IN_USE, f"Item {item.code} of the edition {item.name!r} names this vendor."
        )
    with_terms = (
        select(EditionRow.name)
        .join(
            EditionVendorRow,
            (EditionRow.club_id == EditionVendorRow.club_id) & (EditionRow.id == EditionVendorRow.edition_id),
        )
        .where(EditionVendorRow.club_id == work.club_id, EditionVendorRow.vendor_id == vendor_id)
        .order_by(EditionRow.id)
    )
    edition_name = work.session.scalar(with_terms.limit(1))
    if edition_name is not None:
        raise ProblemError(problems.IN_USE, f"The edition {edition_name!r} has terms of this vendor.")
    delete_row(work, VendorRow, vendor_id, if_match, "vendor")
    record(work, "delete", "vendor", vendor_id, before)


def refuse_unknown_vendor(work: UnitOfWork, vendor_id: UUID) -> None:
    """Raise a validation error where the club has no vendor of this id."""
    known = select(VendorRow.id).where(VendorRow.club_id == work.club_id, VendorRow.id == vendor_id)
    if work.session.scalar(known) is None:
        refusals = Refusals("Vendor")
        refusals.add("vendor_id", "the id of a vendor of this club", str(vendor_id))
        refusals.raise_any()


def vendors_with_ids(work: UnitOfWork, ids: Collection[UUID]) -> dict[UUID, str]:
    """Names of those among some vendors that the club has."""
    rows = work.session.execute(
        select(VendorRow.id, VendorRow.name).where(VendorRow.club_id == work.club_id, VendorRow.id.in_(ids))
    )
    return {row.id: row.name for row in rows}


def vendor_ids_by_name(work: UnitOfWork) -> dict[str, UUID]:
    """All the club's vendors."""
    rows = work.session.execute(select(VendorRow.name, VendorRow.id).where(VendorRow.club_id == work.club_id))
    return {row.name: row.id for row in rows}


def create_edition(work: UnitOfWork, new: NewEdition) -> Edition:
    """Make a draft in the club's currency, empty or with the items and vendors' terms of another edition.

    Raises `duplicate` where the club has an edition of that name, `invalid-values` where there is
    nothing to copy.
    """
    _refuse_taken_edition_name(work, new.name)
    edition = Edition(
        id=work.new_id(), name=new.name, price_date=new.price_date, status=EditionStatus.DRAFT,
        currency=read_club(work).currency, created_at=work.now, published_at=None, version=1,
    )  # fmt: skip
    work.session.execute(insert(EditionRow).values(club_id=work.club_id, **edition.model_dump()))
    if new.copy_of is not None:
        _refuse_unknown_source(work, new.copy_of)
        for table in (EditionVendorRow, ItemRow):
            _copy_rows(work, table, new.copy_of, edition.id)
    copied = {"copy_of": str(new.copy_of)} if new.copy_of else {}
    record(work, "create", "edition", edition.id, after=edition.model_dump(mode="json") | copied)
    return edition


def list_editions(
    work: UnitOfWork, limit: int, cursor: str | None, status: EditionStatus | None
) -> Page[Edition]:
    """The club's editions, latest first."""
    statement = select(*_EDITION).where(EditionRow.club_id == work.club_id)
    if status is not None:
        statement = statement.where(EditionRow.status == status)
    rows, following = read_page(work, statement, (EditionRow.id,), limit, cursor, descending=True)
    return Page[Edition](items=[_edition_of(row) for row in rows], next=following)


def edition_named(work: UnitOfWork, edition_id: UUID, pointer: str, detail: str) -> Edition:
    """The edition that a request names at that place. Raises `invalid-values` where the club has none of that id."""
    with named_in_request(pointer, "the id of an edition of this club", edition_id, detail):
        return read_edition(work, edition_id)


def read_edition(work: UnitOfWork, edition_id: UUID) -> Edition:
    """One edition."""
    return _read_edition(work, edition_id, lock=False)


def draft_to_change(work: UnitOfWork, edition_id: UUID) -> Edition:
    """A draft, which nobody else changes or publishes until this unit of work ends.

    Raises `wrong-state` for a published edition.
    """
    edition = _read_edition(work, edition_id, lock=True)
    if edition.status is not EditionStatus.DRAFT:
        raise ProblemError(
            problems.WRONG_STATE,
            f"The edition {edition.name!r} is published and stays as it is; make a draft with `copy_of` to go on.",
        )
    return edition


def change_edition(work: UnitOfWork, edition_id: UUID, change: EditionChange, if_match: int) -> Edition:
    """Rename or redate a draft."""
    before = draft_to_change(work, edition_id)
    if change.name != before.name:
        _refuse_taken_edition_name(work, change.name)
    edit_row(work, EditionRow, edition_id, if_match, "edition", **change.model_dump())
    return _recorded_change(work, "change", before)


def publish_edition(work: UnitOfWork, edition_id: UUID) -> Edition:
    """Close a draft for good, so that estimates can rely on it. Raises `wrong-state` where it has no items."""
    before = draft_to_change(work, edition_id)
    an_item = select(ItemRow.code).where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)
    if work.session.scalar(an_item.limit(1)) is None:
        raise ProblemError(
            problems.WRONG_STATE, f"The draft {before.name!r} has no items; it needs at least one."
        )
    edit_row(
        work, EditionRow, edition_id, before.version, "edition", status=EditionStatus.PUBLISHED,
        published_at=work.now,
    )  # fmt: skip
    return _recorded_change(work, "publish", before)


def delete_edition(work: UnitOfWork, edition_id: UUID, if_match: int) -> None:
    """Delete a draft with its items and vendors' terms."""
    before = draft_to_change(work, edition_id)
    items = (ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id)
    count = work.session.scalar(select(func.count()).where(*items))
    work.session.execute(delete(ItemRow).where(*items))
    work.session.execute(
        delete(EditionVendorRow).where(
            EditionVendorRow.club_id == work.club_id, EditionVendorRow.edition_id == edition_id
        )
    )
    delete_row(work, EditionRow, edition_id, if_match, "edition")
    record(
        work, "delete", "edition", edition_id, before=before.model_dump(mode="json") | {"item_count": count}
    )


def items_with_codes(work: UnitOfWork, edition_id: UUID, codes: Collection[str]) -> dict[str, CatalogItem]:
    """The items of an edition among some codes, by code."""
    statement = (
        select(*_PRICED)
        .outerjoin(VendorRow, (VendorRow.club_id == ItemRow.club_id) & (VendorRow.id == ItemRow.vendor_id))
        .where(ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id, ItemRow.code.in_(codes))
    )
    return {row.code: _catalog_item(row) for row in work.session.execute(statement)}


def vendor_terms(work: UnitOfWork, edition_id: UUID) -> Mapping[UUID, VendorTermsFacts]:
    """What an edition says of its vendors, by their ids; vendors without terms of their own are not there."""
    row = EditionVendorRow
    statement = (
        select(
            row.vendor_id, VendorRow.name.label("vendor_name"), row.currency, row.exchange_rate, row.rate_date,
            row.rate_source, row.mobilization_micros,
        )
        .join(VendorRow, (VendorRow.club_id == row.club_id) & (VendorRow.id == row.vendor_id))
        .where(row.club_id == work.club_id, row.edition_id == edition_id)
    )  # fmt: skip
    return {row.vendor_id: _facts(row) for row in work.session.execute(statement)}


def vendor_currencies(work: UnitOfWork, edition_id: UUID) -> dict[UUID, Currency]:
    """The currencies of the vendors that have terms in an edition."""
    statement = select(EditionVendorRow.vendor_id, EditionVendorRow.currency).where(
        EditionVendorRow.club_id == work.club_id, EditionVendorRow.edition_id == edition_id
    )
    return {row.vendor_id: cast(Currency, row.currency) for row in work.session.execute(statement)}


def _facts(row: Row[*tuple[Any, ...]]) -> VendorTermsFacts:
    fields = dict(row._mapping)
    rate = fields["exchange_rate"]
    fields["exchange_rate"] = None if rate is None else Decimal(rate)
    return VendorTermsFacts(mobilization=from_micros(fields.pop("mobilization_micros")), **fields)


def _catalog_item(row: Row[*tuple[Any, ...]]) -> CatalogItem:
    source = PriceSource(row.price_source) if row.price_source is not None else None
    return CatalogItem(**{**row._mapping, "kind": ItemKind(row.kind), "price_source": source})


def _read_edition(work: UnitOfWork, edition_id: UUID, *, lock: bool) -> Edition:
    statement = select(*_EDITION).where(EditionRow.club_id == work.club_id, EditionRow.id == edition_id)
    if lock:
        statement = statement.with_for_update(key_share=True)
    row = work.session.execute(statement).first()
    if row is None:
        raise missing("edition")
    return _edition_of(row)


def _edition_of(row: Row[*tuple[Any, ...]]) -> Edition:
    return Edition(**row._mapping)


def _recorded_change(work: UnitOfWork, action: str, before: Edition) -> Edition:
    after = read_edition(work, before.id)
    record(work, action, "edition", before.id, before, after)
    return after


def _refuse_unknown_source(work: UnitOfWork, source_id: UUID) -> None:
    of_club = (EditionRow.club_id == work.club_id, EditionRow.id == source_id)
    if work.session.scalar(select(EditionRow.id).where(*of_club)) is None:
        refusals = Refusals("NewEdition")
        refusals.add("copy_of", "the id of an edition of this club", str(source_id))
        refusals.raise_any()


def _copy_rows(work: UnitOfWork, rows: Any, source_id: UUID, target_id: UUID) -> None:
    """All rows of an edition in a table once more, as first versions in another edition."""
    table = rows.__table__
    replaced: dict[str, Any] = {"edition_id": literal(target_id, rows.edition_id.type), "version": literal(1)}
    columns = [replaced.get(column.name, column) for column in table.c]
    source = select(*columns).where(rows.club_id == work.club_id, rows.edition_id == source_id)
    work.session.execute(insert(rows).from_select([column.name for column in table.c], source))


def _refuse_taken_vendor_name(work: UnitOfWork, name: str) -> None:
    taken = select(VendorRow.id).where(VendorRow.club_id == work.club_id, VendorRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already a vendor named {name!r}.")


def _refuse_taken_edition_name(work: UnitOfWork, name: str) -> None:
    taken = select(EditionRow.id).where(EditionRow.club_id == work.club_id, EditionRow.name == name)
    if work.session.scalar(taken) is not None:
        raise ProblemError(problems.DUPLICATE, f"There is already an edition named {name!r}.")
