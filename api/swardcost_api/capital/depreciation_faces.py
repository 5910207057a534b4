"""A schedule of depreciation as CSV and as a workbook."""

from collections.abc import Iterable, Sequence

from swardcost_model.depreciation import BookYear, DepreciationSchedule

from swardcost_api.capital.asset_cells import in_csv
from swardcost_api.csv_files import write_rows
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

COLUMNS = (
    "name", "in_service_on", "life_years", "cost", "salvage", "year", "opening", "added", "depreciation",
    "written_off", "disposed", "closing", "accumulated", "currency",
)  # fmt: skip
_MONEY = frozenset(COLUMNS[3:5] + COLUMNS[6:13])


def schedule_csv(found: DepreciationSchedule) -> str:
    """The schedule as CSV, a row for each item and year."""
    return write_rows(COLUMNS, ([in_csv(cell) for cell in row] for row in _rows(found)))


def schedule_workbook(found: DepreciationSchedule) -> bytes:
    """The schedule as a workbook; on its second sheet what is in no sum, and how it was counted."""
    texts = {"name", "in_service_on", "currency"}
    columns = [
        Column(
            name.replace("_", " "), 44 if name == "name" else 15, money=name in _MONEY, numeric=name not in texts,
            wrapped=name == "name",
        )
        for name in COLUMNS
    ]  # fmt: skip
    heading = f"Depreciation, {found.first_year} to {found.last_year}"
    rows = [*_rows(found)]
    first_total = len(rows) - len(found.totals) + 1
    words = [("left out", one) for one in found.left_out] + [("how", one) for one in found.method]
    sheets = [
        Sheet("Depreciation", columns, rows, heading, sums=range(first_total, len(rows) + 1)),
        Sheet("In words", [Column("what", 16), Column("words", 120, wrapped=True)], words, heading),
    ]
    return write_workbook(sheets, {"title": heading})


def _rows(found: DepreciationSchedule) -> Iterable[Sequence[Cell]]:
    """A row for each item and year, and one of the totals of each year."""
    for item in found.items:
        for year in item.years:
            yield (
                item.name, item.in_service_on, item.life_years, item.cost.amount, item.salvage.amount,
                *_cells(year),
            )  # fmt: skip
    for year in found.totals:
        yield "Total", None, None, None, None, *_cells(year)


def _cells(year: BookYear) -> Sequence[Cell]:
    return (
        year.year, year.opening.amount, year.added.amount, year.depreciation.amount, year.written_off.amount,
        year.disposed.amount, year.closing.amount, year.accumulated.amount, year.opening.currency,
    )  # fmt: skip
