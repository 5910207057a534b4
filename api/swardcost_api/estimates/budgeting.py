"""From an accepted estimate to the lines of its budget: gathered by work, account and item, spread over months."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, select
from swardcost_model.estimates import LinePart, MarkupKind

from swardcost_api.budgets.service import PlannedLine
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.engine.control.phasing import phase, phase_like
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.storage.work import UnitOfWork

_LINE = (
    EstimateLineRow.scope_item_id, EstimateLineRow.scope_item, EstimateLineRow.item, EstimateLineRow.part,
    EstimateLineRow.account, EstimateLineRow.taxable, EstimateLineRow.quantity, EstimateLineRow.unit,
    EstimateLineRow.amount_minor, EstimateLineRow.starts_on, EstimateLineRow.ends_on,
)  # fmt: skip
_OWN_QUANTITY = frozenset({LinePart.PRICE, LinePart.RENTAL})
"""Parts whose quantity is the item's own; delivery, a minimum and the like are in the amount alone."""

_Key = tuple[UUID, str | None, str]


@dataclass(slots=True)
class _Gathered:
    """The lines of one item of a scope item under one account: all of them are for the scope item's days."""

    scope_item: str
    starts_on: date
    ends_on: date
    amount_minor: int = 0
    quantities: dict[str, Decimal] = field(default_factory=dict)


def planned_lines(work: UnitOfWork, estimate_id: UUID) -> list[PlannedLine]:
    """The lines of an estimate gathered for its budget: by scope item, account and item, then the markups.

    Each line is spread over the days of its work; a markup over the months of the lines that it rests on.
    """
    estimate = work.session.execute(
        select(EstimateRow.priced, EstimateRow.edition_id).where(
            EstimateRow.club_id == work.club_id, EstimateRow.id == estimate_id
        )
    ).one()
    rows = work.session.execute(
        select(*_LINE)
        .where(
            EstimateLineRow.club_id == work.club_id,
            EstimateLineRow.estimate_id == estimate_id,
            EstimateLineRow.amount_minor.is_not(None),
        )
        .order_by(EstimateLineRow.number)
    ).all()
    gathered = _gathered(rows)
    codes = {item for _, _, item in gathered}
    described = {
        code: item.description for code, item in items_with_codes(work, estimate.edition_id, codes).items()
    }
    items_of: dict[tuple[UUID, str | None], int] = defaultdict(int)
    for scope_item_id, account, _ in gathered:
        items_of[scope_item_id, account] += 1
    return [
        _planned(key, one, described.get(key[2], key[2]) if items_of[key[:2]] > 1 else None)
        for key, one in gathered.items()
    ] + _planned_markups(estimate.priced, rows)


def _gathered(rows: Sequence[Row[*tuple[Any, ...]]]) -> dict[_Key, _Gathered]:
    gathered: dict[_Key, _Gathered] = {}
    for row in rows:
        key = (row.scope_item_id, row.account, row.item)
        one = gathered.setdefault(key, _Gathered(row.scope_item, row.starts_on, row.ends_on))
        one.amount_minor += row.amount_minor
        if row.part in _OWN_QUANTITY:
            one.quantities[row.unit] = one.quantities.get(row.unit, Decimal(0)) + Decimal(row.quantity)
    return gathered


def _planned(key: _Key, one: _Gathered, described: str | None) -> PlannedLine:
    label = one.scope_item if described is None else f"{one.scope_item}: {described}"
    unit, quantity = next(iter(one.quantities.items())) if len(one.quantities) == 1 else (None, None)
    months = phase(one.amount_minor, one.starts_on, one.ends_on)
    return PlannedLine(label, key[0], None, key[1], months, quantity, unit, one.scope_item)


def _planned_markups(priced: dict[str, Any], rows: Sequence[Row[*tuple[Any, ...]]]) -> list[PlannedLine]:
    amounts: dict[tuple[str, str, str | None], int] = {}
    own_account: dict[tuple[str, str, str | None], bool] = {}
    for markup in priced["markups"]:
        for account, amount in markup["by_account"]:
            heading = (markup.get("heading", markup["label"]), markup["kind"], account)
            amounts[heading] = amounts.get(heading, 0) + amount
            own_account[heading] = markup["account"] is not None
    days = date.fromisoformat(priced["starts_on"]), date.fromisoformat(priced["ends_on"])
    planned = []
    for heading, amount in amounts.items():
        label, kind, account = heading
        rests_on = [
            row for row in rows
            if (row.taxable or kind != MarkupKind.TAX) and (own_account[heading] or row.account == account)
        ]  # fmt: skip
        months = phase_like(amount, [(row.amount_minor, row.starts_on, row.ends_on) for row in rests_on])
        planned.append(PlannedLine(label, None, kind, account, months or phase(amount, *days)))
    return planned
