"""An edition's items as a CSV file or a workbook, out and in without loss."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import islice
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import bindparam, insert, select, update
from swardcost_model import problems
from swardcost_model.catalog import EditionExport, ItemsPut, NewItem
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import plain

from swardcost_api import csv_files, xlsx_files
from swardcost_api.access.service import record
from swardcost_api.catalog.item_cells import COLUMNS, OPTIONAL, cells_of, faults_of_row, fields_of
from swardcost_api.catalog.item_rules import Currencies, prices_of
from swardcost_api.catalog.items import STORED, all_items, currencies_of, stored
from swardcost_api.catalog.service import draft_to_change, read_edition, vendor_ids_by_name
from swardcost_api.catalog.tables import ItemRow
from swardcost_api.catalog.vendor_terms import all_vendor_terms
from swardcost_api.csv_files import CsvRow
from swardcost_api.faults import FAULTS_SHOWN, faults_of
from swardcost_api.operations import XLSX
from swardcost_api.storage.work import UnitOfWork

MAX_ITEMS = 100_000
"""Items of one file."""
MAX_BUILD_UPS = 2000
"""Items of one file whose price is built up, which takes some hundred times as long as to read one that is stated."""

SHEET = "Items"
_BATCH = 5000
_Columns = dict[str, Any]


def export_edition(work: UnitOfWork, edition_id: UUID) -> EditionExport:
    """An edition with all its items, and the terms of their vendors."""
    edition = read_edition(work, edition_id)
    return EditionExport.model_construct(
        edition=edition,
        items=all_items(work, edition_id),
        vendor_terms=all_vendor_terms(work, edition_id),
    )


def write_items(export: EditionExport) -> str:
    """The items of an edition as a CSV file that `put_items` takes."""
    return csv_files.write_rows(
        COLUMNS, ([_in_csv(cell) for cell in cells_of(item)] for item in export.items)
    )


def _in_csv(cell: Any) -> Any:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return plain(cell) if isinstance(cell, Decimal) else cell


def put_items(work: UnitOfWork, edition_id: UUID, upload: IO[bytes], media_type: str) -> ItemsPut:
    """Add every item of a file to a draft, replacing those of the same code, or change nothing.

    Raises `invalid-csv` or `invalid-workbook` (not readable), `too-large`, or `bad-rows` (each fault with row and
    column).
    """
    edition = draft_to_change(work, edition_id)
    reading = _Reading(currencies_of(work, edition), vendor_ids_by_name(work))
    items = reading.items(_rows(upload, media_type))
    added, replaced, unchanged = put_in_batches(work, edition_id, items)
    reading.refuse_faults()
    result = ItemsPut(added=added, replaced=replaced, unchanged=unchanged)
    record(work, "upload", "edition", edition_id, after=result)
    return result


def _rows(upload: IO[bytes], media_type: str) -> Iterator[CsvRow]:
    if media_type == XLSX:
        return xlsx_files.read_rows(upload, SHEET, COLUMNS, OPTIONAL, max_rows=MAX_ITEMS)
    return csv_files.read_rows(upload, COLUMNS, OPTIONAL)


@dataclass
class _Reading:
    """Turns rows into the columns of items, and keeps what is wrong with them: the first faults, and how many."""

    currencies: Currencies
    vendors: Mapping[str, UUID]
    faults: list[Fault] = field(default_factory=list)
    fault_count: int = 0

    def items(self, rows: Iterable[CsvRow]) -> Iterator[tuple[str, _Columns]]:
        """The code and the columns of each item, none twice; after a fault the rest is read for its faults alone."""
        row_of_code: dict[str, int] = {}
        build_ups = 0
        for count, row in enumerate(rows, start=1):
            if count > MAX_ITEMS:
                raise ProblemError(problems.TOO_LARGE, f"A file may have {MAX_ITEMS:,} items.")
            item = self._item(row)
            if item is None:
                continue
            code, columns = item
            build_ups += columns["cash_micros"] is not None
            if build_ups > MAX_BUILD_UPS:
                expected = f"A file may have {MAX_BUILD_UPS:,} items with a build-up."
                raise ProblemError(problems.TOO_LARGE, expected)
            first = row_of_code.setdefault(code, row.number)
            if first != row.number:
                expected = f"a code other than in row {first}"
                self._keep([Fault(pointer=f"row {row.number}, code", expected=expected, got=code)])
                continue
            if not self.faults:
                yield code, columns

    def _item(self, row: CsvRow) -> tuple[str, _Columns] | None:
        """The code and the columns of the item in a row; `None`, and its faults are kept, if it cannot be used."""
        fields, faults = fields_of(row, self.currencies.own, self.vendors)
        item = None
        try:
            item = NewItem.model_validate(fields)
            columns = stored(item, prices_of(item, self.currencies))
        except ValidationError as error:
            # What the model refuses names the form of terms as if it were a field; what the rules refuse does not.
            faults += faults_of_row(row, faults_of(error, document=fields if item is None else None))
        if item is None or faults:
            self._keep(faults)
            return None
        return item.code, columns

    def _keep(self, faults: list[Fault]) -> None:
        self.fault_count += len(faults)
        self.faults += faults[: FAULTS_SHOWN - len(self.faults)]

    def refuse_faults(self) -> None:
        """Raise `bad-rows` if there are any."""
        if self.faults:
            raise ProblemError(
                problems.BAD_ROWS, f"{self.fault_count} faults; no item was changed.", self.faults
            )


def put_in_batches(
    work: UnitOfWork, edition_id: UUID, items: Iterable[tuple[str, _Columns]]
) -> tuple[int, int, int]:
    """Store items, each with its code: how many were added, replaced, and the same already.

    No statement names more than a batch of codes, which databases limit.
    """
    added = replaced = unchanged = 0
    rest = iter(items)
    while batch := dict(islice(rest, _BATCH)):
        counts = _put_batch(work, edition_id, batch)
        added, replaced, unchanged = added + counts[0], replaced + counts[1], unchanged + counts[2]
    return added, replaced, unchanged


def _put_batch(work: UnitOfWork, edition_id: UUID, batch: Mapping[str, _Columns]) -> tuple[int, int, int]:
    present = _present_items(work, edition_id, list(batch))
    added, replaced = [], []
    for code, columns in batch.items():
        before = present.get(code)
        if before is None:
            added.append(
                {"club_id": work.club_id, "edition_id": edition_id, "code": code, "version": 1} | columns
            )
        elif before != tuple(columns.values()):
            replaced.append({"of_code": code} | columns)
    _write(work, edition_id, added, replaced)
    return len(added), len(replaced), len(batch) - len(added) - len(replaced)


def _present_items(work: UnitOfWork, edition_id: UUID, codes: Sequence[str]) -> dict[str, tuple[Any, ...]]:
    statement = select(ItemRow.code, *(getattr(ItemRow, name) for name in STORED)).where(
        ItemRow.club_id == work.club_id, ItemRow.edition_id == edition_id, ItemRow.code.in_(codes)
    )
    return {code: tuple(columns) for code, *columns in work.session.execute(statement)}


def _write(
    work: UnitOfWork, edition_id: UUID, added: Sequence[_Columns], replaced: Sequence[_Columns]
) -> None:
    """Two statements, each sent for many items at once."""
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
