"""Methods of a club's own, and steps of derivations redone by hand."""

from typing import Any

from conftest import Api
from printed_formula import redo

Document = dict[str, Any]
PER_THOUSAND = {"value": "1", "unit": "thousand_square_feet"}


def quantity(value: str, unit: str) -> Document:
    return {"value": value, "unit": unit}


def a_line(
    name: str, item: str, amount: Document | None = None, per: Document | None = None, **more: Any
) -> Document:
    rate = {} if amount is None else {"rate": {"amount": amount, "per": per}}
    return {"name": name, "item": item} | rate | more


FEEDING: Document = {
    "name": "our_feeding",
    "title": "Feeding greens our way",
    "driver": {"name": "fed_area", "unit": "thousand_square_feet"},
    "production": {"per_hour": {"value": "20", "unit": "thousand_square_feet"}, "crew_size": 2},
    "lines": [
        a_line("fertilizer", "FERT", quantity("2", "pound"), PER_THOUSAND, waste_percent="10"),
        a_line(
            "wetting_agent", "WETTER", quantity("4", "ounce"), PER_THOUSAND, minimum=quantity("5", "pound")
        ),
        a_line("labor", "CREW", driven_by="crew_time"),
    ],
    "cautions": ["Keep off the turf until it is dry."],
    "sources": ["Own records, 2023 to 2025"],
}
"""Fertilizer and wetting agent by the area, by two people."""

HEADS: Document = {
    "name": "irrigation_heads",
    "title": "An irrigation head",
    "driver": {"name": "heads", "unit": "head"},
    "lines": [
        a_line("new_heads", "HEAD", quantity("1", "each"), quantity("1", "head")),
        a_line("fitting_time", "CREW", quantity("0.25", "hour"), quantity("1", "head")),
    ],
}
"""What a head takes, counted on the scope item."""

DENSITY = quantity("100", "pound_per_cubic_foot")
DRESSING: Document = {
    "name": "our_dressing",
    "title": "Dressing greens our way",
    "base": {"method": "topdressing", "presets": {"bulk_density": DENSITY, "applications": 2}},
    "lines": [
        a_line("dressing_sand", "SAND", driven_by="sand_mass", waste_percent="5"),
        a_line(
            "dust_masks", "MASK", quantity("3", "each"), quantity("1", "short_ton"), driven_by="sand_mass"
        ),
    ],
}
"""Topdressing with density and applications set, and the depth left to the scope item."""


def changed(method: Document, **fields: Any) -> Document:
    """The body of a revision: the method without its name, with some fields changed."""
    return {key: value for key, value in method.items() if key != "name"} | fields


def revised(api: Api, method: Document, version: int = 1, **fields: Any) -> Document:
    response = api.put(
        f"/methods/{method['name']}", json=changed(method, **fields), headers={"If-Match": f'"{version}"'}
    )
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def use(method: Document, **parameters: Any) -> Document:
    """The work of a scope item that uses a method with these parameters."""
    return {"method": method["name"], "parameters": parameters}


def faults(response: Any) -> list[tuple[int, str]]:
    return [(response.status_code, fault["pointer"]) for fault in response.json()["faults"]]


def with_line(method: Document, **fields: Any) -> Document:
    """The method with fields of its first line changed."""
    first, *others = method["lines"]
    return method | {"lines": [first | fields, *others]}


def by_hand(step: Document) -> float:
    """The printed formula with the printed inputs put in for their names."""
    return redo(step["formula"], {figure["name"]: float(figure["value"]) for figure in step["inputs"]})
