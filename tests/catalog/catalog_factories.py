"""Vendors, editions and items made through the API."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from conftest import Api
from sqlalchemy import event

HEADER = (
    "code,kind,description,unit,unit_price,currency,free,taxable,account,vendor,price_source,priced_on,"
    "valid_until,note\r\n"
)
"""Columns of a file that says nothing of terms, as files did before there were any."""

FULL_HEADER = (
    "code,kind,description,unit,unit_price,low_price,high_price,currency,free,taxable,tax_class,in_operating_budget,"
    "account,vendor,price_source,priced_on,valid_from,valid_until,reference,increment,increment_name,minimum_order,"
    "minimum_charge,breaks_apply,breaks,lead_time_days,terms,note\r\n"
)
"""Columns of an export."""

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CAD = {"amount": "52.00", "currency": "CAD"}
BREAKS = {
    "apply": "whole_quantity",
    "tiers": [
        {"from_quantity": "100", "below": None, "unit_price": "36.00"},
        {"from_quantity": "250", "below": None, "unit_price": "34.50"},
    ],
}


def a_vendor(api: Api, name: str = "Alder Creek Sand and Gravel", **more: Any) -> str:
    vendor_id: str = api.created("/vendors", {"name": name} | more)["id"]
    return vendor_id


def a_draft(api: Api, name: str = "Spring 2026", **more: Any) -> str:
    edition_id: str = api.created("/editions", {"name": name, "price_date": "2026-03-01"} | more)["id"]
    return edition_id


def an_item(code: str = "SAND-TD", **more: Any) -> dict[str, Any]:
    """The body of an item to be added."""
    price = {"amount": "38.50", "currency": "USD"}
    return {
        "code": code, "kind": "material", "description": "Topdressing sand", "unit": "short_ton", "unit_price": price,
        "taxable": True,
    } | more  # fmt: skip


def put(api: Api, edition: str, code: str = "SAND-TD", **more: Any) -> dict[str, Any]:
    """Add an item to a draft."""
    return api.created(f"/editions/{edition}/items", an_item(code, **more))


def a_published_edition(api: Api, name: str = "Winter 2025") -> str:
    edition = a_draft(api, name)
    put(api, edition)
    assert api.post(f"/editions/{edition}/publish").status_code == 200
    return edition


def vendor_terms_in(api: Api, edition: str, vendor: str, **more: Any) -> dict[str, Any]:
    """Give a vendor terms in a draft: Canadian dollars unless they say otherwise."""
    terms = {
        "vendor_id": vendor, "currency": "CAD", "exchange_rate": "0.7312", "rate_date": "2026-02-27",
        "rate_source": "Central bank, noon rate",
    } | more  # fmt: skip
    return api.created(f"/editions/{edition}/vendor-terms", terms)


def exported(api: Api, edition: str) -> bytes:
    response = api.get(f"/editions/{edition}/items/export", headers={"Accept": "text/csv"})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].startswith("text/csv")
    return response.content


def workbook(api: Api, edition: str) -> bytes:
    response = api.get(f"/editions/{edition}/items/export", headers={"Accept": XLSX})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == XLSX
    return response.content


def upload_workbook(api: Api, edition: str, content: bytes) -> Any:
    return api.upload(f"/editions/{edition}/items/upload", content, headers={"Content-Type": XLSX})


@contextmanager
def statements(api: Api) -> Iterator[list[str]]:
    """The SQL statements sent meanwhile, but for the look at the key; one sent for many rows at once counts once."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_more: Any) -> None:
        if "FROM keys" not in statement:
            sent.append(statement)

    event.listen(api.database.engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(api.database.engine, "before_cursor_execute", note)
