"""Capital plans and their projects through the API."""

from collections.abc import Sequence
from itertools import count
from typing import Any

from conftest import Api

Document = dict[str, Any]
NOBODY = "00000000-0000-7000-8000-000000000000"
PLANS, PROJECTS = "/capital-plans", "/plan-projects"
_numbers = count(1)


def usd(amount: str, currency: str = "USD") -> Document:
    return {"amount": amount, "currency": currency}


def plan_body(money: Document | None = None, **more: Any) -> Document:
    """Ten years from 2027 with a reserve of 500,000.00."""
    return {
        "name": f"Plan {next(_numbers)}", "first_year": 2027, "years": 10, "growth_percent": "4",
        "growth_groups": [{"name": "Pipe and pumps", "percent": "5.5"}],
        "money": {"opening_reserve": usd("500000.00")} | (money or {}),
    } | more  # fmt: skip


def a_plan(api: Api, money: Document | None = None, **more: Any) -> Document:
    return api.created(PLANS, plan_body(money, **more))


def project_body(cost: str | None = "100000.00", **more: Any) -> Document:
    return {"name": f"Project {next(_numbers)}", "cost": None if cost is None else usd(cost)} | more


def a_plan_project(api: Api, plan: Document, cost: str | None = "100000.00", **more: Any) -> Document:
    return api.created(f"{PLANS}/{plan['id']}/projects", project_body(cost, **more))


def fields_of(found: Document) -> Document:
    """What can be sent of a plan or a project that was read."""
    kept = (
        "id", "version", "status", "follows", "issued_at", "issued_by", "locked_at", "locked_by", "plan_id", "number",
        "decision", "carried_from", "opened_project_id",
    )  # fmt: skip
    return {name: value for name, value in found.items() if name not in kept}


def put(api: Api, path: str, found: Document, **changes: Any) -> Any:
    """The answer to a change of fields."""
    body = fields_of(found) | changes
    return api.put(f"{path}/{found['id']}", json=body, headers={"If-Match": f'"{found["version"]}"'})


def changed(api: Api, path: str, found: Document, **changes: Any) -> Document:
    answer = put(api, path, found, **changes)
    assert answer.status_code == 200, answer.text
    document: Document = answer.json()
    return document


def faults(answer: Any, status: int = 422) -> list[str]:
    """Where a refused body was at fault."""
    assert answer.status_code == status, answer.text
    return [one["pointer"] for one in answer.json()["faults"]]


def got(api: Api, path: str) -> Document:
    answer = api.get(path)
    assert answer.status_code == 200, answer.text
    document: Document = answer.json()
    return document


def figures_of(api: Api, plan: Document) -> Document:
    return got(api, f"{PLANS}/{plan['id']}/figures")


def by_number(found: Document) -> dict[int, Document]:
    return {one["number"]: one for one in found["projects"]}


def years_of(found: Document, name: str) -> Sequence[Any]:
    return [year[name] for year in found["years"]]
