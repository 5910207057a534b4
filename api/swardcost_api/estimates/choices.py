"""Offers chosen for a project's items: kept with their reason, and used in place of the catalog's prices."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import delete, insert, select
from swardcost_model.catalog import PriceSource
from swardcost_model.values import Currency

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.estimates.projects import hold_project
from swardcost_api.estimates.tables import ChosenPriceRow
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS


@dataclass(frozen=True, slots=True)
class Choice:
    """An offer chosen for an item, in the club's currency: a unit price, a lump sum for the `quantity` asked for, or
    rental terms.

    `fixed_minor` is what the vendor charges once for the quote, whatever is bought by it. A lump sum holds while the
    quantity moves by no more than `lump_holds_percent`, and for the scope items asked for: those of `scope_item_ids`,
    or `None` where that was not kept. `rental` are the terms as they are stored.
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
    rental: dict[str, Any] | None
    lump_holds_percent: str
    scope_item_ids: list[str] | None
    received_on: date
    valid_until: date | None
    reference: str
    offers_compared: int
    reason: str
    chosen_by: str
    chosen_on: date

    @property
    def quote_named(self) -> str:
        """The quote in words: its vendor, what it was asked for, and where it is."""
        reference = self.reference
        if len(reference) > _LONGEST_REFERENCE:
            reference = reference[: _LONGEST_REFERENCE - 1] + "…"
        return ", ".join(part for part in (f"{self.vendor_name} for {self.quote_request}", reference) if part)


_LONGEST_REFERENCE = 200
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


@dataclass(frozen=True, slots=True)
class Offers:
    """An edition's items with the offers chosen for a project: `used` take the place of the catalog's prices, `unfit`
    cannot, since the edition sells the item by a unit that theirs cannot be expressed in."""

    items: Mapping[str, CatalogItem]
    used: Mapping[str, Choice]
    unfit: Mapping[str, Choice]


def with_choices(
    items: Mapping[str, CatalogItem], choices: Mapping[str, Choice], currency: Currency
) -> Offers:
    """The catalog's items, those with a chosen offer at its price and without the catalog's terms.

    Where the edition sells an item by another unit of the same kind than was asked for (short and metric tons), it is
    bought by the offer's unit, so that the quoted price is the price printed.
    """
    of_these = {code: choice for code, choice in choices.items() if code in items}
    used = {
        code: choice
        for code, choice in of_these.items()
        if UNITS[items[code].unit].dimension == UNITS[choice.unit].dimension
    }
    chosen = {
        code: replace(
            items[code], unit=choice.unit, price_micros=choice.price_micros, cash_micros=None, low_micros=None,
            high_micros=None, currency=currency, stored_terms=choice.rental, free=False, vendor_id=choice.vendor_id,
            vendor_name=choice.vendor_name, price_source=PriceSource.QUOTE, priced_on=choice.received_on,
            valid_from=None, valid_until=choice.valid_until, reference=choice.reference,
        )
        for code, choice in used.items()
    }  # fmt: skip
    unfit = {code: choice for code, choice in of_these.items() if code not in used}
    return Offers({**items, **chosen}, used, unfit)
