"""Direct cost under any headings: subtotals of priced lines, and the tree in which each level is a heading.

A line has one key of most headings. By hole, area kind and area it has those of its areas, by month those of the
months of its work. `cells` says how its amount is split over areas and months, once and for all headings: every
subtotal is a sum of such cells, so that a table by some headings is exactly the sums of any table by more.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import groupby
from operator import attrgetter
from types import MappingProxyType
from typing import Protocol

from swardcost_model.catalog import ItemKind
from swardcost_model.estimate_views import CostType, Heading

from swardcost_api.engine.control.phasing import days_by_month
from swardcost_api.engine.pricing.cells import Cells, cash_of_areas, cells

COST_TYPES: Mapping[str, CostType] = MappingProxyType({
    ItemKind.MATERIAL: CostType.MATERIAL, ItemKind.SOD: CostType.MATERIAL,
    ItemKind.LABOR: CostType.LABOR,
    ItemKind.RENTAL: CostType.EQUIPMENT, ItemKind.OWNED_MACHINE: CostType.EQUIPMENT,
    ItemKind.CONTRACT: CostType.CONTRACT,
    ItemKind.FREIGHT: CostType.FREIGHT,
    ItemKind.DISPOSAL: CostType.OTHER, ItemKind.FEE: CostType.OTHER,
})  # fmt: skip
"""The type of cost of each kind of item."""

Key = str | int | None
Keys = tuple[Key, ...]
_Key = tuple[Keys, tuple[str | None, ...], str | None]
"""Keys of lines, ids of their areas, and a month."""


class Area(Protocol):
    """An area that a line is for; `hole` is its number on `course`, `None` where it belongs to no hole."""

    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def hole(self) -> int | None: ...
    @property
    def kind(self) -> str: ...
    @property
    def course(self) -> str: ...


@dataclass(frozen=True, slots=True)
class HeadedArea:
    """An `Area` and nothing else."""

    id: str
    name: str
    hole: int | None
    kind: str
    course: str = ""


@dataclass(frozen=True, slots=True)
class HeadedLine:
    """A printed line with an amount, in minor units, and what it can be found under.

    `cash_minor` is the part of the amount that costs new money. `parts` are the shares of the amount that belong to
    `areas`, one for each, of its sign and summing to it; a line that is for no area has neither. `starts_on` and
    `ends_on` are the first and the last day of the work.

    Raises `ValueError` for parts that do not fit the areas or the amount, and for an end before the start.
    """

    number: int
    scope_item: str
    resource: int
    item: str
    part: str
    amount_minor: int
    cash_minor: int
    starts_on: date
    ends_on: date
    group: str | None = None
    item_kind: str | None = None
    account: str | None = None
    vendor: str | None = None
    price_source: str | None = None
    areas: Sequence[Area] = ()
    parts: Sequence[int] = ()

    def __post_init__(self) -> None:
        if len(self.parts) != len(self.areas):
            raise ValueError(
                f"expected a part for each of {len(self.areas)} areas; got {len(self.parts)} parts"
            )
        if self.areas and sum(self.parts) != self.amount_minor:
            raise ValueError(f"expected parts that sum to {self.amount_minor}; got {sum(self.parts)}")
        if self.areas and (min(self.parts) < 0 if self.amount_minor >= 0 else max(self.parts) > 0):
            raise ValueError(f"expected parts of one sign; got {min(self.parts)} and {max(self.parts)}")
        if self.ends_on < self.starts_on:
            raise ValueError(f"expected an end on or after {self.starts_on}; got {self.ends_on}")

    @property
    def cost_type(self) -> CostType | None:
        """The type of cost. Raises `ValueError` for a kind of item that is not known."""
        return None if self.item_kind is None else COST_TYPES[ItemKind(self.item_kind)]


@dataclass(frozen=True, slots=True)
class Subtotal:
    """Direct cost in minor units under one key of each heading."""

    keys: Keys
    amount_minor: int
    cash_minor: int


@dataclass(frozen=True, slots=True)
class Node:
    """Direct cost in minor units under a key, within that of the nodes above; its children sum to it."""

    heading: Heading
    key: Key
    amount_minor: int
    cash_minor: int
    children: tuple["Node", ...]


AREA_HEADINGS = frozenset({Heading.HOLE, Heading.AREA_KIND, Heading.AREA})
"""The headings by which a line's amount is in the shares of its areas."""
_IN_ORDER_OF_SCOPE = frozenset({Heading.GROUP, Heading.SCOPE_ITEM, Heading.RESOURCE, Heading.LINE})
_ATTRIBUTES = {Heading.LINE: "number"}
"""Where a heading's key of a line is not called like the heading."""


def subtotals(lines: Iterable[HeadedLine], by: Sequence[Heading]) -> tuple[Subtotal, ...]:
    """Direct cost by one or several headings, the first one leading; the rows sum to the lines.

    Groups, scope items, resources and lines come in the order of the scope, holes by number (by course and number
    where the lines are for several courses), areas by hole and name, months by date and all else by key; what has
    no key comes last. The order of the lines does not matter.

    Keys are numbers of lines, resources and holes, months such as `2026-03`, and text otherwise; with several
    courses a hole's is text such as `North: 3`.

    Raises `ValueError` for no heading, or for one that is named twice.
    """
    if not by or len(set(by)) != len(by):
        raise ValueError(f"expected one or more different headings; got {', '.join(by) or 'none'}")
    in_order = sorted(lines, key=attrgetter("number"))
    areas = {} if AREA_HEADINGS.isdisjoint(by) else _areas_of(in_order)
    one_course = len({area.course for area in areas.values()}) <= 1
    keys_of_area: dict[str | None, Keys] = {
        one.id: _keys_of_area(one, by, one_course) for one in areas.values()
    }
    keys_of_area[None] = tuple([None for one in by if one in AREA_HEADINGS])
    sums = _sums(in_order, by, keys_of_area)
    ranks = [
        _ranks(heading, in_order, areas.values(), one_course, {keys[place] for keys in sums})
        for place, heading in enumerate(by)
    ]
    rows = sorted(sums.items(), key=lambda row: [rank[key] for rank, key in zip(ranks, row[0], strict=True)])
    return tuple(Subtotal(keys, amount, cash) for keys, (amount, cash) in rows)


def tree(lines: Iterable[HeadedLine], by: Sequence[Heading]) -> tuple[Node, ...]:
    """Direct cost as a tree, a level for each heading, in the order of `subtotals`; children sum to their node.

    Raises `ValueError` for no heading, or for one that is named twice.
    """
    return _nested(subtotals(lines, by), by, 0)


def _nested(rows: Iterable[Subtotal], by: Sequence[Heading], level: int) -> tuple[Node, ...]:
    nodes = []
    for key, with_key in groupby(rows, key=lambda row: row.keys[level]):
        under = tuple(with_key)
        nodes.append(
            Node(
                by[level], key, sum(row.amount_minor for row in under), sum(row.cash_minor for row in under),
                _nested(under, by, level + 1) if level + 1 < len(by) else (),
            )
        )  # fmt: skip
    return tuple(nodes)


def _areas_of(lines: Iterable[HeadedLine]) -> dict[str, Area]:
    """All areas by id; lines that follow each other mostly share theirs."""
    areas: dict[str, Area] = {}
    seen: Sequence[Area] = ()
    for line in lines:
        if line.areas is not seen:
            seen = line.areas
            areas.update((area.id, area) for area in seen)
    return areas


def _sums(
    lines: Iterable[HeadedLine], by: Sequence[Heading], keys_of_area: Mapping[str | None, Keys]
) -> dict[Keys, list[int]]:
    """Amount and cash by keys, which are in the order of the headings."""
    of_line = [one for one in by if one not in AREA_HEADINGS and one is not Heading.MONTH]
    of_area = [one for one in by if one in AREA_HEADINGS]
    found_at = [*of_line, *of_area, Heading.MONTH]
    places = [found_at.index(one) for one in by]
    sums: dict[Keys, list[int]] = {}
    for (line_keys, area_ids, month), rows in _gathered(lines, of_line, of_area, by).items():
        for area_id, amount, cash in zip(area_ids, *_added_up(rows), strict=True):
            found = (*line_keys, *keys_of_area[area_id], month)
            both = sums.setdefault(tuple([found[place] for place in places]), [0, 0])
            both[0] += amount
            both[1] += cash
    return sums


def _gathered(
    lines: Iterable[HeadedLine], of_line: Sequence[Heading], of_area: Sequence[Heading], by: Sequence[Heading]
) -> dict[_Key, list[Cells]]:
    """Amounts and cash by area of the lines that have the same keys, areas and month.

    One area, without a name, stands for all where areas do not matter or a line has none.
    """
    attributes = [_ATTRIBUTES.get(one, one.value) for one in of_line]
    by_month = Heading.MONTH in by
    gathered: dict[_Key, list[Cells]] = {}
    seen: Sequence[Area] = ()
    seen_ids: tuple[str | None, ...] = ()
    for line in lines:
        line_keys = tuple([getattr(line, name) for name in attributes])
        area_ids: tuple[str | None, ...] = (None,)
        parts: Sequence[int] = (line.amount_minor,)
        if of_area and line.areas:
            if line.areas is not seen:
                seen, seen_ids = line.areas, tuple([area.id for area in line.areas])
            area_ids, parts = seen_ids, line.parts
        for month, row in _rows(line, parts, by_month):
            gathered.setdefault((line_keys, area_ids, month), []).append(row)
    return gathered


def _added_up(rows: Sequence[Cells]) -> Cells:
    """Amounts and cash by area, over the lines."""
    amounts, cash_amounts = zip(*rows, strict=True)
    added = [sum(of_area) for of_area in zip(*amounts, strict=True)]
    if amounts == cash_amounts:
        return added, added
    return added, [sum(of_area) for of_area in zip(*cash_amounts, strict=True)]


def _rows(line: HeadedLine, parts: Sequence[int], by_month: bool) -> Iterable[tuple[str | None, Cells]]:
    """Amounts and cash of a line by area, for each month of its work or, without a month, for all of it."""
    amount, cash = line.amount_minor, line.cash_minor
    if not by_month:
        if cash == amount:
            return ((None, (parts, parts)),)
        if len(parts) == 1:
            return ((None, (parts, (cash,))),)
    months, days = _days(line.starts_on, line.ends_on)
    if not by_month:
        return ((None, (parts, cash_of_areas(amount, cash, parts, days))),)
    return zip(months, cells(amount, cash, parts, days), strict=True)


@lru_cache(maxsize=1024)
def _days(starts_on: date, ends_on: date) -> tuple[tuple[str, ...], tuple[int, ...]]:
    days = days_by_month(starts_on, ends_on)
    return tuple(days), tuple(days.values())


def _keys_of_area(area: Area, by: Iterable[Heading], one_course: bool) -> Keys:
    keys: dict[Heading, Key] = {
        Heading.HOLE: _hole_key(area, one_course), Heading.AREA_KIND: area.kind, Heading.AREA: area.id,
    }  # fmt: skip
    return tuple([keys[one] for one in by if one in AREA_HEADINGS])


def _hole_key(area: Area, one_course: bool) -> Key:
    if area.hole is None or one_course:
        return area.hole
    return f"{area.course}: {area.hole}"


def _ranks(
    heading: Heading,
    lines: Iterable[HeadedLine],
    areas: Iterable[Area],
    one_course: bool,
    keys: Iterable[Key],
) -> dict[Key, int]:
    """The place of each key among those of its heading."""
    ordered: Iterable[Key]
    if heading in _IN_ORDER_OF_SCOPE:
        ordered = map(attrgetter(_ATTRIBUTES.get(heading, heading.value)), lines)
    elif heading in (Heading.HOLE, Heading.AREA):
        key_of: Callable[[Area], Key] = (
            attrgetter("id") if heading is Heading.AREA else lambda area: _hole_key(area, one_course)
        )
        ordered = [*map(key_of, sorted(areas, key=_by_hole_and_name)), None]
    else:
        ordered = sorted(keys, key=str)
    once = dict.fromkeys(ordered)
    return {key: place for place, key in enumerate(sorted(once, key=lambda key: key is None))}


def _by_hole_and_name(area: Area) -> tuple[str, bool, int, str, str]:
    return area.course, area.hole is None, area.hole or 0, area.name, area.id
