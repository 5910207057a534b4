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
        "decision", "carried_from", "opened_project_id", "completion",
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


INCOMES: list[Document] = [
    {"name": "Contribution", "amount": usd("150000.00"), "percent_a_year": "2.5"},
    {"name": "Dues", "kind": "dues", "units": "321.5", "amount": usd("187.35"), "percent_a_year": "3",
     "first_year": 2028},
    {"name": "New members", "kind": "initiation", "units": "12", "amount": usd("7500.00"), "last_year": 2033},
]  # fmt: skip
LOAN: Document = {
    "name": "Irrigation loan", "principal": usd("800000.00"), "annual_percent": "5.75", "years": 9, "drawn_in": 2029,
}  # fmt: skip
MONEY: Document = {
    "opening_reserve": usd("412345.67"), "incomes": INCOMES, "loans": [LOAN],
    "assessments": [{"name": "Irrigation", "year": 2030, "amount": usd("250000.00")}], "interest_percent": "3.25",
    "least_balance": usd("200000.00"), "spending_limit": usd("900000.00"), "spending_limit_percent_a_year": "3",
}  # fmt: skip
FLOWS_IN = ("contributions", "dues", "initiation_fees", "assessments", "loans_drawn", "interest")
FLOWS_OUT = ("capital_spending", "operating_spending", "loan_payments")
PROJECT_BODIES: list[Document] = [
    {
        "cost": "1200000.00", "name": "Irrigation", "year": 2029, "growth_group": "Pipe and pumps",
        "phases": [{"percent": "60", "closure_days": 30}, {"percent": "40", "closure_days": 12}],
    },
    {"cost": "310000.00", "name": "Bunkers", "year": 2031, "phases": [{"percent": "100", "closure_days": 14}]},
    {"cost": "4200.00", "name": "Benches", "year": 2028},
    {"cost": "90000.00", "name": "Not dated", "phases": [{"percent": "100", "closure_days": 5}]},
]  # fmt: skip


def a_whole_plan(
    api: Api, interest_on: str = "opening_balance", **more: Any
) -> tuple[Document, list[Document]]:
    plan = a_plan(
        api, MONEY | {"interest_on": interest_on}, price_year=2025, closure_days_a_year=25,
        capital_threshold=usd("5000.00"), **more,
    )  # fmt: skip
    return plan, [a_plan_project(api, plan, **one) for one in PROJECT_BODIES]
