"""Assets from a CSV file or a workbook, as an export writes them: all rows or none."""

from collections.abc import Mapping
from typing import IO, Any
from uuid import UUID

from swardcost_model.assets import Asset, AssetFields, AssetUpload

from swardcost_api import csv_files, xlsx_files
from swardcost_api.access.service import read_club, record, record_all
from swardcost_api.capital.asset_cells import COLUMNS, OPTIONAL, SHEET, names_of
from swardcost_api.capital.asset_rows import MAX_ASSETS, RowReader
from swardcost_api.capital.assets import all_assets, columns_of, insert_assets, put_areas
from swardcost_api.capital.tables import AssetRow
from swardcost_api.course.service import AreaFacts, area_facts
from swardcost_api.estimates.service import named_estimates
from swardcost_api.operations import XLSX
from swardcost_api.storage.rows import edit_row
from swardcost_api.storage.work import UnitOfWork


def put_assets(work: UnitOfWork, upload: IO[bytes], media_type: str) -> AssetUpload:
    """Enter every asset of a file, replacing those of the same code, or change nothing.

    Each asset that is entered or changed leaves an audit row, and so does the upload. Raises `invalid-csv` or
    `invalid-workbook` (not readable), `too-large`, or `bad-rows` (each fault with row and column).
    """
    before = {one.code: one for one in all_assets(work)}
    reader = RowReader(before, _ids_of(area_facts(work)), read_club(work).currency, work.now.year)
    rows = (
        xlsx_files.read_rows(upload, SHEET, COLUMNS, OPTIONAL, max_rows=4 * MAX_ASSETS)
        if media_type == XLSX
        else csv_files.read_rows(upload, COLUMNS, OPTIONAL)
    )
    read = reader.assets(rows)
    _find_estimates(work, reader)
    reader.refuse_faults()
    added = [Asset(id=work.new_id(), version=1, **one.model_dump()) for one in read if one.code not in before]
    changed = [
        (was, Asset(id=was.id, version=was.version + 1, **one.model_dump()))
        for one in read
        if (was := before.get(one.code)) is not None and _fields(was) != _fields(one)
    ]
    insert_assets(work, added)
    for was, one in changed:
        edit_row(work, AssetRow, was.id, was.version, "asset", **columns_of(one))
        if was.area_ids != one.area_ids:
            put_areas(work, was.id, one.area_ids)
    record_all(work, "create", "asset", ((one.id, None, one) for one in added))
    record_all(work, "change", "asset", ((one.id, was, one) for was, one in changed))
    result = AssetUpload(
        rows=len(read),
        added=len(added),
        changed=len(changed),
        unchanged=len(read) - len(added) - len(changed),
    )
    record(work, "upload", "asset", work.new_id(), after=result)
    return result


def _find_estimates(work: UnitOfWork, reader: RowReader) -> None:
    """Have the reader note the rows whose estimates the club does not have."""
    named = reader.rows_by_estimate
    known = named_estimates(work, list(named)) if named else {}
    for estimate_id, row in named.items():
        if estimate_id not in known:
            reader.keep(row, [("estimate_id", "an estimate of this club", str(estimate_id))])


def _fields(fields: AssetFields) -> dict[str, Any]:
    return fields.model_dump(include=set(AssetFields.model_fields))


def _ids_of(areas: Mapping[UUID, AreaFacts]) -> dict[str, UUID]:
    """Areas by all that a file may call them."""
    by_name = {name: area_id for area_id, name in names_of(areas).items()}
    by_course = {f"{one.course}: {one.name}": area_id for area_id, one in areas.items()}
    return {str(area_id): area_id for area_id in areas} | by_course | by_name
