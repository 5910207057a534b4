"""Tables as they are printed: every cell a text, with the number of its derivation. Pages and paper share them."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from swardcost_model.values import Money

from swardcost_api.packets.document import Cell, Document, Kind, Row, Table
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import UnitPrice
from swardcost_api.packets.wording import Words

_NARROW_SPACE = "\N{NARROW NO-BREAK SPACE}"
_SHORT = 16
"""Words shorter than this, such as the number of an account, stay on one line."""


@dataclass(frozen=True, slots=True)
class Citation:
    """A place that names a derivation: the number of the derivation, and the how-manieth place it is."""

    derivation: str
    number: int
    occurrence: int
    label: str


@dataclass(frozen=True, slots=True)
class CellView:
    """A cell as it is printed.

    It looks like digits (``n``), like something short that is not broken (``s``), or like words (``w``).
    """

    text: str
    look: Literal["n", "s", "w", ""]
    citation: Citation | None
    note: str


@dataclass(frozen=True, slots=True)
class RowView:
    """A row as it is printed."""

    weight: str
    cells: tuple[CellView, ...]
    note: str


@dataclass(frozen=True, slots=True)
class ColumnView:
    """The head of a column: its title, and the currency of what stands below."""

    title: str
    unit: str
    numeric: bool
    words: bool
    """Whether it holds running words, and so may take what room is left."""


@dataclass(frozen=True, slots=True)
class TableView:
    """A table as it is printed."""

    id: str
    caption: str
    columns: tuple[ColumnView, ...]
    rows: tuple[RowView, ...]
    notes: tuple[str, ...]


class Citations:
    """Counts the places that name a derivation, in the order in which they are read."""

    def __init__(self, document: Document) -> None:
        self._numbers = document.numbers
        self._places: defaultdict[str, list[Citation]] = defaultdict(list)

    def cite(self, why: str | None, label: str) -> Citation | None:
        """The next place that names a derivation; `None` for a figure without one."""
        if why is None:
            return None
        places = self._places[why]
        places.append(Citation(why, self._numbers[why], len(places) + 1, label))
        return places[-1]

    @property
    def places(self) -> Mapping[str, list[Citation]]:
        """The places by derivation."""
        return self._places


def currency_of(table: Table, index: int) -> str | None:
    """The currency of a column, where all of it has one."""
    found = {value.currency for value in table.values(index) if isinstance(value, Money | UnitPrice)}
    return found.pop() if len(found) == 1 else None


def notes_of(row: Row) -> str:
    """What stands beside a row where there is no room below it: its note, and those of its cells."""
    return " ".join(filter(None, (row.note, *(cell.note for cell in row.cells))))


def stop(mark: str, words: Words) -> str:
    """A colon or a semicolon between two texts, in French with a narrow space before it."""
    return f"{_NARROW_SPACE if words.language == 'fr' else ''}{mark} "


def table_view(table: Table, formatter: Formatter, citations: Citations) -> TableView:
    """A table as it is printed: money without its symbol where the head of the column names the currency."""
    currencies = [currency_of(table, index) for index in range(len(table.columns))]
    quantities = any(column.kind is Kind.QUANTITY for column in table.columns)
    places = [formatter.column_places(table.values(index)) for index in range(len(table.columns))]

    def cell_view(row: Row, index: int, cell: Cell) -> CellView:
        column = table.columns[index]
        bare = currencies[index] is not None and (column.kind is not Kind.UNIT_PRICE or quantities)
        text = formatter.bare(cell.value, places[index]) if bare else formatter.text(cell.value)
        label = f"{table.caption}{stop(':', formatter.words)}{column.title}"
        return CellView(
            calm(text), _look(column.kind, text), citations.cite(cell.why, label), calm(cell.note)
        )

    columns = tuple(
        ColumnView(calm(column.title), currencies[index] or "", column.kind.numeric, column.kind is Kind.TEXT)
        for index, column in enumerate(table.columns)
    )
    rows = tuple(
        RowView(
            row.weight.value,
            tuple(cell_view(row, index, cell) for index, cell in enumerate(row.cells)),
            calm(row.note),
        )
        for row in table.rows
    )
    return TableView(table.id, calm(table.caption), columns, rows, tuple(map(calm, table.notes)))


def _look(kind: Kind, text: str) -> Literal["n", "s", "w", ""]:
    if not text:
        return ""
    if kind.numeric:
        return "n"
    return "s" if kind is not Kind.TEXT or (len(text) < _SHORT and " " not in text) else "w"
