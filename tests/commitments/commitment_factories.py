"""Orders of sand, a crew and a lump sum on a budget of their own, with tickets and invoices, through the API."""

from decimal import Decimal
from typing import Any

import httpx
from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    priced,
    stated,
)

SIGNED = "2026-08-03"


def a_budget(api: Api) -> Document:
    """Sand and sod, each under an account."""
    project = a_project(api)
    sand, sod = stated("SAND", "100", "short_ton"), stated("SOD", "900", "square_foot")
    a_scope_item(api, project, LUMP, [], sand, sod, name="Dress")
    items = [an_item("SAND", "40.00"), an_item("SOD", "0.60", unit="square_foot", account="1520-20")]
    return budget_of(api, priced(api, project, an_edition(api, items)))


def a_line(
    budget: Document, number: int = 1, quantity: str = "100", price: str = "40.50", **more: Any
) -> Document:
    """An ordered line of sand under the budget's first line."""
    return {
        "number": number, "budget_line_id": budget["lines"][0]["id"], "description": "Topdressing sand",
        "quantity": quantity, "unit": "short_ton", "unit_price": price, "expected_month": "2026-09",
    } | more  # fmt: skip


def order_body(budget: Document, *lines: Document, **more: Any) -> Document:
    return {
        "number": "PO-1", "kind": "purchase_order", "vendor": "Alder Creek", "budget_id": budget["id"],
        "title": "Sand", "signed_on": SIGNED, "lines": list(lines) or [a_line(budget)],
    } | more  # fmt: skip


def an_order(api: Api, budget: Document, *lines: Document, **more: Any) -> Document:
    """A purchase order of 100 short tons of sand at 40.50, or of these lines."""
    return api.created("/commitments", order_body(budget, *lines, **more))


def ticket_body(ticket: str, quantity: str, line: int = 1, unit: str = "short_ton", **more: Any) -> Document:
    of_line = {"line_number": line, "quantity": quantity, "unit": unit}
    if "per_load" in more:
        of_line["per_load"] = more.pop("per_load")
    return {"ticket": ticket, "received_on": "2026-09-04", "lines": [of_line]} | more


def received(api: Api, order: Document, ticket: str, quantity: str, **more: Any) -> Document:
    return api.created(f"/commitments/{order['id']}/receipts", ticket_body(ticket, quantity, **more))


def billed(quantity: str, price: str = "40.50", line: int = 1, **more: Any) -> Document:
    """A line of an invoice."""
    return {"line_number": line, "description": "Sand", "quantity": quantity, "unit_price": price} | more


def extra(budget: Document, amount: str, line: int = 0) -> Document:
    """Something billed without an order."""
    return {"budget_line_id": budget["lines"][line]["id"], "description": "Freight", "amount": amount}


def invoice_body(number: str, *lines: Document, **more: Any) -> Document:
    return {"number": number, "invoiced_on": "2026-09-10", "lines": list(lines)} | more


def invoiced(api: Api, order: Document, number: str, *lines: Document, **more: Any) -> Document:
    return api.created(f"/commitments/{order['id']}/invoices", invoice_body(number, *lines, **more))


def released(api: Api, order: Document, number: str, amount: str | None = None, **more: Any) -> Document:
    body = {"number": number, "kind": "retainage_release", "invoiced_on": "2026-11-02", "retainage": amount}
    return api.created(f"/commitments/{order['id']}/invoices", body | more)


def match_of(api: Api, order: Document, on: str | None = None) -> Document:
    response = api.get(f"/commitments/{order['id']}/match", params={"on": on} if on else {})
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def matched(api: Api, invoice: Document) -> Document:
    document: Document = api.get(f"/invoices/{invoice['id']}/match").json()
    return document


def done(response: httpx.Response) -> Document:
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def refused(response: httpx.Response, status: int, kind: str) -> list[tuple[str, str]]:
    """The faults of a refusal, as pointer and what was expected."""
    assert response.status_code == status, response.text
    problem = response.json()
    assert problem["type"] == f"/problems/{kind}"
    return [(fault["pointer"], fault["expected"]) for fault in problem["faults"]]


def sums(match: Document) -> dict[str, Decimal]:
    """The money of a match or of a line of one."""
    return {
        name: Decimal(one["amount"])
        for name, one in match.items()
        if isinstance(one, dict) and "amount" in one
    }
