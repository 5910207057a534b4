"""The budget packet: its figures are those of the reports to the cent, it holds together, and it says what matters."""

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import pytest
from budget_packet_factories import (
    a_budget,
    a_draw,
    amount,
    number,
    packet_of,
    report_of,
    table_of,
    texts_of,
)
from conftest import Api
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
from swardcost_api.packets.document import (
    Chart,
    Figures,
    Paragraph,
    Table,
)
from swardcost_api.packets.faces.csv_face import csv_of
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.values import number_of

HOSTILE = (
    "<script>alert(1)</script>",
    '=HYPERLINK("http://x","y")',
    "\u202eevil",
    "%(who)s %s %",
    "W" * 190,
    "#let x = [*",
)


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
