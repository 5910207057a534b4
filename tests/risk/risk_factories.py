"""An estimate with what is uncertain of it, and simulations of it, through the API."""

import time
from typing import Any

from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    priced,
    stated,
)

SECONDS = 30


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


UNKNOWN = "00000000-0000-7000-8000-000000000000"
MARKUPS: list[Document] = [
    {"kind": "tax", "percent": "6.5"},
    {"kind": "overhead", "percent": "2"},
    {"kind": "contingency", "percent": "8"},
]
BY_LOAD: Document = {
    "form": "purchase",
    "breaks": {
        "apply": "whole_quantity",
        "tiers": [
            {"from_quantity": "20", "unit_price": "36.00"},
            {"from_quantity": "40", "unit_price": "34.50"},
        ],
    },
    "delivery": {"by": "load", "load_size": "22", "charge": "145.00"},
}
RENTAL: Document = {
    "form": "rental",
    "periods": [
        {"name": "day", "days": 1, "price": "310.00"},
        {"name": "week", "days": 7, "price": "980.00"},
    ],
    "delivery": "120.00",
}
ITEMS = [
    an_item("SAND", "38.50", low_price=usd("36.00"), high_price=usd("44.00"), terms=BY_LOAD),
    an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False),
    an_item("CON-CORE", "61.00", kind="contract", unit="hour", taxable=False),
    an_item("LOADER", None, kind="rental", unit="hour", terms=RENTAL),
    an_item("UNPRICED", None),
]


def an_estimate(api: Api, *markups: Document, **more: Any) -> tuple[Document, dict[str, Document]]:
    """Sand for two greens by whole loads with breaks, hours of a crew and of a contractor; scope items by name."""
    project = more.pop("project", None) or a_project(api)
    course = a_course(api)
    greens = [an_area(api, course, size) for size in ("6000", "9000")]
    scope = {
        "Dress": a_scope_item(
            api, project, TOPDRESSING, greens, by_measure("SAND", "sand_mass", waste_percent="5"),
            stated("CREW", "64", "hour"), name="Dress",
        ),
        "Core": a_scope_item(api, project, LUMP, [], stated("CON-CORE", "36", "hour"), name="Core"),
        "Haul": a_scope_item(
            api, project, LUMP, [], stated("LOADER", "30", "hour"), name="Haul", starts_on="2026-09-07",
            ends_on="2026-09-18",
        ),
    }  # fmt: skip
    edition = an_edition(api, more.pop("items", ITEMS))
    return priced(api, project, edition, *(markups or MARKUPS)), scope


def percent_range(low: str, likely: str, high: str, shape: str = "triangular") -> Document:
    return {"shape": shape, "low": low, "likely": likely, "high": high}


def a_price(*items: str, name: str = "Price of sand", **more: Any) -> Document:
    return {
        "name": name,
        "kind": "price",
        "items": list(items or ["SAND"]),
        "range": percent_range("90", "100", "130"),
    } | more


def on_scope(kind: str, *scope: Document, name: str = "Sand needed", **more: Any) -> Document:
    return {
        "name": name,
        "kind": kind,
        "scope_item_ids": [one["id"] for one in scope],
        "range": percent_range("80", "100", "140"),
    } | more


def an_event(name: str = "Pump fails", **more: Any) -> Document:
    return {
        "name": name,
        "probability_percent": "15",
        "cost": {"shape": "uniform", "low": "1000", "high": "3000"},
    } | more


def uncertain(api: Api, estimate: Document, **fields: Any) -> Document:
    """What was uncertain replaced by this."""
    place = f"/estimates/{estimate['id']}/uncertainty"
    version = api.get(place).json()["version"]
    response = api.put(place, json={"figures": []} | fields, headers={"If-Match": f'"{version}"'})
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def refused_uncertainty(api: Api, estimate: Document, **fields: Any) -> list[tuple[str, str]]:
    """Where the uncertainty is refused, and what came there; it stays as it was."""
    place = f"/estimates/{estimate['id']}/uncertainty"
    before = api.get(place).json()
    response = api.put(place, json={"figures": []} | fields, headers={"If-Match": f'"{before["version"]}"'})
    assert response.status_code == 422, response.text
    assert api.get(place).json() == before
    return [(fault["pointer"], fault["got"]) for fault in response.json()["faults"]]


def started(api: Api, estimate: Document, **request: Any) -> Document:
    response = api.post(f"/estimates/{estimate['id']}/simulations", json=request)
    assert response.status_code == 202, response.text
    document: Document = response.json()
    return document


def ended(api: Api, job: Document) -> Document:
    """The job when it is over."""
    until = time.monotonic() + SECONDS
    while (now := api.get(f"/jobs/{job['id']}").json())["ended_at"] is None:
        assert time.monotonic() < until, now
        time.sleep(0.01)
    document: Document = now
    return document


def simulated(api: Api, estimate: Document, **request: Any) -> Document:
    """The simulation of an estimate, once its job is done."""
    job = ended(api, started(api, estimate, **request))
    assert job["status"] == "done", job
    response = api.get(f"/simulations/{job['result']['simulation_id']}")
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document
