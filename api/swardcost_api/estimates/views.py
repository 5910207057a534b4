"""The direct cost of a stored estimate under any headings: as a table, as a tree, as CSV cells and as text."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile
from types import MappingProxyType
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model import problems
from swardcost_model.estimate_views import EstimateTree, Heading, SubtotalRow, SubtotalTable, TreeNode
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.course.service import area_facts
from swardcost_api.engine.pricing import headings
from swardcost_api.engine.pricing.headings import AREA_HEADINGS, HeadedArea, HeadedLine, Key, Node
from swardcost_api.estimates.priced import key_in_words
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.faults import shown
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

MOST_HEADINGS = 4
TREE_BY = "group,scope_item,resource,line"
"""The headings of a tree unless others are asked for."""

_COLUMNS = (
    EstimateLineRow.number, EstimateLineRow.scope_item_id, EstimateLineRow.scope_item, EstimateLineRow.group,
    EstimateLineRow.resource, EstimateLineRow.part, EstimateLineRow.item, EstimateLineRow.item_kind,
    EstimateLineRow.description, EstimateLineRow.vendor, EstimateLineRow.account, EstimateLineRow.price_source,
    EstimateLineRow.amount_minor, EstimateLineRow.cash_minor, EstimateLineRow.starts_on, EstimateLineRow.ends_on,
)  # fmt: skip
_NAMELESS: Mapping[Key, str] = MappingProxyType({})
_LONGEST_LABEL = 80
_AreasOf = Callable[[Sequence[Any]], Sequence[HeadedArea]]


@dataclass(frozen=True, slots=True)
class _Cost:
    """The priced lines of an estimate as they are added up, and what their keys are called."""

    currency: str
    lines: Sequence[HeadedLine]
    unpriced: Sequence[int]
    labels: Mapping[Heading, Mapping[Key, str]]

    def money(self, minor: int) -> Money:
        return Money.of_minor(minor, self.currency)

    def label(self, heading: Heading, key: Key) -> str:
        """A key in words."""
        return key_in_words(heading, key, self.labels.get(heading, _NAMELESS))

    def shared_fields(self, estimate_id: UUID, by: Sequence[Heading]) -> dict[str, Any]:
        """What a table and a tree have in common."""
        return {
            "estimate_id": estimate_id, "by": list(by), "unpriced_lines": list(self.unpriced),
            "direct": self.money(sum(line.amount_minor for line in self.lines)),
            "direct_cash": self.money(sum(line.cash_minor for line in self.lines)),
        }  # fmt: skip


def subtotals(work: UnitOfWork, estimate_id: UUID, by: str) -> SubtotalTable:
    """The direct cost of an estimate by one to four headings, written with commas between them.

    Raises `invalid-values` for other headings, and `not-found` where this club has no such estimate.
    """
    wanted = _headings(by)
    cost = _cost(work, estimate_id, wanted)
    return SubtotalTable(
        rows=[
            SubtotalRow(
                keys=[_text(key) for key in row.keys],
                labels=[cost.label(one, key) for one, key in zip(wanted, row.keys, strict=True)],
                amount=cost.money(row.amount_minor), cash_amount=cost.money(row.cash_minor),
            )
            for row in headings.subtotals(cost.lines, wanted)
        ],
        **cost.shared_fields(estimate_id, wanted),
    )  # fmt: skip


def tree(work: UnitOfWork, estimate_id: UUID, by: str = TREE_BY) -> EstimateTree:
    """The direct cost of an estimate as a tree with a level for each of one to four headings.

    Raises `invalid-values` for other headings, and `not-found` where this club has no such estimate.
    """
    wanted = _headings(by)
    cost = _cost(work, estimate_id, wanted)

    def answered(node: Node) -> TreeNode:
        return TreeNode(
            heading=node.heading, key=_text(node.key), label=cost.label(node.heading, node.key),
            amount=cost.money(node.amount_minor), cash_amount=cost.money(node.cash_minor),
            line=node.key if node.heading is Heading.LINE and isinstance(node.key, int) else None,
            children=[answered(child) for child in node.children],
        )  # fmt: skip

    return EstimateTree(
        nodes=[answered(node) for node in headings.tree(cost.lines, wanted)],
        **cost.shared_fields(estimate_id, wanted),
    )


def subtotal_columns(table: SubtotalTable) -> Sequence[str]:
    """The columns of a table as CSV: key and label of each heading, then the money."""
    named = [column for one in table.by for column in (one.value, f"{one.value}_label")]
    return (*named, "amount", "cash_amount", "currency")


def subtotal_cells(table: SubtotalTable) -> Iterable[Sequence[Any]]:
    """Subtotals as the cells of a CSV file with the columns `subtotal_columns`."""
    for row in table.rows:
        named = [cell for both in zip(row.keys, row.labels, strict=True) for cell in both]
        yield (*named, row.amount.amount, row.cash_amount.amount, row.amount.currency)


def tree_text(found: EstimateTree) -> str:
    """A tree to be read: a level deeper is indented further; amounts stand in a column, cash beside them."""
    rows = [(_cut(label), amount, cash) for label, amount, cash in _indented(found.nodes, 0)]
    total = ("Direct cost", _printed(found.direct), _printed(found.direct_cash))
    table = [("", found.direct.currency, "of it in cash"), *rows, total]
    widths = [max(len(cells) for cells in column) for column in zip(*table, strict=True)]
    lines = [
        f"{label:<{widths[0]}}  {amount:>{widths[1]}}  {cash:>{widths[2]}}" for label, amount, cash in table
    ]
    lines.insert(-1, "-" * (sum(widths) + 4))
    if found.unpriced_lines:
        numbers = ", ".join(str(number) for number in found.unpriced_lines)
        lines.append(f"Without an amount, and in no sum: line {numbers}")
    return "\n".join([*lines, ""])


def _indented(nodes: Iterable[TreeNode], level: int) -> Iterator[tuple[str, str, str]]:
    for node in nodes:
        label = node.label if node.line is None else f"{node.line}. {node.label}"
        yield "  " * level + label, _printed(node.amount), _printed(node.cash_amount)
        yield from _indented(node.children, level + 1)


def _printed(money: Money) -> str:
    return f"{money.amount:,f}"


def _cut(label: str) -> str:
    return label if len(label) <= _LONGEST_LABEL else label[: _LONGEST_LABEL - 1] + "…"


def _text(key: Key) -> str | None:
    return None if key is None else str(key)


def _headings(by: str) -> list[Heading]:
    names = [name.strip() for name in by.split(",")]
    known = {heading.value: heading for heading in Heading}
    if len(names) > MOST_HEADINGS or len(set(names)) != len(names) or not known.keys() >= set(names):
        fault = Fault(
            pointer="/by", expected=f"one to four different headings of {', '.join(known)}, with commas between them",
            got=shown(by),
        )  # fmt: skip
        raise ProblemError(problems.INVALID_VALUES, "Nothing was added up.", [fault])
    return [known[name] for name in names]


def _cost(work: UnitOfWork, estimate_id: UUID, by: Sequence[Heading]) -> _Cost:
    """What an estimate's lines cost; shares by area, which are large, are read only where they matter."""
    currency = work.session.scalar(
        select(EstimateRow.currency).where(EstimateRow.club_id == work.club_id, EstimateRow.id == estimate_id)
    )
    if currency is None:
        raise missing("estimate")
    by_area = not AREA_HEADINGS.isdisjoint(by)
    columns = (*_COLUMNS, EstimateLineRow.shares) if by_area else _COLUMNS
    rows = work.session.execute(
        select(*columns)
        .where(EstimateLineRow.club_id == work.club_id, EstimateLineRow.estimate_id == estimate_id)
        .order_by(EstimateLineRow.number)
    ).all()
    areas_of = _areas_as_priced(work) if by_area else None
    priced = [row for row in rows if row.amount_minor is not None]
    lines = [_headed(row, areas_of) for row in priced]
    return _Cost(
        currency, lines, [row.number for row in rows if row.amount_minor is None], _labels(priced, lines, by)
    )


def _headed(row: Row[*tuple[Any, ...]], areas_of: _AreasOf | None) -> HeadedLine:
    areas, parts = ((), ()) if areas_of is None else row.shares
    return HeadedLine(
        number=row.number, scope_item=str(row.scope_item_id), resource=row.resource, item=row.item, part=row.part,
        amount_minor=row.amount_minor, cash_minor=row.amount_minor if row.cash_minor is None else row.cash_minor,
        starts_on=row.starts_on, ends_on=row.ends_on, group=row.group, item_kind=row.item_kind, account=row.account,
        vendor=row.vendor, price_source=row.price_source,
        areas=() if areas_of is None else areas_of(areas), parts=parts,
    )  # fmt: skip


def _areas_as_priced(work: UnitOfWork) -> _AreasOf:
    """From areas as a line keeps them to those to add up by; lines do not keep their course, so that is looked up.

    Lines that follow each other and are for the same areas share them.
    """
    courses = {area.id: area.course for area in area_facts(work).values()}
    seen: dict[str, HeadedArea] = {}
    before: Sequence[Any] = ()
    shared: Sequence[HeadedArea] = ()

    def area_of(kept: Sequence[Any]) -> HeadedArea:
        area_id, name, hole, kind = kept
        area = seen.get(area_id)
        if area is None:
            area = seen[area_id] = HeadedArea(area_id, name, hole, kind, courses.get(area_id, ""))
        return area

    def areas_of(kept: Sequence[Any]) -> Sequence[HeadedArea]:
        nonlocal before, shared
        if kept != before:
            before, shared = kept, [area_of(one) for one in kept]
        return shared

    return areas_of


def _labels(
    rows: Sequence[Row[*tuple[Any, ...]]], lines: Sequence[HeadedLine], by: Sequence[Heading]
) -> Mapping[Heading, Mapping[Key, str]]:
    """What the keys are called that do not say it themselves."""
    labels: dict[Heading, Callable[[], dict[Key, str]]] = {
        Heading.SCOPE_ITEM: lambda: {str(row.scope_item_id): row.scope_item for row in rows},
        Heading.LINE: lambda: {row.number: row.description or row.item for row in rows},
        Heading.ITEM: lambda: _described((row.item, row) for row in rows),
        Heading.RESOURCE: lambda: _described((row.resource, row) for row in rows),
        Heading.AREA: lambda: {area.id: area.name for line in lines for area in line.areas},
    }
    return {heading: labels[heading]() for heading in by if heading in labels}


def _described(keyed: Iterable[tuple[Key, Row[*tuple[Any, ...]]]]) -> dict[Key, str]:
    """Item code and description by key: what the descriptions of all its lines begin with."""
    descriptions: dict[Key, tuple[str, list[str]]] = {}
    for key, row in keyed:
        descriptions.setdefault(key, (row.item, []))[1].append(row.description)
    return {key: f"{code} {_in_common(of_key)}".strip() for key, (code, of_key) in descriptions.items()}


def _in_common(descriptions: Sequence[str]) -> str:
    """The item's description, to which its lines add what they are for after a colon."""
    pieces = zip(*(description.split(": ") for description in descriptions), strict=False)
    return ": ".join(one[0] for one in takewhile(lambda one: len(set(one)) == 1, pieces))
