"""Offers chosen for a project's items: kept with their reason, and used in place of the catalog's prices."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from decimal import Decimal
from uuid import UUID

from sqlalchemy import delete, insert, select
from swardcost_model.catalog import PriceSource
from swardcost_model.values import Currency, from_minor

from swardcost_api.catalog.service import CatalogItem, VendorTermsFacts
from swardcost_api.engine.pricing.charge import Part
from swardcost_api.estimates.projects import hold_project
from swardcost_api.estimates.tables import ChosenPriceRow, EstimateLineRow
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Choice:
    """An offer chosen for an item, in the club's currency: a unit price, or a lump sum for the `quantity` asked for.

    `fixed_minor` is what the vendor charges once a visit, whatever is bought.
    """

    item: str
    quote_id: UUID
    quote_request: str
    vendor_id: UUID
    vendor_name: str
    unit: str
    quantity: str
    price_micros: int | None
    lump_minor: int | None
    fixed_minor: int
    received_on: date
    valid_until: date | None
    reference: str
    offers_compared: int
    reason: str
    chosen_by: str
    chosen_on: date


_CHOICE = tuple(
    column for column in ChosenPriceRow.__table__.c if column.name not in ("club_id", "project_id")
)


def choose_prices(work: UnitOfWork, project_id: UUID, choices: Sequence[Choice]) -> None:
    """Use these offers for their items from now on, in place of earlier choices for the same items.

    Estimates already priced stay as they are.
    """
    hold_project(work, project_id)
    work.session.execute(
        delete(ChosenPriceRow).where(
            ChosenPriceRow.club_id == work.club_id,
            ChosenPriceRow.project_id == project_id,
            ChosenPriceRow.item.in_([choice.item for choice in choices]),
        )
    )
    if choices:
        work.session.execute(
            insert(ChosenPriceRow),
            [{"club_id": work.club_id, "project_id": project_id, **asdict(choice)} for choice in choices],
        )


def drop_choices(work: UnitOfWork, project_id: UUID, quote_ids: Collection[UUID]) -> None:
    """Price what was chosen from these quotes by the catalog again; what another request's choice replaced stays so."""
    hold_project(work, project_id)
    work.session.execute(
        delete(ChosenPriceRow).where(
            ChosenPriceRow.club_id == work.club_id,
            ChosenPriceRow.project_id == project_id,
            ChosenPriceRow.quote_id.in_(quote_ids),
        )
    )


def choices_of(work: UnitOfWork, project_id: UUID) -> dict[str, Choice]:
    """The offers chosen for a project's items, by code."""
    statement = select(*_CHOICE).where(
        ChosenPriceRow.club_id == work.club_id, ChosenPriceRow.project_id == project_id
    )
    rows = work.session.execute(statement.order_by(ChosenPriceRow.item))
    return {row.item: Choice(**row._mapping) for row in rows}


def with_choices(
    items: Mapping[str, CatalogItem], choices: Mapping[str, Choice], currency: Currency
) -> dict[str, CatalogItem]:
    """The catalog's items, those with a chosen offer at its price and without the catalog's terms."""
    chosen = {
        code: replace(
            items[code], price_micros=choice.price_micros, cash_micros=None, low_micros=None, high_micros=None,
            currency=currency, stored_terms=None, free=False, vendor_id=choice.vendor_id,
            vendor_name=choice.vendor_name, price_source=PriceSource.QUOTE, priced_on=choice.received_on,
            valid_from=None, valid_until=choice.valid_until, reference=choice.reference,
        )
        for code, choice in choices.items()
        if code in items
    }  # fmt: skip
    return {**items, **chosen}


def with_chosen_vendors(
    vendors: Mapping[UUID, VendorTermsFacts], choices: Mapping[str, Choice], currency: Currency
) -> dict[UUID, VendorTermsFacts]:
    """The vendors' terms, with what the chosen offers charge once a visit in place of the catalog's mobilization."""
    from_offers = {
        choice.vendor_id: VendorTermsFacts(
            choice.vendor_id, choice.vendor_name, currency, None, None, None,
            from_minor(choice.fixed_minor, currency),
        )
        for choice in choices.values()
    }  # fmt: skip
    return {**vendors, **from_offers}


@dataclass(frozen=True, slots=True)
class ItemQuantity:
    """How much of an item an estimate buys, all its lines together."""

    item: str
    description: str
    unit: str
    quantity: Decimal


def quantities_of(work: UnitOfWork, estimate_id: UUID) -> list[ItemQuantity]:
    """The items of an estimate that have a quantity, by code: what vendors can be asked for.

    Delivery, surcharges and the like are not asked for; they are part of an offer.
    """
    rows = work.session.execute(
        select(
            EstimateLineRow.item, EstimateLineRow.description, EstimateLineRow.unit, EstimateLineRow.quantity
        )
        .where(
            EstimateLineRow.club_id == work.club_id,
            EstimateLineRow.estimate_id == estimate_id,
            EstimateLineRow.quantity.is_not(None),
            EstimateLineRow.part == Part.PRICE,
        )
        .order_by(EstimateLineRow.item, EstimateLineRow.number)
    )
    sums: dict[str, ItemQuantity] = {}
    for item, description, unit, text in rows:
        quantity = Decimal(text or 0)
        before = sums.get(item)
        if before is None:
            sums[item] = ItemQuantity(item, description, unit, quantity)
        elif before.unit == unit:
            sums[item] = replace(before, quantity=before.quantity + quantity)
    return list(sums.values())
