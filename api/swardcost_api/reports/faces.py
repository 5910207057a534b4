"""Reports as tables: CSV, and workbooks with the table and how it was computed."""

from collections.abc import Callable, Collection, Iterable, Sequence
from decimal import Decimal
from typing import Any, Protocol

from swardcost_model.budgets import BudgetSummary
from swardcost_model.values import Timestamp

from swardcost_api.csv_files import write_rows
from swardcost_api.operations import CSV, XLSX, Face
from swardcost_api.xlsx_files import Column, Sheet, write_workbook

_MOST = {"label": 36, "words": 60, "measured": 50}
"""The widest that a column of texts gets; longer ones are broken into lines."""
_LEAST, _LEAST_OF_MONEY, _ROOM = 8, 12, 2


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
    """The faces of a report whose table has these columns.

    A table of budget lines begins with their numbers and labels; its rows without a number are sums.
    """

    def as_csv(report: Any) -> str:
        return write_rows(columns, ([_in_csv(cell) for cell in row] for row in cells(report)))

    def as_workbook(report: _Report) -> bytes:
        rows = [tuple(row) for row in cells(report)]
        of_lines = columns[0] == "line"
        about = [
            ("report", title), ("budget", report.budget.name), ("through", report.through),
            ("created at", f"{report.created_at:%Y-%m-%d %H:%M} UTC"),
            *(("how", line) for line in derivation(report)),
        ]  # fmt: skip
        heading = f"{title} through {report.through}: {report.budget.name}"
        sheets = (
            Sheet(
                title, [_column(name, name in money, [row[at] for row in rows]) for at, name in enumerate(columns)],
                rows, heading, kept=2 if of_lines else 1,
                sums={number for number, row in enumerate(rows, start=1) if of_lines and row[0] is None},
            ),
            Sheet(
                "How this was computed", [Column("what", 14), Column("meaning", 120, wrapped=True)], about, heading
            ),
        )  # fmt: skip
        return write_workbook(sheets, {"title": title, "created": report.created_at})

    return [Face(CSV, as_csv), Face(XLSX, as_workbook)]


def _in_csv(cell: Any) -> Any:
    return ("yes" if cell else "no") if isinstance(cell, bool) else cell


def _column(name: str, money: bool, cells: Sequence[Any]) -> Column:
    """A column of a sheet, as wide as what is in it and headed in words."""
    heading = name.replace("_", " ")
    numbers = [cell for cell in cells if isinstance(cell, int | Decimal) and not isinstance(cell, bool)]
    places = [_places(cell) for cell in numbers if isinstance(cell, Decimal)]
    longest = max((len(_printed(cell, money)) for cell in cells), default=0)
    words = max(map(len, heading.split()))
    width = max(_LEAST_OF_MONEY if money else _LEAST, longest + _ROOM, words + _ROOM)
    return Column(
        heading, min(width, _MOST[name]) if name in _MOST else width, money, numeric=bool(numbers),
        wrapped=name in _MOST, places=max(places) if places else None,
    )  # fmt: skip


def _places(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def _printed(cell: Any, money: bool) -> str:
    if cell is None:
        return ""
    return f"{cell:,f}" if money and isinstance(cell, Decimal) else str(cell)
