"""Estimates with all that a packet tells of them, and the packets and work reports composed of them."""

import time
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from alternate_factories import an_alternate
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    a_course,
    a_scope_item,
    accepted,
    an_area,
    an_edition,
    an_item,
    by_measure,
    priced,
    stated,
)
from estimate_factories import Document as Json
from schedule_factories import CORING, a_closure, days
from schedule_factories import by_measure as lasting
from swardcost_api.access.service import read_club
from swardcost_api.packets.composing import Content, Writing
from swardcost_api.packets.document import (
    Cautions,
    Document,
    Figures,
    Listing,
    Mark,
    Paragraph,
    Row,
    Section,
    SignOff,
    Table,
)
from swardcost_api.packets.estimate import packet as estimate_packet
from swardcost_api.packets.estimate.facts import EstimateFacts
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.values import Value
from swardcost_api.packets.work import report as work_report
from swardcost_api.packets.work.facts import WorkFacts
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.access import Club
from swardcost_model.packets import NewPacket, PacketKind

SECONDS = 30
MARKUPS: list[Json] = [
    {"kind": "tax", "percent": "6.5"}, {"kind": "overhead", "percent": "2"},
    {"kind": "escalation", "percent": "4"}, {"kind": "contingency", "percent": "8", "account": "6999"},
]  # fmt: skip
OWNED = {
    "form": "owned_machine", "value": "64000", "salvage_percent": "20", "life_hours": "8000", "hours_a_year": "600",
    "money_percent_a_year": "5", "power_hp": "55", "fuel_price_per_gallon": "4.20", "repair_factor": "0.7",
}  # fmt: skip
ITEMS = [
    an_item("SAND", "41.50", low_price={"amount": "40.00", "currency": "USD"},
            high_price={"amount": "46.00", "currency": "USD"}, priced_on="2026-05-01", price_source="quote"),
    an_item("CREW", "27.40", kind="labor", unit="hour", taxable=False, account="6110", price_source="contract"),
    an_item("AERATOR", None, kind="owned_machine", unit="hour", taxable=False, account="6220", terms=OWNED),
    an_item("SLICING", "980.00", kind="contract", unit="lump_sum", taxable=False, account="6510"),
    an_item("STRAW", None, unit="each", account="6440"),
]  # fmt: skip
REVENUE = {"per_day": {"amount": "4200.00", "currency": "USD"}}
SCRIPT = "<script>alert(1)</script>"
HOSTILE = (SCRIPT, "=1+1", "+cmd", "-2", "@SUM(A1)", "\u202egnp.exe", "%(total)s %s 100%", "W" * 200)


def a_programme(
    api: Api, *, names: tuple[str, str, str, str] | None = None, straw: bool = False, **terms: Any
) -> Json:
    """Coring and dressing of two greens with tasks in a closure, and slicing as an alternate; priced."""
    core, dress, slicing, green = names or (
        "Core the greens",
        "Dress the greens",
        "Slice",
        "The seventh green",
    )
    project = a_closure(api, revenue_lost=REVENUE, weather_days=1)
    course = a_course(api)
    greens = [an_area(api, course, "6000", name=green), an_area(api, course, "9000")]
    cored = a_scope_item(
        api, project, CORING, greens, by_measure("CREW", "machine_time"), by_measure("AERATOR", "machine_time"),
        name=core, group="Greens",
    )  # fmt: skip
    more = [stated("STRAW", "90", "each")] if straw else []
    dressed = a_scope_item(
        api, project, TOPDRESSING, greens, by_measure("SAND", "sand_mass", waste_percent="5"),
        stated("CREW", "20", "hour"), *more, name=dress,
    )  # fmt: skip
    sliced = a_scope_item(api, project, LUMP, [], stated("SLICING", "1", "lump_sum"), name=slicing)
    api.created(
        f"/scope-items/{cored['id']}/task", lasting("machine_time") | {"invasive": True, "recovery_days": 4}
    )
    api.created(
        f"/scope-items/{dressed['id']}/task", days("3") | {"predecessors": [{"scope_item_id": cored["id"]}]}
    )
    an_alternate(api, project, f"With {slicing}"[:200], brings=[sliced["id"]])
    return priced(api, project, an_edition(api, ITEMS), *MARKUPS, as_of="2026-06-01", **terms)


def uncertain(api: Api, estimate: Json, **fields: Any) -> None:
    """State what is uncertain: the price of sand, and an event."""
    place = f"/estimates/{estimate['id']}/uncertainty"
    version = api.get(place).json()["version"]
    body = {
        "figures": [{
            "name": "Price of sand", "kind": "price", "items": ["SAND"],
            "range": {"shape": "triangular", "low": "90", "likely": "100", "high": "130"},
        }],
        "events": [{
            "name": "Pump fails", "probability_percent": "15",
            "cost": {"shape": "uniform", "low": "1000", "high": "3000"},
        }],
    }  # fmt: skip
    response = api.put(place, json=body | fields, headers={"If-Match": f'"{version}"'})
    assert response.status_code == 200, response.text


def simulated(api: Api, estimate: Json) -> Json:
    """A simulation of what is uncertain of an estimate, once it has ended."""
    response = api.post(f"/estimates/{estimate['id']}/simulations", json={"trials": 1000, "seed": 7})
    assert response.status_code == 202, response.text
    place, until = f"/jobs/{response.json()['id']}", time.monotonic() + SECONDS
    while (job := api.get(place).json())["status"] in ("queued", "running") and time.monotonic() < until:
        time.sleep(0.02)
    assert job["status"] == "done", job
    found: Json = api.get(f"/simulations/{job['result']['simulation_id']}").json()
    return found


def a_measured_budget(api: Api) -> Json:
    """The budget of a programme, its first line measured at the end of two months, and its second once."""
    estimate = a_programme(api)
    budget: Json = api.get(f"/budgets/{accepted(api, estimate['id'])['budget_id']}").json()
    for line, on, done in ((0, "2026-08-31", "5"), (0, "2026-09-30", "12.5"), (1, "2026-09-30", "15")):
        body = {"budget_line_id": budget["lines"][line]["id"], "measured_on": on, "done": done}
        api.created(f"/budgets/{budget['id']}/measures", body)
    return budget


def facts_of(api: Api, estimate: Json) -> tuple[EstimateFacts, Club]:
    """What a packet of an estimate is composed of."""
    asked = NewPacket(kind=PacketKind.ESTIMATE, subject_id=UUID(estimate["id"]))
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        return estimate_packet.read(work, asked), read_club(work)


def work_facts_of(api: Api, budget: Json, through: str) -> tuple[WorkFacts, Club]:
    """What a work report of a budget is composed of."""
    asked = NewPacket(kind=PacketKind.WORK_REPORT, subject_id=UUID(budget["id"]), through=through)
    with api.database.reading() as session:
        work = UnitOfWork(session, api.club, OPERATOR, api.clock())
        return work_report.read(work, asked), read_club(work)


@dataclass(frozen=True)
class Composed:
    """A document with ways to look into it."""

    document: Document

    def table(self, name: str) -> Table:
        return next(one for one in self.document.tables if one.id == name)

    def value(self, table: str, row: str, column: str) -> Value | None:
        return self.table(table).cell(row, column).value

    def rows(self, table: str) -> dict[str, Row]:
        return {row.key: row for row in self.table(table).rows}

    def names(self) -> set[str]:
        return {one.id for one in self.document.tables} | {one.id for one in self.document.sections}

    def figure(self, label: str) -> Value:
        return next(one.value for one in self.document.figures if one.label == label)

    def texts(self) -> list[str]:
        """All that is said, in order: what stands in tables too."""
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
                    found += [
                        text
                        for one in part.items
                        for text in (one.label, one.note, one.value)
                        if isinstance(text, str)
                    ]
                case SignOff():
                    found += [part.statement, *(one.role for one in part.signatures)]
                case _:
                    pass
        for table in self.document.tables:
            found += [table.caption, *table.notes, *(one.title for one in table.columns)]
            for row in table.rows:
                found += [row.note, *(one.value for one in row.cells if isinstance(one.value, str))]
        found += [one.alternative for one in self.document.charts]
        return [one for one in found + [one.title for one in self.document.derivations] if one]

    def says(self, words: str) -> bool:
        return any(words in text for text in self.texts())


def as_document(content: Content, club: Club, locale: str, api: Api) -> Composed:
    """The document of what was composed; one that contradicts itself cannot be built."""
    document = Document(
        title=content.title, subtitle=content.subtitle, club=club.name, locale=locale, unit_system=club.unit_system,
        ton=club.ton, created=api.clock(), mark=Mark("draft"), parts=content.parts,
    )  # fmt: skip
    return Composed(in_reader_units(document))


def packet_of(api: Api, estimate: Json, locale: str = "en-US", asked: str = "") -> Composed:
    """The packet of an estimate as it would be issued now."""
    facts, club = facts_of(api, estimate)
    return as_document(
        estimate_packet.compose(facts, Writing(club, Formatter(locale), asked)), club, locale, api
    )


def report_of(api: Api, budget: Json, locale: str = "en-US", through: str = "2026-09") -> Composed:
    """The work report of a budget as it would be issued now."""
    facts, club = work_facts_of(api, budget, through)
    return as_document(work_report.compose(facts, Writing(club, Formatter(locale), "")), club, locale, api)
