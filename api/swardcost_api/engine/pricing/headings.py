"""Direct cost under any headings: subtotals of priced lines, and the tree in which each level is a heading.

A line has one key of most headings. By hole, area kind and area it has those of its areas, and its amount is in
their shares; by month its amount is split over the months of its work in proportion to the calendar days in each.
Where both apply, each area's share is split over the months. Every split is by largest remainder, line by line, so
that subtotals by some headings are the sums of those by more. Months alone are the exception: without areas a line
is split over them once and not share by share, which moves odd cents between the months.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import groupby
from operator import attrgetter
from types import MappingProxyType

from swardcost_model.catalog import ItemKind
from swardcost_model.estimate_views import CostType, Heading

from swardcost_api.engine.control.phasing import days_by_month
from swardcost_api.engine.pricing.allocation import split_by_weights

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
_Span = tuple[date, date]
_Shares = dict[Keys, tuple[list[int], list[int]]]
"""Amounts and cash amounts by the keys of areas, kept apart until they are split over months."""


@dataclass(frozen=True, slots=True)
class HeadedArea:
    """An area that a line is for; `hole` is its number on `course`, `None` where it belongs to no hole."""

    id: str
    name: str
    hole: int | None
    kind: str
    course: str = ""


@dataclass(frozen=True, slots=True)
class HeadedLine:
    """A printed line with an amount, in minor units, and what it can be found under.

    `cash_minor` is the part of the amount that costs new money. `parts` are the shares of the amount that belong to
    `areas`, one for each and summing to it; a line that is for no area has neither. `starts_on` and `ends_on` are
    the first and the last day of the work.

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
    areas: Sequence[HeadedArea] = ()
    parts: Sequence[int] = ()

    def __post_init__(self) -> None:
        if len(self.parts) != len(self.areas):
            raise ValueError(
                f"expected a part for each of {len(self.areas)} areas; got {len(self.parts)} parts"
            )
        if self.areas and sum(self.parts) != self.amount_minor:
            raise ValueError(f"expected parts that sum to {self.amount_minor}; got {sum(self.parts)}")
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
    areas = {area.id: area for line in in_order for area in line.areas}
    one_course = len({area.course for area in areas.values()}) <= 1
    sums = _sums(in_order, by, {one.id: _keys_of_area(one, by, one_course) for one in areas.values()})
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


def _sums(
    lines: Iterable[HeadedLine], by: Sequence[Heading], keys_of_area: Mapping[str, Keys]
) -> dict[Keys, list[int]]:
    """Amount and cash by keys, which are in the order of the headings."""
    of_line = [one for one in by if one not in AREA_HEADINGS and one is not Heading.MONTH]
    of_area = [one for one in by if one in AREA_HEADINGS]
    found_at = [*of_line, *of_area, Heading.MONTH]
    places = [found_at.index(one) for one in by]
    gathered = _gathered(lines, of_line, len(of_area), Heading.MONTH in by, keys_of_area)
    sums: dict[Keys, list[int]] = {}
    for (line_keys, span), shares in gathered.items():
        for area_keys, (amounts, cash_amounts) in shares.items():
            for month, amount, cash in _over_months(amounts, cash_amounts, span):
                found = (*line_keys, *area_keys, month)
                both = sums.setdefault(tuple([found[place] for place in places]), [0, 0])
                both[0] += amount
                both[1] += cash
    return sums


def _gathered(
    lines: Iterable[HeadedLine],
    of_line: Sequence[Heading],
    area_headings: int,
    by_month: bool,
    keys_of_area: Mapping[str, Keys],
) -> dict[tuple[Keys, _Span | None], _Shares]:
    """The amounts that have the same keys and the same days of work."""
    attributes = [_ATTRIBUTES.get(one, one.value) for one in of_line]
    gathered: dict[tuple[Keys, _Span | None], _Shares] = {}
    for line in lines:
        line_keys = tuple([getattr(line, name) for name in attributes])
        span = (line.starts_on, line.ends_on) if by_month else None
        shares = gathered.setdefault((line_keys, span), {})
        for area_keys, amount, cash in _shares(line, area_headings, keys_of_area):
            kept = shares.get(area_keys)
            if kept is None:
                kept = shares[area_keys] = ([], [])
            kept[0].append(amount)
            kept[1].append(cash)
    return gathered


def _shares(
    line: HeadedLine, area_headings: int, keys_of_area: Mapping[str, Keys]
) -> Iterable[tuple[Keys, int, int]]:
    """The keys, amount and cash of each area's share; of the line as a whole where areas do not matter."""
    if not area_headings or not line.areas:
        return [((None,) * area_headings, line.amount_minor, line.cash_minor)]
    if line.cash_minor == line.amount_minor:
        cash = line.parts
    elif line.cash_minor:
        cash = split_by_weights(line.cash_minor, [abs(part) for part in line.parts])
    else:
        cash = [0] * len(line.parts)
    return zip([keys_of_area[area.id] for area in line.areas], line.parts, cash, strict=True)


def _over_months(
    amounts: Sequence[int], cash_amounts: Sequence[int], span: _Span | None
) -> Iterator[tuple[str | None, int, int]]:
    """Month, amount and cash of amounts of the same work; one without a month where months do not matter."""
    if span is None:
        yield None, sum(amounts), sum(cash_amounts)
        return
    months, days = _days(*span)
    of_months = _phased(amounts, days)
    cash_of_months = of_months if cash_amounts == amounts else _phased(cash_amounts, days)
    yield from zip(months, of_months, cash_of_months, strict=True)


def _phased(amounts: Sequence[int], days: tuple[int, ...]) -> list[int]:
    """The sums by month of amounts that are split one by one.

    A multiple of all days splits into as many times the days of each month, without remainder. So what decides
    about the odd cents is the rest beyond it alone, and amounts with the same rest are split once.
    """
    whole = sum(days)
    turns = 0
    counts: dict[int, int] = defaultdict(int)
    for amount in amounts:
        turn = amount // whole if amount >= 0 else -(-amount // whole)
        turns += turn
        counts[amount - turn * whole] += 1
    sums = [turns * day for day in days]
    for rest, count in counts.items():
        for place, part in enumerate(_split(rest, days)):
            sums[place] += count * part
    return sums


@lru_cache(maxsize=1024)
def _days(starts_on: date, ends_on: date) -> tuple[tuple[str, ...], tuple[int, ...]]:
    days = days_by_month(starts_on, ends_on)
    return tuple(days), tuple(days.values())


@lru_cache(maxsize=8192)
def _split(rest: int, days: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(split_by_weights(rest, days))


def _keys_of_area(area: HeadedArea, by: Iterable[Heading], one_course: bool) -> Keys:
    keys: dict[Heading, Key] = {
        Heading.HOLE: _hole_key(area, one_course), Heading.AREA_KIND: area.kind, Heading.AREA: area.id,
    }  # fmt: skip
    return tuple([keys[one] for one in by if one in AREA_HEADINGS])


def _hole_key(area: HeadedArea, one_course: bool) -> Key:
    if area.hole is None or one_course:
        return area.hole
    return f"{area.course}: {area.hole}"


def _ranks(
    heading: Heading,
    lines: Iterable[HeadedLine],
    areas: Iterable[HeadedArea],
    one_course: bool,
    keys: Iterable[Key],
) -> dict[Key, int]:
    """The place of each key among those of its heading."""
    ordered: Iterable[Key]
    if heading in _IN_ORDER_OF_SCOPE:
        ordered = map(attrgetter(_ATTRIBUTES.get(heading, heading.value)), lines)
    elif heading in (Heading.HOLE, Heading.AREA):
        key_of: Callable[[HeadedArea], Key] = (
            attrgetter("id") if heading is Heading.AREA else lambda area: _hole_key(area, one_course)
        )
        ordered = [*map(key_of, sorted(areas, key=_by_hole_and_name)), None]
    else:
        ordered = sorted(keys, key=str)
    once = dict.fromkeys(ordered)
    return {key: place for place, key in enumerate(sorted(once, key=lambda key: key is None))}


def _by_hole_and_name(area: HeadedArea) -> tuple[str, bool, int, str, str]:
    return area.course, area.hole is None, area.hole or 0, area.name, area.id
