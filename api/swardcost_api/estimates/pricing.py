"""Pricing a scope with an edition: from measures to lines, markups, subtotals and warnings.

Reads nothing and writes nothing: the caller brings the scope and the items, and stores the outcome.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from typing import Any
from uuid import UUID

from swardcost_model import problems
from swardcost_model.estimates import EstimateTerms, EstimateWarning, MarkupKind, WarningKind
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import from_minor

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.course.service import AreaFacts
from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.lines import BEYOND, price_line
from swardcost_api.engine.pricing.markups import (
    AppliedMarkup,
    CostedLine,
    MarkupRate,
    apply_markups,
    midpoint,
)
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.methods.frame import Measure
from swardcost_api.units import UNITS, Unit, convert_si, unit_named

NONE_OF_THESE = "None of these"
STALE_AFTER = timedelta(days=365)
"""A price got longer ago than this is doubted."""

_GAPS = frozenset(WarningKind) - {WarningKind.STALE, WarningKind.NO_ACCOUNT}


@dataclass(frozen=True, slots=True)
class Line:
    """A priced line; without a measured size it has no quantity, and without price or item no amount.

    `parts` are the shares of the amount that belong to `areas`, the sized ones of its scope item: one for
    each, or none at all without an amount.
    """

    number: int
    scope_item_id: UUID
    scope_item: str
    code: str
    item: CatalogItem | None
    quantity: Decimal | None
    unit: str
    rounding: str
    amount_minor: int | None
    areas: Sequence[AreaFacts]
    parts: Sequence[int]
    derivation: Derivation


@dataclass
class PricedScope:
    """The outcome: lines, markups, warnings and cautions; every sum is over printed amounts."""

    lines: list[Line] = field(default_factory=list)
    markups: tuple[AppliedMarkup, ...] = ()
    warnings: list[EstimateWarning] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)

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
            _add(by["by_scope_item"], str(line.scope_item_id), amount)
            labels[str(line.scope_item_id)] = line.scope_item
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
        for _, lines in groupby(split, key=attrgetter("scope_item_id")):
            first, *others = lines
            columns = zip(first.parts, *(line.parts for line in others), strict=True)
            for area, column in zip(first.areas, columns, strict=True):
                areas[area.id] = area
                sums[area.id] = sums.get(area.id, 0) + sum(column)
        return ((area, sums[area_id]) for area_id, area in areas.items())


def price_scope(
    scope: Sequence[ScopeEntry],
    items: Mapping[str, CatalogItem],
    terms: EstimateTerms,
    currency: str,
    price_date: date,
    as_of: date,
    starts_on: date,
    ends_on: date,
) -> PricedScope:
    """Price every resource of every scope item, then apply the markups.

    Raises `invalid-values` where a measure cannot be bought in an item's unit; gaps become warnings.
    """
    priced = PricedScope()
    faults: list[Fault] = []
    for entry in scope:
        _price_entry(priced, faults, entry, items, currency, as_of)
        priced.cautions += [caution for caution in entry.method.cautions if caution not in priced.cautions]
    if faults:
        raise _unusable(faults)
    if not scope:
        _warn(priced, WarningKind.NOTHING_PRICED, "The project has no scope, so there is nothing to price.")
    try:
        priced.markups = apply_markups(
            [
                CostedLine(line.amount_minor, line.item.account, line.item.taxable)
                for line in priced.lines
                if line.amount_minor is not None and line.item is not None
            ],
            [
                MarkupRate(m.kind, m.percent, m.account, compound=m.compounding == "yearly")
                for m in terms.markups
            ],
            currency,
            price_date,
            midpoint(starts_on, ends_on),
        )
    except ValueError as error:
        raise _unusable([Fault(pointer="/markups", expected=str(error))]) from None
    total = from_minor(priced.total_minor, currency)
    if total >= BEYOND:
        expected = "a scope and markups whose total is below 1,000,000,000,000"
        raise _unusable([Fault(pointer="", expected=expected, got=str(total))])
    _warn_of_accounts(priced)
    return priced


def _unusable(faults: list[Fault]) -> ProblemError:
    return ProblemError(problems.INVALID_VALUES, "The scope cannot be priced; nothing was stored.", faults)


def _price_entry(
    priced: PricedScope,
    faults: list[Fault],
    entry: ScopeEntry,
    items: Mapping[str, CatalogItem],
    currency: str,
    as_of: date,
) -> None:
    if not entry.resources:
        _warn(
            priced, WarningKind.NOTHING_PRICED, f"{entry.name} names no items, so it costs nothing here.",
            scope_item_id=entry.id,
        )  # fmt: skip
    for area in entry.areas:
        if not area.size_m2:
            _warn(
                priced, WarningKind.MISSING_SIZE, f"{area.name} has no size and is not in the figures of {entry.name}.",
                scope_item_id=entry.id,
            )  # fmt: skip
    measures = _measures(faults, entry)
    if measures is None:
        return
    sized = [area for area in entry.areas if area.size_m2]
    for index, resource in enumerate(entry.resources):
        place = f"scope item {entry.number}, /resources/{index}"
        item = items.get(resource["item"])
        number = len(priced.lines) + 1
        try:
            line = _price_resource(number, entry, sized, resource, item, measures, currency)
        except ValueError as error:
            faults.append(Fault(pointer=place, expected=str(error), got=resource["item"]))
            continue
        priced.lines.append(line)
        _warn_of_item(priced, line, resource["item"], as_of)


def _measures(faults: list[Fault], entry: ScopeEntry) -> Mapping[str, Measure] | None:
    """The entry's take-off; `None`, and a fault, where its parameters make no sense over these areas."""
    try:
        return entry.take_off()
    except ValueError as error:
        faults.append(Fault(pointer=f"scope item {entry.number}, /parameters", expected=str(error)))
        return None


def _price_resource(
    number: int,
    entry: ScopeEntry,
    sized: Sequence[AreaFacts],
    resource: Mapping[str, Any],
    item: CatalogItem | None,
    measures: Mapping[str, Measure],
    currency: str,
) -> Line:
    heading = (number, entry.id, entry.name, resource["item"], item)
    driver = _driver(resource, measures)
    if driver is None:
        return Line(*heading, None, item.unit if item else "", "not measured", None, sized, (), ())
    unit = UNITS[driver.unit] if item is None else UNITS[item.unit]
    try:
        measured = convert_si(driver.value, driver.unit, unit)
    except ValueError:
        raise ValueError(
            f"an item sold in a unit that fits {driver.name} ({driver.unit}), not {unit.name}"
        ) from None
    price = None if item is None or item.price_micros is None else Decimal(item.price_micros).scaleb(-6)
    waste = Decimal(resource["waste_percent"])
    priced = price_line(measured, unit.name, unit.counted, waste, price, currency, _price_source(item))
    converted = () if unit.name == driver.unit else (_conversion_step(driver, measured, unit),)
    return Line(
        *heading, priced.quantity, unit.name, priced.rounding, priced.amount_minor, sized,
        _parts(priced.amount_minor, sized), (*driver.derivation, *converted, *priced.steps),
    )  # fmt: skip


def _price_source(item: CatalogItem | None) -> str:
    """Where a unit price comes from, in words: ``"quote, Alder Creek, of 2026-02-10, valid until 2026-05-31"``."""
    if item is None:
        return ""
    parts = [item.price_source or "price of the edition", item.vendor_name]
    parts += [f"of {item.priced_on}"] if item.priced_on else []
    parts += [f"valid until {item.valid_until}"] if item.valid_until else []
    return ", ".join(part for part in parts if part)


def _conversion_step(driver: Measure, measured: float, unit: Unit) -> Step:
    """From the measure in its SI unit to the unit that the item is sold in."""
    name = driver.name.replace("_", " ")
    one = f"one {unit.name.replace('_', ' ')}"
    return Step(
        "measured", measured, unit.name, f"{name} / {one}",
        (Input(name, driver.value, driver.unit), Input(one, unit.si_factor, driver.unit)),
        "NIST Handbook 44, Appendix C",
    )  # fmt: skip


def _driver(resource: Mapping[str, Any], measures: Mapping[str, Measure]) -> Measure | None:
    """What says how much is needed; `None` where it is a measure of areas none of which has a size."""
    if resource["quantity"] is None:
        return measures.get(resource["measure"])
    value, stated = resource["quantity"]["value"], unit_named(resource["quantity"]["unit"])
    name, in_si = "stated quantity", float(value) * stated.si_factor
    words = f"{value} {stated.name.replace('_', ' ')}, as stated"
    return Measure(
        name, in_si, stated.si_unit, (Step(name, in_si, stated.si_unit, words, (), "the scope item"),)
    )


def _parts(amount_minor: int | None, areas: Sequence[AreaFacts]) -> Sequence[int]:
    """A line's amount split over the areas in proportion to their sizes."""
    if amount_minor is None or not areas:
        return ()
    return split_by_weights(amount_minor, [area.size_m2 or 0.0 for area in areas])


def _warn_of_item(priced: PricedScope, line: Line, code: str, as_of: date) -> None:
    item = line.item
    about = {"line": line.number, "scope_item_id": line.scope_item_id}
    if item is None:
        _warn(priced, WarningKind.MISSING_ITEM, f"The edition has no item {code}.", **about)
        return
    if item.price_micros is None:
        _warn(priced, WarningKind.UNPRICED, f"{code} has no price in this edition.", **about)
    elif item.valid_until is not None and item.valid_until < as_of:
        _warn(priced, WarningKind.STALE, f"The price of {code} was valid until {item.valid_until}.", **about)
    elif item.priced_on is not None and as_of - item.priced_on > STALE_AFTER:
        _warn(priced, WarningKind.STALE, f"The price of {code} dates from {item.priced_on}.", **about)
    if item.account is None:
        _warn(priced, WarningKind.NO_ACCOUNT, f"{code} has no account, so its budget line has none.", **about)


def _warn_of_accounts(priced: PricedScope) -> None:
    for markup in priced.markups:
        if markup.kind == MarkupKind.CONTINGENCY and markup.account is None and markup.amount_minor:
            _warn(
                priced, WarningKind.NO_ACCOUNT,
                "Contingency names no account; it is spread over the lines' accounts, where it is hard to follow.",
            )  # fmt: skip


def _warn(priced: PricedScope, kind: WarningKind, message: str, **about: Any) -> None:
    priced.warnings.append(EstimateWarning(kind=kind, message=message, gap=kind in _GAPS, **about))


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


def codes_in(scope: Iterable[ScopeEntry]) -> set[str]:
    """Codes of all items that a scope names."""
    return {resource["item"] for entry in scope for resource in entry.resources}
