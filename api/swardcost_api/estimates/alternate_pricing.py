"""What each alternate changes in an estimate: priced once more with it decided the other way, and held against it."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from sqlalchemy import select
from swardcost_model.alternates import AlternateMove, PricedAlternate
from swardcost_model.estimate_alternates import (
    AlternateDetail,
    AlternateLine,
    AlternateMarkup,
    EstimateAlternates,
)
from swardcost_model.estimates import WarningKind
from swardcost_model.values import Money

from swardcost_api.csv_files import write_rows
from swardcost_api.estimates.options import Option
from swardcost_api.estimates.priced import Line, PricedScope
from swardcost_api.estimates.repricing import PricingQuestion
from swardcost_api.estimates.tables import EstimateRow
from swardcost_api.storage.rows import missing
from swardcost_api.storage.work import UnitOfWork

T = TypeVar("T")
Amount = int | None
"""In minor units; `None` for what has no amount."""


@dataclass(frozen=True, slots=True)
class _Sides:
    """One scope priced with an alternate and without it."""

    with_it: PricedScope
    without: PricedScope


def alternate_documents(question: PricingQuestion, priced: PricedScope) -> list[dict[str, Any]]:
    """Every alternate of the project for storage; the scope is priced once for each. Raises as `price_scope`."""
    return [_document(question, priced, option) for option in question.choice.options]


def _document(question: PricingQuestion, priced: PricedScope, option: Option) -> dict[str, Any]:
    choice, taken = question.choice, option.id in question.choice.taken
    flipped = choice.options.flipped(choice.taken, option.id)
    other = question.priced(scope=choice.scope_with(flipped))
    sides = _Sides(priced, other) if taken else _Sides(other, priced)
    lines, markups = list(_lines(sides)), list(_markups(sides))
    moved = sorted(
        ((choice.options.by_id[one], one in flipped) for one in (flipped ^ choice.taken) - {option.id}),
        key=lambda one: one[0].number,
    )
    return {
        "id": str(option.id), "number": option.number, "name": option.name, "kind": option.kind.value,
        "choose_one": option.choose_one, "taken": taken,
        "moves_with": [
            {"alternate_id": str(one.id), "number": one.number, "name": one.name, "moves": "in" if comes else "out"}
            for one, comes in moved
        ],
        "complete": all(line["priced"] for line in lines) and _gaps(sides.with_it) == _gaps(sides.without),
        "total_minor": sides.with_it.total_minor - sides.without.total_minor,
        "cash_minor": sides.with_it.cash_total_minor - sides.without.cash_total_minor,
        "direct_minor": sides.with_it.direct_minor - sides.without.direct_minor,
        "otherwise_minor": other.total_minor, "lines": lines, "markups": markups,
    }  # fmt: skip


def _gaps(priced: PricedScope) -> set[Hashable]:
    """What is missing on one side; that it has no scope at all is not a gap, since nothing then costs nothing."""
    return {
        (warning.scope_item_id, warning.message)
        for warning in priced.warnings
        if warning.gap and (warning.kind, warning.scope_item_id) != (WarningKind.NOTHING_PRICED, None)
    }


def _lines(sides: _Sides) -> Iterator[dict[str, Any]]:
    """Lines that are on one side alone, or have another amount there."""
    keyed = (
        _by_key(side.lines, lambda line: (line.entry.id, line.code, line.part))
        for side in (sides.with_it, sides.without)
    )
    for with_it, without in _paired(*keyed):
        line = with_it or without
        assert line is not None
        first, second = _amount(without), _amount(with_it)
        if with_it is not None and without is not None and first == second:
            continue
        yield {
            "scope_item_id": str(line.entry.id), "scope_item": line.entry.name, "item": line.code,
            "part": line.part.value, "description": line.description, "without": first, "with": second,
            "priced": all(one is None or one.amount_minor is not None for one in (with_it, without)),
        }  # fmt: skip


def _by_key(those: Iterable[T], key_of: Callable[[T], Hashable]) -> dict[Hashable, T]:
    """Things by a key, and by how many of that key came before."""
    found: dict[Hashable, T] = {}
    seen: Counter[Hashable] = Counter()
    for one in those:
        key = key_of(one)
        found[key, seen[key]] = one
        seen[key] += 1
    return found


def _paired(first: Mapping[Hashable, T], second: Mapping[Hashable, T]) -> Iterator[tuple[T | None, T | None]]:
    for key in dict.fromkeys([*first, *second]):
        yield first.get(key), second.get(key)


def _amount(line: Line | None) -> Amount:
    return None if line is None else line.amount_minor


def _markups(sides: _Sides) -> Iterator[dict[str, Any]]:
    """Markups whose amount is another."""
    keyed = (
        _by_key(side.markups, lambda one: (one.kind, one.label, one.words))
        for side in (sides.with_it, sides.without)
    )
    for second, first in _paired(*keyed):
        one = second or first
        assert one is not None
        before, after = (side.amount_minor if side else 0 for side in (first, second))
        if before != after:
            label = f"{one.label}: {one.words}" if one.words else one.label
            yield {"kind": one.kind, "label": label, "without": before, "with": after}


def priced_alternates(documents: Sequence[Mapping[str, Any]], currency: str) -> list[PricedAlternate]:
    """The alternates of an estimate as they were kept, without their lines."""
    return [PricedAlternate(**_fields(one, currency)) for one in documents]


def read_estimate_alternates(work: UnitOfWork, estimate_id: UUID) -> EstimateAlternates:
    """The alternates of an estimate line by line. Raises `not-found`."""
    row = work.session.execute(
        select(EstimateRow.total_minor, EstimateRow.currency, EstimateRow.priced["alternates"]).where(
            EstimateRow.club_id == work.club_id, EstimateRow.id == estimate_id
        )
    ).first()
    if row is None:
        raise missing("estimate")
    total_minor, currency, documents = row
    return EstimateAlternates(
        estimate_id=estimate_id, total=Money.of_minor(total_minor, currency),
        alternates=[
            AlternateDetail(
                lines=[_line(line, currency) for line in one["lines"]],
                markups=[_markup(markup, currency) for markup in one["markups"]],
                **_fields(one, currency),
            )
            for one in documents or ()
        ],
    )  # fmt: skip


def alternates_csv(found: EstimateAlternates) -> str:
    """A row for each line and markup that an alternate changes."""
    columns = ("number", "alternate", "kind", "taken", "scope_item", "item", "part", "without", "with", "difference",
               "currency")  # fmt: skip
    return write_rows(columns, _cells(found))


def _cells(found: EstimateAlternates) -> Iterator[Sequence[Any]]:
    for one in found.alternates:
        named = (one.number, one.name, one.kind, "yes" if one.taken else "no")
        currency = found.total.currency
        for line in one.lines:
            money = (line.amount_without, line.amount_with, line.difference)
            amounts = (None if amount is None else amount.amount for amount in money)
            yield (*named, line.scope_item, line.item, line.part, *amounts, currency)
        for markup in one.markups:
            yield (
                *named, None, markup.label, "markup", markup.amount_without.amount, markup.amount_with.amount,
                markup.difference.amount, currency,
            )  # fmt: skip


def _fields(document: Mapping[str, Any], currency: str) -> dict[str, Any]:
    return {
        "alternate_id": document["id"], "number": document["number"], "name": document["name"],
        "kind": document["kind"], "choose_one": document["choose_one"], "taken": document["taken"],
        "moves_with": [AlternateMove(**one) for one in document["moves_with"]], "complete": document["complete"],
        "difference": Money.of_minor(document["total_minor"], currency),
        "cash_difference": Money.of_minor(document["cash_minor"], currency),
        "direct_difference": Money.of_minor(document["direct_minor"], currency),
        "total_otherwise": Money.of_minor(document["otherwise_minor"], currency),
    }  # fmt: skip


def _line(document: Mapping[str, Any], currency: str) -> AlternateLine:
    first, second = document["without"], document["with"]
    difference = None if first is None and second is None else (second or 0) - (first or 0)
    return AlternateLine(
        scope_item_id=document["scope_item_id"], scope_item=document["scope_item"], item=document["item"],
        part=document["part"], description=document["description"], priced=document["priced"],
        amount_without=_money(first, currency), amount_with=_money(second, currency),
        difference=_money(difference, currency),
    )  # fmt: skip


def _markup(document: Mapping[str, Any], currency: str) -> AlternateMarkup:
    first, second = document["without"], document["with"]
    return AlternateMarkup(
        kind=document["kind"], label=document["label"], amount_without=Money.of_minor(first, currency),
        amount_with=Money.of_minor(second, currency), difference=Money.of_minor(second - first, currency),
    )  # fmt: skip


def _money(minor: Amount, currency: str) -> Money | None:
    return None if minor is None else Money.of_minor(minor, currency)
