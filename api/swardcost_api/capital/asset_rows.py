"""Rows of a file as assets, and what is wrong with them by row and column.

A column that the file does not have stays as it is where a row of the same code comes again. An empty cell says that
there is nothing, and where all cells that the file has of a subject (life, condition, size, cost range, book) are
empty, so is the subject.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from swardcost_model import problems
from swardcost_model.assets import Asset, EstimateCost, NewAsset
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.capital.asset_cells import BOOK, CONDITION, COST, COST_RANGE, LIFE, SIZE, texts_of
from swardcost_api.capital.assets import fit_faults
from swardcost_api.csv_files import CsvRow
from swardcost_api.faults import FAULTS_SHOWN, faults_of

MAX_ASSETS = 5_000
"""Assets of one file."""
RowFault = tuple[str, str, str | None]
"""A column, what was expected there, and what came."""
_AREAS_EXPECTED = (
    "areas of the club with ; between, each by its name, or as Course: Area where several share it"
)


@dataclass
class RowReader:
    """Turns rows into assets, and keeps what is wrong with them: the first faults, and how many."""

    before: Mapping[str, Asset]
    areas: Mapping[str, UUID]
    currency: str
    this_year: int
    faults: list[Fault] = field(default_factory=list)
    fault_count: int = 0
    rows_by_estimate: dict[UUID, int] = field(default_factory=dict)
    """The first row that names each estimate."""

    def assets(self, rows: Iterable[CsvRow]) -> list[NewAsset]:
        """The assets of all rows that can be used, none of them twice. Raises `too-large`."""
        found: dict[str, NewAsset] = {}
        row_of: dict[str, int] = {}
        for count, row in enumerate(rows, start=1):
            if count > MAX_ASSETS:
                raise ProblemError(
                    problems.TOO_LARGE,
                    f"A file may have {MAX_ASSETS:,} assets; this one has more. Send it in parts; nothing was changed.",
                )
            asset, faults = self._asset(row)
            first = row_of.setdefault(row.cells["code"], row.number)
            if first != row.number:
                faults.append(("code", f"a code other than in row {first}", row.cells["code"]))
            self.keep(row.number, faults)
            if asset is not None:
                found.setdefault(asset.code, asset)
                if isinstance(asset.replacement, EstimateCost):
                    self.rows_by_estimate.setdefault(asset.replacement.estimate_id, row.number)
        return list(found.values())

    def keep(self, number: int, faults: Sequence[RowFault]) -> None:
        """Note what is wrong with a row."""
        self.fault_count += len(faults)
        for column, expected, got in faults[: max(FAULTS_SHOWN - len(self.faults), 0)]:
            place = f"row {number}, {column}" if column else f"row {number}"
            self.faults.append(Fault(pointer=place, expected=expected, got=got))

    def refuse_faults(self) -> None:
        """Raise `bad-rows` if there are any."""
        if self.faults:
            count = "1 fault" if self.fault_count == 1 else f"{self.fault_count} faults"
            raise ProblemError(problems.BAD_ROWS, f"{count}; no asset was changed.", self.faults)

    def _asset(self, row: CsvRow) -> tuple[NewAsset | None, list[RowFault]]:
        was = self.before.get(row.cells["code"])
        cells = _completed(row, was)
        area_ids, faults = self._areas(row, was)
        costs = [name for name in ("cost", "rate", "estimate_id") if cells[name]]
        if len(costs) > 1:
            faults.append(
                (
                    costs[1],
                    f"empty, since there is {costs[0]}: a cost, a rate or an estimate",
                    cells[costs[1]],
                )
            )
        try:
            asset = NewAsset.model_validate(_document(cells, self.currency) | {"area_ids": area_ids})
        except ValidationError as error:
            found = ((_column_of(one.pointer), one.expected, one.got) for one in faults_of(error))
            return None, [*faults, *found]
        misfits = fit_faults(asset, self.currency, self.this_year)
        return asset, [*faults, *((_column_of(one.pointer), one.expected, one.got) for one in misfits)]

    def _areas(self, row: CsvRow, was: Asset | None) -> tuple[list[UUID], list[RowFault]]:
        if "areas" in row.absent:
            return ([] if was is None else was.area_ids), []
        names = [name for name in map(str.strip, row.cells["areas"].split(";")) if name]
        faults: list[RowFault] = [("areas", _AREAS_EXPECTED, one) for one in names if one not in self.areas]
        return [self.areas[name] for name in names if name in self.areas], faults


def _completed(row: CsvRow, was: Asset | None) -> dict[str, str]:
    """The cells of a row, and for columns that the file does not have what is known from before."""
    cells, absent = dict(row.cells), row.absent
    if was is None or not absent:
        return cells
    kept = {name: text for name, text in texts_of(was).items() if name in absent}
    for subject in (LIFE, CONDITION, SIZE, COST_RANGE, BOOK):
        said = [cells[name] for name in subject if name not in absent]
        if said and not any(said):
            kept.update(dict.fromkeys(absent.intersection(subject), ""))
    if any(cells[name] for name in COST):  # a cost of another kind takes the place of the one before
        by_rate = cells["rate"] or cells["rate_per"]
        others = {"cost", "estimate_id"} | (set() if by_rate else {"rate", "rate_per"})
        kept.update(dict.fromkeys(absent & others, ""))
    cells |= kept
    if not cells["rate"] and "rate_per" in absent:
        cells["rate_per"] = ""
    if was.condition is not None and cells["condition_on"] != was.condition.on.isoformat():
        # Whoever judged before has not judged on another day.
        cells |= dict.fromkeys(absent & {"condition_by", "condition_note"}, "")
    return cells


def _document(cells: Mapping[str, str], currency: str) -> dict[str, Any]:
    """What cells say of an asset."""
    money = cells["currency"] or currency
    document: dict[str, Any] = {
        "code": cells["code"], "name": cells["name"], "kind": cells["kind"].lower(), "note": cells["note"],
        "growth_group": cells["growth_group"] or None, "replaced": cells["replaced"].lower() or True,
        "life": _some(cells, life_low="low", life_likely="likely", life_high="high"),
        "size": _some(cells, size="value", size_unit="unit"), "condition": _condition(cells),
        "replacement": _replacement(cells, money), "book": _book(cells, money),
    }  # fmt: skip
    if cells["in_use_since"]:
        document["in_use_since"] = _whole(cells["in_use_since"])
    low, high = cells["cost_low_percent"], cells["cost_high_percent"]
    document["cost_range"] = [low, high] if low or high else None
    return document


def _condition(cells: Mapping[str, str]) -> dict[str, Any] | None:
    if not any(cells[name] for name in CONDITION):
        return None
    return {
        "grade": _whole(cells["condition"]), "on": cells["condition_on"], "years_left": cells["years_left"] or None,
        "by": cells["condition_by"], "note": cells["condition_note"],
    }  # fmt: skip


def _replacement(cells: Mapping[str, str], money: str) -> dict[str, Any] | None:
    if cells["cost"]:
        return {"by": "stated", "cost": {"amount": cells["cost"], "currency": money}}
    if cells["rate"] or cells["rate_per"]:
        return {"by": "rate", "rate": {"amount": cells["rate"], "currency": money}, "per": cells["rate_per"]}
    return {"by": "estimate", "estimate_id": cells["estimate_id"]} if cells["estimate_id"] else None


def _book(cells: Mapping[str, str], money: str) -> dict[str, Any] | None:
    if not any(cells[name] for name in BOOK):
        return None
    salvage = cells["salvage"]
    return {
        "cost": {"amount": cells["book_cost"], "currency": money}, "in_service_on": cells["in_service_on"],
        "life_years": _whole(cells["book_life_years"]),
        "salvage": {"amount": salvage, "currency": money} if salvage else None,
    }  # fmt: skip


def _some(cells: Mapping[str, str], **named: str) -> dict[str, str] | None:
    """Cells as fields, if any of them says something."""
    found = {name: cells[column] for column, name in named.items()}
    return found if any(found.values()) else None


def _whole(text: str) -> Any:
    """A whole number; anything else as it is, which the model then refuses."""
    return int(text) if text.isdecimal() and len(text) < 10 else text


_COLUMNS_OF: tuple[tuple[str, str], ...] = (
    ("/life/low", "life_low"), ("/life/likely", "life_likely"), ("/life/high", "life_high"), ("/life", "life_likely"),
    ("/condition/grade", "condition"), ("/condition/on", "condition_on"), ("/condition/years_left", "years_left"),
    ("/condition/by", "condition_by"), ("/condition/note", "condition_note"), ("/size/unit", "size_unit"),
    ("/size", "size"), ("/cost_range/0", "cost_low_percent"), ("/cost_range", "cost_high_percent"),
    ("/book/cost/currency", "currency"), ("/book/cost", "book_cost"), ("/book/in_service_on", "in_service_on"),
    ("/book/life_years", "book_life_years"), ("/book", "salvage"),
)  # fmt: skip


def _column_of(pointer: str) -> str:
    """The column in which a fault of the model is mended."""
    if pointer.startswith("/replacement"):
        for end, column in (("/currency", "currency"), ("/per", "rate_per"), ("/estimate_id", "estimate_id")):
            if pointer.endswith(end):
                return column
        return "rate" if "/rate" in pointer else "cost"
    found = next((column for start, column in _COLUMNS_OF if pointer.startswith(start)), None)
    return found or pointer.strip("/").split("/")[0]
