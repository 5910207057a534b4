"""The work report for members: what was measured and what was planned, in plain words, with no money anywhere."""

import re
from datetime import UTC, datetime
from decimal import Decimal
from uuid import UUID

import pytest
from babel.numbers import get_currency_name, get_currency_symbol
from conftest import Api
from estimate_factories import Document, accepted
from estimate_packet_factories import (
    HOSTILE,
    SCRIPT,
    a_measured_budget,
    a_programme,
    report_of,
)
from swardcost_api.packets.composing import Composer, Content
from swardcost_api.packets.document import (
    Appendix,
    Cell,
    Column,
    Derivation,
    Figure,
    Figures,
    Given,
    Kind,
    Part,
    Row,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.json_face import json_of
from swardcost_api.packets.making import COMPOSERS, Question, composed
from swardcost_api.packets.making import Composed as Made
from swardcost_api.packets.values import Measured, UnitPrice, number_of
from swardcost_api.units import UNITS
from swardcost_model.access import Club
from swardcost_model.packets import NewPacket, PacketKind
from swardcost_model.values import CURRENCY_DIGITS, Money

LOCALES = ("en-US", "fr-CA", "es-MX", "de-DE", "ja-JP")
MONTH = "2026-09"


@pytest.mark.parametrize("locale", LOCALES)
def test_no_money_is_in_it(api: Api, locale: str) -> None:
    budget = a_measured_budget(api)
    report = report_of(api, budget, locale)
    assert len(list(report.document.values())) > 50
    assert [one for one in report.document.values() if isinstance(one, Money | UnitPrice)] == []
    tag = locale.replace("-", "_")
    marks = {get_currency_symbol(one, tag) for one in CURRENCY_DIGITS} | {"$", "€", "£", "¥"}
    names = {get_currency_name(one, locale=tag).lower() for one in CURRENCY_DIGITS}
    texts = [
        *report.texts(),
        *(text for one in report.document.derivations for text in steps_in_words(one.steps)),
    ]
    for text in texts:
        assert not [mark for mark in marks if re.search(rf"(?<!\w){re.escape(mark)}(?!\w)", text)], text
        assert not [name for name in names if name in text.lower()], text
    said = html_of(report.document) + csv_of(report.document) + json_of(report.document)
    assert '"money"' not in said
    for amount in (budget["total"]["amount"], *(line["amount"]["amount"] for line in budget["lines"])):
        assert not re.search(rf"(?<![\d.,]){re.escape(amount)}(?!\d)", said)


PRICE = UnitPrice(Decimal("38.5"), "USD", "short_ton")
AMOUNT = Money.model_validate({"amount": "12.00", "currency": "USD"})
SLIPPED = {
    "cell": Table("sand", "Sand", (Column("what", "What"), Column("cost", "Cost", Kind.MONEY)),
                  (Row("r", (Cell("Greens"), Cell(AMOUNT))),)),
    "figure": Figures((Figure("Cost of the sand", AMOUNT),)),
    "step": Appendix((Derivation("sand", "Sand", (Step("Cost", AMOUNT, "m x price", (), "the edition"),)),)),
    "input": Appendix((
        Derivation("sand", "Sand", (Step("Loads", 2, "", (Given("price", PRICE),), "the edition"),)),
    )),
}  # fmt: skip


@pytest.mark.parametrize("part", SLIPPED.values(), ids=SLIPPED)
def test_a_report_with_money_in_it_is_not_made(part: Part, monkeypatch: pytest.MonkeyPatch) -> None:
    def told(kind: PacketKind) -> Made:
        club = Club.model_construct(
            name="Heron Mere", currency="USD", locale="en-US", unit_system="us_customary", ton="short_ton"
        )
        asked = NewPacket(kind=kind, subject_id=UUID(int=1))
        monkeypatch.setitem(
            COMPOSERS, kind, Composer(lambda *_: None, lambda *_: Content("Sand", "", (part,)))
        )
        return composed(Question(asked, None, club, "en-US", None, datetime(2026, 9, 30, tzinfo=UTC)))

    assert told(PacketKind.BUDGET).document.parts == (part,)
    with pytest.raises(AssertionError, match="money stands in 1 places"):
        told(PacketKind.WORK_REPORT)


def steps_in_words(steps: tuple[Step, ...]) -> list[str]:
    return [text for one in steps for text in (one.name, one.formula, one.source)]


def test_measured_work_is_that_of_the_service(api: Api) -> None:
    budget = a_measured_budget(api)
    state = api.get(f"/budgets/{budget['id']}/progress?on=2026-09-30").json()
    report = report_of(api, budget)
    assert len(state["lines"]) == 2
    for line in state["lines"]:
        row = report.rows("measured")[f"line-{line['line_number']}"]
        _, done, planned, percent, on = row.cells
        assert done.value == Measured(Decimal(line["done"]), line["unit"], as_bought=True)
        assert number_of(planned.value) == Decimal(line["planned"])
        assert abs((number_of(percent.value) or 0) - Decimal(line["percent"])) <= Decimal("0.05")
        assert str(on.value) == line["measured_on"]
    missing = [
        one for one in budget["lines"] if one["number"] in state["unmeasured"] and one["markup"] is None
    ]
    assert missing
    for one in missing:
        assert any(text.startswith(one["label"]) for text in report.texts())


def test_what_is_not_measured_is_not_told_as_done(api: Api) -> None:
    estimate = accepted(api, a_programme(api)["id"])
    budget = api.get(f"/budgets/{estimate['budget_id']}").json()
    report = report_of(api, budget)
    assert report.says("nothing was measured yet")
    assert "measured" not in report.names()
    august = report_of(api, a_measured_budget(api), through="2026-08")
    assert [row.key for row in august.table("measured").rows if row.weight is Weight.ITEM] == ["line-1"]
    assert "in-the-month" not in august.names()
    # Nobody measured in October, which does not mean that nothing was done.
    october = report_of(api, a_measured_budget(api), through="2026-10")
    assert len([row for row in october.table("measured").rows if row.weight is Weight.ITEM]) == 2
    assert "in-the-month" not in october.names()


def test_figures_of_the_work_are_those_of_the_take_off(api: Api) -> None:
    budget = a_measured_budget(api)
    found = api.get(f"/projects/{budget['project_id']}/take-off").json()["items"]
    measures = {one["name"]: {k: float(v) for k, v in one["measures"].items()} for one in found}
    report = report_of(api, budget)
    assert report.figure("Holes punched") == Measured(
        Decimal(round(measures["Core the greens"]["holes"])), "hole"
    )
    for label, name in (
        ("Sand brought in", "Dress the greens"),
        ("Sand brought in, planned", "Dress the greens"),
    ):
        sand = report.figure(label)
        assert isinstance(sand, Measured)
        tons = measures[name]["sand_mass"] / float(UNITS[sand.unit].si_exact)
        assert float(sand.value) == pytest.approx(tons, rel=1e-3)
    once = Decimal(str(measures["Core the greens"]["share_touched_once"])) * 100
    [row] = report.table("surface-opened").rows
    opened, after = number_of(row.cells[3].value), number_of(row.cells[4].value)
    assert opened is not None
    assert after is not None
    assert abs(opened - once) <= Decimal("0.05")
    assert opened + after == 100


def test_each_area_counts_once(api: Api) -> None:
    report = report_of(api, a_measured_budget(api))
    [greens, total] = report.table("areas").rows
    assert (greens.cells[0].value, greens.cells[1].value, total.cells[1].value) == ("Greens", 2, 2)
    size = total.cells[2].value
    assert isinstance(size, Measured)
    square_feet = float(size.value) * UNITS[size.unit].si_factor / UNITS["square_foot"].si_factor
    assert square_feet == pytest.approx(15000, rel=2e-3)


def test_a_scope_that_has_changed_is_said_to_have(api: Api) -> None:
    budget = a_measured_budget(api)
    assert not report_of(api, budget).says("What was accepted has changed since")
    body: Document = {
        "name": "Extra", "method": "plain_quantity", "parameters": {"quantity": {"value": "1", "unit": "each"}},
        "area_ids": [], "resources": [{"item": "CREW", "quantity": {"value": "9", "unit": "hour"}}],
    }  # fmt: skip
    api.created(f"/projects/{budget['project_id']}/scope-items", body)
    report = report_of(api, budget)
    assert report.says("What was accepted has changed since")
    assert report.says("Extra")


def test_the_days_are_told_without_what_they_cost(api: Api) -> None:
    budget = a_measured_budget(api)
    schedule = api.get(f"/projects/{budget['project_id']}/schedule").json()
    report = report_of(api, budget)
    assert schedule["revenue_lost"] is not None
    assert str(report.figure("Course open again")) == schedule["reopens_on"]
    assert "later-reopening" not in report.names()


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_harm_nothing_in_a_report(api: Api, name: str) -> None:
    estimate = a_programme(api, names=(name, f"{name[:100]} more", "Slice", SCRIPT))
    budget = api.get(f"/budgets/{accepted(api, estimate['id'])['budget_id']}").json()
    report = report_of(api, budget)
    assert report.says(name)
    assert SCRIPT not in html_of(report.document)


def test_every_language_tells_the_same_figures_of_the_work(api: Api) -> None:
    budget = a_measured_budget(api)
    said = {
        locale: [number_of(one) for one in report_of(api, budget, locale).document.values()]
        for locale in LOCALES
    }
    for locale, numbers in said.items():
        assert numbers == said["en-US"], locale
        assert [text for text in report_of(api, budget, locale).texts() if "%(" in text] == [], locale
