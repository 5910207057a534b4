"""An edition's items as a CSV file, out and in without loss."""

from collections.abc import Mapping, Sequence
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import bindparam, insert, select, update
from swardcost_model import problems
from swardcost_model.catalog import Edition, EditionExport, Item, ItemsPut, NewItem
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import plain

from swardcost_api.access.service import record
from swardcost_api.catalog.items import STORED, all_items, refuse_unusable, stored
from swardcost_api.catalog.service import draft_to_change, read_edition, vendor_ids_by_name
from swardcost_api.catalog.tables import ItemRow
from swardcost_api.csv_files import CsvRow, read_rows, row_faults, write_rows
from swardcost_api.storage.work import UnitOfWork

ITEM_COLUMNS = (
    "code", "kind", "description", "unit", "unit_price", "currency", "free", "taxable", "account", "vendor",
    "price_source", "priced_on", "valid_until", "note",
)  # fmt: skip
"""Header of the CSV file of items. Only `currency` may be left out; it is then the edition's."""

_FIELD_COLUMNS = {
    "unit_price/amount": "unit_price",
    "unit_price/currency": "currency",
    "vendor_id": "vendor",
}
_AS_WRITTEN = ("code", "description", "unit", "note")
_ABSENT_WHEN_EMPTY = ("free", "taxable", "account", "price_source", "priced_on", "valid_until")


def export_edition(work: UnitOfWork, edition_id: UUID) -> EditionExport:
    """An edition with all its items."""
    edition = read_edition(work, edition_id)
    return EditionExport.model_construct(edition=edition, items=all_items(work, edition))


def write_items(export: EditionExport) -> str:
    """The items of an edition as a CSV file that `put_items` takes."""
    return write_rows(ITEM_COLUMNS, map(_cells, export.items))


def put_items(work: UnitOfWork, edition_id: UUID, upload: IO[bytes]) -> ItemsPut:
    """Add every item of a CSV file to a draft, replacing those of the same code, or change nothing.

    Raises `invalid-csv` (not readable) or `bad-rows` (each fault with row and column).
    """
    edition = draft_to_change(work, edition_id)
    items = _items_in(upload, edition, vendor_ids_by_name(work))
    present = _present_items(work, edition_id)
    added, replaced = [], []
    for item in items:
        columns = stored(item)
        before = present.get(item.code)
        if before is None:
            added.append({"club_id": work.club_id, "edition_id": edition_id, "code": item.code, "version": 1}
                         | columns)  # fmt: skip
        elif before != tuple(columns.values()):
            replaced.append({"of_code": item.code} | columns)
    _write(work, edition_id, added, replaced)
    unchanged = len(items) - len(added) - len(replaced)
    result = ItemsPut(added=len(added), replaced=len(replaced), unchanged=unchanged)
    record(work, "upload", "edition", edition_id, after=result)
    return result


def _items_in(upload: IO[bytes], edition: Edition, vendors: Mapping[str, UUID]) -> list[NewItem]:
    """The items of the file. Raises `bad-rows` with every fault, also for a code that comes twice."""
    items: list[NewItem] = []
    faults: list[Fault] = []
    row_of_code: dict[str, int] = {}
    for row in read_rows(upload, ITEM_COLUMNS, optional=("currency",)):
        vendor = row.cells["vendor"]
        if vendor and vendor not in vendors:
            expected = "the name of a vendor of the club; add the vendor first"
            faults.append(Fault(pointer=f"row {row.number}, vendor", expected=expected, got=vendor[:120]))
        try:
            item = NewItem.model_validate(_fields(row, edition.currency, vendors))
            refuse_unusable(item, edition.currency)
        except ValidationError as error:
            faults += row_faults(row.number, error, _FIELD_COLUMNS)
            continue
        first = row_of_code.setdefault(item.code, row.number)
        if first != row.number:
            expected = f"a code other than in row {first}"
            faults.append(Fault(pointer=f"row {row.number}, code", expected=expected, got=item.code))
        items.append(item)
    if faults:
        raise ProblemError(problems.BAD_ROWS, f"{len(faults)} faults; no item was changed.", faults)
    return items


def _fields(row: CsvRow, currency: str, vendors: Mapping[str, UUID]) -> dict[str, Any]:
    """A row of the file as the fields of an item; the cell of a field that may be absent may be empty."""
    cells = row.cells
    fields: dict[str, Any] = {name: cells[name] for name in _AS_WRITTEN}
    fields |= {name: cells[name] for name in _ABSENT_WHEN_EMPTY if cells[name]}
    fields["kind"] = cells["kind"].lower()
    if cells["unit_price"]:
        fields["unit_price"] = {"amount": cells["unit_price"], "currency": cells["currency"] or currency}
    if cells["vendor"]:
        fields["vendor_id"] = vendors.get(cells["vendor"])
    return fields


def _cells(item: Item) -> Sequence[Any]:
    price, source = item.unit_price, item.price_source
    return (
        item.code, item.kind.value, item.description, item.unit,
        plain(price.amount) if price is not None else None, price.currency if price is not None else None,
        _yes_or_no(item.free), _yes_or_no(item.taxable), item.account, item.vendor_name,
        source.value if source is not None else None, item.priced_on, item.valid_until, item.note,
    )  # fmt: skip


def _yes_or_no(value: bool) -> str:
    return "yes" if value else "no"


def _present_items(work: UnitOfWork, edition_id: UUID) -> dict[str, tuple[Any, ...]]:
    statement = select(ItemRow.code, *(getattr(ItemRow, name) for name in STORED)).where(
        ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id
    )
    return {code: tuple(columns) for code, *columns in work.session.execute(statement)}


def _write(
    work: UnitOfWork, edition_id: UUID, added: Sequence[dict[str, Any]], replaced: Sequence[dict[str, Any]]
) -> None:
    """Two statements, each sent in batches, however many items there are."""
    connection = work.session.connection()
    if added:
        connection.execute(insert(ItemRow), added)
    if replaced:
        connection.execute(
            update(ItemRow)
            .where(
                ItemRow.club_id == work.club_id,
                ItemRow.edition_id == edition_id,
                ItemRow.code == bindparam("of_code"),
            )
            .values(version=ItemRow.version + 1, **{name: bindparam(name) for name in STORED}),
            replaced,
        )
