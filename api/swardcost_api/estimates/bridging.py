"""From one stored estimate to another: the difference of their totals by cause."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model import problems
from swardcost_model.estimate_bridge import (
    BridgedEstimate,
    BridgeEffect,
    BridgeRow,
    EffectKind,
    EstimateBridge,
)
from swardcost_model.estimates import LinePart, MarkupKind
from swardcost_model.problems import ProblemError
from swardcost_model.values import Money, from_micros

from swardcost_api.engine.pricing.bridge import BridgeLine, BridgeMarkup, LineEffect, MarkupEffect
from swardcost_api.engine.pricing.bridge import bridge as bridge_between
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

LABELS = {
    EffectKind.PRICE: "Prices",
    EffectKind.QUANTITY: "Quantities",
    EffectKind.SCOPE: "Added, gone, not priced, or not to be compared",
    EffectKind.MARKUP_BASE: "Markups, by what they rest on",
    EffectKind.MARKUP_RATE: "Markups, by their rates",
    EffectKind.MARKUP_ADDED_OR_REMOVED: "Markups added or removed",
}
_ESTIMATE = by_id(
    EstimateRow,
    [
        EstimateRow.id, EstimateRow.number, EstimateRow.revision, EstimateRow.name, EstimateRow.currency,
        EstimateRow.total_minor, EstimateRow.priced, EstimateRow.project_id,
    ],
)  # fmt: skip
_LINE = (
    EstimateLineRow.scope_item_id, EstimateLineRow.scope_item, EstimateLineRow.item, EstimateLineRow.part,
    EstimateLineRow.description, EstimateLineRow.quantity, EstimateLineRow.unit, EstimateLineRow.price_micros,
    EstimateLineRow.amount_minor,
)  # fmt: skip


def bridge(work: UnitOfWork, from_estimate_id: UUID, to_estimate_id: UUID) -> EstimateBridge:
    """What of the difference between two estimates is price, quantity, scope and markups, and what has no price.

    A line is the same in both where scope item, item and part are; one that a scope item has several times is
    matched in the order of the lines. Scope items of two projects are the same where their names are.

    Raises `not-found` for an estimate that this club does not have, `wrong-state` where the currencies differ.
    """
    old = read_row(work, _ESTIMATE, from_estimate_id, "estimate")
    new = read_row(work, _ESTIMATE, to_estimate_id, "estimate")
    currency = new.currency
    if old.currency != currency:
        raise ProblemError(
            problems.WRONG_STATE,
            f"Only estimates in one currency can be compared; these are in {old.currency} and {currency}.",
        )
    by_name = old.project_id != new.project_id
    old_lines, new_lines = (_lines(work, one.id, by_name) for one in (old, new))
    ids = {line.key: scope_item_id for line, scope_item_id in (*old_lines, *new_lines)}
    found = bridge_between(
        [line for line, _ in old_lines], [line for line, _ in new_lines], _markups(old.priced),
        _markups(new.priced), currency,
    )  # fmt: skip
    effects: list[LineEffect | MarkupEffect] = [*found.lines, *found.markups]
    differing = sorted(effects, key=lambda one: -abs(one.amount_minor))
    return EstimateBridge.model_construct(
        from_estimate=_end(old), to_estimate=_end(new), difference=Money.of_minor(found.difference_minor, currency),
        effects=[
            BridgeEffect(kind=kind, label=LABELS[kind], amount=Money.of_minor(found.totals[kind], currency))
            for kind in EffectKind
        ],
        rows=[_row(one, ids, currency) for one in differing],
    )  # fmt: skip


def _lines(work: UnitOfWork, estimate_id: UUID, by_name: bool) -> list[tuple[BridgeLine, UUID]]:
    """The lines of an estimate with the scope items they are of, matched by those or by their names."""
    rows = work.session.execute(
        select(*_LINE)
        .where(EstimateLineRow.club_id == work.club_id, EstimateLineRow.estimate_id == estimate_id)
        .order_by(EstimateLineRow.number)
    )
    seen: Counter[tuple[str, str, str]] = Counter()
    lines = []
    for row in rows:
        named = (row.scope_item if by_name else str(row.scope_item_id), row.item, row.part)
        seen[named] += 1
        line = BridgeLine(
            (*named, str(seen[named])), row.scope_item, row.description, row.unit,
            None if row.quantity is None else Decimal(row.quantity),
            None if row.price_micros is None else from_micros(row.price_micros),
            row.amount_minor,
        )  # fmt: skip
        lines.append((line, row.scope_item_id))
    return lines


def _markups(priced: dict[str, Any]) -> list[BridgeMarkup]:
    return [
        BridgeMarkup(
            one["kind"], one["label"], one["base_minor"], Decimal(one["percent"]), one["amount_minor"]
        )
        for one in priced["markups"]
    ]


def _end(row: Row[*tuple[Any, ...]]) -> BridgedEstimate:
    return BridgedEstimate(
        id=row.id, number=row.number, revision=row.revision, name=row.name, edition=row.priced["edition"],
        total=Money.of_minor(row.total_minor, row.currency),
    )  # fmt: skip


def _row(effect: LineEffect | MarkupEffect, ids: Mapping[tuple[str, ...], UUID], currency: str) -> BridgeRow:
    about: dict[str, Any] = dict.fromkeys(
        ("markup", "scope_item_id", "scope_item", "item", "part", "not_priced")
    )
    if isinstance(effect, MarkupEffect):
        about |= {"markup": MarkupKind(effect.markup.kind), "label": effect.markup.label}
    else:
        _, item, part, _ = effect.line.key
        about |= {
            "scope_item_id": ids[effect.line.key], "scope_item": effect.line.scope_item, "item": item,
            "part": LinePart(part), "label": effect.line.words, "not_priced": effect.not_priced,
        }  # fmt: skip
    for kind, minor in zip(EffectKind, effect.effects, strict=True):
        about[f"{kind}_effect"] = Money.of_minor(minor, currency)
    return BridgeRow.model_construct(
        kind=EffectKind(effect.mainly), words=effect.words,
        amount=Money.of_minor(effect.amount_minor, currency), **about,
    )  # fmt: skip


BRIDGE_COLUMNS = (
    "kind", "markup", "scope_item", "item", "part", "label", "words", "not_priced", "price_effect", "quantity_effect",
    "scope_effect", "markup_base_effect", "markup_rate_effect", "markup_added_or_removed_effect", "amount", "currency",
)  # fmt: skip


def bridge_cells(rows: Iterable[BridgeRow]) -> Iterable[Sequence[Any]]:
    """What differs, as the cells of a CSV file with the columns `BRIDGE_COLUMNS`."""
    for row in rows:
        money = (
            row.price_effect, row.quantity_effect, row.scope_effect, row.markup_base_effect, row.markup_rate_effect,
            row.markup_added_or_removed_effect, row.amount,
        )  # fmt: skip
        yield (
            row.kind, row.markup, row.scope_item, row.item, row.part, row.label, row.words, row.not_priced,
            *(one.amount for one in money), row.amount.currency,
        )  # fmt: skip
