"""Rows of a closed month that come later: they count in the first open month and are told as late."""

import io
from contextlib import closing
from itertools import count
from typing import Any
from uuid import UUID

from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger_factories import HEADER, a_budget, a_profile, a_rule, postings
from month_factories import WHY, a_row, closed, posted
from sqlalchemy import insert
from swardcost_api.ledger.importing import ImportOrder, post_export, read_export
from swardcost_api.ledger.service import posting_totals
from swardcost_api.ledger.tables import LedgerMonthRow
from swardcost_api.operations import CSV
from swardcost_api.storage.work import OPERATOR, Transactions

MARCH = a_row("2024-03-05", "100.00", "March")


def texts(api: Api, **query: str) -> list[str]:
    return [one["description"] for one in postings(api, **query)]


def test_a_late_row_counts_in_the_first_open_month_and_keeps_its_day(api: Api) -> None:
    posted(api, MARCH, a_row("2024-04-02", "7.00", "April"))
    closed(api, "2024-03")
    done = posted(api, MARCH, a_row("2024-03-31", "1.50", "Late"), a_row("2024-02-01", "2.50", "Later"))
    assert (done["rows_posted"], done["rows_known"], done["rows_late"]) == (2, 1, 2)
    late = postings(api, late="true")
    assert [(one["description"], one["posted_on"], one["month"], one["late"]) for one in late] == [
        ("Later", "2024-02-01", "2024-04", True),
        ("Late", "2024-03-31", "2024-04", True),
    ]
    assert texts(api, month="2024-03") == ["March"]
    assert texts(api, month="2024-04") == ["Later", "Late", "April"]
    assert texts(api, sort="-date") == ["April", "Late", "Later", "March"]
    assert texts(api, late="false") == ["March", "April"]
    assert texts(api, import_id=done["id"]) == ["Later", "Late"]
    assert api.get("/ledger/months/2024-04").json()["late_postings"] == 2
    assert api.get("/ledger/months/2024-03").json()["unchanged"]


def test_a_late_row_passes_over_every_closed_month_also_those_without_postings(api: Api) -> None:
    posted(api, MARCH, a_row("2024-12-02", "7.00", "December"))
    closed(api, "2024-03")
    closed(api, "2024-12")
    posted(api, a_row("2024-08-01", "1.00", "August"))
    assert [(one["month"], one["late"]) for one in postings(api, text="August")] == [("2025-01", True)]


def test_late_postings_stay_where_they_count_when_their_month_is_reopened(api: Api) -> None:
    posted(api, MARCH)
    closed(api, "2024-03")
    late = posted(api, a_row("2024-03-31", "1.50", "Late"))
    assert api.post("/ledger/months/2024-03/reopen", json={"reason": WHY}).status_code == 200
    assert (
        posted(api, a_row("2024-03-31", "1.50", "Late"), a_row("2024-03-30", "1.00", "New"))["rows_late"] == 0
    )
    assert {one["description"]: one["month"] for one in postings(api)} == {
        "March": "2024-03", "Late": "2024-04", "New": "2024-03"
    }  # fmt: skip
    assert api.post(f"/ledger/imports/{late['id']}/void", json={"reason": WHY}).status_code == 200
    assert sorted(texts(api)) == ["March", "New"]
    again = posted(api, a_row("2024-03-31", "1.50", "Late"))
    assert (again["rows_posted"], again["rows_late"]) == (1, 0)


def test_a_late_row_is_assigned_by_the_rules_like_any_other(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    a_rule(api, budget, sand, conditions={"account": "6410", "date_to": "2024-03-31"})
    posted(api, a_row("2024-03-05", "1.00", "Linen", "7010"))
    closed(api, "2024-03")
    assert posted(api, a_row("2024-03-31", "1.50", "Late"))["rows_assigned"] == 1
    assert texts(api, budget_line_id=sand, month="2024-04") == ["Late"]


_NUMBERS = count(1)
_ROWS = st.lists(
    st.tuples(st.sampled_from(["2024-01", "2024-02", "2024-03", "2024-05"]), st.integers(1, 3), st.integers(-2, 2)),
    max_size=10,
)  # fmt: skip


@settings(max_examples=10)
@given(rows=_ROWS, shut=st.sampled_from(["2024-01", "2024-02", "2024-04", "2024-05"]), cut=st.integers(0, 10))
def test_importing_twice_equals_once_with_a_month_closed_in_between(
    api: Api, rows: list[tuple[str, int, int]], shut: str, cut: int
) -> None:
    club = api.of_new_club(f"club-{next(_NUMBERS)}")
    order = ImportOrder(profile_id=UUID(a_profile(club)), filename="", media_type=CSV)
    transactions = Transactions(club.database, club.club, OPERATOR)

    def put_in(part: list[tuple[str, int, int]]) -> tuple[int, int, int]:
        file = HEADER + "".join(a_row(f"{of}-{day:02d}", f"{amount}.00") for of, day, amount in part)
        with (
            closing(read_export(transactions, io.BytesIO(file.encode()), order)) as read,
            transactions.writing(read.connection) as work,
        ):
            done = post_export(work, read)
        return done.rows_posted, done.rows_known, done.rows_late

    def totals() -> dict[Any, tuple[int, int]]:
        with transactions.reading() as work:
            return {(one.account, one.month): (one.amount_minor, one.count) for one in posting_totals(work)}

    first = put_in(rows[:cut])
    before = totals()
    with transactions.writing() as work:
        work.session.execute(
            insert(LedgerMonthRow).values(club_id=work.club_id, month=shut, closed=True, version=2)
        )
    assert put_in(list(reversed(rows[:cut])))[0] == 0
    assert totals() == before
    second = put_in(rows)
    assert first[0] + second[0] == len(rows)
    assert put_in(rows)[0] == 0
    after = totals()
    assert sum(number for _, number in after.values()) == len(rows)
    assert sum(amount for amount, _ in after.values()) == sum(100 * amount for *_, amount in rows)
    # What was closed stays as it was, whatever comes.
    for kept in (before, after):
        assert {k: v for k, v in kept.items() if k[1] <= shut} == {
            k: v for k, v in before.items() if k[1] <= shut
        }
    assert second[2] == sum(of <= shut for of, *_ in rows) - sum(of <= shut for of, *_ in rows[:cut])
