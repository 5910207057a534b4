"""Price lists of any length, one item in ten with terms."""

from swardcost_api.catalog.item_cells import COLUMNS

_TERMS = {
    "increment": "22", "increment_name": "load", "minimum_order": "44", "breaks_apply": "whole_quantity",
    "breaks": "100: 36.00; 250: 34.50", "lead_time_days": "14",
}  # fmt: skip


def price_list(items: int) -> bytes:
    """A CSV file of so many items."""
    return "\r\n".join([",".join(COLUMNS), *map(_line, range(items)), ""]).encode()


def _line(number: int) -> str:
    cells = {
        "code": f"I-{number:06}", "kind": "material", "description": f"Sand and gravel of grade {number % 97}",
        "unit": "short_ton", "unit_price": f"{number % 900 + 1}.25", "taxable": "yes",
        "account": f"15{number % 12}0-10", "price_source": "quote", "priced_on": "2026-02-10",
        "valid_until": "2026-06-30", "reference": f"page {number % 300}", "note": f"note {number}",
    }  # fmt: skip
    cells |= _TERMS if number % 10 == 0 else {}
    return ",".join(cells.get(column, "") for column in COLUMNS)
