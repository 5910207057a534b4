"""How wide the columns of a table are on paper, in which size its letters are, and whether it lies across its page.

Numbers are never broken, and words get room enough to be read: a table that is too wide for this is set smaller, then
across its page, and in the end as small as it takes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from swardcost_api.packets.faces.letter_widths import piece_width, text_width
from swardcost_api.packets.faces.table_views import CellView, ColumnView, TableView

Paper = Literal["us-letter", "a4"]
_POINTS = 72 / 25.4
_SIDES = {"us-letter": (215.9 * _POINTS, 279.4 * _POINTS), "a4": (210 * _POINTS, 297 * _POINTS)}
"""Width and height in points: 8.5 by 11 inches, and ISO 216."""
_MARGINS = 36 * _POINTS
_SIZES, _SIZES_ACROSS = (9.0, 8.0), (9.0, 8.0, 7.0)
_DATA_SIZE, _DATA_GAP, _MOST_BLOCKS, _FEWEST_ROWS, _MOST_ROWS = 7.5, 16.0, 3, 4, 40
_INSETS, _CITATION, _UNIT = 0.8, 1.3, 0.85
"""In em: what stands left and right of a cell, room for the number of a derivation, and the size of a unit."""
_NAMES, _WORDS, _TITLE, _LONGEST = 13.0, 8.0, 9.0, 32.0
"""In em: the room that names of rows, other words and heads of columns get before they are broken, and at most."""
_FEW_LETTERS = 7.0
"""In em: what is shorter looks lost in a wide column."""
_NARROW, _STRETCHED = 0.4, 0.55
"""A table that needs less of its page than the one is as wide as the other, so that no eye loses its line."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How a table is set: the size of its letters and the widths of its columns, in points."""

    size: float
    widths: tuple[float, ...]
    across: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """Rows of a table that stand beside other rows of it: the first, and the one after the last."""

    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class DataSetting:
    """How the figures of a chart are set: small, and where they are narrow in blocks side by side."""

    setting: Setting
    bands: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True, slots=True)
class _Need:
    """What a column takes in em: to be read well, for cells that are not broken, and for its head on one line."""

    least: float
    wanted: float
    whole: float
    roomy: bool
    """Whether it holds words, and more of them than a few letters, and so may be wider."""


def setting_of(table: TableView, paper: Paper) -> Setting:
    """How a table is set on a page of its own text."""
    needs = _needs(table)
    least = sum(need.least for need in needs)
    upright, across = (side - _MARGINS for side in _SIDES[paper])
    for room, sizes, lies in ((upright, _SIZES, False), (across, _SIZES_ACROSS, True)):
        for size in sizes:
            if least * size <= room:
                return Setting(size, _shared(needs, room / size, size), lies)
    size = across / least
    return Setting(size, tuple(need.least * size for need in needs), True)


def data_setting_of(table: TableView, paper: Paper) -> DataSetting:
    """How the figures of a chart are set below it."""
    needs, rows = _needs(table), len(table.rows)
    room = _SIDES[paper][0] - _MARGINS
    least, width = (
        sum(widths) * _DATA_SIZE for widths in ([one.least for one in needs], [one.wanted for one in needs])
    )
    if width > room:
        whole = (Block(0, rows),)
        if least > room:
            return DataSetting(setting_of(table, paper), (whole,))
        return DataSetting(Setting(_DATA_SIZE, _shared(needs, room / _DATA_SIZE, _DATA_SIZE)), (whole,))
    side_by_side = int((room + _DATA_GAP) // (width + _DATA_GAP))
    count = max(min(side_by_side, _MOST_BLOCKS, rows // _FEWEST_ROWS), 1)
    setting = Setting(_DATA_SIZE, tuple(one.wanted * _DATA_SIZE for one in needs))
    return DataSetting(setting, tuple(_bands(rows, count)))


def _bands(rows: int, count: int) -> list[tuple[Block, ...]]:
    """Blocks side by side, and where they would be longer than a page holds well more of them below."""
    bands = []
    for begin in range(0, max(rows, 1), _MOST_ROWS * count):
        band = min(_MOST_ROWS * count, rows - begin)
        cuts = [begin + -(-band * at // count) for at in range(count + 1)]
        bands.append(tuple(Block(*pair) for pair in pairwise(cuts)))
    return bands


def _needs(table: TableView) -> list[_Need]:
    needs = []
    for index, column in enumerate(table.columns):
        cells = [(row.cells[index], row.weight != "item") for row in table.rows if row.weight != "heading"]
        whole = max((_cell_width(cell, bold) for cell, bold in cells), default=0.0)
        pieces = max((_cell_width(cell, bold, pieces=True) for cell, bold in cells), default=0.0)
        beside = _INSETS + _CITATION * (column.numeric and any(cell.citation for cell, _ in cells))
        head, head_pieces = _head_widths(column)
        if column.words or index == 0:
            shortest = min(whole, _NAMES if index == 0 else _WORDS)
        else:
            shortest = pieces if column.numeric else whole
        least = max(pieces, shortest, head_pieces)
        wanted = max(least, min(whole, _LONGEST), min(head, _TITLE))
        roomy = (column.words or index == 0) and whole > _FEW_LETTERS
        needs.append(_Need(least + beside, wanted + beside, max(wanted, head) + beside, roomy))
    return needs


def _cell_width(cell: CellView, bold: bool, pieces: bool = False) -> float:
    width = (piece_width if pieces else text_width)(cell.text, bold)
    return width + (_CITATION if cell.citation and cell.look != "n" else 0.0)


def _head_widths(column: ColumnView) -> tuple[float, float]:
    """The head of a column on one line, and its widest piece."""
    unit = text_width(column.unit) * _UNIT
    return text_width(column.title, True) + unit + 0.25 * bool(unit), max(
        piece_width(column.title, True), unit
    )


def _shared(needs: Sequence[_Need], room: float, size: float) -> tuple[float, ...]:
    """Widths in points: what is left of the room goes to digits, to words that would be broken, and to heads."""
    if sum(need.wanted for need in needs) < room * _NARROW:
        room *= _STRETCHED
    widths = [need.least for need in needs]
    short = [need.least if need.roomy else need.wanted for need in needs]
    for more in (short, [need.wanted for need in needs], [need.whole for need in needs]):
        lacks = [most - width for width, most in zip(widths, more, strict=True)]
        share = min((room - sum(widths)) / sum(lacks), 1.0) if sum(lacks) else 0.0
        widths = [width + lack * share for width, lack in zip(widths, lacks, strict=True)]
    left, equally = room - sum(widths), not any(need.roomy for need in needs)
    shares = [1.0 if equally else width * need.roomy for width, need in zip(widths, needs, strict=True)]
    return tuple(
        (width + left * share / sum(shares)) * size for width, share in zip(widths, shares, strict=True)
    )
