"""Profiles, exports and budget lines for the tests of the ledger."""

from datetime import date
from typing import Any
from uuid import UUID

import httpx
from conftest import Api
from sqlalchemy import insert
from swardcost_api.budgets.service import PlannedLine, open_budget, read_budget
from swardcost_api.catalog.tables import EditionRow
from swardcost_api.engine.control.phasing import phase
from swardcost_api.estimates.tables import EstimateRow, ProjectRow
from swardcost_api.storage.work import OPERATOR, UnitOfWork

HEADER = "date,account,description,amount,vendor,reference\r\n"
SAND = "2026-03-02,1520-10,Topdressing sand,924.00,Alder Creek,T-101\r\n"
SOD = "2026-03-05,1520-20,Sod for 7 green,1250.50,Briar Hill,T-102\r\n"
REFUND = "2026-04-01,1520-10,Sand returned,-24.00,Alder Creek,T-103\r\n"
COLUMNS = {
    "date": "date",
    "account": "account",
    "description": "description",
    "amount": "amount",
    "vendor": "vendor",
    "reference": "reference",
}


def profile_body(name: str = "Ledger detail", **more: Any) -> dict[str, Any]:
    return {"name": name, "columns": COLUMNS} | more


def a_profile(api: Api, name: str = "Ledger detail", **more: Any) -> str:
    profile_id: str = api.created("/ledger/profiles", profile_body(name, **more))["id"]
    return profile_id


def send(api: Api, profile: str, file: str | bytes, **query: str) -> httpx.Response:
    """Upload an export."""
    return api.upload("/ledger/imports/upload", file, params={"profile_id": profile, **query})


def imported(api: Api, profile: str, file: str | bytes, **query: str) -> dict[str, Any]:
    response = send(api, profile, file, **query)
    assert response.status_code == 201, response.text
    document: dict[str, Any] = response.json()
    return document


def postings(api: Api, **query: str) -> list[dict[str, Any]]:
    response = api.get("/ledger/postings", params={"limit": "200", **query})
    assert response.status_code == 200, response.text
    items: list[dict[str, Any]] = response.json()["items"]
    return items


def a_budget(api: Api, name: str = "Greens renovation", number: int = 1) -> tuple[str, list[str]]:
    """A budget with two lines, sand and sod: its id and theirs."""
    with api.database.writing() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        project, edition, estimate = work.new_id(), work.new_id(), work.new_id()
        session.execute(
            insert(ProjectRow).values(
                club_id=work.club_id, id=project, name=name, starts_on=date(2026, 3, 1), ends_on=date(2026, 4, 30),
                note="", version=1,
            )
        )  # fmt: skip
        session.execute(
            insert(EditionRow).values(
                club_id=work.club_id, id=edition, name=name, status="published", currency="USD",
                price_date=date(2026, 1, 1), created_at=work.now, published_at=work.now, version=1,
            )
        )  # fmt: skip
        session.execute(
            insert(EstimateRow).values(
                club_id=work.club_id, id=estimate, project_id=project, edition_id=edition, number=number, revision=1,
                name=name, status="accepted", complete=True, currency="USD", direct_minor=300000, total_minor=300000,
                cash_minor=300000,
                line_count=2, terms={}, priced={}, created_at=work.now, created_by="test", version=1,
            )
        )  # fmt: skip
        days = date(2026, 3, 1), date(2026, 4, 30)
        planned = [
            PlannedLine("Sand", None, "direct", "1520-10", phase(100000, *days)),
            PlannedLine("Sod", None, "direct", "1520-20", phase(200000, *days)),
        ]
        budget = open_budget(work, name, project, estimate, planned)
        return str(budget), [str(line.id) for line in read_budget(work, budget).lines]


def a_rule(api: Api, budget: str, line: str, name: str = "Sand", **more: Any) -> dict[str, Any]:
    body = {
        "budget_id": budget,
        "budget_line_id": line,
        "name": name,
        "priority": 10,
        "conditions": {"account": "1520-10"},
    }
    return api.created("/ledger/rules", body | more)


def audit_of(api: Api, subject: str, subject_id: str | UUID | None = None) -> list[dict[str, Any]]:
    query = {"subject": subject} | ({"subject_id": str(subject_id)} if subject_id else {})
    items: list[dict[str, Any]] = api.get("/audit", params=query).json()["items"]
    return items
