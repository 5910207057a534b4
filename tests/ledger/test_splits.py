"""Splitting a posting over budget lines by hand, through the API."""

from decimal import Decimal
from typing import Any

import pytest
from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger_factories import a_budget, audit_of, postings
from month_factories import a_row, act, acted, amounts, halves, parts, posted, refused, the_posting
from swardcost_api.ledger.service import posting_totals
from swardcost_api.storage.work import OPERATOR, UnitOfWork

NOBODY = "00000000-0000-7000-8000-000000000000"


def totals(api: Api) -> dict[tuple[str | None, str], tuple[int, int]]:
    """The sum and number of postings and parts by line and month."""
    with api.database.reading() as session:
        return {
            (str(one.budget_line_id) if one.budget_line_id else None, one.month): (
                one.amount_minor,
                one.count,
            )
            for one in posting_totals(UnitOfWork(session, api.club, OPERATOR))
        }


def test_a_posting_is_split_by_amounts_and_says_who_did_it_when_and_why(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.01"))
    split = acted(api, the_posting(api, "Sand"), "split", amounts=amounts(**{sand: "60.00", sod: "40.01"}))
    assert parts(split) == [(sand, "60.00"), (sod, "40.01")]
    assert [one["percent"] for one in split["parts"]] == [None, None]
    assert (split["budget_line_id"], split["rule_id"], split["assigned_by"]) == (None, None, "hand")
    assert (split["decision"]["by"], split["decision"]["reason"]) == (
        "Owner",
        "As agreed with the superintendent",
    )
    assert split["decision"]["at"][:4] == str(api.clock().year)
    assert the_posting(api, "Sand") == split
    told = audit_of(api, "posting")[0]
    assert (told["action"], told["after"]["parts"]) == ("split", split["parts"])


def test_a_posting_is_split_by_shares_to_the_cent(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "-100.01"))
    shares = halves(sand, sod, percent=("33.333333", "66.666667"))
    split = acted(api, the_posting(api, "Sand"), "split", shares=shares)
    assert parts(split) == [(sand, "-33.34"), (sod, "-66.67")]
    assert [one["percent"] for one in split["parts"]] == ["33.333333", "66.666667"]


def test_the_parts_count_for_their_lines_in_totals_and_lists(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(
        api,
        a_row("2024-03-05", "100.01"),
        a_row("2024-03-06", "7.00", "Whole"),
        a_row("2024-03-07", "9", "None"),
    )
    acted(api, the_posting(api, "Whole"), "assign", budget_line_id=sand)
    acted(api, the_posting(api, "Sand"), "split", shares=halves(sand, sod))
    month = "2024-03"
    assert totals(api) == {(sand, month): (5701, 2), (sod, month): (5000, 1), (None, month): (900, 1)}
    assert [one["description"] for one in postings(api, budget_line_id=sand)] == ["Sand", "Whole"]
    assert [one["description"] for one in postings(api, budget_line_id=sod)] == ["Sand"]
    assert [one["description"] for one in postings(api, unassigned="true")] == ["None"]
    assert [one["description"] for one in postings(api, unassigned="false")] == ["Sand", "Whole"]
    page = api.get("/ledger/postings", params={"budget_line_id": sand, "limit": 1}).json()
    rest = api.get("/ledger/postings", params={"budget_line_id": sand, "cursor": page["next"]}).json()
    assert [one["description"] for one in page["items"] + rest["items"]] == ["Sand", "Whole"]


def test_a_split_posting_is_made_whole_split_anew_or_assigned(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.01"))
    posting = the_posting(api, "Sand")
    refused(act(api, posting, "unsplit"))
    acted(api, posting, "split", shares=halves(sand, sod))
    again = acted(api, posting, "split", amounts=amounts(**{sod: "100.00", sand: "0.01"}))
    assert parts(again) == [(sod, "100.00"), (sand, "0.01")]
    whole = acted(api, posting, "unsplit")
    assert (whole["parts"], whole["budget_line_id"], whole["assigned_by"]) == ([], None, "hand")
    assert totals(api) == {(None, "2024-03"): (10001, 1)}
    acted(api, posting, "split", shares=halves(sand, sod))
    assert acted(api, posting, "assign", budget_line_id=sand)["parts"] == []
    assert totals(api) == {(sand, "2024-03"): (10001, 1)}


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"amounts": {"sand": "60.00", "sod": "40.00"}}, 422, "/amounts"),
        ({"amounts": {"sand": "160.01", "sod": "-60.00"}}, 422, "/amounts/1/amount/amount"),
        ({"amounts": {"sand": "100.01", "sod": "0.00"}}, 422, "/amounts/1/amount/amount"),
        ({"amounts": {"sand": "60.005", "sod": "40.005"}}, 422, "/amounts/0/amount/amount"),
        ({"amounts": {"sand": "100.01"}}, 400, "/amounts"),
        ({"amounts": {"sand": "60.00", NOBODY: "40.01"}}, 422, "/amounts/1/budget_line_id"),
        ({"shares": {"sand": "50", NOBODY: "50"}}, 422, "/shares/1/budget_line_id"),
        ({"shares": {"sand": "50", "sod": "49.999999"}}, 400, "/shares"),
        ({"shares": {"sand": "100", "sod": "0"}}, 400, "/shares/1/percent"),
        ({"shares": {"sand": "50", "sod": "50"}, "amounts": {"sand": "60.00", "sod": "40.01"}}, 400, ""),
        ({}, 400, ""),
    ],
)  # fmt: skip
def test_a_split_that_is_none_is_refused(api: Api, body: dict[str, Any], status: int, pointer: str) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.01"))
    posting = the_posting(api, "Sand")
    lines = {"sand": sand, "sod": sod}
    named = {
        way: [
            {"budget_line_id": lines.get(line, line)}
            | ({"percent": value} if way == "shares" else {"amount": {"amount": value, "currency": "USD"}})
            for line, value in by_line.items()
        ]
        for way, by_line in body.items()
    }
    response = act(api, posting, "split", **named)
    problem = "invalid-values" if status == 422 else "invalid-request"
    assert [one["pointer"] for one in refused(response, status, problem)["faults"]] == [pointer]
    assert the_posting(api, "Sand") == posting
    assert audit_of(api, "posting") == []


def test_a_line_stands_once_in_a_split_and_amounts_are_in_the_clubs_currency(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.01"))
    posting = the_posting(api, "Sand")
    assert act(api, posting, "split", shares=halves(sand, sand)).status_code == 400
    foreign = amounts(**{sand: "60.00", sod: "40.01"})
    foreign[1]["amount"]["currency"] = "EUR"
    fault = refused(act(api, posting, "split", amounts=foreign), 422, "invalid-values")["faults"][0]
    assert fault["pointer"] == "/amounts/1/amount/currency"


def test_only_who_keeps_the_books_of_the_club_splits(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.01"))
    posting = the_posting(api, "Sand")
    assert act(api.as_role("superintendent"), posting, "split", shares=halves(sand, sod)).status_code == 403
    stranger = api.of_new_club("stone-weir")
    assert act(stranger, posting, "split", shares=halves(sand, sod)).status_code == 404
    _, foreign = a_budget(stranger)
    assert act(api, posting, "split", shares=halves(*foreign)).status_code == 422
    assert the_posting(api, "Sand") == posting


@settings(max_examples=15)
@given(cents=st.integers(-(10**9), 10**9), cut=st.integers(1, 10**8 - 1))
def test_the_parts_of_a_split_sum_to_the_posting(api: Api, cents: int, cut: int) -> None:
    known = api.get("/budgets").json()["items"]
    budget = known[0]["id"] if known else a_budget(api)[0]
    lines = [line["id"] for line in api.get(f"/budgets/{budget}").json()["lines"]]
    text = f"Sand {cents} {cut}"
    posted(api, a_row("2024-03-05", f"{Decimal(cents) / 100:.2f}", text))
    percent = Decimal(cut) / 10**6
    shares = halves(*lines, percent=(f"{percent:f}", f"{100 - percent:f}"))
    split = acted(api, postings(api, text=text)[0], "split", shares=shares)
    assert sum(Decimal(amount) for _, amount in parts(split)) == Decimal(split["amount"]["amount"])
