"""HTTP operations of vendors, editions and items."""

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
    ItemsPut,
    NewEdition,
    NewItem,
    NewVendor,
    Vendor,
    VendorChange,
)
from swardcost_model.paging import Page

from swardcost_api.catalog import item_files, items, service
from swardcost_api.operations import CLUB, Cursor, Face, Limit, Query, Room
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Catalog", "Vendors, and editions of priced items; estimates name the edition they were priced with."
)
PRICERS = frozenset({Role.SUPERINTENDENT, Role.OWNER})

VENDORS = CLUB + "/vendors"
EDITIONS = CLUB + "/editions"
EDITION = EDITIONS + "/{edition_id}"
ITEMS = EDITION + "/items"
ITEM = ITEMS + "/{code}"


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
    """Refused while an item of any edition names the vendor."""
    service.delete_vendor(work, vendor_id, if_match)


@room.create(EDITIONS, "Make a draft edition", needs=PRICERS)
def create_edition(work: UnitOfWork, data: NewEdition) -> Edition:
    """The draft is empty, or has the items of the edition that `copy_of` names."""
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
    """It needs at least one item. From then on neither the edition nor its items can be changed."""
    return service.publish_edition(work, edition_id)


@room.remove(
    EDITION, "Delete a draft with its items", needs=PRICERS, problems=[problems.WRONG_STATE, problems.IN_USE]
)
def delete_edition(work: UnitOfWork, edition_id: UUID, if_match: int) -> None:
    service.delete_edition(work, edition_id, if_match)


@room.create(ITEMS, "Add an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def create_item(work: UnitOfWork, edition_id: UUID, data: NewItem) -> Item:
    """Only in a draft. An item may be without a price; a price of zero must be confirmed by `free`."""
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
    faces=[Face("text/csv", item_files.write_items)],
)
def export_edition(work: UnitOfWork, edition_id: UUID) -> EditionExport:
    """All items at once; as CSV, the file that an upload takes."""
    return item_files.export_edition(work, edition_id)


@room.create(
    ITEMS + "/upload",
    "Add or replace items from CSV",
    needs=PRICERS,
    upload=True,
    problems=[problems.BAD_ROWS, problems.WRONG_STATE],
)
def put_items(work: UnitOfWork, edition_id: UUID, upload: IO[bytes]) -> ItemsPut:
    """Only in a draft. The columns are those of the CSV export; `currency` may be left out.

    Each row replaces the item of its code whole, or adds it. Vendors go by name and must exist.
    All rows are taken, or none.
    """
    return item_files.put_items(work, edition_id, upload)


@room.read(ITEM, "Read an item")
def read_item(work: UnitOfWork, edition_id: UUID, code: ItemCode) -> Item:
    return items.read_item(work, edition_id, code)


@room.edit(ITEM, "Edit an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def change_item(work: UnitOfWork, edition_id: UUID, code: ItemCode, data: ItemChange, if_match: int) -> Item:
    """Only in a draft."""
    return items.change_item(work, edition_id, code, data, if_match)


@room.remove(ITEM, "Delete an item", needs=PRICERS, problems=[problems.WRONG_STATE])
def delete_item(work: UnitOfWork, edition_id: UUID, code: ItemCode, if_match: int) -> None:
    """Only in a draft."""
    items.delete_item(work, edition_id, code, if_match)
