"""Relations between cells as formulas of a workbook, which the reader can follow and change."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from swardcost_model.values import CURRENCY_DIGITS, Money
from xlsxwriter.utility import xl_rowcol_to_cell

from swardcost_api.packets.document import Kind, Table
from swardcost_api.packets.relations import Columns, Product, Ratio, Relation, Rows, SameAs
from swardcost_api.packets.values import Value

FIRST_ROW = 2
"""Row of the first entry, counted from 0: the caption and the head stand above."""

_MOST_ARGUMENTS = 200
"""Of a function; spreadsheet programs take 255."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the cells of a table stand in a workbook: its sheet, and the column of each of its columns.

    A column of quantities takes two, the second for their units.
    """

    sheet: str
    table: Table
    columns: Sequence[int]
    width: int

    @classmethod
    def of(cls, sheet: str, table: Table) -> "Grid":
        """The grid of a table on a sheet of its own."""
        columns, at = [], 0
        for column in table.columns:
            columns.append(at)
            at += 2 if column.kind is Kind.QUANTITY else 1
        return cls(sheet, table, columns, at)

    def place(self, row: str, column: str) -> str:
        """A cell as it is named on its own sheet: ``F12``."""
        at = self.columns[self.table.column_index[column]]
        return str(xl_rowcol_to_cell(FIRST_ROW + self.table.row_index[row], at))

    def full_place(self, row: str, column: str) -> str:
        """A cell as it is named from another sheet: ``'Itemised cost'!F12``."""
        return f"{quoted(self.sheet)}!{self.place(row, column)}"

    def runs(self, rows: Iterable[str], column: str) -> list[str]:
        """Cells of a column as ranges: ``F3:F9`` and ``F12``."""
        places = sorted(self.table.row_index[row] for row in rows)
        ranges: list[list[int]] = []
        for place in places:
            if ranges and place == ranges[-1][1] + 1:
                ranges[-1][1] = place
            else:
                ranges.append([place, place])
        at = self.columns[self.table.column_index[column]]
        return [
            xl_rowcol_to_cell(FIRST_ROW + first, at)
            + (f":{xl_rowcol_to_cell(FIRST_ROW + last, at)}" if last > first else "")
            for first, last in ranges
        ]


def quoted(sheet: str) -> str:
    """The name of a sheet as it stands in a formula."""
    return "'" + sheet.replace("'", "''") + "'"


def formula(
    relation: Relation, row: str, column: str, value: Value | None, grid: Grid, grids: dict[str, Grid]
) -> str:
    """A relation as a formula. Money that is multiplied is rounded to its minor unit, as it is printed."""
    match relation:
        case Product(factors):
            product = "*".join(grid.place(row, one) for one in factors)
            return (
                f"=ROUND({product},{CURRENCY_DIGITS[value.currency]})"
                if isinstance(value, Money)
                else f"={product}"
            )
        case Columns(plus, minus):
            added = "+".join(grid.place(row, one) for one in plus)
            return "=" + added + "".join(f"-{grid.place(row, one)}" for one in minus)
        case Rows(plus, minus):
            added = f"={_sum(grid.runs(plus, column))}" if plus else "=0"
            return f"{added}-{_sum(grid.runs(minus, column))}" if minus else added
        case Ratio(part, whole, places):
            numerator, denominator = grid.place(row, part), grid.place(row, whole)
            return f'=IF({denominator}=0,"",ROUND({numerator}/{denominator},{places + 2}))'
        case SameAs(table, other_row, other_column):
            other = grids[table]
            same = other is grid
            return "=" + (other.place if same else other.full_place)(other_row, other_column)


def _sum(ranges: Sequence[str]) -> str:
    """The sum of ranges; of more than a program takes, the sum of their sums."""
    if len(ranges) > _MOST_ARGUMENTS:
        firsts = range(0, len(ranges), _MOST_ARGUMENTS)
        return _sum([_sum(ranges[first : first + _MOST_ARGUMENTS]) for first in firsts])
    return f"SUM({','.join(ranges)})"


def sheet_names(titles: Iterable[str], taken: Iterable[str]) -> list[str]:
    """A name for each sheet: at most 31 characters, none that a formula would stumble over, each once."""
    used = {name.lower() for name in taken}
    names = []
    for title in titles:
        plain = "".join(
            " " if letter in "[]:*?/\\'" or not letter.isprintable() else letter for letter in title
        )
        plain = _within(" ".join(plain.split()), 31) or "-"
        name, number = plain, 2
        while name.lower() in used or name.lower() == "history":
            name = f"{_within(plain, 27)} {number}"
            number += 1
        used.add(name.lower())
        names.append(name)
    return names


def _within(text: str, units: int) -> str:
    """The text cut to so many units of 16 bits, as workbooks count, and not within a character."""
    while len(text.encode("utf-16-le")) // 2 > units:
        text = text[:-1]
    return text.strip()
