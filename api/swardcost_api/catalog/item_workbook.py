"""An edition as a workbook: its items, the terms of their vendors, and what the columns mean."""

from collections.abc import Iterator, Sequence

from swardcost_model.catalog import EditionExport, VendorTerms
from swardcost_model.values import plain

from swardcost_api.catalog.item_cells import COLUMNS, cells_of
from swardcost_api.catalog.item_files import SHEET
from swardcost_api.xlsx_files import Cell, Column, Sheet, write_workbook

_MONEY = frozenset({"unit_price", "low_price", "high_price", "mobilization"})
_NUMERIC = frozenset({"increment", "minimum_order", "minimum_charge", "lead_time_days", "exchange_rate"})
_WRAPPED = frozenset({"description", "reference", "breaks", "terms", "note", "rate_source"})
_WIDTHS = {
    "code": 16, "kind": 16, "description": 48, "unit": 24, "vendor": 32, "reference": 54, "breaks": 24, "terms": 60,
    "note": 40,
    "rate_source": 30,
}  # fmt: skip
_LEAST_WIDTH = 12
_VENDOR_COLUMNS = (
    "vendor", "currency", "exchange_rate", "rate_date", "rate_source", "mobilization", "note",
)  # fmt: skip
_MEANINGS = (
    ("code", "The club's own code of the item; a row replaces the item of its code whole, or adds it."),
    ("kind", "material, sod, contract, rental, labor, owned_machine, freight, disposal or fee."),
    ("unit", "Unit that the price is for; listed at /v1/units."),
    ("unit_price", "Price of one unit. Empty where none is known or rental terms say it; of a build-up it may be."),
    ("low_price, high_price", "What it costs at the least and at the most."),
    ("currency", "Currency of the prices and of all money in the terms; the edition's where empty."),
    ("free", "yes where it costs nothing: only then may the price be zero."),
    ("taxable, tax_class", "Whether sales tax is charged on it, and which of a place's rates; standard where empty."),
    ("in_operating_budget", "yes where the operating budget pays for it already."),
    ("vendor", "Name of a vendor of the club."),
    ("price_source", "contract, invoice, quote, allowance or estimate."),
    ("priced_on, valid_from, valid_until", "When the price was got, and the first and last day on which it holds."),
    ("reference", "Where the price can be looked up."),
    ("increment, increment_name", "It is bought in whole multiples of this, which the trade calls so."),
    ("minimum_order, minimum_charge", "Least quantity sold, and least amount charged for a line."),
    ("breaks_apply", "each_tier: each tier's price for the part in it; whole_quantity: the price of the tier reached."),
    ("breaks", "Quantities and the prices from there on, such as 100: 36.00; 250: 34.50."),
    ("lead_time_days", "Calendar days from order to delivery."),
    ("terms", "All other terms as JSON: delivery, surcharges, bands; rental; build-ups of hourly rates."),
)  # fmt: skip


def write_edition(export: EditionExport) -> bytes:
    """A workbook of which an upload takes the sheet of items."""
    edition = export.edition
    sheets = (
        Sheet(SHEET, _columns(COLUMNS), map(cells_of, export.items)),
        Sheet("Vendors' terms", _columns(_VENDOR_COLUMNS), map(_vendor_cells, export.vendor_terms)),
        Sheet("About", [Column("what", 36), Column("meaning", 110, wrapped=True)], _about(export)),
    )
    return write_workbook(sheets, {"title": edition.name, "created": edition.created_at})


def _columns(names: Sequence[str]) -> list[Column]:
    return [
        Column(
            name, _WIDTHS.get(name, max(_LEAST_WIDTH, len(name) + 4)), money=name in _MONEY, numeric=name in _NUMERIC,
            wrapped=name in _WRAPPED,
        )
        for name in names
    ]  # fmt: skip


def _vendor_cells(terms: VendorTerms) -> Sequence[Cell]:
    rate = terms.exchange_rate
    return (
        terms.vendor_name, terms.currency, plain(rate) if rate is not None else None, terms.rate_date,
        terms.rate_source, terms.mobilization, terms.note,
    )  # fmt: skip


def _about(export: EditionExport) -> Iterator[Sequence[Cell]]:
    edition = export.edition
    yield "edition", edition.name
    yield "status", edition.status.value
    yield "prices hold for", edition.price_date.isoformat()
    yield "currency", edition.currency
    yield "items", f"{len(export.items):,}"
    yield None, None
    yield "upload", f"The sheet {SHEET} is read, and no other; decimals may be numbers or text, days too."
    yield from _MEANINGS
