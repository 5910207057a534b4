"""Priced estimates as they are stored, and back from there to answers and CSV cells."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model.access import Club
from swardcost_model.estimates import EstimateLine, MarkupLine
from swardcost_model.projects import Project
from swardcost_model.values import Money, from_micros

from swardcost_api.estimates.derivations import pack, steps_for, unpack
from swardcost_api.estimates.pricing import Line, PricedScope


def priced_document(
    priced: PricedScope, edition: str, price_date: date, as_of: date, project: Project
) -> dict[str, Any]:
    return {
        "edition": edition, "price_date": price_date.isoformat(), "as_of": as_of.isoformat(),
        "starts_on": project.starts_on.isoformat(), "ends_on": project.ends_on.isoformat(),
        "markups": [
            {
                "kind": m.kind, "label": m.label, "base_words": m.base_words, "base_minor": m.base_minor,
                "percent": f"{m.percent:.6f}", "amount_minor": m.amount_minor, "account": m.account,
                "by_account": [[account, amount] for account, amount in m.by_account.items()],
                "derivation": pack(m.steps),
            }
            for m in priced.markups
        ],
        "subtotals": {name: [list(one) for one in headings] for name, headings in priced.subtotals().items()},
        "warnings": [warning.model_dump(mode="json") for warning in priced.warnings],
        "cautions": priced.cautions,
    }  # fmt: skip


def line_rows(club_id: str, estimate_id: UUID, lines: Sequence[Line]) -> list[dict[str, Any]]:
    rows = []
    for _, together in groupby(lines, key=attrgetter("scope_item_id")):
        of_item = list(together)
        areas = [(area.id, area.name, area.hole, area.kind) for area in of_item[0].areas]
        rows += [_line_row(club_id, estimate_id, line, areas) for line in of_item]
    return rows


def _line_row(
    club_id: str, estimate_id: UUID, line: Line, areas: Sequence[tuple[Any, ...]]
) -> dict[str, Any]:
    item = line.item
    return {
        "club_id": club_id, "estimate_id": estimate_id, "number": line.number, "scope_item_id": line.scope_item_id,
        "scope_item": line.scope_item, "item": line.code, "item_kind": item.kind if item else None,
        "description": item.description if item else "", "vendor": item.vendor_name if item else None,
        "account": item.account if item else None, "taxable": item.taxable if item else False,
        "quantity": None if line.quantity is None else format(line.quantity, "f"), "unit": line.unit,
        "rounding": line.rounding, "price_micros": item.price_micros if item else None,
        "amount_minor": line.amount_minor,
        "shares": (areas if line.parts else (), line.parts),
        "derivation": pack(line.derivation),
    }  # fmt: skip


def summary_of(row: Row[*tuple[Any, ...]]) -> dict[str, Any]:
    return {
        "id": row.id, "project_id": row.project_id, "number": row.number, "revision": row.revision,
        "name": row.name, "status": row.status, "complete": row.complete,
        "total": Money.of_minor(row.total_minor, row.currency), "created_at": row.created_at,
        "superseded_by": row.superseded_by, "version": row.version,
    }  # fmt: skip


def line_of(row: Row[*tuple[Any, ...]], currency: str) -> dict[str, Any]:
    price = None
    if row.price_micros is not None:
        price = Money.model_construct(amount=from_micros(row.price_micros), currency=currency)  # type: ignore[arg-type]
    return {
        "number": row.number, "scope_item_id": row.scope_item_id, "scope_item": row.scope_item, "item": row.item,
        "item_kind": row.item_kind, "description": row.description, "vendor": row.vendor, "account": row.account,
        "taxable": row.taxable, "quantity": None if row.quantity is None else Decimal(row.quantity),
        "unit": row.unit, "rounding": row.rounding, "unit_price": price,
        "amount": None if row.amount_minor is None else Money.of_minor(row.amount_minor, currency),
    }  # fmt: skip


def markup_line_of(markup: dict[str, Any], currency: str, club: Club) -> MarkupLine:
    return MarkupLine(
        kind=markup["kind"], label=markup["label"], base_words=markup["base_words"],
        base=Money.of_minor(markup["base_minor"], currency), percent=Decimal(markup["percent"]),
        amount=Money.of_minor(markup["amount_minor"], currency), account=markup["account"],
        derivation=steps_for(unpack(markup["derivation"]), club),
    )  # fmt: skip


LINE_COLUMNS = (
    "number", "scope_item", "item", "item_kind", "description", "vendor", "account", "taxable", "quantity", "unit",
    "unit_price", "amount", "currency",
)  # fmt: skip


def line_cells(lines: Iterable[EstimateLine]) -> Iterable[Sequence[Any]]:
    """Lines as the cells of a CSV file with the columns `LINE_COLUMNS`."""
    for line in lines:
        price, amount = line.unit_price, line.amount
        yield (
            line.number, line.scope_item, line.item, line.item_kind, line.description, line.vendor, line.account,
            "yes" if line.taxable else "no", line.quantity, line.unit, price.amount if price else None,
            amount.amount if amount else None, amount.currency if amount else None,
        )  # fmt: skip
