"""Budgets to adjust, and what their states must always satisfy."""

from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    money,
    priced,
    stated,
)

FIGURES = ("original", "adjustments", "adjusted", "later", "current")
CLOSURE = {"starts_on": "2026-09-01", "ends_on": "2026-10-31"}


def a_budget_with_contingency(api: Api, *markups: Document, **more: Any) -> Document:
    """Sand 30 tons at 40.00 and a crew of 20 hours at 30.00 in September and October; contingency of 10 percent.

    Lines: 1 sand 1200.00, 2 crew 600.00, 3 contingency 180.00 (unless there are other markups).
    """
    project = a_project(api, **(CLOSURE | more))
    a_scope_item(
        api, project, LUMP, [], stated("SAND", "30", "short_ton"), stated("CREW", "20", "hour"), name="Dress"
    )
    items = [
        an_item("SAND", "40"),
        an_item("CREW", "30", unit="hour", taxable=False, account="1510"),
        an_item("PUMP", "95.50", unit="each", account="1700"),
        an_item("FITTER", "60", unit="hour", taxable=False, account="1700"),
        an_item("WELL", None, unit="each"),
    ]
    with_contingency = markups or ({"kind": "contingency", "percent": "10", "account": "1599"},)
    return budget_of(api, priced(api, project, an_edition(api, items), *with_contingency))


def usd(amount: str | Decimal) -> Document:
    return {"amount": str(amount), "currency": "USD"}


def entry(line: Document | int, month: str, amount: str, quantity: str | None = None) -> Document:
    """Money to or from a line (as its document), or a line to be opened (its number)."""
    named = {"new_line": line} if isinstance(line, int) else {"budget_line_id": line["id"]}
    return {
        **named,
        "month": month,
        "amount": usd(amount),
        **({} if quantity is None else {"quantity": quantity}),
    }


def adjustment_body(kind: str, *entries: Document, **more: Any) -> Document:
    return {
        "kind": kind, "effective_on": "2026-09-10", "reason": "As agreed", "entries": list(entries),
    } | more  # fmt: skip


def proposed(api: Api, budget: Document, kind: str, *entries: Document, **more: Any) -> Document:
    return api.created(f"/budgets/{budget['id']}/adjustments", adjustment_body(kind, *entries, **more))


def decided(api: Api, adjustment: Document, decision: str = "approve", status: int = 200) -> Document:
    response = api.post(f"/adjustments/{adjustment['id']}/{decision}", json={"note": "Minutes 7"})
    assert response.status_code == status, response.text
    document: Document = response.json()
    return document


def adjusted(api: Api, budget: Document, kind: str, *entries: Document, **more: Any) -> Document:
    """An approved adjustment."""
    return decided(api, proposed(api, budget, kind, *entries, **more))


def state_of(api: Api, budget: Document, on: str = "2026-12-31", **query: str) -> Document:
    response = api.get(f"/budgets/{budget['id']}/lines", params={"on": on, **query})
    assert response.status_code == 200, response.text
    state: Document = response.json()
    reconciles(state)
    return state


def reconciles(state: Document) -> None:
    """original + adjustments = adjusted, + later = current: in total, for each line and for each month."""
    for figures in (state, *state["lines"], *(month for line in state["lines"] for month in line["months"])):
        values = {name: money(figures[name]) for name in FIGURES}
        assert values["original"] + values["adjustments"] == values["adjusted"]
        assert values["adjusted"] + values["later"] == values["current"]
        assert min(values["original"], values["adjusted"], values["current"]) >= 0
    for name in FIGURES:
        assert sum(money(line[name]) for line in state["lines"]) == money(state[name])
        for line in state["lines"]:
            assert sum(money(month[name]) for month in line["months"]) == money(line[name])
    pending = sum(money(line["pending"]) for line in state["lines"])
    assert pending + money(state["pending_new_lines"]) == money(state["pending"])


def amounts(state: Document, name: str = "adjusted") -> list[str]:
    """A figure of every line, in the order of their numbers."""
    return [line[name]["amount"] for line in state["lines"]]
