"""The budget packet: its figures are those of the reports to the cent, it holds together, and it says what matters."""

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from conftest import Api
from estimate_factories import (
    LUMP,
    a_project,
    a_scope_item,
    an_edition,
    an_item,
    budget_of,
    issued,
    priced,
    stated,
)
from swardcost_api.access.service import read_club
from swardcost_api.packets.budget import packet as budget_packet
from swardcost_api.packets.budget.facts import BudgetFacts
from swardcost_api.packets.composing import Writing
from swardcost_api.packets.document import (
    Cautions,
    Chart,
    Document,
    Figures,
    Listing,
    Mark,
    Paragraph,
    Table,
)
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import number_of
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.packets import NewPacket, PacketKind

THROUGH = "2026-10"
VENDOR = "Alder Creek Sand and Gravel"
HEADER = "date,account,description,amount,vendor,reference\r\n"
HOSTILE = (
    "<script>alert(1)</script>",
    '=HYPERLINK("http://x","y")',
    "\u202eevil",
    "%(who)s %s %",
    "W" * 190,
    "#let x = [*",
)
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
    line = {
        "number": 1, "budget_line_id": sand, "description": "Topdressing sand", "quantity": "1600",
        "unit": "short_ton", "unit_price": "41.65", "expected_month": "2026-11",
    }  # fmt: skip
    order = api.created(
        "/commitments",
        {"number": "PO-1", "kind": "purchase_order", "vendor": vendor, "budget_id": budget["id"], "title": name,
         "signed_on": "2026-07-20", "retainage_percent": "10", "lines": [line]},
    )  # fmt: skip
    received = {"line_number": 1, "quantity": "1582", "unit": "short_ton"}
    path = f"/commitments/{order['id']}"
    api.created(f"{path}/receipts", {"ticket": "T-1", "received_on": "2026-08-10", "lines": [received]})
    billed = {"line_number": 1, "description": "Sand", "quantity": "1582", "unit_price": "41.65"}
    api.created(f"{path}/invoices", {"number": "I-77", "invoiced_on": "2026-08-31", "lines": [billed]})
    api.created(
        f"/budgets/{budget['id']}/measures",
        {"budget_line_id": sand, "measured_on": "2026-09-30", "done": "1500"},
    )
    for amount, day in (("1000.00", "2026-09-15"), ("200.00", "2026-09-20")):
        made = a_draw(api, budget, reserve, sand, month, amount, day, reason)
        if amount == "1000.00":
            assert api.post(f"/adjustments/{made['id']}/approve", json={}).status_code == 200
    api.created(
        "/ledger/rules",
        {"budget_id": budget["id"], "budget_line_id": sand, "name": "Sand", "conditions": {"text_contains": "sand"}},
    )  # fmt: skip
    rows = (
        f'2026-09-05,1520-10,Sand delivered,59301.27,"{VENDOR}",I-77\r\n'
        "2026-09-06,6100-00,Freight of sand,250.00,Two Rivers Hauling,F-9\r\n"
        "2026-09-07,7010,Linen,75.10,,\r\n"
    )
    columns = {one: one for one in HEADER.strip().split(",")}
    profile = api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]
    response = api.upload("/ledger/imports/upload", HEADER + rows, params={"profile_id": profile})
    assert response.status_code == 201, response.text
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


def test_every_figure_of_the_lines_is_that_of_the_standing(api: Api) -> None:
    budget = a_budget(api)
    standing, table = report_of(api, budget, "standing"), table_of(packet_of(api, budget), "lines")
    columns = {
        "original": "original", "adjustments": "adjustments", "adjusted": "adjusted", "actual": "actual",
        "accrued": "accrued", "ordered": "open_commitments", "available": "available",
    }  # fmt: skip
    rows = [("total", standing["total"])] + [(f"line-{one['number']}", one) for one in standing["lines"]]
    for key, expected in rows:
        for column, name in columns.items():
            assert number(table, key, column) == amount(expected[name]), (key, column)
    assert amount(standing["total"]["actual"]) == Decimal("59551.27")


def test_every_way_of_looking_at_the_money_has_the_same_totals(api: Api) -> None:
    project = a_project(api)
    sand, sod = stated("SAND", "10", "short_ton"), stated("SOD", "90", "square_foot")
    a_scope_item(api, project, LUMP, [], sand, sod, name="Greens")
    a_scope_item(api, project, LUMP, [], stated("SOD", "40", "square_foot"), name="Tees")
    items = [
        an_item("SAND", "40.50", account="1520-10"),
        an_item("SOD", "1.25", unit="square_foot", account="1520-20"),
    ]
    document = packet_of(api, budget_of(api, priced(api, project, an_edition(api, items))))
    lines, by_item = table_of(document, "lines"), table_of(document, "scope-items")
    for table in (by_item, table_of(document, "by-account")):
        for column in ("adjusted", "actual", "accrued", "ordered", "available"):
            assert number(table, "total", column) == number(lines, "total", column)
    assert [row.cells[0].value for row in by_item.rows] == ["Greens", "Tees", "Total"]
    assert number(by_item, "group-1", "adjusted") == Decimal("517.50")


def test_postings_stand_in_the_account_that_the_ledger_has_them_in(api: Api) -> None:
    table = table_of(packet_of(api, a_budget(api)), "by-account")
    by_name = {str(row.cells[0].value): row.key for row in table.rows}
    assert number(table, by_name["6100-00"], "actual") == Decimal("250.00")
    assert number(table, by_name["6100-00"], "adjusted") == 0
    assert any("6100-00" in note for note in table.notes)


def test_the_bars_of_the_bridge_sum_to_the_difference(api: Api) -> None:
    budget = a_budget(api)
    report, document = report_of(api, budget, "explanation"), packet_of(api, budget)
    bridge = table_of(document, "bridge-data")
    causes = {one["cause"]: amount(one["amount"]) for one in report["causes"]}
    assert {key: number(bridge, key, "amount") for key in causes} == causes
    assert sum(causes.values()) == amount(report["difference"])
    assert number(bridge, "planned", "amount") == amount(report["planned"])
    assert number(bridge, "cost", "amount") == amount(report["cost"])
    drawn = next(one for one in document.charts if one.id == "bridge")
    bars = dataset(drawn)
    assert bars[0]["begins"] == bars[-1]["begins"] == 0
    assert Decimal(str(bars[-2]["ends"])) == Decimal(str(bars[-1]["ends"])) == amount(report["cost"])


def dataset(chart: Chart) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = next(iter(json.loads(chart.specification)["datasets"].values()))
    return found


def test_every_difference_is_that_of_the_explanation(api: Api) -> None:
    budget = a_budget(api)
    report, table = report_of(api, budget, "explanation"), table_of(packet_of(api, budget), "why-different")
    for line in report["lines"]:
        key = f"line-{line['number']}"
        assert number(table, key, "difference") == amount(line["difference"])
        for cause in line["causes"]:
            assert number(table, key, cause["cause"]) == amount(cause["amount"])
    for column in ("planned", "cost", "difference"):
        assert number(table, "total", column) == amount(report[column])


def test_the_largest_difference_is_told_with_its_quantity_and_price(api: Api) -> None:
    said = texts_of(packet_of(api, a_budget(api))).replace("\N{NO-BREAK SPACE}", " ")
    assert "82 short tons more than planned" in said
    assert "charged from accounts that are not the line's own: $250.00 more" in said


@pytest.mark.parametrize("own", [False, True])
def test_what_is_expected_is_that_of_the_forecast(api: Api, own: bool) -> None:
    budget = a_budget(api)
    if own:
        body = {
            "budget_line_id": budget["lines"][0]["id"], "stated_on": "2026-09-30",
            "to_complete": {"amount": "9999.00", "currency": "USD"}, "reason": "Two greens are left",
        }  # fmt: skip
        api.created(f"/budgets/{budget['id']}/own-forecasts", body)
    report = report_of(api, budget, "forecast", method="own_figure" if own else "as_budgeted")
    document = packet_of(api, budget)
    table = table_of(document, "at-completion")
    for key, line in [("total", report["total"])] + [
        (f"line-{one['number']}", one) for one in report["lines"]
    ]:
        assert number(table, key, "end") == amount(line["at_completion"])
        assert number(table, key, "left") == amount(line["variance_at_completion"])
    notes = " ".join(row.note for row in table.rows)
    assert ("Two greens are left." in notes) is own
    methods = table_of(document, "methods-table")
    for method in ("as_budgeted", "current_rate", "cost_and_schedule_rate"):
        total = report_of(api, budget, "forecast", method=method)["total"]
        assert number(methods, method, "end") == amount(total["at_completion"])
    assert ("own_figure" in methods.row_index) is own


def test_cash_ends_at_what_is_expected(api: Api) -> None:
    budget = a_budget(api)
    report, document = report_of(api, budget, "cash-flow"), packet_of(api, budget)
    table, drawn = table_of(document, "cash-by-month"), table_of(document, "cash-data")
    for month in report["months"]:
        assert number(table, month["month"], "paid") == amount(month["paid"])
        assert number(table, month["month"], "ordered") == amount(month["committed"])
        assert number(drawn, month["month"], "money") == amount(month["money_so_far"])
    assert number(table, "total", "all") == number(table_of(document, "at-completion"), "total", "end")


def test_contingency_is_told_draw_by_draw_and_agrees_with_its_line(api: Api) -> None:
    budget = a_budget(api)
    document = packet_of(api, budget)
    table, lines = table_of(document, "contingency-log"), table_of(document, "lines")
    log = api.get(f"/budgets/{budget['id']}/contingency").json()
    assert number(table, "left", "amount") == amount(log["left"]) == number(lines, "line-2", "adjusted")
    assert number(table, "move-1", "amount") == Decimal("-1000.00")
    assert table.cell("move-1", "what").value == "More sand"
    assert document.figures[2].value == table.cell("left", "amount").value
    assert "Proposed adjustments would draw $200.00 more" in texts_of(document)


def test_a_draw_that_takes_effect_later_is_not_in_the_contingency_of_the_month(api: Api) -> None:
    budget = a_budget(api)
    sand, reserve = (line["id"] for line in budget["lines"])
    month = budget["lines"][1]["months"][-1]["month"]
    made = a_draw(api, budget, reserve, sand, month, "300.00", "2026-12-01", "Later")
    assert api.post(f"/adjustments/{made['id']}/approve", json={}).status_code == 200
    document = packet_of(api, budget)
    left = number(table_of(document, "contingency-log"), "left", "amount")
    assert left == number(table_of(document, "lines"), "line-2", "adjusted")
    assert "later" in {one.id for one in document.tables}
    assert "takes effect only later" in texts_of(document)


def test_approved_adjustments_sum_to_the_adjustments_of_the_budget(api: Api) -> None:
    document = packet_of(api, a_budget(api))
    net = number(table_of(document, "approved"), "total", "net")
    assert net == number(table_of(document, "lines"), "total", "adjustments")


def test_open_orders_are_those_of_the_register(api: Api) -> None:
    budget = a_budget(api)
    register = api.get("/commitment-register", params={"budget_id": budget["id"], "on": "2026-10-31"}).json()
    document = packet_of(api, budget)
    table = table_of(document, "open-orders")
    names = {"ordered": "ordered", "received": "received", "billed": "billed", "open": "open"}
    for column, name in (names | {"retained": "retainage_held"}).items():
        assert number(table, "order-1", column) == amount(register["rows"][0][name]), column
    assert number(table, "total", "open") == number(table_of(document, "lines"), "total", "ordered")


def test_three_sentences_and_three_figures_say_where_we_stand(api: Api) -> None:
    budget = a_budget(api)
    document, standing = packet_of(api, budget), report_of(api, budget, "standing")["total"]
    place = next(at for at, part in enumerate(document.parts) if isinstance(part, Figures))
    leads = [part.tone for part in document.parts[place - 3 : place] if isinstance(part, Paragraph)]
    assert leads == ["lead"] * 3
    spent, expected, _reserve = document.figures[:3]
    assert number_of(spent.value) == amount(standing["actual"]) + amount(standing["accrued"])
    assert f"{standing['percent']}%" in spent.note
    assert number_of(expected.value) == number(table_of(document, "at-completion"), "total", "end")
    assert all(one.why is not None for one in document.figures[:3])


def test_what_is_asked_comes_first_and_gaps_are_said(api: Api) -> None:
    budget = a_budget(api)
    asks = [
        one.text for one in packet_of(api, budget).parts if isinstance(one, Paragraph) and one.tone == "ask"
    ]
    assert asks == [
        "To be decided: the proposed adjustment 2 (More sand). The total of the budget stays as it is."
    ]
    document = packet_of(api, budget, asked="To lend the money")
    assert [one.text for one in document.parts if isinstance(one, Paragraph) and one.tone == "ask"] == [
        "To lend the money"
    ]
    said = texts_of(document)
    assert "One posting of $75.10 in all is assigned to no budget" in said
    assert "No month of the books is closed" in said
    assert "not an offer" in said
    months = table_of(document, "months")
    assert months.cell("2026-09", "difference").value is None
    assert months.cell("2026-09", "unassigned").value == 1


def test_a_budget_on_which_nothing_happened_is_told_without_contingency(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    budget = budget_of(api, priced(api, project, an_edition(api, [an_item("SAND", "40.50", taxable=False)])))
    document = packet_of(api, budget)
    said = texts_of(document)
    assert "The budget has no contingency." in said
    assert "No order or contract is open." in said
    assert document.figures[2].value == table_of(document, "lines").cell("total", "available").value


@pytest.mark.parametrize("locale", ["es-MX", "fr-CA", "de-DE", "ja-JP", "en-CA"])
def test_every_language_has_the_same_figures(api: Api, locale: str) -> None:
    budget = a_budget(api)
    one, other = packet_of(api, budget), packet_of(api, budget, locale)
    assert values_of(one.tables) == values_of(other.tables)
    assert [part.__class__ for part in one.parts] == [part.__class__ for part in other.parts]


def values_of(tables: Iterable[Table]) -> list[Any]:
    return [number_of(cell.value) for table in tables for row in table.rows for cell in row.cells]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_harm_no_face(api: Api, name: str) -> None:
    document = packet_of(api, a_budget(api, name=name, vendor=name, reason=name), asked=name)
    page = html_of(document)
    assert "<script>alert(1)" not in page
    assert csv_of(document)
    assert xlsx_of(document).startswith(b"PK")


def test_charts_are_told_in_words_and_their_bars_begin_at_zero(api: Api) -> None:
    document = packet_of(api, a_budget(api))
    assert {one.id for one in document.charts} == {"groups-chart", "bridge", "cash-chart"}
    for chart in document.charts:
        assert len(chart.alternative) > 40
        specification = json.loads(chart.specification)
        for layer in specification.get("layer", [specification]):
            axes = [axis for axis in ("x", "y") if layer["encoding"][axis].get("type") == "quantitative"]
            for axis in axes:
                scale = layer["encoding"][axis].get("scale", {"zero": True})
                assert scale["zero"] is True


def a_reading_of(document: Document) -> str:
    return texts_of(document).replace("\N{NO-BREAK SPACE}", " ")


SEPTEMBER, OCTOBER, NOVEMBER = "2026-09", "2026-10", "2026-11"


def half_measured(api: Api) -> tuple[Answer, str]:
    """100 tons of sand at 10.00, of which 50 were measured at the end of September, and the profile of its ledger."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name="Dress")
    budget: Answer = budget_of(
        api, priced(api, project, an_edition(api, [an_item("SAND", "10", taxable=False)]))
    )
    line = budget["lines"][0]["id"]
    body = {"budget_line_id": line, "measured_on": "2026-09-30", "done": "50"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    rule = {
        "budget_id": budget["id"],
        "budget_line_id": line,
        "name": "Sand",
        "conditions": {"text_contains": "sand"},
    }
    api.created("/ledger/rules", rule)
    columns = {one: one for one in HEADER.strip().split(",")}
    return budget, api.created("/ledger/profiles", {"name": "Detail", "columns": columns})["id"]


def post(api: Api, profile: str, day: str, amount: str, reference: str = "") -> None:
    row = f'{day},1520-10,Sand,{amount},"{VENDOR}",{reference}\r\n'
    response = api.upload("/ledger/imports/upload", HEADER + row, params={"profile_id": profile})
    assert response.status_code == 201, response.text


def order_of(api: Api, budget: Answer, price: str) -> str:
    line = {
        "number": 1, "budget_line_id": budget["lines"][0]["id"], "description": "Sand", "quantity": "50",
        "unit": "short_ton", "unit_price": price, "expected_month": "2026-11",
    }  # fmt: skip
    body = {"number": f"PO-{price}", "kind": "purchase_order", "vendor": VENDOR, "budget_id": budget["id"],
            "title": "Sand", "signed_on": "2026-07-20", "lines": [line]}  # fmt: skip
    return f"/commitments/{api.created('/commitments', body)['id']}"


def sand_by(api: Api, budget: Answer, month: str) -> Answer:
    line: Answer = report_of(api, budget, "forecast", through=month)["lines"][0]
    return line


def test_what_work_cost_since_it_was_measured_counts_as_on_budget(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    assert "was last measured" not in a_reading_of(packet_of(api, budget))
    post(api, profile, "2026-10-09", "300.00")
    line = sand_by(api, budget, OCTOBER)
    assert [amount(line[name]) for name in ("cost_since_measured", "earned", "at_completion")] == [
        300,
        800,
        1000,
    ]
    assert amount(sand_by(api, budget, SEPTEMBER)["cost_since_measured"]) == 0
    document = packet_of(api, budget)
    told = "On one line $300.00 were spent or accrued after its work was last measured: 1. Dress."
    assert a_reading_of(document).count(told) == 2, "in the brief and among the cautions"
    row = table_of(document, "at-completion").rows[0].note.replace("\N{NO-BREAK SPACE}", " ")
    assert "$300.00 were spent or accrued since" in row
    assert report_of(api, budget, "forecast")["outdated"] == 1


def test_a_bill_for_work_that_was_measured_moves_nothing(api: Api) -> None:
    budget, profile = half_measured(api)
    order = order_of(api, budget, "14")
    received = {"line_number": 1, "quantity": "50", "unit": "short_ton"}
    api.created(f"{order}/receipts", {"ticket": "T-1", "received_on": "2026-09-20", "lines": [received]})
    billed = {"line_number": 1, "description": "Sand", "quantity": "50", "unit_price": "14"}
    api.created(f"{order}/invoices", {"number": "I-5", "invoiced_on": "2026-10-18", "lines": [billed]})
    post(api, profile, "2026-10-20", "700.00", "I-5")
    for month in (SEPTEMBER, OCTOBER):
        line = sand_by(api, budget, month)
        assert [amount(line[name]) for name in ("cost", "earned", "at_completion")] == [700, 500, 1200], month
    assert amount(sand_by(api, budget, OCTOBER)["cost_since_measured"]) == 0
    causes = report_of(api, budget, "explanation", through=OCTOBER)["lines"][0]["causes"]
    assert "quantity" not in {one["cause"] for one in causes}


def test_what_came_since_counts_alike_whether_or_not_it_is_posted(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    order = order_of(api, budget, "10")
    received = {"line_number": 1, "quantity": "30", "unit": "short_ton"}
    api.created(f"{order}/receipts", {"ticket": "T-2", "received_on": "2026-10-12", "lines": [received]})
    billed = {"line_number": 1, "description": "Sand", "quantity": "30", "unit_price": "10"}
    api.created(f"{order}/invoices", {"number": "I-6", "invoiced_on": "2026-10-30", "lines": [billed]})
    post(api, profile, "2026-11-03", "300.00", "I-6")
    for month in (OCTOBER, NOVEMBER):
        line = sand_by(api, budget, month)
        assert [amount(line[name]) for name in ("cost", "earned", "at_completion")] == [800, 800, 1000], month


def test_what_moves_no_share_done_is_not_told_as_taken_for_work(api: Api) -> None:
    budget, profile = half_measured(api)
    post(api, profile, "2026-09-20", "500.00")
    post(api, profile, "2026-10-09", "-200.00")
    line = sand_by(api, budget, OCTOBER)
    assert [amount(line[name]) for name in ("cost_since_measured", "earned", "at_completion")] == [
        -200,
        500,
        800,
    ]
    assert report_of(api, budget, "forecast")["outdated"] == 0
    assert "was last measured" not in a_reading_of(packet_of(api, budget))


def test_a_month_that_is_not_over_is_not_told_as_past(api: Api) -> None:
    budget = a_budget(api)
    today = api.clock().date()
    ahead = f"{today.year + 1}-01"
    over, running = packet_of(api, budget), packet_of(api, budget, through=ahead)
    assert "By the end of Oct 2026 " in texts_of(over)
    assert "is not over" not in texts_of(over)
    day = Formatter("en-US").day(today)
    assert f"By {day} " in texts_of(running)
    assert "By the end of" not in texts_of(running)
    assert f"is not over: what was planned for all of it stands beside what is known on {day}." in texts_of(
        running
    )
    assert running.subtitle.endswith(f", as known on {day}")


def test_without_postings_no_posting_is_said_to_be_assigned(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "10", "short_ton"))
    budget = budget_of(api, priced(api, project, an_edition(api, [an_item("SAND", "40.50")])))
    told = texts_of(packet_of(api, budget))
    assert "Nothing is posted in these months yet." in told
    assert "Every posting" not in told


def test_markups_have_names_in_each_language(api: Api) -> None:
    table = table_of(packet_of(api, a_budget(api), "es-MX"), "lines")
    assert table.rows[1].cells[0].value == "2. Contingencia"


def test_a_lump_sum_is_not_counted_in_lump_sums(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("FENCE", "1", "lump_sum"))
    item = an_item("FENCE", "900", unit="lump_sum")
    budget = budget_of(api, priced(api, project, an_edition(api, [item])))
    body = {"budget_line_id": budget["lines"][0]["id"], "measured_on": "2026-09-30", "done": "1"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    row = table_of(packet_of(api, budget), "at-completion").rows[0]
    assert row.note == "Measured on September 30, 2026."


def test_measured_work_that_is_not_billed_is_told_of(api: Api) -> None:
    budget, profile = half_measured(api)
    told = "On one line the measured work is worth $500.00 more than was spent or accrued: 1. Dress."
    assert a_reading_of(packet_of(api, budget)).count(told) == 2, "in the brief and among the cautions"
    post(api, profile, "2026-09-20", "500.00")
    assert "is worth" not in a_reading_of(packet_of(api, budget)).replace("assumed to be worth", "")


def test_gaps_of_the_accepted_estimate_are_told_of(api: Api) -> None:
    whole, _ = half_measured(api)
    assert "had gaps" not in a_reading_of(packet_of(api, whole))
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name="Dress")
    a_scope_item(api, project, LUMP, [], stated("SOD", "100", "square_foot"), name="Lay")
    estimate = priced(api, project, an_edition(api, [an_item("SAND", "10")]))
    issued(api, estimate["id"], incomplete_because="The sod is bought in spring")
    taken = api.post(f"/estimates/{estimate['id']}/accept", json={}).json()
    budget = api.get(f"/budgets/{taken['budget_id']}").json()
    said = a_reading_of(packet_of(api, budget))
    assert said.count("is in no line of this budget, and in nothing that is expected.") == 2
    assert "It was issued so because: The sod is bought in spring." in said


def test_a_line_whose_budget_was_taken_away_is_not_told_as_never_measured(api: Api) -> None:
    project = a_project(api)
    for name in ("Dress", "Level"):
        a_scope_item(api, project, LUMP, [], stated("SAND", "100", "short_ton"), name=name)
    budget: Answer = budget_of(api, priced(api, project, an_edition(api, [an_item("SAND", "10")])))
    first, second = budget["lines"]
    body = {"budget_line_id": first["id"], "measured_on": "2026-09-20", "done": "50"}
    api.created(f"/budgets/{budget['id']}/measures", body)
    month = first["months"][0]["month"]
    entries = [
        {"budget_line_id": first["id"], "month": one["month"], "quantity": f"-{part}",
         "amount": {"amount": f"-{one['amount']['amount']}", "currency": "USD"}}
        for one, part in zip(first["months"], parts_of("100", len(first["months"])), strict=True)
    ]  # fmt: skip
    entries.append(
        {"budget_line_id": second["id"], "month": month, "amount": {"amount": "1000.00", "currency": "USD"}}
    )
    change = {
        "kind": "transfer",
        "effective_on": "2026-09-21",
        "reason": "Done otherwise",
        "entries": entries,
    }
    made = api.created(f"/budgets/{budget['id']}/adjustments", change)
    assert api.post(f"/adjustments/{made['id']}/approve", json={}).status_code == 200
    assert report_of(api, budget, "forecast")["unmeasured"] == 1
    note = table_of(packet_of(api, budget), "at-completion").rows[0].note
    assert note == "Measured on September 20, 2026."


def parts_of(whole: str, count: int) -> list[str]:
    """A quantity in so many parts that sum to it."""
    return [whole, *["0"] * (count - 1)]
