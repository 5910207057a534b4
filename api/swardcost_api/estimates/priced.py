"""What pricing yields: printed lines, markups, warnings and cautions, and their sums."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import groupby
from operator import attrgetter

from swardcost_model.estimates import EstimateWarning

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.course.service import AreaFacts
from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.charge import Part
from swardcost_api.engine.pricing.markups import AppliedMarkup
from swardcost_api.estimates.choices import Choice
from swardcost_api.estimates.scopes import ScopeEntry

NONE_OF_THESE = "None of these"


@dataclass(frozen=True, slots=True)
class Line:
    """A printed line: quantity x price is the amount. Without a measured size it has no quantity, and without
    a price or an item no amount.

    `resource` numbers what the scope names, over the whole scope; a resource bought with delivery or breaks has
    several lines. `cash_minor` is the part of the amount that the operating budget does not hold already;
    `low_minor` and `high_minor` are the amount at the item's lowest and highest price. `parts` are the shares of
    the amount that belong to `areas`, the sized ones of its scope item: one for each, or none at all without an
    amount.
    """

    number: int
    entry: ScopeEntry
    resource: int
    code: str
    item: CatalogItem | None
    part: Part
    words: str
    quantity: Decimal | None
    unit: str
    rounding: str
    price: Decimal | None
    amount_minor: int | None
    cash_minor: int | None
    low_minor: int | None
    high_minor: int | None
    areas: Sequence[AreaFacts]
    parts: Sequence[int]
    derivation: Derivation

    @property
    def description(self) -> str:
        """The item's description, and what of it this line is for."""
        described = self.item.description if self.item else ""
        return f"{described}: {self.words}" if self.words and described else described or self.words


@dataclass
class PricedScope:
    """The outcome: lines, markups, warnings and cautions; every sum is over printed amounts."""

    lines: list[Line] = field(default_factory=list)
    markups: tuple[AppliedMarkup, ...] = ()
    warnings: list[EstimateWarning] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    cash_total_minor: int = 0
    low_total_minor: int = 0
    high_total_minor: int = 0

    @property
    def direct_minor(self) -> int:
        return sum(line.amount_minor or 0 for line in self.lines)

    @property
    def total_minor(self) -> int:
        return self.direct_minor + sum(markup.amount_minor for markup in self.markups)

    @property
    def complete(self) -> bool:
        return not any(warning.gap for warning in self.warnings) and all(
            line.amount_minor is not None for line in self.lines
        )

    def subtotals(self) -> dict[str, list[tuple[str | None, str, int]]]:
        """Direct cost by hole, area kind, item kind, account and scope item; each sums to the direct cost."""
        labels: dict[str, str] = {}
        by: dict[str, dict[str | None, int]] = {
            name: {} for name in ("by_hole", "by_area_kind", "by_item_kind", "by_account", "by_scope_item")
        }
        for line in self.lines:
            amount = line.amount_minor
            if amount is None or line.item is None:
                continue
            _add(by["by_item_kind"], line.item.kind, amount)
            _add(by["by_account"], line.item.account, amount)
            _add(by["by_scope_item"], str(line.entry.id), amount)
            labels[str(line.entry.id)] = line.entry.name
            if not line.parts:
                _add(by["by_hole"], None, amount)
                _add(by["by_area_kind"], None, amount)
        amounts = list(self._amounts_by_area())
        one_course = len({area.course for area, _ in amounts}) == 1
        for area, amount in sorted(amounts, key=_by_course_and_hole):
            key = str(area.hole) if one_course else f"{area.course}: {area.hole}"
            _add(by["by_hole"], None if area.hole is None else key, amount)
            _add(by["by_area_kind"], area.kind, amount)
        as_they_come = {"by_hole", "by_scope_item"}
        return {
            name: [
                (key, labels.get(key or "", key or NONE_OF_THESE), amount)
                for key, amount in sorted(
                    sums.items(), key=_none_last if name in as_they_come else _heading_order
                )
            ]
            for name, sums in by.items()
        }

    def _amounts_by_area(self) -> Iterable[tuple[AreaFacts, int]]:
        """What the whole scope costs on each area."""
        areas: dict[str, AreaFacts] = {}
        sums: dict[str, int] = {}
        split = (line for line in self.lines if line.parts)
        # Lines of a scope item follow each other and share its areas, so that they are added up together.
        for _, lines in groupby(split, key=attrgetter("entry.id")):
            first, *others = lines
            columns = zip(first.parts, *(line.parts for line in others), strict=True)
            for area, column in zip(first.areas, columns, strict=True):
                areas[area.id] = area
                sums[area.id] = sums.get(area.id, 0) + sum(column)
        return ((area, sums[area_id]) for area_id, area in areas.items())


def _add(sums: dict[str | None, int], key: str | None, amount: int) -> None:
    sums[key] = sums.get(key, 0) + amount


def _heading_order(heading: tuple[str | None, int]) -> tuple[bool, int, str]:
    """By name, what has none last."""
    return heading[0] is None, 0, heading[0] or ""


def _none_last(heading: tuple[str | None, int]) -> bool:
    """As they come, which is the order of the scope or of the holes; what has none last."""
    return heading[0] is None


def _by_course_and_hole(one: tuple[AreaFacts, int]) -> tuple[str, int]:
    return one[0].course, one[0].hole or 0
