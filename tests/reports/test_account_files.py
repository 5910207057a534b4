"""Files for the accounts: what is written in a club's layout reads back as the same money."""

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from swardcost_api.engine.control.ledger_rows import amount_reader, day_reader
from test_control_reports import a_season, money

LAYOUTS = "/account-layouts"
Document = dict[str, Any]


def columns(*fields: str) -> list[Document]:
    return [{"header": field.title(), "field": field} for field in fields]


def a_layout(api: Api, content: str, *fields: str, **more: Any) -> Document:
    return api.created(
        LAYOUTS, {"name": f"{content} file", "content": content, "columns": columns(*fields)} | more
    )


def a_file(api: Api, budget: Document, layout: Document, accept: str = "application/json") -> Any:
    path = f"/budgets/{budget['id']}/account-file"
    query = {"layout_id": layout["id"], "through": "2026-10"}
    response = api.get(path, params=query, headers={"Accept": accept})
    assert response.status_code == 200, response.text
    return response.json() if accept == "application/json" else response.content


def test_the_budget_by_account_and_month_reads_back(api: Api) -> None:
    budget = a_season(api)
    layout = a_layout(
        api, "budget", "account", "date", "amount", delimiter=";", decimal_mark=",", date_format="DD.MM.YYYY",
        encoding="utf-16", sign="credits_positive",
    )  # fmt: skip
    file = a_file(api, budget, layout)
    assert money(file["debits"]) - money(file["credits"]) == Decimal("63787.50")
    rows = list(
        csv.reader(io.StringIO(a_file(api, budget, layout, "text/csv").decode("utf-16")), delimiter=";")
    )
    assert rows[0] == ["Account", "Date", "Amount"]
    assert rows[1:] == file["rows"]
    read_day, read_amount = day_reader("DD.MM.YYYY"), amount_reader(",", "USD")
    back: dict[tuple[str, str], int] = {}
    for account, day, amount in rows[1:]:
        assert (account, read_day(day)[:7]) not in back
        back[account, read_day(day)[:7]] = -read_amount(amount)
    state = api.get(f"/budgets/{budget['id']}").json()
    planned: dict[tuple[str, str], int] = {}
    for line in state["lines"]:
        for month in line["months"]:
            key = (line["account"], month["month"])
            planned[key] = planned.get(key, 0) + int(money(month["amount"]) * 100)
    assert back == {key: amount for key, amount in planned.items() if amount}


def test_a_budget_file_imports_as_postings_of_the_same_money(api: Api) -> None:
    budget = a_season(api)
    layout = a_layout(api, "budget", "account", "date", "description", "debit", "credit", "line")
    profile = api.created(
        "/ledger/profiles",
        {"name": "Back", "columns": {"date": "Date", "account": "Account", "description": "Description",
                                     "debit": "Debit", "credit": "Credit", "reference": "Line"}},
    )["id"]  # fmt: skip
    other = api.of_new_club("stone-weir")
    made = api.upload(
        "/ledger/imports/upload", a_file(api, budget, layout, "text/csv"), params={"profile_id": profile}
    )
    assert made.status_code == 201, made.text
    assert money(made.json()["debits"]) == Decimal("63787.50")
    assert other.get(LAYOUTS).json()["items"] == []


def test_accruals_are_reversed_on_the_first_of_the_next_month(api: Api) -> None:
    budget = a_season(api)
    layout = a_layout(
        api, "accruals", "account", "date", "amount", "kind", "vendor", "commitment", reverse_next_month=True,
        month_format="MM",
    )  # fmt: skip
    rows = a_file(api, budget, layout)["rows"]
    vendor = "Alder Creek Sand and Gravel"
    assert rows == [
        ["1520-10", "2026-10-31", "6589.03", "retainage held", vendor, "PO-1"],
        ["1520-10", "2026-11-01", "-6589.03", "retainage held, reversed", vendor, "PO-1"],
    ]


def test_open_commitments_stand_in_the_month_they_are_expected(api: Api) -> None:
    budget = a_season(api)
    layout = a_layout(api, "commitments", "account", "month", "amount", "commitment", header=False)
    file = a_file(api, budget, layout)
    assert (file["header"], file["rows"]) == ([], [["1520-10", "2026-09", "749.70", "PO-1"]])


@pytest.mark.parametrize(
    "wrong",
    [
        {"columns": columns("date", "amount")},
        {"columns": columns("account", "date", "amount", "debit", "credit")},
        {"columns": columns("account", "date", "debit")},
        {"columns": columns("account", "amount")},
        {"columns": columns("account", "date", "amount", "vendor")},
        {"columns": [*columns("account", "date", "amount"), {"header": "ACCOUNT", "field": "currency"}]},
        {"columns": [*columns("account", "date", "amount"), {"header": "Fund", "field": "text"}]},
        {"reverse_next_month": True},
        {"columns": columns("account", "date", "debit", "credit"), "sign": "credits_positive"},
    ],
)
def test_layouts_that_say_too_little_or_too_much_are_refused(api: Api, wrong: Document) -> None:
    body = {"name": "Odd", "content": "budget", "columns": columns("account", "date", "amount")} | wrong
    refused = api.post(LAYOUTS, json=body)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")
    assert api.get(LAYOUTS).json()["items"] == []


def test_layouts_are_edited_and_deleted_and_stay_within_their_club(api: Api) -> None:
    layout = a_layout(api, "budget", "account", "month", "amount")
    path = f"{LAYOUTS}/{layout['id']}"
    assert (
        api.post(LAYOUTS, json={k: v for k, v in layout.items() if k not in ("id", "version")}).status_code
        == 409
    )
    change = {k: v for k, v in layout.items() if k not in ("id", "version")} | {"month_format": "MM/YYYY"}
    assert api.put(path, json=change, headers={"If-Match": '"7"'}).status_code == 412
    edited = api.put(path, json=change, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["month_format"]) == (200, "MM/YYYY")
    assert api.of_new_club("stone-weir").get(path).status_code == 404
    assert api.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(path).status_code == 404


def test_a_text_that_the_encoding_cannot_hold_is_named_and_not_replaced(api: Api) -> None:
    budget = a_season(api)
    line = {
        "number": 1, "budget_line_id": budget["lines"][0]["id"], "description": "Kamień", "quantity": "1",
        "unit": "short_ton", "unit_price": "5", "expected_month": "2026-11",
    }  # fmt: skip
    api.created(
        "/commitments",
        {"number": "PO-9", "kind": "purchase_order", "vendor": "Żwir", "budget_id": budget["id"], "title": "Stone",
         "signed_on": "2026-07-20", "lines": [line]},
    )  # fmt: skip
    fields = ("account", "amount", "vendor", "commitment")
    layout = a_layout(api, "commitments", *fields, encoding="windows-1252")
    query = {"layout_id": layout["id"], "through": "2026-10"}
    path = f"/budgets/{budget['id']}/account-file"
    refused = api.get(path, params=query, headers={"Accept": "text/csv"})
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/invalid-values")
    assert [(one["pointer"], one["got"]) for one in refused.json()["faults"]] == [("line 3", "Ż")]
    whole = a_layout(api, "commitments", *fields, name="In full")
    assert "Żwir" in a_file(api, budget, whole, "text/csv").decode()
