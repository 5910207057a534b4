"""Exports that are workbooks: the same rows as the same ledger in CSV, exactly, and faults with their place."""

import io
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import httpx
import pytest
import xlsxwriter
from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger_factories import COLUMNS, HEADER, REFUND, SAND, SOD, a_profile, imported, postings
from swardcost_api.engine.control.ledger_rows import row_reader
from swardcost_api.ledger.workbook_exports import open_workbook
from swardcost_api.operations import XLSX
from swardcost_model.ledger_profiles import MappedColumns, Profile, ProfileFields
from swardcost_model.problems import ProblemError

NAMES = ["date", "account", "description", "amount", "vendor", "reference"]
MARCH = (
    [date(2026, 3, 2), "1520-10", "Topdressing sand", 924, "Alder Creek", "T-101"],
    [date(2026, 3, 5), "1520-20", "Sod for 7 green", 1250.5, "Briar Hill", "T-102"],
    [date(2026, 4, 1), "1520-10", "Sand returned", -24.0, "Alder Creek", "T-103"],
)


def workbook(*rows: Any, above: int = 0, left: int = 0, sheets: tuple[str, ...] = ("Ledger",)) -> bytes:
    """A workbook whose last sheet has these rows, so many rows from the top and columns from the left."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        day = book.add_format({"num_format": "dd/mm/yyyy"})
        for name in sheets:
            page = book.add_worksheet(name)
        for number, row in enumerate(rows, start=above):
            for column, cell in enumerate(row, start=left):
                if isinstance(cell, (date, datetime)):
                    page.write_datetime(number, column, cell, day)
                elif isinstance(cell, tuple):
                    page.write_formula(number, column, *cell)
                else:
                    page.write(number, column, cell)
    return out.getvalue()


def send_workbook(
    api: Api, profile: str, content: bytes, path: str = "upload", **query: str
) -> httpx.Response:
    return api.upload(
        f"/ledger/imports/{path}", content, params={"profile_id": profile, **query}, headers={"Content-Type": XLSX}
    )  # fmt: skip


def faults(response: httpx.Response) -> list[tuple[str, Any]]:
    return [(fault["pointer"], fault.get("got")) for fault in response.json()["faults"]]


@pytest.mark.parametrize(
    "layout",
    [{}, {"date_format": "DD.MM.YYYY", "decimal_mark": ",", "delimiter": ";"}, {"date_format": "YYYYMMDD"},
     {"date_format": "MM/DD/YYYY", "thousands_mark": "none"}],
)  # fmt: skip
def test_a_workbook_has_the_same_postings_as_the_same_ledger_in_csv(api: Api, layout: dict[str, str]) -> None:
    imported(api, a_profile(api), HEADER + SAND + SOD + REFUND)
    done = send_workbook(api, a_profile(api, "Workbook", **layout), workbook(NAMES, *MARCH)).json()
    assert (done["rows_read"], done["rows_posted"], done["rows_known"]) == (3, 0, 3)


def test_a_job_imports_a_workbook_and_counts_its_rows(api: Api) -> None:
    job = send_workbook(api, a_profile(api), workbook(NAMES, *MARCH), path="start").json()
    while (now := api.get(f"/jobs/{job['id']}").json())["ended_at"] is None:
        pass
    assert now["progress"] == {"done": 3, "total": 3, "unit": "row", "note": "done"}
    assert now["result"]["rows_posted"] == 3
    raw = postings(api)[1]["raw"]
    assert raw == "2026-03-05,1520-20,Sod for 7 green,1250.5,Briar Hill,T-102"


def test_a_table_may_stand_anywhere_on_its_sheet_with_blank_rows_in_it(api: Api) -> None:
    content = workbook(["Ledger of the club"], [], NAMES, MARCH[0], [], MARCH[1], above=1, left=2)
    done = send_workbook(api, a_profile(api, header_row=4), content).json()
    assert (done["rows_read"], done["rows_posted"]) == (2, 2)
    assert [one["row"] for one in postings(api)] == [5, 7]


def test_the_sheet_is_the_one_named_or_the_first(api: Api) -> None:
    content = workbook(NAMES, *MARCH, sheets=("Notes", "Detail"))
    assert faults(send_workbook(api, a_profile(api), content)) == [("row 1", "an empty row")]
    wrong = send_workbook(api, a_profile(api, "Wrong", sheet="Totals"), content)
    assert faults(wrong) == [("file", "Notes, Detail")]
    assert send_workbook(api, a_profile(api, "Named", sheet="detail"), content).json()["rows_posted"] == 3


@pytest.mark.parametrize(
    ("column", "cell", "got"),
    [
        ("date", 46083, "46083"), ("date", "3 March 2026", "3 March 2026"),
        ("date", datetime(2026, 3, 2, 14, 22), "2026-03-02 14:22:00"),
        ("amount", 12.345, "12.345"), ("amount", 1e22, "10000000000000000000000"), ("amount", "12,5", "12,5"),
        ("amount", 0.1234567890123456, "0.1234567890123456"), ("amount", True, "true"),
        ("reference", 1234567890123456789, "1.234567890123457e+18"),
        ("amount", ("=1/0", None, "#DIV/0!"), None), ("vendor", ("=1/0", None, "#N/A"), None),
    ],
)  # fmt: skip
def test_a_cell_that_does_not_say_what_the_profile_expects_is_at_fault(
    api: Api, column: str, cell: Any, got: str | None
) -> None:
    row = list(MARCH[0])
    row[NAMES.index(column)] = cell
    refused = send_workbook(api, a_profile(api), workbook(NAMES, MARCH[1], row))
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/bad-rows"), refused.text
    assert faults(refused) == [(f"row 3, {column}", got)]
    assert postings(api) == []


def test_good_rows_are_taken_and_cells_that_nothing_depends_on_are_let_be(api: Api) -> None:
    names = [*NAMES, "checked", "sum"]
    content = workbook(
        names,
        [*MARCH[0], datetime(2026, 3, 9, 8, 30), ("=1/0", None, "#DIV/0!")],
        [*MARCH[1], True, 1234567890123456789],
        [*MARCH[2], "", "", "beyond the header"],
        [date(2026, 3, 9), "1520-10", "Sand", ("=A1", None, "#REF!"), "", "", "", ""],
    )
    done = send_workbook(api, a_profile(api), content, good_rows_only="true").json()
    assert (done["rows_posted"], done["rows_bad"]) == (2, 2)
    kept = api.get(f"/ledger/imports/{done['id']}/faults").json()["items"]
    assert [(one["row"], one["column"]) for one in kept] == [(4, None), (5, "amount")]


@pytest.mark.parametrize(
    ("content", "place"),
    [(b"", "file"), (b"PK\x03\x04 nothing", "file"), (workbook(), "row 1"), (workbook(NAMES, above=3), "row 1"),
     (workbook(["date", "account"], *MARCH), "row 1"),
     (workbook(NAMES, [date(2026, 3, 2), "1520", "x" * 32000, 1, "y" * 32000, "z" * 32000, "v" * 32000]), "row 2"),
     (workbook(NAMES, *[[("=A1", None, "#REF!")]] * 100), "file")],
    ids=["empty", "broken", "blank", "no-header", "columns", "long", "errors"],
)  # fmt: skip
def test_what_is_no_such_workbook_is_refused_whole(api: Api, content: bytes, place: str) -> None:
    refused = send_workbook(api, a_profile(api), content, good_rows_only="true")
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-workbook"), refused.text
    assert [pointer for pointer, _ in faults(refused)] == [place]
    assert api.get("/ledger/imports").json()["items"] == []


def test_a_sheet_with_too_many_rows_is_refused(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    profile, content = a_profile(api), workbook(NAMES, *MARCH)
    monkeypatch.setattr("swardcost_api.ledger.workbook_exports.MAX_ROWS", 2)
    assert faults(send_workbook(api, profile, content))[0][0] == "row 4"
    monkeypatch.setattr("swardcost_api.ledger.workbook_exports.MAX_ROWS", 3)
    assert send_workbook(api, profile, content).status_code == 201


_PROFILE: Callable[..., ProfileFields] = lambda **more: Profile(  # noqa: E731
    id=UUID(int=1), version=1, name="Any", columns=MappedColumns(**COLUMNS), **more
)


@settings(max_examples=40)
@given(
    rows=st.lists(
        st.tuples(
            st.dates(date(1900, 3, 1), date(2299, 12, 31)),
            st.integers(-(10**12) + 1, 10**12 - 1),
            st.integers(0, 10**9),
        ),
        min_size=1,
        max_size=8,
    ),
    layout=st.sampled_from(
        [{}, {"date_format": "DD.MM.YYYY", "decimal_mark": ","}, {"date_format": "YYYY/MM/DD"},
         {"date_format": "MM-DD-YYYY", "decimal_mark": ",", "thousands_mark": "."}]
    ),
)  # fmt: skip
def test_every_day_and_every_amount_comes_out_of_its_cell_exactly(
    rows: list[tuple[date, int, int]], layout: dict[str, Any]
) -> None:
    cells = [[day, 1520, "Sand", float(Decimal(minor) / 100), "", number] for day, minor, number in rows]
    export = open_workbook(io.BytesIO(workbook(NAMES, *cells)), _PROFILE(**layout))
    read = row_reader(_PROFILE(**layout), export.header, "USD")
    found = [read(text) for _number, text, _raw in export.rows]
    assert export.faults == {}
    assert [(row.posted_on, row.amount_minor, row.account, row.reference) for row in found] == [
        (day.isoformat(), minor, "1520", str(number)) for day, minor, number in rows
    ]


def test_a_workbook_of_the_1904_calendar_has_its_own_days() -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"date_1904": True}) as book:
        page = book.add_worksheet()
        page.write_row(0, 0, NAMES)
        page.write_datetime(1, 0, datetime(2026, 3, 2), book.add_format({"num_format": "d mmm yyyy"}))
    export = open_workbook(io.BytesIO(out.getvalue()), _PROFILE())
    assert [cells[0] for _number, cells, _raw in export.rows] == ["2026-03-02"]


def test_progress_counts_the_rows_of_the_sheet() -> None:
    export = open_workbook(
        io.BytesIO(workbook(["above"], NAMES, *MARCH, [], MARCH[0])), _PROFILE(header_row=2)
    )
    so_far = [(export.read_so_far(), number) for number, _cells, _raw in export.rows]
    assert so_far == [(1, 3), (2, 4), (3, 5), (5, 7)]
    assert (export.total, export.unit) == (5, "row")


def test_a_null_character_in_a_cell_is_refused() -> None:
    out, plain = io.BytesIO(), io.BytesIO(workbook(NAMES, [date(2026, 3, 2), "1520", "a_b", 1]))
    with zipfile.ZipFile(plain) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            target.writestr(name, source.read(name).replace(b"a_b", b"a_x0000_b"))
    export = open_workbook(out, _PROFILE())
    with pytest.raises(ProblemError) as refused:
        list(export.rows)
    assert refused.value.faults[0].pointer == "row 2"
