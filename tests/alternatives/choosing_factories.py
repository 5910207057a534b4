"""Estimates of one need in two ways, and the same really priced with a figure changed: the second opinion."""

from decimal import Decimal
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
    money,
    priced,
    stated,
)

NOBODY = "00000000-0000-7000-8000-000000000000"
TAX: Document = {"kind": "tax", "percent": "6.5"}
BY_LOAD: Document = {
    "form": "purchase", "increment": "22", "increment_name": "load",
    "delivery": {"by": "load", "load_size": "22", "charge": "145.00"},
    "breaks": {"apply": "whole_quantity", "tiers": [{"from_quantity": "44", "unit_price": "36.25"}]},
}  # fmt: skip
RENTAL: Document = {
    "form": "rental", "delivery": "120.00", "works_weekends": False, "hours_a_day": "8",
    "periods": [{"name": "day", "days": 1, "price": "310.00"}, {"name": "week", "days": 7, "price": "980.00"}],
}  # fmt: skip


def sand(price: str = "38.50", break_price: str = "36.25") -> Document:
    terms = BY_LOAD | {
        "breaks": {
            "apply": "whole_quantity",
            "tiers": [{"from_quantity": "44", "unit_price": break_price}],
        }
    }
    return an_item("SAND", price, terms=terms)


def an_edition_of_all(api: Api, price: str = "38.50", break_price: str = "36.25") -> str:
    return an_edition(
        api,
        [
            sand(price, break_price),
            an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False, in_operating_budget=True),
            an_item("CON-DRESS", "4200.00", kind="contract", unit="acre", taxable=False),
            an_item("LOADER", None, kind="rental", unit="hour", terms=RENTAL),
            an_item("OWN-LOADER", "14.75", kind="owned_machine", unit="hour", taxable=False),
            an_item("UNKNOWN", None),
        ],
    )


def two_ways(api: Api) -> dict[str, Any]:
    """One green dressed with sand by the load and own crew, or by a contractor who is paid by area."""
    green = an_area(api, a_course(api), "6000", name="Green 4")
    edition = an_edition_of_all(api)
    own, hired = a_project(api), a_project(api)
    crewed = a_scope_item(
        api, own, TOPDRESSING, [green], by_measure("SAND", "sand_mass"), stated("CREW", "24", "hour"),
        name="Dress the green",
    )  # fmt: skip
    contracted = a_scope_item(
        api, hired, TOPDRESSING, [green], by_measure("CON-DRESS", "area"), name="Have it dressed"
    )
    return {
        "green": green, "edition": edition, "own": own, "hired": hired, "crewed": crewed, "contracted": contracted,
        "own_estimate": priced(api, own, edition, TAX, name="Own crew"),
        "hired_estimate": priced(api, hired, edition, TAX, name="Contractor"),
    }  # fmt: skip


def a_hire(api: Api, item: str = "LOADER", hours: str = "8", **days: str) -> dict[str, Any]:
    """A machine for some hours, in a project of its own."""
    edition, project = an_edition_of_all(api), a_project(api)
    days = {"starts_on": "2026-09-07", "ends_on": "2026-09-07"} | days
    work = a_scope_item(api, project, LUMP, [], stated(item, hours, "hour"), name="Load out sand", **days)
    estimate = priced(api, project, edition, name=f"With {item}")
    return {"edition": edition, "project": project, "work": work, "estimate": estimate}


def with_size(api: Api, area: str, value: Any, unit: str) -> None:
    """Give an area another size."""
    found = api.get(f"/areas/{area}").json()
    body = {name: found[name] for name in ("kind", "name", "hole")}
    body["size"] = {"value": f"{Decimal(value):f}", "unit": unit}
    answer = api.put(f"/areas/{area}", json=body, headers={"If-Match": f'"{found["version"]}"'})
    assert answer.status_code == 200, answer.text


def with_changes(api: Api, scope_item: Document, **changes: Any) -> None:
    """Change fields of a scope item."""
    place = f"/scope-items/{scope_item['id']}"
    found = api.get(place).json()
    left_out = ("id", "project_id", "number", "method_revision", "version")
    body = {name: value for name, value in found.items() if name not in left_out} | changes
    answer = api.put(place, json=body, headers={"If-Match": f'"{found["version"]}"'})
    assert answer.status_code == 200, answer.text


def really(api: Api, project: str, edition: str, *markups: Document, cost: str = "total") -> Decimal:
    """What the project's scope costs as it is now, priced as an estimate of its own."""
    return money(priced(api, project, edition, *markups)[cost])


def answered(api: Api, path: str, question: Document) -> Document:
    answer = api.post(path, json=question)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def refused(api: Api, path: str, question: Document, status: int = 422) -> Document:
    answer = api.post(path, json=question)
    assert answer.status_code == status, answer.text
    found: Document = answer.json()
    return found
