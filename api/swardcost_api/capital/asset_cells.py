"""Assets as the cells of a CSV file or a workbook: the file that an export writes and an upload takes."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from swardcost_model.assets import (
    Asset,
    AssetList,
    BookValue,
    Condition,
    EstimateCost,
    Life,
    ListedAsset,
    RateCost,
    StatedCost,
)
from swardcost_model.values import Quantity, plain

from swardcost_api.capital.assets import all_assets
from swardcost_api.course.service import AreaFacts, area_facts
from swardcost_api.csv_files import write_rows
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

SHEET = "Assets"
REQUIRED = ("code", "name", "kind")
LIFE = ("life_low", "life_likely", "life_high")
CONDITION = ("condition", "condition_on", "condition_by", "condition_note", "years_left")
SIZE = ("size", "size_unit")
COST = ("cost", "rate", "rate_per", "estimate_id")
COST_RANGE = ("cost_low_percent", "cost_high_percent")
BOOK = ("book_cost", "in_service_on", "book_life_years", "salvage")
COLUMNS = (
    *REQUIRED, "in_use_since", *LIFE, *CONDITION, *SIZE, *COST, "currency", *COST_RANGE, "growth_group", "replaced",
    "areas", *BOOK, "note",
)  # fmt: skip
OPTIONAL = COLUMNS[len(REQUIRED) :]
_NUMERIC = frozenset(
    {"in_use_since", *LIFE, "condition", "years_left", "size", *COST_RANGE, "book_life_years"}
)
_MONEY = frozenset({"cost", "rate", "book_cost", "salvage"})
_WIDTHS = {"name": 44, "areas": 44, "note": 40, "condition_note": 40, "growth_group": 20, "estimate_id": 38}


def export_assets(work: UnitOfWork) -> AssetList:
    """Every asset, to be written as the file that an upload takes."""
    names = names_of(area_facts(work))
    return AssetList(
        items=[
            ListedAsset(asset=one, areas=[names[area_id] for area_id in one.area_ids])
            for one in all_assets(work)
        ]
    )


def assets_csv(found: AssetList) -> str:
    """The assets as CSV."""
    rows = ([in_csv(cell) for cell in _cells(one.asset, one.areas)] for one in found.items)
    return write_rows(COLUMNS, rows)


def assets_workbook(found: AssetList) -> bytes:
    """The assets as a workbook."""
    columns = [
        Column(
            name, _WIDTHS.get(name, max(12, len(name) + 4)), money=name in _MONEY, numeric=name in _NUMERIC,
            wrapped=name in _WIDTHS,
        )
        for name in COLUMNS
    ]  # fmt: skip
    rows = (_cells(one.asset, one.areas) for one in found.items)
    return write_workbook([Sheet(SHEET, columns, rows, "Assets", kept=2)], {"title": "Assets"})


def texts_of(asset: Asset) -> dict[str, str]:
    """What a CSV file says of an asset, by column, but for its areas."""
    cells = _cells(asset, ())
    return {
        name: "" if cell is None else str(in_csv(cell)) for name, cell in zip(COLUMNS, cells, strict=True)
    }


def in_csv(cell: Cell) -> Any:
    """A cell as a CSV file has it."""
    if isinstance(cell, Decimal):
        return plain(cell)
    return cell.isoformat() if isinstance(cell, date) else cell


def _cells(asset: Asset, areas: Sequence[str]) -> Sequence[Cell]:
    currency = next((one.currency for one in _money_of(asset)), None)
    return (
        asset.code, asset.name, asset.kind.value, asset.in_use_since, *_life_cells(asset.life),
        *_condition_cells(asset.condition), *_size_cells(asset.size), *_cost_cells(asset.replacement), currency,
        *(asset.cost_range or (None, None)), asset.growth_group, "yes" if asset.replaced else "no",
        "; ".join(areas) or None, *_book_cells(asset.book), asset.note or None,
    )  # fmt: skip


def _money_of(asset: Asset) -> Sequence[Any]:
    cost, book = asset.replacement, asset.book
    found = [cost.cost] if isinstance(cost, StatedCost) else [cost.rate] if isinstance(cost, RateCost) else []
    return [*found, *([book.cost] if book is not None else [])]


def _life_cells(life: Life | None) -> Sequence[Cell]:
    return (None, None, None) if life is None else (life.low, life.likely, life.high)


def _condition_cells(judged: Condition | None) -> Sequence[Cell]:
    if judged is None:
        return (None,) * len(CONDITION)
    return judged.grade, judged.on, judged.by or None, judged.note or None, judged.years_left


def _size_cells(size: Quantity | None) -> Sequence[Cell]:
    return (None, None) if size is None else (size.value, size.unit)


def _cost_cells(cost: StatedCost | RateCost | EstimateCost | None) -> Sequence[Cell]:
    if isinstance(cost, StatedCost):
        return cost.cost.amount, None, None, None
    if isinstance(cost, RateCost):
        return None, cost.rate.amount, cost.per, None
    return None, None, None, None if cost is None else str(cost.estimate_id)


def _book_cells(book: BookValue | None) -> Sequence[Cell]:
    if book is None:
        return (None,) * len(BOOK)
    salvage = None if book.salvage is None else book.salvage.amount
    return book.cost.amount, book.in_service_on, book.life_years, salvage


def names_of(areas: Mapping[UUID, AreaFacts]) -> dict[UUID, str]:
    """How a file names each area: by its name where the club has it once, else with its course, else by its id."""
    count: dict[str, int] = {}
    for one in areas.values():
        count[one.name] = count.get(one.name, 0) + 1
    found: dict[UUID, str] = {}
    for area_id, one in areas.items():
        name = one.name if count[one.name] == 1 else f"{one.course}: {one.name}"
        found[area_id] = str(area_id) if ";" in name else name
    return found
