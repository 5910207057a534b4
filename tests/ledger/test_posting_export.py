"""The postings as one file: every one of them once, parts of split ones, and sums to check it by."""

import csv
import io
from decimal import Decimal
from typing import Any

import anyio
import pytest
from conftest import Api
from ledger_factories import HEADER, REFUND, SAND, SOD, a_budget, a_profile, imported, postings
from swardcost_api.web.streaming import MOST_AT_ONCE, Streams
from swardcost_model.problems import ProblemError

EXPORT = "/ledger/postings/export"


def rows_of(api: Api, **query: str) -> list[dict[str, str]]:
    response = api.get(EXPORT, params=query, headers={"Accept": "text/csv"})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(response.text)))


def counted(api: Api, **query: str) -> dict[str, Any]:
    document: dict[str, Any] = api.get(EXPORT, params=query).json()
    return document


def test_every_posting_is_in_the_file_once_and_sums_to_what_is_told(api: Api) -> None:
    many = "".join(
        f"2026-05-{day:02d},6410,Seed {row},{row}.25,,S-{row}\r\n"
        for day in range(1, 31)
        for row in range(90)
    )
    imported(api, a_profile(api), HEADER + SAND + SOD + REFUND + many)
    rows = rows_of(api)
    assert len(rows) == 3 + 30 * 90
    assert len({row["id"] for row in rows}) == len(rows)
    assert [row["month"] for row in rows] == sorted(row["month"] for row in rows)
    told = counted(api)
    amounts = [Decimal(row["amount"]) for row in rows]
    assert told["postings"] == len(rows)
    assert Decimal(told["debits"]["amount"]) == sum(one for one in amounts if one > 0)
    assert Decimal(told["credits"]["amount"]) == -sum(one for one in amounts if one < 0) == Decimal("24.00")
    assert Decimal(told["net"]["amount"]) == sum(amounts)
    assert len(rows_of(api, month="2026-03")) == counted(api, month="2026-03")["postings"] == 2
    assert {row["account"] for row in rows_of(api, account="1520-10")} == {"1520-10"}


def test_a_split_posting_has_a_row_for_each_part(api: Api) -> None:
    _, lines = a_budget(api)
    imported(api, a_profile(api), HEADER + SAND + SOD)
    (sand,) = [one for one in postings(api) if one["description"] == "Topdressing sand"]
    parts = [
        {"budget_line_id": lines[0], "amount": {"amount": "900.00", "currency": "USD"}},
        {"budget_line_id": lines[1], "amount": {"amount": "24.00", "currency": "USD"}},
    ]
    response = api.post(
        f"/ledger/postings/{sand['id']}/split", json={"amounts": parts, "reason": "Two lines"}
    )
    assert response.status_code == 200, response.text
    rows = [row for row in rows_of(api) if row["id"] == sand["id"]]
    assert [(row["part"], row["amount"], row["budget_line_id"]) for row in rows] == [
        ("1", "900.00", lines[0]), ("2", "24.00", lines[1]),
    ]  # fmt: skip
    assert counted(api)["postings"] == 2


def test_what_begins_a_formula_is_guarded_and_another_club_has_none(api: Api) -> None:
    imported(api, a_profile(api), HEADER + '2026-03-02,6410,"=1+1",1.00,@home,-7\r\n')
    (row,) = rows_of(api)
    assert (row["description"], row["vendor"], row["reference"]) == ("'=1+1", "'@home", "'-7")
    assert rows_of(api.of_new_club("heath")) == []
    answer = api.get(EXPORT, params={"month": "2026-13"}, headers={"Accept": "text/csv"})
    assert (answer.status_code, answer.headers["content-type"]) == (400, "application/problem+json")
    assert api.get(EXPORT, headers={"Accept": "text/csv", "Authorization": "Bearer no"}).status_code == 401


def test_only_so_many_are_sent_at_once_and_each_gives_its_place_back() -> None:
    anyio.run(_fill_all_places)


async def _fill_all_places() -> None:
    closed = []

    def pieces(name: str) -> Any:
        try:
            yield "a"
            yield "b"
        finally:
            closed.append(name)

    limiter, streams = anyio.CapacityLimiter(4), Streams()
    answers = [
        await streams.response(pieces(str(one)), "text/csv", {}, limiter) for one in range(MOST_AT_ONCE)
    ]
    with pytest.raises(ProblemError) as refused:
        await streams.response(pieces("late"), "text/csv", {}, limiter)
    assert refused.value.kind.slug == "unavailable"
    for answer in answers:
        assert [piece async for piece in answer.iterator] == [b"a", b"b"]
    assert (streams.open, sorted(closed)) == (0, ["0", "1"])
    assert await streams.response(pieces("again"), "text/csv", {}, limiter)
