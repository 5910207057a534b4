"""Assets from a CSV file or a workbook, as an export writes them.

What has no column (a cost by an estimate, the book value, who judged a condition) stays as it is when a row of the same
code comes again.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import IO, Any
from uuid import UUID

from pydantic import ValidationError
from swardcost_model import problems
from swardcost_model.assets import (
    Asset,
    AssetFields,
    AssetUpload,
    NewAsset,
)
from swardcost_model.problems import Fault, ProblemError

from swardcost_api import csv_files, xlsx_files
from swardcost_api.access.service import read_club, record
from swardcost_api.capital.asset_cells import COLUMNS, OPTIONAL, SHEET, names_of
from swardcost_api.capital.assets import (
    all_assets,
    columns_of,
    fit_faults,
    insert_assets,
    put_areas,
)
from swardcost_api.capital.tables import AssetRow
from swardcost_api.course.service import AreaFacts, area_facts
from swardcost_api.csv_files import CsvRow
from swardcost_api.faults import FAULTS_SHOWN, faults_of
from swardcost_api.operations import XLSX
from swardcost_api.storage.rows import edit_row
from swardcost_api.storage.work import UnitOfWork

MAX_ASSETS = 10_000
"""Assets of one file."""
_AREAS_EXPECTED = (
    "areas of the club with ; between, each by its name, or as Course: Area where several share it"
)


def put_assets(work: UnitOfWork, upload: IO[bytes], media_type: str) -> AssetUpload:
    """Enter every asset of a file, replacing those of the same code, or change nothing.

    Raises `invalid-csv` or `invalid-workbook` (not readable), `too-large`, or `bad-rows` (each fault with row and
    column).
    """
    before = {one.code: one for one in all_assets(work)}
    reading = _Reading(before, _ids_of(area_facts(work)), read_club(work).currency)
    rows = (
        xlsx_files.read_rows(upload, SHEET, COLUMNS, OPTIONAL, max_rows=MAX_ASSETS)
        if media_type == XLSX
        else csv_files.read_rows(upload, COLUMNS, OPTIONAL)
    )
    read = reading.assets(rows)
    reading.refuse_faults()
    added = [Asset(id=work.new_id(), version=1, **one.model_dump()) for one in read if one.code not in before]
    changed = [one for one in read if one.code in before and _fields(before[one.code]) != _fields(one)]
    insert_assets(work, added)
    for one in changed:
        was = before[one.code]
        edit_row(work, AssetRow, was.id, was.version, "asset", **columns_of(one))
        put_areas(work, was.id, one.area_ids)
    result = AssetUpload(
        rows=len(read),
        added=len(added),
        changed=len(changed),
        unchanged=len(read) - len(added) - len(changed),
    )
    record(work, "upload", "asset", work.new_id(), after=result)
    return result


def _fields(fields: AssetFields) -> dict[str, Any]:
    return fields.model_dump(include=set(AssetFields.model_fields))


def _ids_of(areas: Mapping[UUID, AreaFacts]) -> dict[str, UUID]:
    """Areas by all that a file may call them."""
    by_name = {name: area_id for area_id, name in names_of(areas).items()}
    by_course = {f"{one.course}: {one.name}": area_id for area_id, one in areas.items()}
    return {str(area_id): area_id for area_id in areas} | by_course | by_name


@dataclass
class _Reading:
    """Turns rows into assets, and keeps what is wrong with them: the first faults, and how many."""

    before: Mapping[str, Asset]
    areas: Mapping[str, UUID]
    currency: str
    faults: list[Fault] = field(default_factory=list)
    fault_count: int = 0

    def assets(self, rows: Iterable[CsvRow]) -> list[NewAsset]:
        """The assets of all rows that can be used, none of them twice."""
        found: dict[str, NewAsset] = {}
        row_of: dict[str, int] = {}
        for count, row in enumerate(rows, start=1):
            if count > MAX_ASSETS:
                raise ProblemError(problems.TOO_LARGE, f"A file may have {MAX_ASSETS:,} assets.")
            asset, faults = self._asset(row)
            first = row_of.setdefault(row.cells["code"], row.number)
            if first != row.number:
                faults.append(("code", f"a code other than in row {first}", row.cells["code"]))
            self._keep(row, faults)
            if asset is not None:
                found.setdefault(asset.code, asset)
        return list(found.values())

    def _asset(self, row: CsvRow) -> tuple[NewAsset | None, list[tuple[str, str, str | None]]]:
        area_ids, faults = self._areas(row)
        was = self.before.get(row.cells["code"])
        try:
            asset = NewAsset.model_validate(_document(row, was, self.currency) | {"area_ids": area_ids})
        except ValidationError as error:
            found = ((_column_of(one.pointer), one.expected, one.got) for one in faults_of(error))
            return None, [*faults, *found]
        faults += [
            (_column_of(one.pointer), one.expected, one.got) for one in fit_faults(asset, self.currency)
        ]
        return asset, faults

    def _areas(self, row: CsvRow) -> tuple[list[UUID], list[tuple[str, str, str | None]]]:
        names = [name for name in map(str.strip, row.cells["areas"].split(";")) if name]
        unknown = [name for name in names if name not in self.areas]
        faults: list[tuple[str, str, str | None]] = [
            ("areas", _AREAS_EXPECTED, one)
            for one in unknown
        ]  # fmt: skip
        return [self.areas[name] for name in names if name in self.areas], faults

    def _keep(self, row: CsvRow, faults: Sequence[tuple[str, str, str | None]]) -> None:
        self.fault_count += len(faults)
        for column, expected, got in faults[: max(FAULTS_SHOWN - len(self.faults), 0)]:
            place = f"row {row.number}, {column}" if column else f"row {row.number}"
            self.faults.append(Fault(pointer=place, expected=expected, got=got))

    def refuse_faults(self) -> None:
        """Raise `bad-rows` if there are any."""
        if self.faults:
            raise ProblemError(
                problems.BAD_ROWS, f"{self.fault_count} faults; no asset was changed.", self.faults
            )


def _document(row: CsvRow, was: Asset | None, currency: str) -> dict[str, Any]:
    """What a row says of an asset, with what has no column kept from before."""
    cells = row.cells
    document: dict[str, Any] = {
        "code": cells["code"], "name": cells["name"], "kind": cells["kind"].lower(), "note": cells["note"],
        "growth_group": cells["growth_group"] or None, "replaced": cells["replaced"].lower() != "no",
        "book": was.book if was else None,
    }  # fmt: skip
    if cells["in_use_since"]:
        document["in_use_since"] = _whole(cells["in_use_since"])
    document["life"] = _some(cells, life_low="low", life_likely="likely", life_high="high")
    document["condition"] = _condition(cells, was)
    document["size"] = _some(cells, size="value", size_unit="unit")
    document["replacement"] = _replacement(cells, was, currency)
    low, high = cells["cost_low_percent"], cells["cost_high_percent"]
    document["cost_range"] = [low, high] if low or high else None
    return document


def _condition(cells: Mapping[str, str], was: Asset | None) -> dict[str, Any] | None:
    if not (cells["condition"] or cells["condition_on"] or cells["years_left"]):
        return None
    kept = was.condition if was else None
    return {
        "grade": _whole(cells["condition"]), "on": cells["condition_on"], "years_left": cells["years_left"] or None,
        "by": kept.by if kept else "", "note": kept.note if kept else "",
    }  # fmt: skip


def _replacement(cells: Mapping[str, str], was: Asset | None, currency: str) -> Any:
    money = cells["currency"] or currency
    if cells["cost"]:
        return {"by": "stated", "cost": {"amount": cells["cost"], "currency": money}}
    if cells["rate"] or cells["rate_per"]:
        return {"by": "rate", "rate": {"amount": cells["rate"], "currency": money}, "per": cells["rate_per"]}
    kept = was.replacement if was else None
    return kept if kept is not None and kept.by == "estimate" else None


def _some(cells: Mapping[str, str], **named: str) -> dict[str, str] | None:
    """Cells as fields, if any of them says something."""
    found = {name: cells[column] for column, name in named.items()}
    return found if any(found.values()) else None


def _whole(text: str) -> Any:
    """A whole number; anything else as it is, which the model then refuses."""
    return int(text) if text.isdecimal() else text


_COLUMNS_OF: tuple[tuple[str, str], ...] = (
    ("/life/low", "life_low"), ("/life/likely", "life_likely"), ("/life/high", "life_high"), ("/life", "life_likely"),
    ("/condition/grade", "condition"), ("/condition/on", "condition_on"), ("/condition/years_left", "years_left"),
    ("/size/unit", "size_unit"), ("/size", "size"), ("/cost_range/0", "cost_low_percent"),
    ("/cost_range", "cost_high_percent"),
)  # fmt: skip


def _column_of(pointer: str) -> str:
    """The column in which a fault of the model is mended."""
    if pointer.startswith("/replacement"):
        for end, column in (("/currency", "currency"), ("/per", "rate_per")):
            if pointer.endswith(end):
                return column
        return "rate" if "/rate" in pointer else "cost"
    found = next((column for start, column in _COLUMNS_OF if pointer.startswith(start)), None)
    return found or pointer.strip("/").split("/")[0]
