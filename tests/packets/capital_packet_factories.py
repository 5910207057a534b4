"""Capital plans through the API, and the packets composed of them."""

from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from conftest import Api
from estimate_factories import (
    LUMP,
    Document,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    issued,
    priced,
    stated,
)
from swardcost_api.access.service import read_club
from swardcost_api.packets import document
from swardcost_api.packets.capital import packet as capital_packet
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.document import Cautions, Figures, Listing, Paragraph, Section, SignOff, Table
from swardcost_api.packets.formatter import Formatter
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.packets import NewPacket, PacketKind
from swardcost_model.plan_scenarios import ScenarioQuestion
from swardcost_model.values import Money

PLANS, PROJECTS = "/capital-plans", "/plan-projects"
MONEY: Document = {
    "opening_reserve": {"amount": "412345.67", "currency": "USD"},
    "incomes": [
        {"name": "Contribution", "amount": {"amount": "150000.00", "currency": "USD"}, "percent_a_year": "2.5"},
        {"name": "Dues", "kind": "dues", "units": "321.5", "amount": {"amount": "187.35", "currency": "USD"},
         "percent_a_year": "3", "first_year": 2028},
    ],
    "assessments": [{"name": "Irrigation", "year": 2030, "amount": {"amount": "250000.00", "currency": "USD"}}],
    "loans": [{"name": "Irrigation loan", "principal": {"amount": "800000.00", "currency": "USD"},
               "annual_percent": "5.75", "years": 9, "drawn_in": 2029}],
    "interest_percent": "3.25", "least_balance": {"amount": "200000.00", "currency": "USD"},
    "spending_limit": {"amount": "900000.00", "currency": "USD"}, "spending_limit_percent_a_year": "3",
}  # fmt: skip
HEADER = "date,account,description,amount,vendor,reference\r\n"


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def a_plan(api: Api, **more: Any) -> Document:
    """Ten years from 2027 with all kinds of money, limits, growth groups and criteria."""
    body = {
        "name": "Plan for the course", "first_year": 2027, "years": 10, "price_year": 2025, "growth_percent": "4",
        "growth_groups": [{"name": "Pipe", "percent": "5.5"}], "criteria": [{"name": "Safety", "weight": "3"}],
        "closure_days_a_year": 25, "capital_threshold": usd("5000.00"), "money": MONEY,
    }  # fmt: skip
    return api.created(PLANS, body | more)


def an_asset(api: Api, code: str, **more: Any) -> Document:
    """A pump station of 2008 that costs 180,000 and lasts 20 years."""
    body = {
        "code": code, "name": f"Pumps {code}", "kind": "pump_station", "in_use_since": 2008,
        "life": {"low": "15", "likely": "20", "high": "30"},
        "replacement": {"by": "stated", "cost": usd("180000.00")},
    }  # fmt: skip
    return api.created("/assets", body | more)


def a_plan_project(
    api: Api, plan: Document, name: str, cost: str | None = "100000.00", **more: Any
) -> Document:
    body = {"name": name, "cost": None if cost is None else usd(cost)}
    return api.created(f"{PLANS}/{plan['id']}/projects", body | more)


def a_whole_plan(api: Api, **more: Any) -> tuple[Document, list[Document]]:
    """Phases, an operating project, one that is not dated, assets with and without a cost."""
    pumps, old = an_asset(api, "PUMP-1"), an_asset(api, "PUMP-2", replacement=None)
    an_asset(api, "PUMP-3", in_use_since=2011)
    plan = a_plan(api, **more)
    scored = {"scores": [{"criterion": "Safety", "score": "7.5"}]}
    irrigation = a_plan_project(
        api, plan, "Irrigation", "1200000.00", year=2029, growth_group="Pipe", **scored,
        phases=[{"percent": "60", "closure_days": 30}, {"percent": "40", "closure_days": 12}],
        upkeep_a_year=usd("9500.00"),
    )  # fmt: skip
    return plan, [
        irrigation,
        a_plan_project(api, plan, "Pumps", None, asset_ids=[pumps["id"]], year=2028, **scored,
                       prerequisites=[{"project_id": irrigation["id"], "years_before": 1}]),
        a_plan_project(api, plan, "Benches", "4200.00", year=2028),
        a_plan_project(api, plan, "Not dated", "90000.00", required=True),
        a_plan_project(api, plan, "Old pumps", None, asset_ids=[old["id"]], year=2033),
        a_plan_project(api, plan, "Late", "50000.00", year=2035, phases=[{"percent": "50"}, {"percent": "50"}]),
    ]  # fmt: skip


def got(api: Api, path: str) -> Document:
    answer = api.get(path)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def acted(api: Api, path: str, **body: Any) -> Document:
    answer = api.post(path, json=body)
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def issue(api: Api, plan: Document) -> None:
    acted(api, f"{PLANS}/{plan['id']}/issue")


def decide(api: Api, plan: Document, decisions: dict[int, Document], *, lock: bool = True) -> None:
    """Decide on the projects by their numbers, approving the rest where the plan is to be locked."""
    for one in got(api, f"{PLANS}/{plan['id']}/projects?limit=200")["items"]:
        if lock or one["number"] in decisions:
            decision = decisions.get(one["number"], {"decided": "approved"})
            acted(api, f"{PROJECTS}/{one['id']}/decide", **decision)
    if lock:
        acted(api, f"{PLANS}/{plan['id']}/lock")


def it_is(api: Api, day: str) -> None:
    """Move the service's clock to the noon of a day."""
    api.clock.shift = datetime.fromisoformat(f"{day}T12:00:00+00:00") - datetime.now(UTC)


def a_season(api: Api) -> tuple[Document, list[Document]]:
    """A locked plan from 2026 on: 40,000 with a budget and 30,000 posted, one approved, one deferred, one declined."""
    it_is(api, "2026-05-02")
    work = a_project(api)
    a_scope_item(api, work, LUMP, [], stated("SAND", "1000", "short_ton"), name="Dress")
    estimate = priced(api, work, an_edition(api, [an_item("SAND", "40.00", taxable=False)]))
    plan = a_plan(
        api, first_year=2026, years=4, price_year=None, criteria=[], name="Season",
        money={"opening_reserve": usd("200000.00"), "interest_percent": "2", "least_balance": usd("150000.00")},
    )  # fmt: skip
    projects = [
        a_plan_project(api, plan, "Sand", None, estimate_id=estimate["id"], year=2026),
        a_plan_project(api, plan, "Bridge", "25000.00", year=2027),
        a_plan_project(api, plan, "Path", "8000.00", year=2026),
        a_plan_project(api, plan, "Shed", "9000.00", year=2028),
    ]
    issued(api, estimate["id"])
    issue(api, plan)
    deferred = {"decided": "deferred", "deferred_to": 2028, "conditions": "After the bridge"}
    decide(api, plan, {3: deferred, 4: {"decided": "declined"}})
    budget = acted(api, f"{PROJECTS}/{projects[0]['id']}/open")["budget_id"]
    _spend(api, budget, "2026-02-03,1520-10,Sand,30000.00,Alder Creek,T-1\r\n")
    return plan, projects


def _spend(api: Api, budget_id: str, row: str) -> None:
    line = got(api, f"/budgets/{budget_id}")["lines"][0]["id"]
    api.created("/ledger/rules", {
        "budget_id": budget_id, "budget_line_id": line, "name": "Sand", "conditions": {"text_contains": "Sand"}
    })  # fmt: skip
    columns = {one: one for one in HEADER.strip().split(",")}
    profile = api.created("/ledger/profiles", {"name": "Ledger", "columns": columns})["id"]
    answer = api.upload("/ledger/imports/upload", HEADER + row, params={"profile_id": profile})
    assert answer.status_code == 201, answer.text


@dataclass(frozen=True)
class Packet:
    """A composed packet, asked for by the ids of its tables."""

    document: document.Document

    def table(self, name: str) -> Table:
        return next(one for one in self.document.tables if one.id == name)

    def has(self, name: str) -> bool:
        return any(one.id == name for one in self.document.tables)

    def column(self, table: str, column: str) -> list[Any]:
        """What stands in a column, row by row, money as its digits."""
        return [self.cell(table, row.key, column) for row in self.table(table).rows]

    def cell(self, table: str, row: str, column: str) -> Any:
        value = self.table(table).cell(row, column).value
        return value.amount if isinstance(value, Money) else value

    def sections(self) -> list[str]:
        return [one.id for one in self.document.sections]

    def texts(self) -> list[str]:
        """Every text of the packet but its appendix, in order."""
        found = [self.document.title, self.document.subtitle]
        for part in self.document.parts:
            match part:
                case Section():
                    found.append(part.heading)
                case Paragraph():
                    found.append(part.text)
                case Listing() | Cautions():
                    found += part.items
                case Figures():
                    found += [text for one in part.items for text in (one.label, one.note)]
                case SignOff():
                    found += [part.statement, *(one.role for one in part.signatures)]
                case _:
                    pass
        for table in self.document.tables:
            found += [table.caption, *table.notes, *(one.title for one in table.columns)]
            for row in table.rows:
                found += [row.note, *(one.value for one in row.cells if isinstance(one.value, str))]
        return [one for one in found + [one.alternative for one in self.document.charts] if one]

    def paragraphs(self, tone: str) -> list[str]:
        return [one.text for one in self.document.parts if isinstance(one, Paragraph) and one.tone == tone]


def packet_of(
    api: Api,
    plan: Document,
    locale: str = "en-US",
    through: str = "2026-12",
    decision_asked: str = "",
    scenarios: Document | None = None,
) -> Packet:
    """The packet of a plan as it would be issued now; a document that contradicts itself cannot be built."""
    shown = None if scenarios is None else ScenarioQuestion.model_validate(scenarios)
    asked = NewPacket(
        kind=PacketKind.CAPITAL_PLAN, subject_id=UUID(plan["id"]), through=through, scenarios=shown
    )
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        facts, club = capital_packet.read(work, asked), read_club(work)
    content = capital_packet.compose(facts, Writing(club, Formatter(locale), decision_asked))
    return Packet(document.Document(
        content.title, content.subtitle, club.name, locale, club.unit_system, club.ton, api.clock(),
        document.Mark("draft"), content.parts,
    ))  # fmt: skip


def amount(found: Document | None) -> Decimal | None:
    return None if found is None else Decimal(found["amount"])


def amounts(rows: list[Document], name: str) -> list[Decimal | None]:
    return [amount(one[name]) for one in rows]
