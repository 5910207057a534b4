"""How a cell follows from others: stated once, checked when a document is built, and written as formulas in workbooks.

Money is rounded half up to the minor unit of its currency at the cell that it is printed in, so that what is printed
can be redone by hand.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from swardcost_model.values import Money

from swardcost_api.packets.values import (
    Measured,
    Share,
    UnitPrice,
    number_of,
    to_minor_unit,
    unit_of,
    with_number,
)

if TYPE_CHECKING:
    from swardcost_api.packets.document import Cell, Table

HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Product:
    """The product of columns of the same row; a share counts as its hundredth part."""

    factors: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Columns:
    """The sum of columns of the same row less others. All must be there: nothing missing is read as zero."""

    plus: tuple[str, ...]
    minus: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rows:
    """The sum of rows of the same column less others. Empty cells are left out, and must be told of beside the sum."""

    plus: tuple[str, ...]
    minus: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ratio:
    """One column in percent of another of the same row, rounded half up to so many places."""

    part: str
    whole: str
    places: int = 1


@dataclass(frozen=True, slots=True)
class SameAs:
    """What stands in a cell of this or another table."""

    table: str
    row: str
    column: str


Relation = Product | Columns | Rows | Ratio | SameAs
Place = tuple[str, str, str]
"""A cell: table, row, column."""


def check_relations(tables: Mapping[str, "Table"]) -> None:
    """Raise `ValueError` where a computed cell does not hold what it says it holds, or follows from itself."""
    computing = _Computing(tables)
    for table in tables.values():
        if len(table.row_index) != len(table.rows) or len(table.column_index) != len(table.columns):
            raise ValueError(f"table {table.id}: a key is used twice")
        for row in table.rows:
            for column, cell in zip(table.columns, row.cells, strict=True):
                if cell.computed is not None:
                    place = (table.id, row.key, column.key)
                    due = computing.number(place, frozenset())
                    if due != number_of(cell.value):
                        raise ValueError(f"{place}: {number_of(cell.value)} printed, {due} computed")


def cell_at(tables: Mapping[str, "Table"], place: Place) -> "Cell":
    """The cell that a relation or a figure refers to. Raises `ValueError` where there is none."""
    table, row, column = place
    try:
        return tables[table].cell(row, column)
    except KeyError as error:
        raise ValueError(f"{place}: there is no {error.args[0]!r}") from error


def recomputed(tables: Mapping[str, "Table"]) -> dict[str, "Table"]:
    """The tables with every computed cell filled in from the others, as after a change of units."""
    computing = _Computing(tables)

    def filled(table: "Table", row: str, column: str, cell: "Cell") -> "Cell":
        if cell.computed is None or cell.value is None:
            return cell
        due = computing.number((table.id, row, column), frozenset())
        return cell if due is None else replace(cell, value=with_number(cell.value, due))

    return {
        name: replace(table, rows=tuple(
            replace(row, cells=tuple(
                filled(table, row.key, column.key, cell)
                for column, cell in zip(table.columns, row.cells, strict=True)
            ))
            for row in table.rows
        ))
        for name, table in tables.items()
    }  # fmt: skip


class _Computing:
    """The numbers of cells, those that follow from others computed from them and remembered."""

    def __init__(self, tables: Mapping[str, "Table"]) -> None:
        self._tables = tables
        self._known: dict[Place, Decimal | None] = {}

    def number(self, place: Place, within: frozenset[Place]) -> Decimal | None:
        """What a cell must hold; `within` are the cells that are being computed from it."""
        if place in self._known:
            return self._known[place]
        if place in within:
            raise ValueError(f"{place} follows from itself")
        cell = self._cell(place)
        if cell.computed is None:
            return number_of(cell.value)
        number = self._computed(cell.computed, place, within | {place})
        if number is not None and isinstance(cell.value, Money):
            number = to_minor_unit(number, cell.value.currency)
        self._known[place] = number
        return number

    def _computed(self, relation: Relation, place: Place, within: frozenset[Place]) -> Decimal | None:
        table, row, column = place
        match relation:
            case Product(factors):
                self._check_price(place, factors)
                product = Decimal(1)
                for one in factors:
                    product *= self._factor((table, row, one), within)
                return product
            case Columns(plus, minus):
                added = [(table, row, one) for one in plus]
                taken = [(table, row, one) for one in minus]
                self._check_units(place, added + taken)
                return self._needed(added, within) - self._needed(taken, within)
            case Rows(plus, minus):
                added = [(table, one, column) for one in plus]
                taken = [(table, one, column) for one in minus]
                self._check_units(place, added + taken)
                return self._present(added, within) - self._present(taken, within)
            case Ratio(part, whole, places):
                numerator = self._needed([(table, row, part)], within)
                denominator = self._needed([(table, row, whole)], within)
                if not denominator:
                    return None
                step = Decimal(1).scaleb(-places)
                return (numerator * HUNDRED / denominator).quantize(step, ROUND_HALF_UP)
            case SameAs(other, other_row, other_column):
                return self.number((other, other_row, other_column), within)

    def _factor(self, place: Place, within: frozenset[Place]) -> Decimal:
        number = self._needed([place], within)
        return number / HUNDRED if isinstance(self._cell(place).value, Share) else number

    def _needed(self, places: Iterable[Place], within: frozenset[Place]) -> Decimal:
        total = Decimal()
        for place in places:
            number = self.number(place, within)
            if number is None:
                raise ValueError(f"{place} is empty, and something is computed from it")
            total += number
        return total

    def _present(self, places: Iterable[Place], within: frozenset[Place]) -> Decimal:
        numbers = (self.number(place, within) for place in places)
        return sum((one for one in numbers if one is not None), Decimal())

    def _check_units(self, place: Place, places: Iterable[Place]) -> None:
        """What is added up has one unit."""
        units = {
            unit_of(self._cell(one).value) for one in [place, *places] if self._cell(one).value is not None
        }
        if len(units) > 1:
            raise ValueError(f"{place}: {sorted(units)} cannot be added up")

    def _check_price(self, place: Place, factors: Iterable[str]) -> None:
        """A quantity that is multiplied by a price stays in the unit of the price."""
        values = [self._cell((*place[:2], one)).value for one in factors]
        prices = [value.unit for value in values if isinstance(value, UnitPrice)]
        for value in values:
            if isinstance(value, Measured) and prices and not (value.as_bought and value.unit in prices):
                raise ValueError(f"{place}: a quantity in {value.unit} with a price by {prices}")

    def _cell(self, place: Place) -> "Cell":
        return cell_at(self._tables, place)
