"""Published editions whose prices move."""

from typing import Any

from catalog_factories import a_draft, put
from conftest import Api

Document = dict[str, Any]
SAND, GRAVEL = "SAND-TD", "GRAVEL"


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def published(api: Api, edition: str) -> str:
    response = api.post(f"/editions/{edition}/publish")
    assert response.status_code == 200, response.text
    return edition


def the_earlier(api: Api, *codes: str, **more: Any) -> str:
    """A published edition of 1 March 2025 with these items at 38.50."""
    edition = a_draft(api, "Spring 2025", price_date="2025-03-01")
    for code in codes or [SAND]:
        put(api, edition, code, **more)
    return published(api, edition)
