"""What holds for all of a vendor's items in an edition: currency with its rate, mobilization."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, Select, delete, insert, select, update
from swardcost_model import problems
from swardcost_model.catalog import Edition, NewVendorTerms, VendorTerms, VendorTermsChange
from swardcost_model.paging import Page
from swardcost_model.price_terms import VendorTermsFields
from swardcost_model.problems import ProblemError
from swardcost_model.values import from_micros, plain, to_micros

from swardcost_api.access.service import record
from swardcost_api.catalog.refusals import Refusals
from swardcost_api.catalog.service import draft_to_change, read_edition, refuse_unknown_vendor
from swardcost_api.catalog.tables import EditionVendorRow, ItemRow, VendorRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.work import UnitOfWork

_TERMS = (
    EditionVendorRow.edition_id, EditionVendorRow.vendor_id, EditionVendorRow.currency, EditionVendorRow.exchange_rate,
    EditionVendorRow.rate_date, EditionVendorRow.rate_source, EditionVendorRow.mobilization_micros,
    EditionVendorRow.note, EditionVendorRow.version, VendorRow.name.label("vendor_name"), VendorRow.name,
)  # fmt: skip
_ITEMS_NAMED = 10


def create_vendor_terms(work: UnitOfWork, edition_id: UUID, new: NewVendorTerms) -> VendorTerms:
    """Give a vendor terms in a draft. Raises `duplicate` where it has some there."""
    edition = draft_to_change(work, edition_id)
    _refuse_unusable(new, edition)
    refuse_unknown_vendor(work, new.vendor_id)
    if work.session.execute(_select_terms(work, edition_id, new.vendor_id)).first() is not None:
        raise ProblemError(
            problems.DUPLICATE, "The vendor has terms in this edition already; edit those instead."
        )
    work.session.execute(
        insert(EditionVendorRow).values(
            club_id=work.club_id, edition_id=edition_id, vendor_id=new.vendor_id, version=1, **_stored(new)
        )
    )
    after = read_vendor_terms(work, edition_id, new.vendor_id)
    record(work, "create", "vendor_terms", new.vendor_id, after=after)
    return after


def list_vendor_terms(
    work: UnitOfWork, edition_id: UUID, limit: int, cursor: str | None
) -> Page[VendorTerms]:
    """The terms of an edition's vendors, by the vendors' names."""
    read_edition(work, edition_id)
    rows, following = read_page(work, _select_all(work, edition_id), (VendorRow.name,), limit, cursor)
    return Page[VendorTerms](items=[_terms_of(row) for row in rows], next=following)


def all_vendor_terms(work: UnitOfWork, edition_id: UUID) -> list[VendorTerms]:
    """The terms of all of an edition's vendors, by the vendors' names."""
    statement = _select_all(work, edition_id).order_by(VendorRow.name)
    return [_terms_of(row) for row in work.session.execute(statement)]


def read_vendor_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID) -> VendorTerms:
    """A vendor's terms in an edition. Raises `not-found` where it has none there."""
    row = work.session.execute(_select_terms(work, edition_id, vendor_id)).first()
    if row is None:
        raise ProblemError(
            problems.NOT_FOUND, "There are no terms of this vendor in an edition with this id."
        )
    return _terms_of(row)


def change_vendor_terms(
    work: UnitOfWork, edition_id: UUID, vendor_id: UUID, change: VendorTermsChange, if_match: int
) -> VendorTerms:
    """Replace a vendor's terms in a draft; its currency stays while items are priced in it."""
    edition = draft_to_change(work, edition_id)
    before = _current_terms(work, edition_id, vendor_id, if_match)
    _refuse_unusable(change, edition)
    if change.currency != before.currency:
        named = _items_priced_by(work, edition, before)
        if named:
            refusals = Refusals("VendorTerms")
            refusals.add(
                "currency", f"{before.currency}, in which the vendor prices {named}", change.currency
            )
            refusals.raise_any()
    work.session.execute(
        update(EditionVendorRow)
        .where(*_are_terms(work, edition_id, vendor_id))
        .values(version=if_match + 1, **_stored(change))
    )
    after = read_vendor_terms(work, edition_id, vendor_id)
    record(work, "change", "vendor_terms", vendor_id, before, after)
    return after


def delete_vendor_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID, if_match: int) -> None:
    """Take a vendor's terms out of a draft. Raises `in-use` while their exchange rate is needed."""
    edition = draft_to_change(work, edition_id)
    before = _current_terms(work, edition_id, vendor_id, if_match)
    named = _items_priced_by(work, edition, before)
    if named:
        raise ProblemError(
            problems.IN_USE,
            f"The vendor prices {named} in {before.currency}, which needs the exchange rate of these terms.",
        )
    work.session.execute(delete(EditionVendorRow).where(*_are_terms(work, edition_id, vendor_id)))
    record(work, "delete", "vendor_terms", vendor_id, before)


def _items_priced_by(work: UnitOfWork, edition: Edition, terms: VendorTerms) -> str:
    """The items that only these terms allow to be in their currency, in words; empty if there are none."""
    if terms.currency == edition.currency:
        return ""
    statement = select(ItemRow.code).where(
        ItemRow.club_id == work.club_id, ItemRow.edition_id == edition.id,
        ItemRow.vendor_id == terms.vendor_id, ItemRow.currency == terms.currency,
    )  # fmt: skip
    codes = list(work.session.scalars(statement.order_by(ItemRow.code)))
    more = [f"{len(codes) - _ITEMS_NAMED} more"] if len(codes) > _ITEMS_NAMED else []
    return ", ".join(codes[:_ITEMS_NAMED] + more)


def _refuse_unusable(fields: VendorTermsFields, edition: Edition) -> None:
    """Raise a validation error for a currency without its rate, or a rate without a currency to convert."""
    refusals = Refusals("VendorTerms")
    for name in ("exchange_rate", "rate_date", "rate_source"):
        given = getattr(fields, name)
        if fields.currency == edition.currency and given is not None:
            refusals.add(
                name, f"none, since the vendor's currency is the edition's, {edition.currency}", str(given)
            )
        if fields.currency != edition.currency and given is None:
            words = {
                "exchange_rate": f"what one {fields.currency} is in {edition.currency}",
                "rate_date": "the day of the exchange rate",
                "rate_source": "where the exchange rate comes from",
            }  # fmt: skip
            refusals.add(name, words[name], None)
    refusals.raise_any()


def _stored(fields: VendorTermsFields) -> dict[str, Any]:
    """Terms as columns."""
    columns = fields.model_dump(exclude={"vendor_id", "exchange_rate", "mobilization"})
    rate = fields.exchange_rate
    return columns | {
        "exchange_rate": plain(rate) if rate is not None else None,
        "mobilization_micros": to_micros(fields.mobilization),
    }


def _are_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID) -> tuple[Any, ...]:
    row = EditionVendorRow
    return row.club_id == work.club_id, row.edition_id == edition_id, row.vendor_id == vendor_id


def _select_all(work: UnitOfWork, edition_id: UUID) -> Select[*tuple[Any, ...]]:
    row = EditionVendorRow
    statement: Select[*tuple[Any, ...]] = select(*_TERMS).join(
        VendorRow, (VendorRow.club_id == row.club_id) & (VendorRow.id == row.vendor_id)
    )
    return statement.where(row.club_id == work.club_id, row.edition_id == edition_id)


def _select_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID) -> Select[*tuple[Any, ...]]:
    return _select_all(work, edition_id).where(EditionVendorRow.vendor_id == vendor_id)


def _current_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID, if_match: int) -> VendorTerms:
    """The terms in a locked draft, if they are still at the version that an edit names."""
    terms = read_vendor_terms(work, edition_id, vendor_id)
    if terms.version != if_match:
        raise ProblemError(
            problems.STALE_VERSION,
            f"These terms are at version {terms.version}; the edit was made against {if_match}.",
        )
    return terms


def _terms_of(row: Row[*tuple[Any, ...]]) -> VendorTerms:
    fields = dict(row._mapping)
    del fields["name"]
    rate = fields["exchange_rate"]
    fields["exchange_rate"] = None if rate is None else Decimal(rate)
    return VendorTerms.model_construct(mobilization=from_micros(fields.pop("mobilization_micros")), **fields)
