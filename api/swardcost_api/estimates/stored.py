"""Priced estimates as they are stored, and back from there to answers and CSV cells."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model.access import Club
from swardcost_model.estimate_views import Heading
from swardcost_model.estimates import EstimateLine, MarkupLine
from swardcost_model.projects import Project
from swardcost_model.values import Money, from_micros, to_micros

from swardcost_api.derivations import steps_for
from swardcost_api.engine.pricing.headings import Key, subtotals
from swardcost_api.engine.pricing.markups import AppliedMarkup
from swardcost_api.estimates.derivations import pack, unpack
from swardcost_api.estimates.priced import Line, PricedScope, headed, key_in_words

_SUBTOTALS = (Heading.HOLE, Heading.AREA_KIND, Heading.ITEM_KIND, Heading.ACCOUNT, Heading.SCOPE_ITEM)
"""The headings that an estimate keeps its direct cost by; any others are added up when they are asked for."""


def priced_document(
    priced: PricedScope,
    edition: str,
    price_date: date,
    as_of: date,
    project: Project,
    alternates: Sequence[Mapping[str, Any]],
    work_of_scope: Mapping[str, Any],
) -> dict[str, Any]:
    """All that is kept of a priced scope beside its lines, its alternates and the work in figures included."""
    return {
        "edition": edition, "price_date": price_date.isoformat(), "as_of": as_of.isoformat(),
        "starts_on": project.starts_on.isoformat(), "ends_on": project.ends_on.isoformat(),
        "markups": [markup_document(one) for one in priced.markups],
        "subtotals": _subtotals(priced.lines),
        "warnings": [warning.model_dump(mode="json") for warning in priced.warnings],
        "choices": [
            {
                "item": one.item, "vendor": one.vendor_name, "offers_compared": one.offers_compared,
                "price_micros": one.price_micros, "lump_minor": one.lump_minor, "rental": one.rental,
                "reason": one.reason, "chosen_by": one.chosen_by, "chosen_on": one.chosen_on.isoformat(),
                "quote_request": one.quote_request,
            }
            for one in priced.choices
        ],
        "cautions": priced.cautions, "low_minor": priced.low_total_minor, "high_minor": priced.high_total_minor,
        "alternates": alternates, "work": work_of_scope,
    }  # fmt: skip


def markup_document(m: AppliedMarkup) -> dict[str, Any]:
    """An applied markup for storage; `markup_line_of` reads it."""
    return {
        "kind": m.kind, "label": f"{m.label}: {m.words}" if m.words else m.label, "heading": m.label,
        "cash_minor": m.cash_minor, "base_words": m.base_words, "base_minor": m.base_minor,
        "percent": f"{m.percent:.6f}", "amount_minor": m.amount_minor, "account": m.account,
        "by_account": [[account, amount] for account, amount in m.by_account.items()],
        "derivation": pack((*m.steps, *m.cash_steps)),
    }  # fmt: skip


def _subtotals(lines: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """Direct cost by hole, area kind, item kind, account and scope item: key, label and amount in minor units."""
    names: dict[Heading, dict[Key, str]] = {
        Heading.SCOPE_ITEM: {str(line.entry.id): line.entry.name for line in lines}
    }
    costed = [headed(line) for line in lines if line.amount_minor is not None]
    return {
        f"by_{heading}": [
            [
                None if key is None else str(key),
                key_in_words(heading, key, names.get(heading, {})),
                row.amount_minor,
            ]
            for row in subtotals(costed, [heading])
            for key in row.keys
        ]
        for heading in _SUBTOTALS
    }


def line_rows(club_id: str, estimate_id: UUID, lines: Sequence[Line]) -> list[dict[str, Any]]:
    rows = []
    for _, together in groupby(lines, key=attrgetter("entry.ground")):  # scope items mostly share theirs
        on_ground = list(together)
        areas = [(area.id, area.name, area.hole, area.kind) for area in on_ground[0].areas]
        rows += [_line_row(club_id, estimate_id, line, areas) for line in on_ground]
    return rows


def _line_row(
    club_id: str, estimate_id: UUID, line: Line, areas: Sequence[tuple[Any, ...]]
) -> dict[str, Any]:
    item, entry = line.item, line.entry
    return {
        "club_id": club_id, "estimate_id": estimate_id, "number": line.number, "scope_item_id": entry.id,
        "scope_item": entry.name, "group": entry.group, "resource": line.resource, "part": line.part.value,
        "item": line.code, "item_kind": item.kind if item else None, "description": line.description,
        "vendor": item.vendor_name if item else None, "account": item.account if item else None,
        "taxable": item.taxable if item else False,
        "quantity": None if line.quantity is None else format(line.quantity, "f"), "unit": line.unit,
        "rounding_rule": line.rounding, "price_micros": None if line.price is None else to_micros(line.price),
        "price_source": item.price_source if item else None, "priced_on": item.priced_on if item else None,
        "amount_minor": line.amount_minor, "cash_minor": line.cash_minor, "low_minor": line.low_minor,
        "high_minor": line.high_minor, "starts_on": entry.starts_on, "ends_on": entry.ends_on,
        "needed": None if line.needed is None else format(line.needed, "f"), "needed_unit": line.needed_unit,
        "shares": (areas if line.parts else (), line.parts),
        "derivation": pack(line.derivation),
    }  # fmt: skip


def summary_of(row: Row[*tuple[Any, ...]]) -> dict[str, Any]:
    return {
        "id": row.id, "project_id": row.project_id, "number": row.number, "revision": row.revision,
        "name": row.name, "status": row.status, "complete": row.complete,
        "total": Money.of_minor(row.total_minor, row.currency),
        "cash_total": Money.of_minor(row.cash_minor, row.currency), "created_at": row.created_at,
        "superseded_by": row.superseded_by, "version": row.version,
    }  # fmt: skip


def line_of(row: Row[*tuple[Any, ...]], currency: str) -> dict[str, Any]:
    price = None
    if row.price_micros is not None:
        price = Money.model_construct(amount=from_micros(row.price_micros), currency=currency)  # type: ignore[arg-type]
    amounts = {
        name: None if minor is None else Money.of_minor(minor, currency)
        for name, minor in (
            ("amount", row.amount_minor), ("cash_amount", row.cash_minor), ("low_amount", row.low_minor),
            ("high_amount", row.high_minor),
        )
    }  # fmt: skip
    return {
        "number": row.number, "scope_item_id": row.scope_item_id, "scope_item": row.scope_item, "group": row.group,
        "resource": row.resource, "part": row.part, "item": row.item, "item_kind": row.item_kind,
        "description": row.description, "vendor": row.vendor, "account": row.account, "taxable": row.taxable,
        "quantity": None if row.quantity is None else Decimal(row.quantity), "unit": row.unit,
        "rounding": row.rounding_rule, "unit_price": price, "price_source": row.price_source, **amounts,
        "starts_on": row.starts_on, "ends_on": row.ends_on,
    }  # fmt: skip


def markup_line_of(markup: dict[str, Any], currency: str, club: Club) -> MarkupLine:
    return MarkupLine(
        kind=markup["kind"], label=markup["label"], base_words=markup["base_words"],
        base=Money.of_minor(markup["base_minor"], currency), percent=Decimal(markup["percent"]),
        amount=Money.of_minor(markup["amount_minor"], currency),
        cash_amount=Money.of_minor(markup.get("cash_minor", markup["amount_minor"]), currency),
        account=markup["account"],
        derivation=steps_for(unpack(markup["derivation"]), club),
    )  # fmt: skip


LINE_COLUMNS = (
    "number", "group", "scope_item", "item", "part", "item_kind", "description", "vendor", "account", "taxable",
    "quantity", "unit", "unit_price", "price_source", "amount", "cash_amount", "low_amount", "high_amount", "currency",
    "starts_on", "ends_on",
)  # fmt: skip


def line_cells(lines: Iterable[EstimateLine]) -> Iterable[Sequence[Any]]:
    """Lines as the cells of a CSV file with the columns `LINE_COLUMNS`."""
    for line in lines:
        price, amount = line.unit_price, line.amount
        money = (amount, line.cash_amount, line.low_amount, line.high_amount)
        yield (
            line.number, line.group, line.scope_item, line.item, line.part, line.item_kind, line.description,
            line.vendor, line.account, "yes" if line.taxable else "no", line.quantity, line.unit,
            price.amount if price else None, line.price_source, *(one.amount if one else None for one in money),
            amount.currency if amount else None, line.starts_on, line.ends_on,
        )  # fmt: skip
