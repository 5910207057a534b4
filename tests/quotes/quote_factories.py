"""A project with quantities, vendors that are asked for them, and their quotes, through the API."""

from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    priced,
    stated,
)

SAND_TONS, SOD_FEET = 150, 900


def a_vendor(api: Api, name: str) -> str:
    vendor_id: str = api.created("/vendors", {"name": name})["id"]
    return vendor_id


def the_catalog(api: Api, **more: Any) -> str:
    """Sand at 38.50 a short ton, sod at 0.60 a square foot, and lime without a price."""
    return an_edition(
        api,
        [
            an_item("SAND", "38.50"), an_item("SOD", "0.60", unit="square_foot", kind="sod"), an_item("LIME", None)
        ],
        **more,
    )  # fmt: skip


def an_estimate(api: Api, *more: Document) -> Document:
    """150 short tons of sand in two scope items, and 900 square feet of sod."""
    project = a_project(api)
    tees = [stated("SAND", "100", "short_ton"), stated("SOD", "900", "square_foot"), *more]
    a_scope_item(api, project, LUMP, [], *tees, name="Tees")
    a_scope_item(api, project, LUMP, [], stated("SAND", "50", "short_ton"), name="Bunkers")
    return priced(api, project, the_catalog(api))


def request_body(estimate: Document, *vendors: str, **more: Any) -> Document:
    return {
        "name": "Sand and sod", "estimate_id": estimate["id"], "vendor_ids": list(vendors), "due_on": "2026-07-01"
    } | more  # fmt: skip


def a_request(api: Api, estimate: Document, *vendors: str, **more: Any) -> Document:
    return api.created("/quote-requests", request_body(estimate, *vendors, **more))


def offered(item: str, price: str) -> Document:
    return {"item": item, "unit_price": price}


def lump(item: str, amount: str) -> Document:
    return {"item": item, "lump_sum": amount}


def quote_body(vendor: str, *items: Document, **more: Any) -> Document:
    return {
        "vendor_id": vendor, "received_on": "2026-06-20", "currency": "USD", "items": list(items)
    } | more  # fmt: skip


def a_quote(api: Api, request: Document, vendor: str, *items: Document, **more: Any) -> Document:
    return api.created(f"/quote-requests/{request['id']}/quotes", quote_body(vendor, *items, **more))


def chosen(api: Api, request: Document, *quotes: Document | tuple[Document, list[str]]) -> Document:
    """The request with these quotes taken: each whole, or for some items."""
    awards = [
        {"quote_id": one["id"]} if isinstance(one, dict) else {"quote_id": one[0]["id"], "items": one[1]}
        for one in quotes
    ]
    body = {"awards": awards, "reason": "Lowest on the same quantities."}
    response = api.post(f"/quote-requests/{request['id']}/choose", json=body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def compared(api: Api, request: Document, as_of: str = "2026-07-01") -> Document:
    response = api.get(f"/quote-requests/{request['id']}/comparison?as_of={as_of}")
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document
