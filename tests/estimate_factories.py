"""From areas to a budget through the API, and sums redone by hand from what the service answers."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from itertools import count
from typing import Any

from conftest import Api

Document = dict[str, Any]
OWNER_READS = {"Accept": "application/json"}
_numbers = count(1)

TOPDRESSING: Document = {
    "method": "topdressing",
    "parameters": {
        "depth": {"value": "0.25", "unit": "inch"},
        "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"},
    },
}
SODDING: Document = {
    "method": "sodding",
    "parameters": {"pallet_coverage": {"value": "450", "unit": "square_foot"}},
}
LUMP: Document = {
    "method": "plain_quantity",
    "parameters": {"quantity": {"value": "1", "unit": "lump_sum"}},
}


def a_course(api: Api) -> str:
    course_id: str = api.created("/courses", {"name": f"Course {next(_numbers)}"})["id"]
    return course_id


def an_area(api: Api, course: str, square_feet: str | None = "6000", **more: Any) -> str:
    """A green of this size, or of none."""
    size = None if square_feet is None else {"value": square_feet, "unit": "square_foot"}
    body = {"kind": "green", "name": f"Green {next(_numbers)}", "size": size} | more
    area_id: str = api.created(f"/courses/{course}/areas", body)["id"]
    return area_id


def an_item(code: str, price: str | None = "38.50", currency: str = "USD", **more: Any) -> Document:
    """The body of an item in short tons, taxed."""
    money = None if price is None else {"amount": price, "currency": currency}
    return {
        "code": code, "kind": "material", "description": f"{code}, as quoted", "unit": "short_ton", "unit_price": money,
        "taxable": True, "account": "1520-10",
    } | more  # fmt: skip


def an_edition(api: Api, items: Iterable[Document] = (), *, publish: bool = True, **more: Any) -> str:
    """A published edition, or a draft, with these items."""
    body = {"name": f"Edition {next(_numbers)}", "price_date": "2026-01-01"} | more
    edition: str = api.created("/editions", body)["id"]
    for item in list(items) or [an_item("SPARE", None)]:
        api.created(f"/editions/{edition}/items", item)
    if publish:
        assert api.post(f"/editions/{edition}/publish").status_code == 200
    return edition


def a_project(api: Api, **more: Any) -> str:
    body = {"name": f"Project {next(_numbers)}", "starts_on": "2026-08-01", "ends_on": "2026-10-15"} | more
    project_id: str = api.created("/projects", body)["id"]
    return project_id


def by_measure(item: str, measure: str, **more: Any) -> Document:
    """A resource of which a measure says how much."""
    return {"item": item, "measure": measure} | more


def stated(item: str, value: str, unit: str, **more: Any) -> Document:
    """A resource of which so much is stated."""
    return {"item": item, "quantity": {"value": value, "unit": unit}} | more


def scope_body(work: Document, areas: Sequence[str], *resources: Document, **more: Any) -> Document:
    return (
        {"name": f"Work {next(_numbers)}", "area_ids": list(areas), "resources": list(resources)}
        | work
        | more
    )


def a_scope_item(
    api: Api, project: str, work: Document, areas: Sequence[str], *resources: Document, **more: Any
) -> Document:
    return api.created(f"/projects/{project}/scope-items", scope_body(work, areas, *resources, **more))


def priced(api: Api, project: str, edition: str, *markups: Document, **more: Any) -> Document:
    """An estimate of the project's scope as it is now."""
    body = {"name": "Own crew", "edition_id": edition, "markups": list(markups)} | more
    return api.created(f"/projects/{project}/estimates", body)


def a_dressed_green(api: Api, *markups: Document, price: str = "38.50") -> Document:
    """The estimate of sand for one green: the smallest whole story."""
    project = a_project(api)
    green = an_area(api, a_course(api))
    a_scope_item(api, project, TOPDRESSING, [green], by_measure("SAND", "sand_mass"))
    return priced(api, project, an_edition(api, [an_item("SAND", price)]), *markups)


def issued(api: Api, estimate: str, **more: Any) -> Document:
    response = api.post(f"/estimates/{estimate}/issue", json=more)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def accepted(api: Api, estimate: str) -> Document:
    """The estimate, issued and accepted."""
    issued(api, estimate)
    response = api.post(f"/estimates/{estimate}/accept", json={})
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def budget_of(api: Api, estimate: Document) -> Document:
    """The budget that accepting this estimate opens."""
    document: Document = api.get(f"/budgets/{accepted(api, estimate['id'])['budget_id']}").json()
    return document


def lines_of(api: Api, estimate: str) -> list[Document]:
    lines: list[Document] = api.get(f"/estimates/{estimate}/export", headers=OWNER_READS).json()["items"]
    return lines


def line_of(api: Api, estimate: str, number: int = 1) -> Document:
    """A line with its derivation and shares."""
    response = api.get(f"/estimates/{estimate}/lines/{number}")
    assert response.status_code == 200, response.text
    line: Document = response.json()
    return line


def warnings_of(estimate: Document) -> list[tuple[str, bool]]:
    return [(warning["kind"], warning["gap"]) for warning in estimate["warnings"]]


def money(document: Mapping[str, str] | None) -> Decimal:
    """An amount; what is not there adds nothing to a sum."""
    return Decimal(0) if document is None else Decimal(document["amount"])


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Half up to the currency's minor unit, as the ISO 4217 list has it."""
    return amount.quantize(Decimal({"JPY": "1", "KWD": "0.001"}.get(currency, "0.01")), ROUND_HALF_UP)


def summed(rows: Iterable[Document], heading: str) -> dict[str | None, Decimal]:
    sums: dict[str | None, Decimal] = {}
    for row in rows:
        sums[row[heading]] = sums.get(row[heading], Decimal(0)) + money(row["amount"])
    return sums


def redo_by_hand(api: Api, estimate: Document) -> None:
    """Every sum of an estimate, computed again from its lines alone."""
    currency = estimate["total"]["currency"]
    lines = [line_of(api, estimate["id"], n) for n in range(1, estimate["line_count"] + 1)]
    for line in lines:
        if line["amount"] is not None:
            product = Decimal(line["quantity"]) * Decimal(line["unit_price"]["amount"])
            assert rounded(product, currency) == money(line["amount"]), line
            if line["shares"]:
                assert sum(money(share["amount"]) for share in line["shares"]) == money(line["amount"])
    direct = sum((money(line["amount"]) for line in lines), Decimal(0))
    assert money(estimate["direct"]) == direct
    taxable = sum((money(line["amount"]) for line in lines if line["taxable"]), Decimal(0))
    kinds = [markup["kind"] for markup in estimate["markups"]]
    assert kinds == sorted(kinds, key=["tax", "overhead", "escalation", "contingency"].index)
    before = direct
    for markup in estimate["markups"]:
        base = {"tax": taxable, "overhead": direct}.get(markup["kind"], before)
        assert money(markup["base"]) == base
        assert money(markup["amount"]) == rounded(base * Decimal(markup["percent"]) / 100, currency)
        before += money(markup["amount"])
    assert money(estimate["total"]) == before
    amounts = [line for line in lines if line["amount"] is not None]
    for name, heading in (
        ("by_item_kind", "item_kind"),
        ("by_account", "account"),
        ("by_scope_item", "scope_item"),
    ):
        said = "label" if name == "by_scope_item" else "key"
        found = summed(estimate["subtotals"][name], said)
        assert found == summed(amounts, heading), name
    for name in estimate["subtotals"]:
        assert sum((money(one["amount"]) for one in estimate["subtotals"][name]), Decimal(0)) == direct, name
    incomplete = any(warning["gap"] for warning in estimate["warnings"])
    assert estimate["complete"] is not incomplete
    if estimate["complete"]:
        assert all(line["amount"] is not None for line in lines)
