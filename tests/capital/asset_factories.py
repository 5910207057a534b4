"""Assets through the API."""

from typing import Any

from conftest import Api
from estimate_factories import Document


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def an_asset(api: Api, code: str = "PUMP-1", **more: Any) -> Document:
    """A pump station of 2008 that costs 180,000."""
    body = {
        "code": code, "name": f"Asset {code}", "kind": "pump_station", "in_use_since": 2008,
        "replacement": {"by": "stated", "cost": usd("180000.00")},
    } | more  # fmt: skip
    return api.created("/assets", body)


def figures_of(api: Api, asset: Document, year: int = 2026) -> Document:
    response = api.get(f"/assets/{asset['id']}/figures?year={year}")
    assert response.status_code == 200, response.text
    found: Document = response.json()
    return found


def register_of(api: Api, year: int = 2026) -> Document:
    response = api.get(f"/assets/register?year={year}")
    assert response.status_code == 200, response.text
    found: Document = response.json()
    return found


def refused(api: Api, **fields: Any) -> list[tuple[str, str]]:
    """Where an asset is refused, and what came there; none is entered."""
    body = {"code": "X", "name": "X", "kind": "other"} | fields
    response = api.post("/assets", json=body)
    assert response.status_code in (400, 422), response.text
    assert api.get("/assets").json()["items"] == []
    return [(fault["pointer"], fault["got"]) for fault in response.json()["faults"]]
