"""Assets and their register as the cells of a CSV file or a workbook."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from swardcost_model.assets import (
    AssetList,
    AssetRegister,
    Condition,
    EstimateCost,
    Life,
    ListedAsset,
    RateCost,
    RegisteredAsset,
    StatedCost,
)
from swardcost_model.values import Money, Quantity, plain

from swardcost_api.capital.assets import all_assets
from swardcost_api.course.service import AreaFacts, area_facts
from swardcost_api.csv_files import write_rows
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

SHEET = "Assets"
REQUIRED = ("code", "name", "kind")
COLUMNS = (
    *REQUIRED, "in_use_since", "life_low", "life_likely", "life_high", "condition", "condition_on", "years_left",
    "size", "size_unit", "cost", "rate", "rate_per", "currency", "cost_low_percent", "cost_high_percent",
    "growth_group", "replaced", "areas", "note",
)  # fmt: skip
OPTIONAL = COLUMNS[len(REQUIRED) :]
FIGURE_COLUMNS = ("due_early", "due_in", "due_late", "replacement_cost", "fully_funded", "missing")
"""What the workbook of the register adds; an upload does not take it."""
_NUMERIC = frozenset({
    "in_use_since", "life_low", "life_likely", "life_high", "condition", "years_left", "size", "cost_low_percent",
    "cost_high_percent", "due_early", "due_in", "due_late",
})  # fmt: skip
_MONEY = frozenset({"cost", "rate", "replacement_cost", "fully_funded"})
_WIDTHS = {"name": 44, "areas": 44, "note": 40, "missing": 44, "growth_group": 20}


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
    return write_rows(COLUMNS, ([_in_csv(cell) for cell in _cells(one)] for one in found.items))


def assets_workbook(found: AssetList) -> bytes:
    """The assets as a workbook."""
    return write_workbook([Sheet(SHEET, _columns(COLUMNS), map(_cells, found.items))], {"title": "Assets"})


def register_csv(found: AssetRegister) -> str:
    """The register with its figures as CSV."""
    rows = ([_in_csv(cell) for cell in _register_cells(one)] for one in found.items)
    return write_rows(_REGISTER_COLUMNS, rows)


def register_workbook(found: AssetRegister) -> bytes:
    """The register with its figures as a workbook, the sums in its last row."""
    last = (
        None, f"All, end of {found.year}", None, None, None, None, None,
        found.replacement_cost.amount, found.fully_funded.amount,
        f"{found.missing} not in the sums" if found.missing else None,
    )  # fmt: skip
    cells = [*map(_register_cells, found.items), last]
    return write_workbook(
        [Sheet(SHEET, _columns(_REGISTER_COLUMNS), cells)], {"title": f"Assets, end of {found.year}"}
    )


_REGISTER_COLUMNS = ("code", "name", "kind", "in_use_since", *FIGURE_COLUMNS)


def _register_cells(one: RegisteredAsset) -> Sequence[Cell]:
    asset, figures = one.asset, one.figures
    return (
        asset.code, asset.name, asset.kind.value, _text(asset.in_use_since), _text(figures.due_early),
        _text(figures.due_in), _text(figures.due_late), _amount(figures.replacement_cost),
        _amount(figures.fully_funded),
        "; ".join(figures.missing) or None,
    )  # fmt: skip


def _columns(names: Sequence[str]) -> list[Column]:
    return [
        Column(
            name, _WIDTHS.get(name, max(12, len(name) + 4)), money=name in _MONEY, numeric=name in _NUMERIC,
            wrapped=name in _WIDTHS,
        )
        for name in names
    ]  # fmt: skip


def _cells(listed: ListedAsset) -> Sequence[Cell]:
    asset = listed.asset
    return (
        asset.code, asset.name, asset.kind.value, _text(asset.in_use_since), *_life_cells(asset.life),
        *_condition_cells(asset.condition), *_size_cells(asset.size), *_cost_cells(asset.replacement),
        *_range_cells(asset.cost_range), asset.growth_group, "yes" if asset.replaced else "no",
        "; ".join(listed.areas) or None, asset.note or None,
    )  # fmt: skip


def _life_cells(life: Life | None) -> Sequence[Cell]:
    return (None, None, None) if life is None else (plain(life.low), plain(life.likely), plain(life.high))


def _condition_cells(judged: Condition | None) -> Sequence[Cell]:
    if judged is None:
        return None, None, None
    left = None if judged.years_left is None else plain(judged.years_left)
    return str(judged.grade), judged.on.isoformat(), left


def _size_cells(size: Quantity | None) -> Sequence[Cell]:
    return (None, None) if size is None else (plain(size.value), size.unit)


def _cost_cells(cost: StatedCost | RateCost | EstimateCost | None) -> Sequence[Cell]:
    """Cost, rate, what the rate is for, and currency."""
    if isinstance(cost, StatedCost):
        return cost.cost.amount, None, None, cost.cost.currency
    if isinstance(cost, RateCost):
        return None, cost.rate.amount, cost.per, cost.rate.currency
    return None, None, None, None


def _range_cells(ends: tuple[Decimal, Decimal] | None) -> Sequence[Cell]:
    return (None, None) if ends is None else (plain(ends[0]), plain(ends[1]))


def _in_csv(cell: Cell) -> Any:
    return plain(cell) if isinstance(cell, Decimal) else cell


def _text(value: int | None) -> str | None:
    return None if value is None else str(value)


def _amount(money: Money | None) -> Decimal | None:
    return None if money is None else money.amount


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
