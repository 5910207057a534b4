"""Budgets with all that a packet of them tells, and the packets composed of them."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from conftest import Api
from delivered_sand import HEADER as HEADER
from delivered_sand import VENDOR as VENDOR
from delivered_sand import sand_delivered
from estimate_factories import (
    LUMP,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    priced,
    stated,
)
from swardcost_api.access.service import read_club
from swardcost_api.packets.budget import packet as budget_packet
from swardcost_api.packets.budget.facts import BudgetFacts
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.document import (
    Cautions,
    Document,
    Figures,
    Listing,
    Mark,
    Paragraph,
    Table,
)
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import number_of
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.packets import NewPacket, PacketKind

THROUGH = "2026-10"
Answer = dict[str, Any]


def a_budget(api: Api, name: str = "Dress", vendor: str = VENDOR, reason: str = "More sand") -> Answer:
    """Sand that was dearer than planned, half received; contingency drawn, a draw waiting, linen not assigned."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1500", "short_ton"), name=name)
    items = [an_item("SAND", "40.50", taxable=False)]
    markup = {"kind": "contingency", "percent": "5"}
    budget: Answer = budget_of(api, priced(api, project, an_edition(api, items), markup))
    sand, reserve = (line["id"] for line in budget["lines"])
    month = budget["lines"][1]["months"][0]["month"]
    sand_delivered(api, budget, vendor=vendor, title=name, expected_month="2026-11")
    for amount, day in (("1000.00", "2026-09-15"), ("200.00", "2026-09-20")):
        made = a_draw(api, budget, reserve, sand, month, amount, day, reason)
        if amount == "1000.00":
            assert api.post(f"/adjustments/{made['id']}/approve", json={}).status_code == 200
    return budget


def a_draw(
    api: Api, budget: Answer, reserve: str, line: str, month: str, amount: str, day: str, reason: str
) -> Answer:
    entries = [
        {"budget_line_id": reserve, "month": month, "amount": {"amount": f"-{amount}", "currency": "USD"}},
        {"budget_line_id": line, "month": month, "amount": {"amount": amount, "currency": "USD"}},
    ]
    body = {"kind": "contingency_draw", "effective_on": day, "reason": reason, "entries": entries}
    made: Answer = api.created(f"/budgets/{budget['id']}/adjustments", body)
    return made


def facts_of(api: Api, budget: Answer, through: str = THROUGH) -> tuple[BudgetFacts, Any]:
    asked = NewPacket(kind=PacketKind.BUDGET, subject_id=UUID(budget["id"]), through=through)
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        return budget_packet.read(work, asked), read_club(work)


def packet_of(
    api: Api, budget: Answer, locale: str = "en-US", asked: str = "", through: str = THROUGH
) -> Document:
    facts, club = facts_of(api, budget, through)
    content = budget_packet.compose(facts, Writing(club, Formatter(locale), asked))
    return Document(
        title=content.title, subtitle=content.subtitle, club=club.name, locale=locale, unit_system=club.unit_system,
        ton=club.ton, created=facts.now, mark=Mark("draft"), parts=content.parts,
    )  # fmt: skip


def report_of(api: Api, budget: Answer, report: str, **query: str) -> Answer:
    response = api.get(f"/budgets/{budget['id']}/{report}", params={"through": THROUGH} | query)
    assert response.status_code == 200, response.text
    document: Answer = response.json()
    return document


def table_of(document: Document, name: str) -> Table:
    return next(one for one in document.tables if one.id == name)


def amount(document: Answer) -> Decimal:
    return Decimal(document["amount"])


def number(table: Table, row: str, column: str) -> Decimal | None:
    return number_of(table.cell(row, column).value)


def texts_of(document: Document) -> str:
    found: list[str] = []
    for part in document.parts:
        match part:
            case Paragraph():
                found.append(part.text)
            case Listing() | Cautions():
                found += part.items
            case Figures():
                found += [f"{one.label} {one.note}" for one in part.items]
    return "\n".join(found)


def a_reading_of(document: Document) -> str:
    return texts_of(document).replace("\N{NO-BREAK SPACE}", " ")
