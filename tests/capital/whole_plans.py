"""A plan with everything in it: incomes, a loan, an assessment, limits, and projects dated and not."""

from typing import Any

from conftest import Api
from plan_factories import Document, a_plan, a_plan_project, usd

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
PROJECTS: list[Document] = [
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
    return plan, [a_plan_project(api, plan, **one) for one in PROJECTS]
