"""Locked plans through the API, and the money of their projects."""

from datetime import UTC, datetime
from typing import Any

from conftest import Api
from estimate_factories import LUMP, Document, a_project, a_scope_item, an_edition, an_item, priced, stated
from plan_factories import PLANS, PROJECTS

HEADER = "date,account,description,amount,vendor,reference\r\n"
COLUMNS = {one: one for one in ("date", "account", "description", "amount", "vendor", "reference")}


def it_is(api: Api, day: str) -> None:
    """Move the service's clock to the noon of a day."""
    api.clock.shift = datetime.fromisoformat(f"{day}T12:00:00+00:00") - datetime.now(UTC)


def acted(api: Api, path: str, **body: Any) -> Document:
    response = api.post(path, json=body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def refusal(api: Api, path: str, **body: Any) -> tuple[int, str]:
    """The status and kind of problem of what is refused."""
    response = api.post(path, json=body)
    return response.status_code, response.json()["type"].rsplit("/", 1)[1]


def locked(api: Api, plan: Document, **decisions: Document) -> Document:
    """The plan issued and locked; projects are approved but those named `project_3={...}` by their number."""
    acted(api, f"{PLANS}/{plan['id']}/issue")
    for one in api.get(f"{PLANS}/{plan['id']}/projects?limit=200").json()["items"]:
        decision = decisions.get(f"project_{one['number']}", {"decided": "approved"})
        acted(api, f"{PROJECTS}/{one['id']}/decide", **decision)
    return acted(api, f"{PLANS}/{plan['id']}/lock")


def opened(api: Api, project: Document, **how: Any) -> Document:
    return acted(api, f"{PROJECTS}/{project['id']}/open", **how)


def an_estimate_of_sand(api: Api, tons: str = "1000", price: str = "40.00") -> Document:
    """A draft of so many tons of sand at a price, untaxed."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", tons, "short_ton"), name="Dress")
    return priced(api, project, an_edition(api, [an_item("SAND", price, taxable=False)]))


def spend(api: Api, budget_id: str, *rows: str) -> None:
    """Post rows of a ledger export on the first line of a budget."""
    budget = api.get(f"/budgets/{budget_id}").json()
    rule = {"text_contains": f"sand of {budget_id}"}
    api.created(
        "/ledger/rules",
        {"budget_id": budget_id, "budget_line_id": budget["lines"][0]["id"], "name": budget_id, "conditions": rule},
    )  # fmt: skip
    profile = api.created("/ledger/profiles", {"name": f"Ledger {budget_id}", "columns": COLUMNS})["id"]
    text = HEADER + "".join(
        f"{day},1520-10,Sand of {budget_id},{amount},Alder Creek,T-{place}\r\n"
        for place, (day, amount) in enumerate(one.split() for one in rows)
    )
    response = api.upload("/ledger/imports/upload", text, params={"profile_id": profile})
    assert response.status_code == 201, response.text
