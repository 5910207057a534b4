"""An item as a row of a file and back, without loss: which columns there are and what their cells say.

Purchase terms that a price list usually states have columns of their own, breaks as a text such as
``100: 36.00; 250: 34.50``. What is left of the terms, and rental terms and build-ups whole, is compact JSON in the
last column.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from pydantic_core import from_json
from swardcost_model.catalog import Item
from swardcost_model.price_terms import PurchaseTerms, Terms
from swardcost_model.problems import Fault
from swardcost_model.values import Money, plain

from swardcost_api.catalog.term_rules import compact
from swardcost_api.csv_files import CsvRow
from swardcost_api.faults import shown

_PLAIN_TERMS = ("increment", "increment_name", "minimum_order", "minimum_charge")
_FLAT = (*_PLAIN_TERMS, "breaks_apply", "breaks", "lead_time_days")
REQUIRED = (
    "code", "kind", "description", "unit", "unit_price", "free", "taxable", "account", "vendor", "price_source",
    "priced_on", "valid_until", "note",
)  # fmt: skip
"""Columns that every file has; what may be said in the others has a default."""
COLUMNS = (
    "code", "kind", "description", "unit", "unit_price", "low_price", "high_price", "currency", "free", "taxable",
    "tax_class", "in_operating_budget", "account", "vendor", "price_source", "priced_on", "valid_from", "valid_until",
    "reference", *_FLAT, "terms", "note",
)  # fmt: skip
"""The header of a file of items."""
OPTIONAL = tuple(name for name in COLUMNS if name not in REQUIRED)

Cell = str | Decimal | int | bool | date | None

_AS_WRITTEN = ("code", "description", "unit", "reference", "note")
_ABSENT_WHEN_EMPTY = (
    "currency", "free", "taxable", "tax_class", "in_operating_budget", "account", "price_source", "priced_on",
    "valid_from", "valid_until",
)  # fmt: skip
_PRICES = ("unit_price", "low_price", "high_price")
_TIER = re.compile(r"\s*([^\s:-]+)\s*(?:-\s*([^\s:-]+)\s*)?:\s*([^\s:]+)\s*")
_COUNT = re.compile(r"[0-9]{1,9}")
_TIERS_EXPECTED = 'quantities and prices such as "100: 36.00; 250: 34.50", or "100-250: 36.00"'
_TERMS_EXPECTED = 'terms as JSON, such as {"form":"rental","periods":[...]}, as the export writes them'


def cells_of(item: Item) -> Sequence[Cell]:
    """An item as the cells of its row, in the order of `COLUMNS`."""
    source = item.price_source
    return (
        item.code, item.kind.value, item.description, item.unit, _amount(item.unit_price), _amount(item.low_price),
        _amount(item.high_price), item.currency, item.free, item.taxable, item.tax_class, item.in_operating_budget,
        item.account, item.vendor_name, source.value if source is not None else None, item.priced_on, item.valid_from,
        item.valid_until, item.reference, *_terms_cells(item.terms), item.note,
    )  # fmt: skip


def _amount(price: Money | None) -> Decimal | None:
    return None if price is None else price.amount


def _terms_cells(terms: Terms | None) -> Sequence[Cell]:
    """The flat columns of the terms, and the JSON of the rest."""
    if not isinstance(terms, PurchaseTerms):
        return (*(None for _ in _FLAT), None if terms is None else compact(terms))
    breaks = terms.breaks
    flat = (
        *(_as_typed(getattr(terms, name)) for name in _PLAIN_TERMS),
        breaks.apply if breaks is not None else None,
        "; ".join(
            f"{plain(tier.from_quantity)}{'' if tier.below is None else f'-{plain(tier.below)}'}: "
            f"{plain(tier.unit_price)}"
            for tier in breaks.tiers
        ) if breaks is not None else None,
        terms.lead_time_days,
    )  # fmt: skip
    stated = dict.fromkeys((*_PLAIN_TERMS, "breaks", "lead_time_days"), None)
    rest = terms.model_copy(update=stated)
    has_rest = bool(rest.surcharges or rest.delivery or rest.bands)
    return (*flat, compact(rest) if has_rest or all(cell is None for cell in flat) else None)


def _as_typed(value: Decimal | str | None) -> Cell:
    """A decimal as a number, but as text where a number would lose the zeros that were typed."""
    if isinstance(value, Decimal) and plain(value.normalize()) != plain(value):
        return plain(value)
    return value


def fields_of(row: CsvRow, currency: str, vendors: Mapping[str, UUID]) -> tuple[dict[str, Any], list[Fault]]:
    """A row as the fields of an item, still to be checked, and what cannot be made out of it.

    `currency` is the edition's. An unknown vendor is a fault here, and so are terms that cannot be read.
    """
    cells = row.cells
    fields: dict[str, Any] = {name: cells[name] for name in _AS_WRITTEN}
    fields |= {name: cells[name] for name in _ABSENT_WHEN_EMPTY if cells[name]}
    fields["kind"] = cells["kind"].lower()
    for name in _PRICES:
        if cells[name]:
            fields[name] = {"amount": cells[name], "currency": cells["currency"] or currency}
    faults: list[Fault] = []
    if cells["vendor"]:
        fields["vendor_id"] = vendors.get(cells["vendor"])
        if fields["vendor_id"] is None:
            expected = "the name of a vendor of the club; add the vendor first"
            faults.append(_fault(row, "vendor", expected))
    if cells["terms"] or any(cells[name] for name in _FLAT):
        fields["terms"] = _terms(row, faults)
    return fields, faults


def _terms(row: CsvRow, faults: list[Fault]) -> dict[str, Any] | None:
    """The terms that the cells of a row state together; nothing, and a fault, where they cannot be made out."""
    cells = row.cells
    terms = _json(cells["terms"] or '{"form":"purchase"}')
    if not isinstance(terms, dict):
        faults.append(_fault(row, "terms", _TERMS_EXPECTED))
        return None
    flat: dict[str, Any] = {name: cells[name] for name in _PLAIN_TERMS if cells[name]}
    if cells["lead_time_days"]:
        days = cells["lead_time_days"]
        flat["lead_time_days"] = int(days) if _COUNT.fullmatch(days) else days
    if cells["breaks"] or cells["breaks_apply"]:
        tiers = _tiers(cells["breaks"])
        if tiers is None:
            faults.append(_fault(row, "breaks", _TIERS_EXPECTED))
            return None
        flat["breaks"] = {"apply": cells["breaks_apply"], "tiers": tiers}
    for name in list(flat):
        if terms.get("form") != "purchase":
            faults.append(_fault(row, name, "nothing, unless the terms are purchase terms"))
            del flat[name]
        elif terms.get(name) is not None:
            faults.append(_fault(row, name, "nothing, since the column terms says it too"))
            del flat[name]
    return terms | flat


def _json(text: str) -> Any:
    """What a JSON text says, `None` where it is none."""
    try:
        return from_json(text)
    except ValueError:
        return None


def _tiers(text: str) -> list[dict[str, str]] | None:
    """The tiers that a text states, `None` where it cannot be made out."""
    tiers = []
    for one in text.split(";"):
        match = _TIER.fullmatch(one)
        if match is None:
            return None
        start, below, price = match.groups()
        tiers.append({"from_quantity": start, "unit_price": price} | ({"below": below} if below else {}))
    return tiers


def _fault(row: CsvRow, column: str, expected: str) -> Fault:
    return Fault(pointer=f"row {row.number}, {column}", expected=expected, got=shown(row.cells[column]))


def faults_of_row(row: CsvRow, faults: Iterable[Fault]) -> list[Fault]:
    """Faults of the fields of a row, by column; in the column of JSON also by the place within it."""
    return [
        fault.model_copy(update={"pointer": f"row {row.number}, {_column(row, fault.pointer)}"})
        for fault in faults
    ]


def _column(row: CsvRow, pointer: str) -> str:
    field, *within = pointer.split("/")[1:]
    if field == "vendor_id":
        return "vendor"
    if field != "terms":
        return "currency" if within == ["currency"] else field
    if within and within[0] in _FLAT and (row.cells[within[0]] or not row.cells["terms"]):
        return "breaks_apply" if within[1:] == ["apply"] else within[0]
    return "/".join([field, *within]) if row.cells["terms"] else field
