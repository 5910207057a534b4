"""Files and rows that cannot be posted: each is refused with its place, and nothing changes."""

from typing import Any

import httpx
import pytest
from conftest import Api
from ledger_factories import COLUMNS, HEADER, SAND, SOD, a_profile, imported, postings, send
from swardcost_api.ledger.export_files import MAX_ROW


def nothing_changed(api: Api) -> bool:
    return postings(api) == [] and api.get("/ledger/imports").json()["items"] == []


def faults(response: httpx.Response) -> list[tuple[str, Any]]:
    return [(fault["pointer"], fault.get("got")) for fault in response.json()["faults"]]


@pytest.mark.parametrize(
    ("layout", "file", "place"),
    [
        ({}, b"", "line 1"),
        ({}, b"\r\n\r\n", "line 1"),
        ({"header_row": 4}, HEADER + SAND, "line 4"),
        ({}, HEADER + SAND + "2026-03-02,1520-10,S\xe4nde,1,,\r\n", "after line 0"),
        ({}, (HEADER + SAND).encode("utf-16"), "line 1"),
        ({}, (HEADER + SAND).encode("utf-16-le"), "line 1"),
        ({"encoding": "utf-16"}, HEADER + SAND, "after line 0"),
        ({"encoding": "windows-1252"}, b"\xef\xbb\xbf" + (HEADER + SAND).encode(), "line 1"),
        ({"encoding": "windows-1252"}, HEADER.encode() + b"2026-03-02,1520-10,\x81,1,,\r\n", "after line 0"),
        ({}, HEADER + '2026-03-02,1520-10,"open,1,,\r\n' + SAND, "line 3"),
        ({}, HEADER + '2026-03-02,1520-10,"a"b,1,,\r\n', "line 2"),
        ({}, HEADER + "2026-03-02,1520-10,a\x00b,1,,\r\n", "line 2"),
        ({}, HEADER + SAND + f"2026-03-02,1520-10,{'x' * MAX_ROW},1,,\r\n", "line 3"),
        ({}, HEADER + '2026-03-02,1520-10,"' + "x\r\n" * MAX_ROW + '",1,,\r\n', "line 33328"),
        ({}, "x" * (3 * MAX_ROW), "line 1"),
        ({}, "date,account,description,vendor,reference\r\n" + SAND, "row 1"),
        ({}, "date,account,description,amount,vendor,reference,Amount\r\n" + SAND, "row 1"),
        ({"delimiter": ";"}, HEADER + SAND, "row 1"),
    ],
)  # fmt: skip
def test_a_file_that_is_not_what_the_profile_says_is_refused(
    api: Api, layout: dict[str, Any], file: str | bytes, place: str
) -> None:
    content = file if isinstance(file, bytes) else file.encode("latin-1")
    for good_rows_only in ("false", "true"):
        refused = send(api, a_profile(api, good_rows_only, **layout), content, good_rows_only=good_rows_only)
        assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-csv"), refused.text
        assert [pointer for pointer, _ in faults(refused)] == [place]
    assert nothing_changed(api)


def test_an_undecodable_byte_is_told_with_what_comes_before_it(api: Api) -> None:
    refused = send(api, a_profile(api), HEADER.encode() + b"2026-03-02,1520-10,Gr\xfcn,1,,\r\n")
    got = refused.json()["faults"][0]["got"]
    assert got.startswith("byte 0xfc after ")
    assert got.endswith("2026-03-02,1520-10,Gr'")


def test_missing_columns_are_named(api: Api) -> None:
    refused = send(api, a_profile(api), "date,account,description,reference\r\n")
    fault = refused.json()["faults"][0]
    assert fault["expected"] == "one column each of 'amount', 'vendor'"
    assert fault["got"] == "date,account,description,reference"


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("date", "03/02/2026"), ("date", "2026-02-30"), ("date", "20260302"),
        ("date", "٢٠٢٦-03-02"), ("date", "0026-03-02"),
        ("amount", "NaN"), ("amount", "inf"), ("amount", "1e3"), ("amount", "1.2.3"), ("amount", '"1,23"'),
        ("amount", "12.345"), ("amount", "1" * 19), ("amount", "1" * 60_000), ("amount", "10000000000.00"),
        ("amount", "--1"), ("amount", "(1"), ("amount", "0x10"), ("amount", "€5"), ("amount", "½"),
        ("account", ""), ("account", "1" * 61), ("description", "x" * 2001), ("vendor", "x" * 301),
        ("reference", "x" * 201),
    ],
)  # fmt: skip
def test_a_bad_cell_is_told_with_row_column_and_value(api: Api, column: str, value: str) -> None:
    cells = {
        "date": "2026-03-02",
        "account": "1520-10",
        "description": "Sand",
        "amount": "1.00",
        "vendor": "",
        "reference": "",
    }
    row = ",".join((cells | {column: value}).values()) + "\r\n"
    refused = send(api, a_profile(api), HEADER + SAND + row)
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/bad-rows"), refused.text
    assert [pointer for pointer, _ in faults(refused)] == [f"row 3, {column}"]
    assert (refused.json()["rows_read"], refused.json()["rows_bad"], refused.json()["faults_total"]) == (
        2,
        1,
        1,
    )
    assert nothing_changed(api)


@pytest.mark.parametrize("value", ["EUR", "", "usd$", "XXX"])
def test_a_row_in_another_currency_is_refused(api: Api, value: str) -> None:
    profile = a_profile(api, columns=COLUMNS | {"currency": "currency"})
    header = HEADER.replace("\r\n", ",currency\r\n")
    refused = send(api, profile, header + SAND.replace("\r\n", f",{value}\r\n"))
    assert [pointer for pointer, _ in faults(refused)] == ["row 2, currency"]
    assert nothing_changed(api)
    assert imported(api, profile, header + SAND.replace("\r\n", ",usd\r\n"))["rows_posted"] == 1


def test_debit_and_credit_columns_hold_one_amount_a_row(api: Api) -> None:
    columns = {k: v for k, v in COLUMNS.items() if k != "amount"} | {"debit": "debit", "credit": "credit"}
    profile = a_profile(api, columns=columns)
    header = "date,account,description,vendor,reference,debit,credit\r\n"
    start = "2026-03-02,1520-10,Sand,,"
    refused = send(api, profile, f"{header}{start},,\r\n{start},1,2\r\n{start},1,0.00\r\n{start},,x\r\n")
    assert faults(refused) == [("row 2, debit", None), ("row 3, credit", "2"), ("row 5, credit", "x")]


def test_the_first_hundred_faults_are_shown_and_all_are_counted(api: Api) -> None:
    profile = a_profile(api)
    refused = send(api, profile, HEADER + "x,y,z,w,,\r\n" * 5000 + SOD)
    document = refused.json()
    assert (document["rows_read"], document["rows_bad"], document["faults_total"]) == (5001, 5000, 10000)
    assert len(document["faults"]) == 100
    assert nothing_changed(api)


def test_an_upload_names_a_profile_and_is_text_csv(api: Api) -> None:
    assert api.upload("/ledger/imports/upload", HEADER).json()["type"] == "/problems/invalid-request"
    unknown = "/ledger/imports/upload?profile_id=00000000-0000-7000-8000-000000000000"
    assert api.upload(unknown, HEADER).json()["type"] == "/problems/not-found"
    assert api.post(unknown, json={}).json()["type"] == "/problems/unsupported-media-type"
