"""A packet as data: parts in the order in which they are read, every value typed, every figure able to answer why.

The texts are finished and in the packet's language; the values are not formatted. A document that contradicts itself
(a total that is not the sum it says it is, a reference to nothing, a heading out of order) cannot be built.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from functools import cached_property
from typing import Literal

from swardcost_model.access import Ton, UnitSystem

from swardcost_api.packets.relations import Relation
from swardcost_api.packets.soundness import check
from swardcost_api.packets.values import Value


class Kind(StrEnum):
    """What a column holds."""

    TEXT = "text"
    MONEY = "money"
    UNIT_PRICE = "unit_price"
    QUANTITY = "quantity"
    COUNT = "count"
    PERCENT = "percent"
    DATE = "date"
    MONTH = "month"

    @property
    def numeric(self) -> bool:
        """Whether its cells stand on the right, digit under digit."""
        return self in _NUMERIC


_NUMERIC = {Kind.MONEY, Kind.UNIT_PRICE, Kind.QUANTITY, Kind.COUNT, Kind.PERCENT}


class Weight(StrEnum):
    """What a row is: an entry, a heading over entries, a sum of some, or the sum of all."""

    ITEM = "item"
    HEADING = "heading"
    SUBTOTAL = "subtotal"
    TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Cell:
    """A value of a table: `why` is the id of its derivation, `computed` how it follows from other cells."""

    value: Value | None = None
    why: str | None = None
    computed: Relation | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its key in relations, its heading and what it holds."""

    key: str
    title: str
    kind: Kind = Kind.TEXT


@dataclass(frozen=True, slots=True)
class Row:
    """A row: a cell for each column. A note is printed below it."""

    key: str
    cells: tuple[Cell, ...]
    weight: Weight = Weight.ITEM
    note: str = ""


@dataclass(frozen=True)
class Table:
    """A table with its caption. The first column names the rows. Notes are printed below the table."""

    id: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()

    @cached_property
    def column_index(self) -> Mapping[str, int]:
        """Place of each column by its key."""
        return {column.key: index for index, column in enumerate(self.columns)}

    @cached_property
    def row_index(self) -> Mapping[str, int]:
        """Place of each row by its key."""
        return {row.key: index for index, row in enumerate(self.rows)}

    def cell(self, row: str, column: str) -> Cell:
        """The cell of a row and a column. Raises `KeyError`."""
        return self.rows[self.row_index[row]].cells[self.column_index[column]]

    def values(self, column: int) -> Iterator[Value]:
        """What stands in a column, without the empty cells."""
        return (value for row in self.rows if (value := row.cells[column].value) is not None)


@dataclass(frozen=True, slots=True)
class Section:
    """A heading; level 2 is a chapter, the title of the packet being 1."""

    id: str
    heading: str
    level: Literal[2, 3, 4] = 2


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text. A `lead` says the main thing; an `ask` is what the reader is to decide."""

    text: str
    tone: Literal["plain", "lead", "ask"] = "plain"


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of short texts."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A value with its name, the id of its derivation, and the cell (table, row, column) that it repeats."""

    label: str
    value: Value
    why: str | None = None
    same_as: tuple[str, str, str] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Figures:
    """A few figures side by side in large type, or many below each other."""

    items: tuple[Figure, ...]
    large: bool = True


@dataclass(frozen=True, slots=True)
class Chart:
    """A picture of the table beside it: a Vega-Lite specification in JSON, what it shows in words, and its data."""

    id: str
    title: str
    specification: str
    alternative: str
    data: Table
    native: Literal["column", "bar", "line", None] = None
    """How a workbook draws it from its own cells: the first column names, the numeric ones are drawn."""


@dataclass(frozen=True, slots=True)
class Given:
    """An input of a step."""

    name: str
    value: Value


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what comes out, the formula, what went in and where the formula or the price is from."""

    name: str
    value: Value
    formula: str
    inputs: tuple[Given, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Derivation:
    """The steps behind a figure."""

    id: str
    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Appendix:
    """The derivations, numbered in their order."""

    derivations: tuple[Derivation, ...]


@dataclass(frozen=True, slots=True)
class Cautions:
    """Where work can hurt someone or figures can mislead."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Signature:
    """A line to be signed, or what was decided."""

    role: str
    name: str = ""
    on: date | None = None


@dataclass(frozen=True, slots=True)
class SignOff:
    """What is approved and by whom."""

    statement: str
    signatures: tuple[Signature, ...]


Part = (
    Section | Paragraph | Listing | Figures | Table | Chart | Appendix | Cautions | SignOff
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mark:
    """Whether a packet is a draft, or issued and under which number.

    Its files never change, so that another took its place is told by the cover, not here.
    """

    state: Literal["draft", "issued"]
    number: str = ""


@dataclass(frozen=True)
class Document:
    """A packet. `created` is the moment that it speaks of; every face of the same document has the same bytes.

    Raises `ValueError` where it contradicts itself.
    """

    title: str
    subtitle: str
    club: str
    locale: str
    unit_system: UnitSystem
    ton: Ton
    created: datetime
    mark: Mark
    parts: tuple[Part, ...] = field(repr=False)

    def __post_init__(self) -> None:
        check(self)

    @cached_property
    def tables(self) -> tuple[Table, ...]:
        """All tables in their order, those of charts among them."""
        found = []
        for part in self.parts:
            if isinstance(part, Table):
                found.append(part)
            elif isinstance(part, Chart):
                found.append(part.data)
        return tuple(found)

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """All headings in their order."""
        return tuple(part for part in self.parts if isinstance(part, Section))

    @cached_property
    def charts(self) -> tuple[Chart, ...]:
        """All charts in their order."""
        return tuple(part for part in self.parts if isinstance(part, Chart))

    @cached_property
    def figures(self) -> tuple[Figure, ...]:
        """All figures outside tables, in their order."""
        return tuple(figure for part in self.parts if isinstance(part, Figures) for figure in part.items)

    def values(self) -> Iterator[Value]:
        """Every value that is printed: in tables, as figures, and in steps with what went in."""
        for table in self.tables:
            for at in range(len(table.columns)):
                yield from table.values(at)
        yield from (figure.value for figure in self.figures)
        for step in (step for one in self.derivations for step in one.steps):
            yield step.value
            yield from (given.value for given in step.inputs)

    @cached_property
    def derivations(self) -> tuple[Derivation, ...]:
        """All derivations in their order."""
        return tuple(one for part in self.parts if isinstance(part, Appendix) for one in part.derivations)

    @cached_property
    def numbers(self) -> Mapping[str, int]:
        """The number of each derivation by its id, from 1."""
        return {one.id: number for number, one in enumerate(self.derivations, start=1)}
