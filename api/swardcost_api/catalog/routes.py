"""HTTP operations of vendors, editions, items and the vendors' terms in an edition."""

from typing import IO, Annotated, Literal
from uuid import UUID

from swardcost_model import problems
from swardcost_model.access import Role
from swardcost_model.catalog import (
    Edition,
    EditionChange,
    EditionExport,
    EditionStatus,
    Item,
    ItemChange,
    ItemCode,
    ItemKind,
    ItemRate,
    ItemsPut,
    NewEdition,
    NewItem,
    NewVendor,
    NewVendorTerms,
    Vendor,
    VendorChange,
    VendorTerms,
    VendorTermsChange,
)
from swardcost_model.paging import Page
from swardcost_model.price_moves import CarriedForward, CarryForward, EditionComparison, PriceHistory

from swardcost_api.catalog import (
    hourly_rates,
    item_files,
    item_workbook,
    items,
    price_moves,
    service,
    vendor_terms,
)
from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CLUB, CSV, SVG, XLSX, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Catalog", "Vendors, and editions of priced items; estimates name the edition they were priced with."
)
PRICERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})


def _moves_csv(found: EditionComparison) -> str:
    return write_rows(price_moves.MOVE_COLUMNS, price_moves.move_cells(found.moves))


VENDORS = CLUB + "/vendors"
EDITIONS = CLUB + "/editions"
EDITION = EDITIONS + "/{edition_id}"
ITEMS = EDITION + "/items"
ITEM = ITEMS + "/{code}"
ALL_TERMS = EDITION + "/vendor-terms"
TERMS = ALL_TERMS + "/{vendor_id}"


@room.create(VENDORS, "Add a vendor", needs=PRICERS)
def create_vendor(work: UnitOfWork, data: NewVendor) -> Vendor:
    return service.create_vendor(work, data)


@room.read(VENDORS, "List the vendors")
def list_vendors(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Vendor]:
    return service.list_vendors(work, limit, cursor)


@room.read(VENDORS + "/{vendor_id}", "Read a vendor")
def read_vendor(work: UnitOfWork, vendor_id: UUID) -> Vendor:
    return service.read_vendor(work, vendor_id)


@room.edit(VENDORS + "/{vendor_id}", "Edit a vendor", needs=PRICERS)
def change_vendor(work: UnitOfWork, vendor_id: UUID, data: VendorChange, if_match: int) -> Vendor:
    return service.change_vendor(work, vendor_id, data, if_match)


@room.remove(VENDORS + "/{vendor_id}", "Delete a vendor", needs=PRICERS, problems=[problems.IN_USE])
def delete_vendor(work: UnitOfWork, vendor_id: UUID, if_match: int) -> None:
    """Refused while an item of any edition names the vendor, or an edition has terms of it."""
    service.delete_vendor(work, vendor_id, if_match)


@room.create(EDITIONS, "Make a draft edition", needs=PRICERS)
def create_edition(work: UnitOfWork, data: NewEdition) -> Edition:
    """The draft is empty, or has the items and vendors' terms of the edition that `copy_of` names."""
    return service.create_edition(work, data)


@room.read(EDITIONS, "List the editions")
def list_editions(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    status: Annotated[
        EditionStatus | None, Query("Only editions of this status.", example="published")
    ] = None,
) -> Page[Edition]:
    """Latest first."""
    return service.list_editions(work, limit, cursor, status)


@room.read(EDITION, "Read an edition")
def read_edition(work: UnitOfWork, edition_id: UUID) -> Edition:
    return service.read_edition(work, edition_id)


@room.edit(EDITION, "Rename or redate a draft", needs=PRICERS, problems=[problems.WRONG_STATE])
def change_edition(work: UnitOfWork, edition_id: UUID, data: EditionChange, if_match: int) -> Edition:
    return service.change_edition(work, edition_id, data, if_match)


@room.act(EDITION + "/publish", "Publish a draft", needs=PRICERS, problems=[problems.WRONG_STATE])
def publish_edition(work: UnitOfWork, edition_id: UUID) -> Edition:
    """It needs at least one item. From then on neither the edition nor its items and terms can be changed."""
    return service.publish_edition(work, edition_id)


@room.remove(
    EDITION, "Delete a draft with its items", needs=PRICERS, problems=[problems.WRONG_STATE, problems.IN_USE]
)
def delete_edition(work: UnitOfWork, edition_id: UUID, if_match: int) -> None:
    service.delete_edition(work, edition_id, if_match)


@room.create(ITEMS, "Add an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def create_item(work: UnitOfWork, edition_id: UUID, data: NewItem) -> Item:
    """Only in a draft. An item may be without a price; a price of zero must be confirmed by `free`.

    Terms say what a price list does beside the price: breaks, minimums, delivery and surcharges; rental rates; or the
    build-up of an hourly rate, from which the unit price is computed. A price in another currency than the edition's
    needs vendor's terms with an exchange rate first.
    """
    return items.create_item(work, edition_id, data)


@room.read(ITEMS, "List the items of an edition")
def list_items(
    work: UnitOfWork,
    edition_id: UUID,
    limit: Limit = 50,
    cursor: Cursor = None,
    kind: Annotated[ItemKind | None, Query("Only items of this kind.", example="material")] = None,
    vendor_id: Annotated[UUID | None, Query("Only items of this vendor.")] = None,
    account: Annotated[str | None, Query("Only items of this ledger account.", example="1520-10")] = None,
    unpriced: Annotated[bool | None, Query("Only items without a price, or (false) with one.")] = None,
    sort: Annotated[
        Literal["code", "-code"], Query("By code, from the first or (-) from the last.")
    ] = "code",
) -> Page[Item]:
    return items.list_items(
        work, edition_id, limit, cursor, kind=kind, vendor_id=vendor_id, account=account, unpriced=unpriced,
        descending=sort == "-code",
    )  # fmt: skip


@room.read(
    ITEMS + "/export",
    "Read a whole edition",
    faces=[Face(CSV, item_files.write_items), Face(XLSX, item_workbook.write_edition)],
    reads=item_files.export_edition,
)
def export_edition(export: EditionExport) -> EditionExport:
    """All items at once, and the vendors' terms; as CSV or as a workbook, the file that an upload takes."""
    return export


@room.create(
    ITEMS + "/upload",
    "Add or replace items from CSV or a workbook",
    needs=PRICERS,
    upload=True,
    upload_media_types=[CSV, XLSX],
    problems=[problems.BAD_ROWS, problems.WRONG_STATE],
)
def put_items(work: UnitOfWork, edition_id: UUID, upload: IO[bytes], media_type: str) -> ItemsPut:
    """Only in a draft. The columns are those of the export as CSV, or of its workbook's sheet Items.

    Columns of currency, low and high price, tax class, operating budget, first day, reference and terms may be left
    out; what they say then has its default. Each row replaces the item of its code whole, or adds it. Vendors go by
    name and must exist. All rows are taken, or none.
    """
    return item_files.put_items(work, edition_id, upload, media_type)


@room.read(ITEM, "Read an item")
def read_item(work: UnitOfWork, edition_id: UUID, code: ItemCode) -> Item:
    return items.read_item(work, edition_id, code)


@room.read(ITEM + "/rate", "Explain an item's hourly rate")
def read_item_rate(work: UnitOfWork, edition_id: UUID, code: ItemCode) -> ItemRate:
    """The elements of a build-up of labor or an owned machine, in full and in cash, with every step."""
    return hourly_rates.rate_of_item(work, items.read_item(work, edition_id, code))


@room.edit(ITEM, "Edit an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def change_item(work: UnitOfWork, edition_id: UUID, code: ItemCode, data: ItemChange, if_match: int) -> Item:
    """Only in a draft."""
    return items.change_item(work, edition_id, code, data, if_match)


@room.remove(ITEM, "Delete an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def delete_item(work: UnitOfWork, edition_id: UUID, code: ItemCode, if_match: int) -> None:
    """Only in a draft."""
    items.delete_item(work, edition_id, code, if_match)


@room.create(ALL_TERMS, "Give a vendor terms in a draft", needs=PRICERS, problems=[problems.WRONG_STATE])
def create_vendor_terms(work: UnitOfWork, edition_id: UUID, data: NewVendorTerms) -> VendorTerms:
    """Currency with its exchange rate, and mobilization: what holds for all of the vendor's items in the edition.

    A vendor needs none as long as its prices are in the edition's currency and it charges no mobilization.
    """
    return vendor_terms.create_vendor_terms(work, edition_id, data)


@room.read(ALL_TERMS, "List the vendors' terms in an edition")
def list_vendor_terms(
    work: UnitOfWork, edition_id: UUID, limit: Limit = 50, cursor: Cursor = None
) -> Page[VendorTerms]:
    """By the vendors' names."""
    return vendor_terms.list_vendor_terms(work, edition_id, limit, cursor)


@room.read(TERMS, "Read a vendor's terms in an edition")
def read_vendor_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID) -> VendorTerms:
    return vendor_terms.read_vendor_terms(work, edition_id, vendor_id)


@room.edit(TERMS, "Edit a vendor's terms", needs=PRICERS, problems=[problems.WRONG_STATE])
def change_vendor_terms(
    work: UnitOfWork, edition_id: UUID, vendor_id: UUID, data: VendorTermsChange, if_match: int
) -> VendorTerms:
    """Only in a draft. The currency stays while items of the vendor are priced in it."""
    return vendor_terms.change_vendor_terms(work, edition_id, vendor_id, data, if_match)


@room.remove(
    TERMS, "Take back a vendor's terms", needs=PRICERS, problems=[problems.WRONG_STATE, problems.IN_USE]
)
def delete_vendor_terms(work: UnitOfWork, edition_id: UUID, vendor_id: UUID, if_match: int) -> None:
    """Only in a draft, and not while items of the vendor are priced in a currency that needs their exchange rate."""
    vendor_terms.delete_vendor_terms(work, edition_id, vendor_id, if_match)


@room.read(
    EDITION + "/comparison",
    "Compare an edition with an earlier one",
    problems=[problems.INVALID_VALUES],
    faces=[Face("text/csv", _moves_csv)],
)
def compare_editions(
    work: UnitOfWork,
    edition_id: UUID,
    earlier_edition_id: Annotated[UUID, Query("The edition to compare with.")],
) -> EditionComparison:
    """Items added and gone, prices moved, units and terms changed."""
    return price_moves.compare_editions(work, edition_id, earlier_edition_id)


@room.act(
    EDITION + "/carry-forward",
    "Carry the prices of an edition forward into a draft",
    needs=PRICERS,
    problems=[problems.WRONG_STATE, problems.INVALID_VALUES],
)
def carry_forward(work: UnitOfWork, edition_id: UUID, data: CarryForward) -> CarriedForward:
    """Every price, also those in breaks, charges and build-ups, moved by a percentage or a price index.

    A carried price counts as an estimate at the draft's price date, however firm it was before.
    """
    return price_moves.carry_forward(work, edition_id, data)


@room.read(
    CLUB + "/price-history/{code}",
    "Read the price history of an item",
    faces=[Face(SVG, price_moves.history_chart)],
)
def read_price_history(work: UnitOfWork, code: ItemCode) -> PriceHistory:
    """Its price in every published edition, the oldest first; as SVG, a chart."""
    return price_moves.price_history(work, code)
