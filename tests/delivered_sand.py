"""Sand of a budget that was dearer and more than planned, from the order to the ledger."""

from typing import Any

from conftest import Api

VENDOR = "Alder Creek Sand and Gravel"
HEADER = "date,account,description,amount,vendor,reference\r\n"


def sand_delivered(
    api: Api,
    budget: dict[str, Any],
    vendor: str = VENDOR,
    title: str = "Sand",
    expected_month: str = "2026-09",
) -> None:
    """1,600 short tons ordered at 41.65 on the first line of a budget, ten percent held back.

    1,582 came, were billed and are in the accounts by a rule, with freight from another account; 1,500 were measured,
    and linen is assigned to nothing.
    """
    sand = budget["lines"][0]["id"]
    line = {
        "number": 1, "budget_line_id": sand, "description": "Topdressing sand", "quantity": "1600",
        "unit": "short_ton", "unit_price": "41.65", "expected_month": expected_month,
    }  # fmt: skip
    order = api.created(
        "/commitments",
        {"number": "PO-1", "kind": "purchase_order", "vendor": vendor, "budget_id": budget["id"], "title": title,
         "signed_on": "2026-07-20", "retainage_percent": "10", "lines": [line]},
    )  # fmt: skip
    received = {"line_number": 1, "quantity": "1582", "unit": "short_ton"}
    path = f"/commitments/{order['id']}"
    api.created(f"{path}/receipts", {"ticket": "T-1", "received_on": "2026-08-10", "lines": [received]})
    billed = {"line_number": 1, "description": "Sand", "quantity": "1582", "unit_price": "41.65"}
    api.created(f"{path}/invoices", {"number": "I-77", "invoiced_on": "2026-08-31", "lines": [billed]})
    measure = {"budget_line_id": sand, "measured_on": "2026-09-30", "done": "1500"}
    api.created(f"/budgets/{budget['id']}/measures", measure)
    rule = {
        "budget_id": budget["id"],
        "budget_line_id": sand,
        "name": "Sand",
        "conditions": {"text_contains": "sand"},
    }
    api.created("/ledger/rules", rule)
    rows = (
        f'2026-09-05,1520-10,Sand delivered,59301.27,"{VENDOR}",I-77\r\n'
        "2026-09-06,6100-00,Freight of sand,250.00,Two Rivers Hauling,F-9\r\n"
        "2026-09-07,7010,Linen,75.10,,\r\n"
    )
    columns = {one: one for one in HEADER.strip().split(",")}
    profile = api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]
    response = api.upload("/ledger/imports/upload", HEADER + rows, params={"profile_id": profile})
    assert response.status_code == 201, response.text
