"""The register of assets for a reader: all that is stated of each and all that was computed, with sums that add up."""

from collections.abc import Sequence

from swardcost_model.assets import Asset, AssetFigures, AssetRegister, LifeBasis, RateCost, RegisteredAsset
from swardcost_model.values import Money

from swardcost_api.capital.asset_cells import SHEET, in_csv
from swardcost_api.csv_files import write_rows
from swardcost_api.engine.capital.lives import CHART, MIDDLE
from swardcost_api.engine.capital.reserve import FUNDING
from swardcost_api.xlsx_files import Cell, Column, Sheet, SumAbove, write_workbook

GRADES = {5: "as new", 4: "good", 3: "fair", 2: "poor", 1: "at its end"}
_LIFE_SOURCES = {
    LifeBasis.OWN_LIFE: "stated by the club",
    LifeBasis.STARTING_LIFE: "published chart",
    LifeBasis.JUDGEMENT: "judged on its condition",
}
_COST_BASES = {"stated": "stated", "rate": "size x rate", "estimate": "estimate"}
COLUMNS = (
    "code", "name", "kind", "in_use_since", "age", "condition", "condition_scale", "due_in", "remaining_life",
    "replacement_cost", "fully_funded", "currency", "missing", "areas", "judged_on", "judged_by", "judged_years_left",
    "life_low", "life_likely", "life_high", "life_source", "due_early", "due_late", "cost_basis", "size", "size_unit",
    "rate", "rate_per", "estimate", "cost_low_percent", "cost_high_percent", "growth_group", "replaced", "book_cost",
    "in_service_on", "book_life_years", "salvage", "note",
)  # fmt: skip
"""What is looked for first comes first: it stands on the first sheet of paper."""
_MONEY = frozenset({"rate", "replacement_cost", "fully_funded", "book_cost", "salvage"})
_NUMERIC = frozenset({
    "in_use_since", "age", "condition", "judged_years_left", "life_low", "life_likely", "life_high", "due_early",
    "due_in", "due_late", "remaining_life", "size", "cost_low_percent", "cost_high_percent", "book_life_years",
})  # fmt: skip
_WRAPPED = frozenset({"name", "areas", "estimate", "missing", "note", "growth_group", "judged_by"})
_WIDTHS = {
    "code": 14, "name": 34, "kind": 18, "in_use_since": 10, "age": 8, "condition": 10, "condition_scale": 12,
    "due_in": 8, "remaining_life": 11, "replacement_cost": 18, "fully_funded": 18, "currency": 9, "missing": 34,
    "areas": 30, "judged_by": 18, "life_source": 22, "estimate": 30, "growth_group": 18, "size": 16, "size_unit": 14,
    "rate_per": 14, "book_cost": 16, "salvage": 14, "note": 34,
}  # fmt: skip
_HOW = (
    ("condition", "5 as new, 4 good, 3 fair, 2 poor, 1 at its end, as somebody judged on the day that is named."),
    ("life", f"Where the club states none: {CHART}; {MIDDLE}."),
    ("due", "In use since + life, part years counted up; where somebody judged the years left, those instead."),
    ("size", "As stated, else of its areas together; in the unit of its rate where it has one, to six places."),
    ("cost", "Stated, or size x rate rounded half up to the minor unit, or the total of an estimate without gaps."),
    ("fully funded", f"Replacement cost x age used / life, rounded half up to the minor unit. {FUNDING}."),
    ("missing", "What is not known is named and is in no sum; it is not taken for nothing."),
)  # fmt: skip


def register_csv(found: AssetRegister) -> str:
    """The register with its figures as CSV."""
    return write_rows(COLUMNS, ([in_csv(cell) for cell in _cells(one)] for one in found.items))


def register_workbook(found: AssetRegister) -> bytes:
    """The register with its figures as a workbook, the sums in its last row as formulas."""
    title = f"Assets, end of {found.year}"
    columns = [
        Column(
            name.replace("_", " "), _WIDTHS.get(name, 12), money=name in _MONEY, numeric=name in _NUMERIC,
            wrapped=name in _WRAPPED,
        )
        for name in COLUMNS
    ]  # fmt: skip
    cells = [*map(_cells, found.items), _sums(found)]
    sheets = [
        Sheet(SHEET, columns, cells, title, kept=2, sums={len(cells)}),
        Sheet("How", [Column("figure", 20), Column("in words", 120, wrapped=True)], _HOW, title),
    ]
    return write_workbook(sheets, {"title": title})


def _sums(found: AssetRegister) -> Sequence[Cell]:
    """The last row: what is known of all assets, added up by the workbook itself."""
    count = f"{found.missing} with something not known" if found.missing else None
    said: dict[str, Cell] = {
        "name": f"All, end of {found.year}", "replacement_cost": SumAbove(found.replacement_cost.amount),
        "fully_funded": SumAbove(found.fully_funded.amount), "currency": found.replacement_cost.currency,
        "missing": count,
    }  # fmt: skip
    return [said.get(name) for name in COLUMNS]


def _cells(one: RegisteredAsset) -> Sequence[Cell]:
    asset, figures = one.asset, one.figures
    basis = figures.life_basis
    said: dict[str, Cell] = {
        "code": asset.code, "name": asset.name, "kind": _words(asset.kind.value), "in_use_since": asset.in_use_since,
        "age": figures.age, "due_in": figures.due_in, "remaining_life": figures.years_left,
        "replacement_cost": _amount(figures.replacement_cost), "fully_funded": _amount(figures.fully_funded),
        "currency": _currency(one), "missing": "; ".join(figures.missing), "areas": "; ".join(one.areas),
        "life_source": None if basis is None else _LIFE_SOURCES[basis], "due_early": figures.due_early,
        "due_late": figures.due_late, "estimate": figures.estimate, "growth_group": asset.growth_group,
        "replaced": "yes" if asset.replaced else "no", "note": asset.note,
    }  # fmt: skip
    said |= _stated_cells(asset) | _computed_cells(figures)
    return [said.get(name) for name in COLUMNS]


def _stated_cells(asset: Asset) -> dict[str, Cell]:
    """What is stated as a whole or not at all: condition, rate, range of costs, and book value."""
    found: dict[str, Cell] = {}
    judged, cost, book = asset.condition, asset.replacement, asset.book
    if judged is not None:
        found |= {
            "condition": judged.grade, "condition_scale": GRADES[judged.grade], "judged_on": judged.on,
            "judged_by": judged.by, "judged_years_left": judged.years_left,
        }  # fmt: skip
    if cost is not None:
        found["cost_basis"] = _COST_BASES[cost.by]
    if isinstance(cost, RateCost):
        found |= {"rate": cost.rate.amount, "rate_per": _words(cost.per)}
    if asset.cost_range is not None:
        found |= zip(("cost_low_percent", "cost_high_percent"), asset.cost_range, strict=True)
    if book is not None:
        found |= {
            "book_cost": book.cost.amount, "in_service_on": book.in_service_on, "book_life_years": book.life_years,
            "salvage": _amount(book.salvage),
        }  # fmt: skip
    return found


def _computed_cells(figures: AssetFigures) -> dict[str, Cell]:
    found: dict[str, Cell] = {}
    life, size = figures.life, figures.size
    if life is not None:
        found |= {"life_low": life.low, "life_likely": life.likely, "life_high": life.high}
    if size is not None:
        found |= {"size": size.value, "size_unit": _words(size.unit)}
    return found


def _currency(one: RegisteredAsset) -> str | None:
    cost, book = one.asset.replacement, one.asset.book
    rate = cost.rate if isinstance(cost, RateCost) else None
    money = one.figures.replacement_cost or rate or (None if book is None else book.cost)
    return None if money is None else money.currency


def _words(unit: str) -> str:
    return unit.replace("_", " ")


def _amount(money: Money | None) -> Cell:
    return None if money is None else money.amount
