"""Reports as tables: CSV, and workbooks with the table and how it was computed."""

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Any, Protocol

from swardcost_model.budgets import BudgetSummary
from swardcost_model.values import Timestamp

from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, XLSX, Face
from swardcost_api.xlsx_files import Column, Sheet, write_workbook

_WIDTHS = {
    "label": 40,
    "words": 90,
    "measured": 42,
    "account": 14,
    "line": 7,
    "currency": 10,
    "unplanned": 11,
}


class _Report(Protocol):
    """What every report on a budget has."""

    budget: BudgetSummary
    through: str
    created_at: Timestamp


def faces(
    title: str,
    columns: Sequence[str],
    money: Collection[str],
    cells: Callable[[Any], Iterable[Sequence[Any]]],
    derivation: Callable[[Any], Iterable[str]] = lambda report: report.derivation,
) -> list[Face]:
    """The faces of a report whose table has these columns."""

    def as_csv(report: Any) -> str:
        return write_rows(columns, cells(report))

    def as_workbook(report: _Report) -> bytes:
        table = [Column(name, _WIDTHS.get(name, 16), name in money) for name in columns]
        about = [
            ("report", title), ("budget", report.budget.name), ("through", report.through),
            ("created at", report.created_at.isoformat()), *(("how", line) for line in derivation(report)),
        ]  # fmt: skip
        sheets = (
            Sheet(title, table, cells(report)),
            Sheet("How this was computed", [Column("what", 14), Column("meaning", 120)], about),
        )
        return write_workbook(sheets, {"title": title, "created": report.created_at})

    return [Face(CSV, as_csv), Face(XLSX, as_workbook)]
