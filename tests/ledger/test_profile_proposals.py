"""Profiles proposed from samples, ready profiles, rows that are no postings, and control totals."""

import io
from datetime import date
from typing import Any

import xlsxwriter
from conftest import Api
from ledger_factories import imported, postings
from swardcost_api.operations import XLSX

PROPOSE = "/ledger/profiles/propose"
PRINTED = (
    "Invented Heron Mere Golf Club\r\n"
    "\r\n"
    "Account,Date,Description,Vendor,Debit,Credit,Balance\r\n"
    '1520-10,,Opening balance,,,,"1,000.00"\r\n'
    ',03/02/2026,Topdressing sand,Alder Creek,924.00,,"1,924.00"\r\n'
    ',03/15/2026,Sand returned,Alder Creek,,24.00,"1,900.00"\r\n'
    "Total 1520-10,,,,924.00,24.00,\r\n"
    "1520-20,,,,,,\r\n"
    ',03/18/2026,"Sod, 7 green",Briar Hill,"1,250.50",,"1,250.50"\r\n'
)
Document = dict[str, Any]


def proposed(api: Api, file: str | bytes, **more: Any) -> Document:
    response = api.upload(PROPOSE, file, **more)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def test_a_printed_ledger_is_proposed_saved_and_imported(api: Api) -> None:
    proposal = proposed(api, PRINTED, params={"name": "Printed"})
    assert (proposal["missing"], proposal["rows_at_fault"]) == ([], 0)
    assert [row["kind"] for row in proposal["rows"]] == [
        "opening_balance", "posting", "posting", "skipped", "skipped", "posting",
    ]  # fmt: skip
    assert api.get("/ledger/profiles").json()["items"] == []
    profile = api.created("/ledger/profiles", proposal["profile"])["id"]
    made = imported(api, profile, PRINTED)
    assert [made[name] for name in ("rows_read", "rows_posted", "rows_skipped", "opening_balances")] == [
        6,
        3,
        2,
        1,
    ]
    assert [one["account"] for one in postings(api)] == ["1520-10", "1520-10", "1520-20"]
    totals = api.get(f"/ledger/imports/{made['id']}/control-totals").json()
    sand, sod = totals["items"]
    figures = ("opening", "movement", "closing", "difference")
    assert [sand[name]["amount"] for name in figures] == ["1000.00", "900.00", "1900.00", "0.00"]
    assert (sod["opening"], sod["closing"]["amount"], sod["difference"]) == (None, "1250.50", None)
    assert totals["debits"] == made["debits"]
    # The same again counts nothing twice.
    assert imported(api, profile, PRINTED)["rows_posted"] == 0


def test_a_row_that_is_missing_shows_in_the_control_totals(api: Api) -> None:
    profile = api.created("/ledger/profiles", proposed(api, PRINTED)["profile"])["id"]
    lines = PRINTED.splitlines(keepends=True)
    made = imported(api, profile, "".join(lines[:4] + lines[5:]))
    sand = api.get(f"/ledger/imports/{made['id']}/control-totals").json()["items"][0]
    assert sand["difference"]["amount"] == "924.00"
    assert (
        api.of_new_club("stone-weir").get(f"/ledger/imports/{made['id']}/control-totals").status_code == 404
    )


def test_a_workbook_is_proposed_and_imported_like_its_csv(api: Api) -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        sheet = workbook.add_worksheet("GL")
        sheet.write_row(0, 0, ["Date", "Account", "Memo", "Amount"])
        sheet.write_datetime(1, 0, date(2026, 3, 2), workbook.add_format({"num_format": "mm/dd/yy"}))
        sheet.write_row(1, 1, ["1520-10", "Sand", 924.5])
    kind = {"Content-Type": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
    proposal = proposed(api, out.getvalue(), headers=kind)
    assert proposal["profile"]["date_format"] == "YYYY-MM-DD"
    assert proposal["rows"][0]["amount"]["amount"] == "924.50"
    profile = api.created("/ledger/profiles", proposal["profile"])["id"]
    made = api.upload("/ledger/imports/upload", out.getvalue(), params={"profile_id": profile}, headers=kind)
    assert (made.status_code, made.json()["rows_posted"]) == (201, 1)


def test_what_is_no_ledger_is_said_and_nothing_guessed(api: Api) -> None:
    refused = api.upload(PROPOSE, "just a letter\r\nwithout columns\r\n")
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-csv")
    half = proposed(api, "Date,Amount\r\n2026-03-02,5.00\r\n")
    assert (half["profile"], half["missing"], half["rows"]) == (None, ["account", "description"], [])


def test_a_ready_profile_imports_the_published_fields(api: Api) -> None:
    ready = api.get("/ledger/ready-profiles").json()["items"]
    profile = api.created("/ledger/profiles", ready[0])["id"]
    file = (
        "Journal_ID,Journal_ID_Line_Number,JE_Line_Description,Effective_Date,Fiscal_Year,Period,GL_Account_Number,"
        "Amount,Amount_Credit_Debit_Indicator,Amount_Currency\r\n"
        "J-17,1,Topdressing sand,2026-03-14,2026,3,1520-10,924.00,D,USD\r\n"
        "J-17,2,Topdressing sand,2026-03-14,2026,3,2000,924.00,C,USD\r\n"
    )
    made = imported(api, profile, file)
    assert (made["rows_posted"], made["debits"], made["credits"]["amount"]) == (
        2,
        {"amount": "924.00", "currency": "USD"},
        "924.00",
    )
    for one in ready[1:]:
        api.created("/ledger/profiles", one)


def test_an_empty_sheet_is_a_workbook_that_cannot_be_read(api: Api) -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        workbook.add_worksheet("GL")
    refused = api.upload(PROPOSE, out.getvalue(), headers={"Content-Type": XLSX})
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-workbook")
