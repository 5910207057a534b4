"""Importing exports through the API: what is posted, once, and what is said about it."""

import csv
import io
from collections import Counter
from contextlib import closing
from typing import Any
from uuid import UUID

import pytest
from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger_factories import (
    COLUMNS,
    HEADER,
    REFUND,
    SAND,
    SOD,
    a_profile,
    audit_of,
    imported,
    postings,
    send,
)
from sqlalchemy import delete
from swardcost_api.ledger.importing import ImportOrder, post_export, read_export
from swardcost_api.ledger.service import posting_totals
from swardcost_api.ledger.tables import ControlTotalRow, ImportRow, PostingRow
from swardcost_api.operations import CSV
from swardcost_api.storage.work import OPERATOR, Transactions, UnitOfWork


def what_is_posted(api: Api) -> list[Any]:
    return [{k: v for k, v in one.items() if k != "import_id"} for one in postings(api)]


def test_an_import_posts_every_row_and_adds_them_up(api: Api) -> None:
    done = imported(api, a_profile(api), HEADER + REFUND + SAND + SOD, filename="ledger-03.csv")
    assert (done["status"], done["filename"], done["repeated"]) == ("posted", "ledger-03.csv", False)
    assert (done["rows_read"], done["rows_posted"], done["rows_known"], done["rows_bad"]) == (3, 3, 0, 0)
    assert done["debits"] == {"amount": "2174.50", "currency": "USD"}
    assert done["credits"] == {"amount": "24.00", "currency": "USD"}
    assert (done["first_date"], done["last_date"], done["actor"]) == ("2026-03-02", "2026-04-01", "Owner")
    assert api.get(f"/ledger/imports/{done['id']}").json() == {
        k: v for k, v in done.items() if k != "repeated"
    }
    first = postings(api)[0]
    assert (first["row"], first["posted_on"], first["month"], first["account"]) == (
        3,
        "2026-03-02",
        "2026-03",
        "1520-10",
    )
    assert first["amount"] == {"amount": "924.00", "currency": "USD"}
    assert (first["vendor"], first["reference"], first["journal_id"]) == ("Alder Creek", "T-101", None)
    assert first["raw"] == SAND.strip()
    assert api.get(f"/ledger/postings/{first['id']}").json() == first
    assert [one["action"] for one in audit_of(api, "import")] == ["import"]


def test_equal_rows_of_one_file_are_as_many_postings(api: Api) -> None:
    profile = a_profile(api)
    assert imported(api, profile, HEADER + SAND + SOD + SAND)["rows_posted"] == 3
    assert imported(api, profile, HEADER + SAND)["rows_known"] == 1
    more = imported(api, profile, HEADER + SAND + SAND + SAND)
    assert (more["rows_posted"], more["rows_known"]) == (1, 2)
    assert Counter(one["description"] for one in postings(api)) == {
        "Topdressing sand": 3,
        "Sod for 7 green": 1,
    }


def test_a_file_that_overlaps_another_adds_only_what_is_new(api: Api) -> None:
    profile = a_profile(api)
    imported(api, profile, HEADER + SAND + SOD)
    second = imported(api, profile, HEADER + SOD + REFUND)
    assert (second["rows_posted"], second["rows_known"]) == (1, 1)
    assert second["debits"]["amount"] == "1250.50"
    assert len(postings(api)) == 3
    assert [one["description"] for one in postings(api, import_id=second["id"])] == ["Sand returned"]


def test_the_very_same_file_gives_the_earlier_import_again(api: Api) -> None:
    profile = a_profile(api)
    first = imported(api, profile, HEADER + SAND + SOD)
    before = postings(api)
    again = send(api, profile, HEADER + SAND + SOD)
    assert (again.status_code, again.json()["id"], again.json()["repeated"]) == (201, first["id"], True)
    assert (again.json()["rows_posted"], again.json()["rows_known"]) == (0, 2)
    assert again.headers["location"].endswith(f"/ledger/imports/{first['id']}")
    assert postings(api) == before
    assert len(api.get("/ledger/imports").json()["items"]) == 1
    assert len(audit_of(api, "import")) == 1


def test_the_same_rows_laid_out_differently_are_the_same_postings(api: Api) -> None:
    imported(api, a_profile(api), HEADER + SAND + SOD + REFUND)
    columns = {k: v for k, v in COLUMNS.items() if k != "amount"} | {"debit": "Soll", "credit": "Haben"}
    other = a_profile(
        api, "Two columns", columns=columns, delimiter=";", encoding="windows-1252", decimal_mark=",",
        date_format="DD.MM.YYYY", header_row=3,
    )  # fmt: skip
    file = (
        'Ledger "detail"\r\n\r\nReference;Vendor;DESCRIPTION;Account;Date;Haben;Soll;Ignored\r\n'
        "T-101;Alder Creek; Topdressing sand ;1520-10;2.3.2026;;924,00;x\r\n"
        "T-102;Briar Hill;Sod for 7 green;1520-20;05.03.2026;;1.250,50;y\r\n"
        "T-103;Alder Creek;Sand returned;1520-10;01.04.2026;24;;ü\r\n"
    ).encode("windows-1252")
    done = imported(api, other, file)
    assert (done["rows_posted"], done["rows_known"]) == (0, 3)


def test_bad_rows_are_left_out_and_kept_with_the_import_when_asked(api: Api) -> None:
    profile = a_profile(api)
    file = HEADER + SAND + "2026-02-30,,Nothing,12.345,,\r\n" + "too,few\r\n" + SOD
    done = imported(api, profile, file, good_rows_only="true")
    assert (done["status"], done["rows_read"], done["rows_posted"], done["rows_bad"]) == (
        "partly_posted",
        4,
        2,
        2,
    )
    path = f"/ledger/imports/{done['id']}/faults"
    first = api.get(path, params={"limit": 3}).json()
    rest = api.get(path, params={"limit": 3, "cursor": first["next"]}).json()
    faults = [(one["row"], one["column"], one["got"]) for one in first["items"] + rest["items"]]
    assert faults == [
        (3, "date", "2026-02-30"), (3, "account", None), (3, "amount", "12.345"), (4, None, "2 cells")
    ]  # fmt: skip
    again = imported(api, profile, file, good_rows_only="true")
    assert (again["repeated"], again["rows_posted"]) == (True, 0)
    assert send(api, profile, file).json()["type"] == "/problems/bad-rows"
    assert len(postings(api)) == 2


def test_whole_batches_of_bad_rows_are_left_out(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("swardcost_api.ledger.sorting.BATCH_ROWS", 2)
    bad = "x,,y,z,,\r\n"
    done = imported(api, a_profile(api), HEADER + bad * 4 + SAND + bad * 3, good_rows_only="true")
    assert (done["rows_posted"], done["rows_bad"]) == (1, 7)
    only_bad = imported(api, a_profile(api, "Other"), HEADER + bad * 2, good_rows_only="true")
    assert (only_bad["status"], only_bad["rows_posted"], only_bad["first_date"]) == ("partly_posted", 0, None)


def test_of_very_many_faults_the_first_are_kept_and_all_bad_rows_counted(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("swardcost_api.ledger.sorting.BATCH_ROWS", 4)
    monkeypatch.setattr("swardcost_api.ledger.sorting.MAX_FAULTS_KEPT", 20)
    done = imported(api, a_profile(api), HEADER + "x,,y,z,,\r\n" * 50 + SAND, good_rows_only="true")
    assert (done["rows_read"], done["rows_posted"], done["rows_bad"]) == (51, 1, 50)
    faults = api.get(f"/ledger/imports/{done['id']}/faults", params={"limit": 200}).json()["items"]
    assert [(one["row"], one["column"]) for one in faults] == [
        (2 + n // 3, ("date", "account", "amount")[n % 3]) for n in range(20)
    ]


def test_quoted_line_breaks_byte_order_marks_and_blank_rows_are_read(api: Api) -> None:
    file = (
        "\ufeff" + HEADER + ',,,,,\r\n\r\n2026-03-02,1520-10,"Sand,\r\n3 loads of ""fine""",1.5,,\r\n' + SOD
    )
    for encoding in ("utf-8", "utf-16-le"):
        done = imported(
            api, a_profile(api, encoding, encoding=encoding[:6].rstrip("-")), file.encode(encoding)
        )
        assert done["rows_read"] == 2
    first, second = postings(api)
    assert first["description"] == 'Sand, 3 loads of "fine"'
    assert first["raw"] == '2026-03-02,1520-10,"Sand,\r\n3 loads of ""fine""",1.5,,'
    assert (first["row"], second["row"]) == (4, 5)


def test_a_header_without_rows_is_an_import_of_nothing(api: Api) -> None:
    done = imported(api, a_profile(api), HEADER)
    assert (done["rows_read"], done["first_date"], done["debits"]["amount"]) == (0, None, "0.00")
    assert postings(api, import_id=done["id"]) == []


def test_totals_hold_every_posting_of_the_club_and_of_no_other(api: Api) -> None:
    imported(api, a_profile(api), HEADER + SAND + SAND + REFUND)
    other = api.of_new_club("stone-weir")
    assert imported(other, a_profile(other), HEADER + SAND)["rows_posted"] == 1
    with api.database.reading() as session:
        totals = posting_totals(UnitOfWork(session, api.club, OPERATOR))
    found = {(one.budget_line_id, one.account, one.month): (one.amount_minor, one.count) for one in totals}
    assert found == {(None, "1520-10", "2026-03"): (184800, 2), (None, "1520-10", "2026-04"): (-2400, 1)}


_TEXT = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), max_size=12)
_ROWS = st.lists(
    st.tuples(
        st.dates().filter(lambda day: 1900 <= day.year < 2300).map(str) | st.just("2026-03-02"),
        st.sampled_from(["1520-10", "1520-20"]),
        st.sampled_from(["Sand", "Sod"]) | _TEXT,
        st.integers(-(10**12) + 1, 10**12 - 1).map(lambda minor: f"{minor / 100:.2f}") | st.just("5.00"),
        st.just("") | _TEXT,
        st.just(""),
    ),
    max_size=12,
)  # fmt: skip


@settings(max_examples=25)
@given(rows=_ROWS, split=st.integers(0, 12))
def test_importing_twice_equals_importing_once(api: Api, rows: list[tuple[str, ...]], split: int) -> None:
    profile = api.get("/ledger/profiles").json()["items"]
    profile_id = UUID(profile[0]["id"] if profile else a_profile(api))
    transactions = Transactions(api.database, api.club, OPERATOR)
    order = ImportOrder(profile_id=profile_id, filename="", media_type=CSV)

    def put_in(part: list[tuple[str, ...]]) -> tuple[int, int]:
        out = io.StringIO()
        csv.writer(out, lineterminator="\r\n").writerows([tuple(COLUMNS.values()), *part])
        with (
            closing(read_export(transactions, io.BytesIO(out.getvalue().encode()), order)) as read,
            transactions.writing(read.connection) as work,
        ):
            done = post_export(work, read)
        return done.rows_posted, done.rows_known

    def totals() -> Any:
        with transactions.reading() as work:
            return posting_totals(work)

    with transactions.writing() as work:
        for table in (PostingRow, ControlTotalRow, ImportRow):
            work.session.execute(delete(table))
    assert put_in(rows) == (len(rows), 0)
    once = totals()
    assert put_in(rows) == (0, len(rows))
    assert put_in(list(reversed(rows))) == (0, len(rows))
    assert put_in(rows[split:])[0] == 0
    assert totals() == once
