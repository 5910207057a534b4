"""Where the money stands, where it goes and why it differs, on one line of sand computed by hand."""

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from delivered_sand import VENDOR, sand_delivered
from estimate_factories import LUMP, a_project, a_scope_item, an_edition, an_item, budget_of, priced, stated
from python_calamine import CalamineWorkbook

CONTINGENCY = {"kind": "contingency", "percent": "5"}
REPORTS = ("standing", "forecast", "cash-flow", "explanation")
Document = dict[str, Any]


def money(document: Document) -> Decimal:
    assert document["currency"] == "USD"
    return Decimal(document["amount"])


def a_season(api: Api) -> Document:
    """1,500 short tons planned at 40.50; 1,582 came at 41.65, ten percent held back, and freight from elsewhere."""
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1500", "short_ton"), name="Dress")
    budget: Document = budget_of(
        api, priced(api, project, an_edition(api, [an_item("SAND", "40.50", taxable=False)]), CONTINGENCY)
    )
    sand_delivered(api, budget)
    return budget


def read(api: Api, budget: Document, report: str, **query: str) -> Document:
    response = api.get(f"/budgets/{budget['id']}/{report}", params={"through": "2026-10", **query})
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def test_standing_adds_up_to_what_is_available(api: Api) -> None:
    report = read(api, a_season(api), "standing")
    sand, contingency = report["lines"]
    assert [money(sand[name]) for name in ("original", "adjustments", "adjusted", "actual", "accrued")] == [
        Decimal("60750.00"), 0, Decimal("60750.00"), Decimal("59551.27"), Decimal("6589.03"),
    ]  # fmt: skip
    assert money(sand["open_commitments"]) == Decimal("18") * Decimal("41.65")
    assert money(sand["exposure"]) == Decimal("66890.00")
    assert money(sand["available"]) == Decimal("-6140.00")
    assert sand["percent"] == "108.9"
    assert money(contingency["available"]) == Decimal("3037.50")
    assert money(report["total"]["available"]) == Decimal("-3102.50")
    assert (money(report["unassigned"]), report["unassigned_postings"]) == (Decimal("75.10"), 1)


def test_before_the_invoice_is_posted_it_is_accrued(api: Api) -> None:
    budget = a_season(api)
    sand = read(api, budget, "standing", through="2026-08")["lines"][0]
    assert (money(sand["actual"]), money(sand["accrued"])) == (Decimal(0), Decimal("65890.30"))
    before = read(api, budget, "standing", through="2026-07")["lines"][0]
    assert (money(before["accrued"]), money(before["open_commitments"])) == (
        Decimal(0),
        1600 * Decimal("41.65"),
    )


def test_a_committee_reads_why_the_sand_was_dearer(api: Api) -> None:
    report = read(api, a_season(api), "explanation")
    sand = next(line for line in report["lines"] if line["number"] == 1)
    assert [(one["cause"], one["words"]) for one in sand["causes"]] == [
        ("quantity", "82 more short tons than planned: 3,321.00"),
        ("price", "1.15 a short ton dearer: 1,819.30"),
        ("coding", "charged from other accounts than the line's own: 250.00"),
    ]
    assert money(sand["difference"]) == Decimal("5390.30")
    assert sum(money(one["amount"]) for one in sand["causes"]) == money(sand["difference"])
    rest = next(line for line in report["lines"] if line["number"] == 2)
    assert rest["words"] == "contingency that was not drawn: 3,037.50"
    assert sum(money(one["amount"]) for one in report["causes"]) == money(report["difference"])


def test_delivery_ordered_by_the_load_is_in_the_price_of_the_sand(api: Api) -> None:
    budget = a_season(api)
    load = {
        "number": 1, "budget_line_id": budget["lines"][0]["id"], "description": "Delivery", "quantity": "79",
        "unit": "each", "unit_price": "20.00", "expected_month": "2026-09",
    }  # fmt: skip
    order = api.created(
        "/commitments",
        {"number": "PO-2", "kind": "purchase_order", "vendor": VENDOR, "budget_id": budget["id"], "title": "Delivery",
         "signed_on": "2026-07-20", "lines": [load]},
    )  # fmt: skip
    api.created(
        f"/commitments/{order['id']}/receipts",
        {"ticket": "T-2", "received_on": "2026-08-10",
         "lines": [{"line_number": 1, "quantity": "79", "unit": "each"}]},
    )  # fmt: skip
    sand = next(line for line in read(api, budget, "explanation")["lines"] if line["number"] == 1)
    assert [(one["cause"], money(one["amount"])) for one in sand["causes"]] == [
        ("quantity", Decimal("3321.00")), ("price", Decimal("1819.30") + 79 * 20), ("coding", Decimal("250.00")),
    ]  # fmt: skip


def test_months_beyond_any_plan_are_refused(api: Api) -> None:
    budget = a_season(api)
    for month in ("9999-12", "0000-01", "1799-12", "2300-01", "2026-13"):
        refused = api.get(f"/budgets/{budget['id']}/cash-flow", params={"through": month})
        assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (400, "through"), month


def test_half_the_sand_spread_is_half_the_money_earned(api: Api) -> None:
    budget = a_season(api)
    sand = budget["lines"][0]["id"]
    stated_figure = {
        "budget_line_id": sand, "stated_on": "2026-07-31", "to_complete": {"amount": "1000.00", "currency": "USD"},
        "reason": "One green is left",
    }  # fmt: skip
    api.created(f"/budgets/{budget['id']}/own-forecasts", stated_figure)
    report = read(api, budget, "forecast", method="own_figure")
    line = report["lines"][0]
    assert line["measured"] == "1,500 of 1,500 short tons on 2026-09-30 (100 %)"
    assert [money(line[name]) for name in ("planned", "earned", "cost")] == [
        Decimal("60750.00"), Decimal("60750.00"), Decimal("66140.30"),
    ]  # fmt: skip
    assert (line["cost_index"], line["schedule_index"]) == ("0.919", "1.000")
    by_method = {one["method"]: one["at_completion"] for one in line["forecasts"]}
    assert money(by_method["as_budgeted"]) == Decimal("66140.30")
    assert money(by_method["own_figure"]) == Decimal("67140.30")
    assert (line["method"], money(line["at_completion"])) == ("own_figure", Decimal("67140.30"))
    # Contingency has no own figure and no measure: it ends as budgeted.
    assert (report["lines"][1]["method"], report["unmeasured"]) == ("as_budgeted", 1)
    floor = read(api, budget, "forecast")["lines"][0]
    assert (money(floor["at_completion"]), floor["committed_floor"]) == (Decimal("66890.00"), True)


def test_cash_flow_ends_at_the_estimate_at_completion(api: Api) -> None:
    budget = a_season(api)
    for month in ("2026-07", "2026-08", "2026-09", "2026-10"):
        cash, forecast = (read(api, budget, report, through=month) for report in ("cash-flow", "forecast"))
        assert money(cash["months"][-1]["money_so_far"]) == money(forecast["total"]["at_completion"])
        assert money(cash["months"][-1]["planned_so_far"]) == Decimal("63787.50")
        assert money(cash["paid"]) == sum(money(one["paid"]) for one in cash["months"])


@pytest.mark.parametrize("report", REPORTS)
def test_every_face_says_the_same(api: Api, report: str) -> None:
    budget = a_season(api)
    path = f"/budgets/{budget['id']}/{report}?through=2026-10"
    table = list(csv.reader(io.StringIO(api.get(path, headers={"Accept": "text/csv"}).text)))
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    workbook = CalamineWorkbook.from_filelike(io.BytesIO(api.get(path, headers={"Accept": kind}).content))
    sheet = workbook.get_sheet_by_index(0).to_python()
    assert sheet[0] == [name.replace("_", " ") for name in table[0]]
    for of_csv, of_sheet in zip(table[1:], sheet[1:], strict=True):
        for text, cell in zip(of_csv, of_sheet, strict=True):
            if isinstance(cell, float):
                assert Decimal(text) == Decimal(str(cell))
            else:
                assert text == str(cell)
    assert len(workbook.sheet_names) == 2


@pytest.mark.parametrize("report", REPORTS)
def test_another_club_sees_nothing(api: Api, report: str) -> None:
    budget = a_season(api)
    other = api.of_new_club("stone-weir")
    assert other.get(f"/budgets/{budget['id']}/{report}").status_code == 404


def test_a_figure_that_cannot_be_is_refused(api: Api) -> None:
    budget = a_season(api)
    figure = {
        "budget_line_id": budget["id"], "stated_on": "2026-07-31", "reason": "x",
        "to_complete": {"amount": "1.00", "currency": "USD"},
    }  # fmt: skip
    path = f"/budgets/{budget['id']}/own-forecasts"
    refused = api.post(path, json=figure)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/budget_line_id")
    figure["budget_line_id"] = budget["lines"][0]["id"]
    wrong = figure | {"to_complete": {"amount": "-1.00", "currency": "USD"}, "stated_on": "2999-01-01"}
    assert [one["pointer"] for one in api.post(path, json=wrong).json()["faults"]] == [
        "/to_complete/amount", "/stated_on",
    ]  # fmt: skip
    assert api.get(path).json()["items"] == []
