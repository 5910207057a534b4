"""The trial balance of a month and the reconciliation with it, through the API."""

from typing import Any

import httpx
import pytest
from conftest import Api
from ledger_factories import a_budget, audit_of
from month_factories import a_row, acted, closed, halves, posted, refused, stated, the_posting

MONTH = "/ledger/months/2024-03"
LINES = [{"account": "6410", "debit": "120.00", "credit": "20.00"}, {"account": "7010", "balance": "-5.5"}]


def body(lines: list[dict[str, str]] = LINES, **more: Any) -> dict[str, Any]:
    return {"basis": "movement", "currency": "USD", "lines": lines} | more


def put(api: Api, document: dict[str, Any], version: int = 1) -> httpx.Response:
    return api.put(f"{MONTH}/trial-balance", json=document, headers={"If-Match": f'"{version}"'})


def send(api: Api, file: str, **query: str) -> httpx.Response:
    return api.upload(f"{MONTH}/trial-balance/upload", file, params={"basis": "movement"} | query)


def moved(answer: httpx.Response) -> dict[str, str]:
    assert answer.is_success, answer.text
    return {one["account"]: one["movement"]["amount"] for one in answer.json()["accounts"]}


def test_a_trial_balance_states_what_each_account_moved_by(api: Api) -> None:
    assert api.get(f"{MONTH}/trial-balance").status_code == 404
    answer = put(api, body(source="Trial balance of 31 March"))
    assert moved(answer) == {"6410": "100.00", "7010": "-5.50"}
    document = answer.json()
    assert (document["total"]["amount"], document["version"], document["stated_by"]) == ("94.50", 2, "Owner")
    assert answer.headers["etag"].startswith('"2')
    assert api.get(f"{MONTH}/trial-balance").json() == document
    assert api.get(MONTH).json()["version"] == 2
    assert moved(put(api, body(LINES[:1]), version=2)) == {"6410": "100.00"}
    told = audit_of(api, "trial_balance", "2024-03")[0]
    assert (told["before"]["accounts"], told["after"]["accounts"]) == (2, 1)


def test_closing_balances_move_by_what_they_grew_from_the_opening_ones(api: Api) -> None:
    lines = [
        {"account": "6410", "balance": "1100.00", "opening": "1000.00"},
        {"account": "2000", "credit": "700.00", "opening": "-800.00"},
    ]
    answer = put(api, body(lines, basis="closing_balance"))
    assert moved(answer) == {"6410": "100.00", "2000": "100.00"}
    assert [(one["opening"]["amount"], one["closing"]["amount"]) for one in answer.json()["accounts"]] == [
        ("1000.00", "1100.00"),
        ("-800.00", "-700.00"),
    ]


@pytest.mark.parametrize(
    ("document", "status", "pointer"),
    [
        (body([{"account": "1"}]), 400, "/lines/0"),
        (body([{"account": "1", "debit": "1", "balance": "1"}]), 400, "/lines/0"),
        (body([{"account": "1", "debit": "-1"}]), 400, "/lines/0/debit"),
        (body([{"account": "1", "debit": "1"}, {"account": "1", "credit": "1"}]), 400, ""),
        (body([{"account": "1", "balance": "1", "opening": "1"}]), 400, ""),
        (body([{"account": "1", "balance": "1"}], basis="closing_balance"), 400, ""),
        (body([]), 400, "/lines"),
        (body([{"account": "1", "balance": "1.005"}]), 422, "/lines/0/balance"),
        (body(currency="EUR"), 422, "/currency"),
    ],
)  # fmt: skip
def test_a_trial_balance_that_cannot_be_used_is_refused(
    api: Api, document: dict[str, Any], status: int, pointer: str
) -> None:
    refusal = put(api, document)
    assert (refusal.status_code, [one["pointer"] for one in refusal.json()["faults"]]) == (status, [pointer])
    assert api.get(f"{MONTH}/trial-balance").status_code == 404


def test_it_is_stated_against_a_version_by_who_keeps_the_books(api: Api) -> None:
    assert put(api, body(), version=2).status_code == 412
    assert api.put(f"{MONTH}/trial-balance", json=body()).status_code == 428
    assert put(api.as_role("committee"), body()).status_code == 403
    put(api, body())
    assert put(api, body(LINES[:1])).status_code == 412
    assert api.of_new_club("stone-weir").get(f"{MONTH}/trial-balance").status_code == 404
    assert put(api, body(), version=2).status_code == 200


def test_it_is_uploaded_as_csv_with_balances_or_two_columns(api: Api) -> None:
    first = send(
        api, 'account,debit,credit\n6410,"1,120.00",20\n7010,,(0.00)\n1000,0,5.50\n', source="Books of March"
    )
    assert moved(first) == {"6410": "1100.00", "7010": "0.00", "1000": "-5.50"}
    assert (first.status_code, first.json()["source"]) == (201, "Books of March")
    refused(send(api, "account,balance\n6410,1\n"))
    balances = "opening,balance,account\n1000.00,1100.00,6410\n(800.00),-700,2000\n"
    second = send(api, balances, basis="closing_balance", replace="true")
    assert moved(second) == {"6410": "100.00", "2000": "100.00"}


def test_rows_of_a_file_that_cannot_be_used_are_refused_together(api: Api) -> None:
    file = (
        "account,debit,credit,balance,opening\n6410,1,,,\n6410,1,,,\n,1,,,\n7010,x,,,\n7020,-1,,,\n7030,,,,\n"
        "7040,1,,1,\n7050,1,,,5\n7060,1.005,,,\n"
    )
    answer = refused(send(api, file), 422, "bad-rows")
    assert [one["pointer"] for one in answer["faults"]] == [
        "row 3, account", "row 4, account", "row 5, debit", "row 6, debit", "row 7, balance", "row 8, balance",
        "row 9, opening", "row 10, debit",
    ]  # fmt: skip
    refused(send(api, "account,debit\n"), 422, "bad-rows")
    refused(send(api, "account,amount\n1,1\n"), 400, "invalid-csv")
    assert api.get(f"{MONTH}/trial-balance").status_code == 404


def test_the_trial_balance_of_a_closed_month_stays(api: Api) -> None:
    posted(api, a_row("2024-03-05", "10.00"))
    closed(api, "2024-03")
    version = api.get(MONTH).json()["version"]
    assert refused(put(api, body(), version=version))["month"] == "2024-03"
    refused(send(api, "account,debit\n6410,1\n", replace="true"))
    assert moved(api.get(f"{MONTH}/trial-balance")) == {"1": "0.00", "6410": "10.00"}


@pytest.mark.parametrize("month", ["2024-13", "x", "2024-3", "0000-01", "2024-03-01"])
def test_what_is_no_month_is_not_there(api: Api, month: str) -> None:
    for path in ("", "/trial-balance", "/reconciliation", "/history"):
        assert api.get(f"/ledger/months/{month}{path}").status_code == 404
    assert api.post(f"/ledger/months/{month}/close", json={}).status_code == 404


def test_a_month_is_reconciled_account_by_account(api: Api) -> None:
    _, lines = a_budget(api)
    posted(
        api, a_row("2024-03-05", "100.00"), a_row("2024-03-06", "20.00"), a_row("2024-03-07", "7.50", "Linen", "7010"),
        a_row("2024-04-01", "900.00", "April"), a_row("2024-03-09", "4.00", "Fuel", "7300"),
    )  # fmt: skip
    before = api.get(f"{MONTH}/reconciliation").json()
    assert (before["trial_balance"], before["stated"], before["difference"]) == (False, None, None)
    assert [(one["account"], one["difference"], one["only_in"]) for one in before["accounts"]] == [
        (account, None, None) for account in ("6410", "7010", "7300")
    ]
    acted(api, the_posting(api, "Fuel"), "split", shares=halves(*lines))
    stated(api, "2024-03", a6410="120.00", a7010="7.00", a1000="-127.00")
    found = api.get(f"{MONTH}/reconciliation").json()
    assert [(one["account"], one["difference"]["amount"], one["only_in"]) for one in found["accounts"]] == [
        ("1000", "127.00", "trial_balance"),
        ("6410", "0.00", None),
        ("7010", "0.50", None),
        ("7300", "4.00", "ledger"),
    ]
    assert (found["ledger"]["amount"], found["stated"]["amount"], found["difference"]["amount"]) == (
        "131.50",
        "0.00",
        "131.50",
    )
    assert (found["differing"], found["unassigned_postings"], found["status"]) == (3, 3, "open")
