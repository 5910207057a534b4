"""Projects with alternates through the API, and what must hold of the differences that an estimate tells."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_item,
    money,
    priced,
    stated,
)

BY_LOAD = {
    "form": "purchase",
    "breaks": {"apply": "whole_quantity", "tiers": [{"from_quantity": "30", "unit_price": "36.00"}]},
    "delivery": {"by": "load", "load_size": "22", "charge": "145.00"},
}
LOADER = {
    "form": "rental",
    "periods": [
        {"name": "day", "days": 1, "price": "310.00"},
        {"name": "week", "days": 7, "price": "980.00"},
    ],
    "delivery": "120.00",
}
ITEMS = [
    an_item("SAND", "38.50", terms=BY_LOAD),
    an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False),
    an_item("LOADER", None, kind="rental", unit="hour", terms=LOADER),
    an_item("UNPRICED", None),
]
MARKUPS = [{"kind": "tax", "percent": "6.5"}, {"kind": "contingency", "percent": "8"}]


def a_scope(api: Api, *tons: str, spread: bool = False) -> tuple[str, list[str]]:
    """A project whose scope items, a day each, take so many tons of sand by the load and hire one loader together.

    Where the sand is spread, somebody comes once for all of it.
    """
    spreading = [stated("SPREAD", "10", "short_ton", visit="once")] if spread else []
    project = a_project(api, starts_on="2026-09-07", ends_on="2026-09-18")
    items = [
        a_scope_item(
            api, project, LUMP, [], stated("SAND", one, "short_ton"), stated("LOADER", "6", "hour"), *spreading,
            name=f"Work {number}", starts_on=f"2026-09-{7 + number:02d}", ends_on=f"2026-09-{7 + number:02d}",
        )["id"]
        for number, one in enumerate(tons)
    ]  # fmt: skip
    return project, items


def an_alternate(api: Api, project: str, name: str, **more: Any) -> Document:
    return api.created(f"/projects/{project}/alternates", {"name": name} | more)


def taking(api: Api, project: str, edition: str, *alternates: Document) -> Document:
    ids = [one["id"] for one in alternates]
    return priced(api, project, edition, *MARKUPS, alternate_ids=ids)


def differences_hold(api: Api, estimate: Document) -> list[Document]:
    """The alternates line by line; lines and markups of each sum to its difference."""
    found = api.get(f"/estimates/{estimate['id']}/alternates").json()
    assert found["total"] == estimate["total"]
    for one in found["alternates"]:
        lines = sum((money(line["difference"]) for line in one["lines"]), Decimal(0))
        markups = sum((money(markup["difference"]) for markup in one["markups"]), Decimal(0))
        assert lines == money(one["direct_difference"])
        assert lines + markups == money(one["difference"])
        sign = -1 if one["taken"] else 1
        assert money(one["total_otherwise"]) == money(estimate["total"]) + sign * money(one["difference"])
    details = [
        {name: value for name, value in one.items() if name not in ("lines", "markups")}
        for one in found["alternates"]
    ]
    assert details == estimate["alternates"]
    documents: list[Document] = found["alternates"]
    return documents


def named(alternates: Iterable[Document]) -> dict[str, Document]:
    return {one["name"]: one for one in alternates}
