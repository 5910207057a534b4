"""Profiles proposed from samples."""

import pytest
from swardcost_api.engine.control.profile_proposal import header_place, read_sample

PLAIN = [
    "Effective_Date",
    "GL_Account_Number",
    "JE_Line_Description",
    "Amount",
    "Amount_Credit_Debit_Indicator",
]


def test_published_field_names_are_known_by_their_names() -> None:
    rows = [["2026-03-14", "1520", "Sand", "1234.50", "D"], ["2026-03-15", "1520", "Sand", "5.00", "C"]]
    reading = read_sample(PLAIN, rows, "USD", month_first=True, comma=False)
    assert reading.layout == {
        "columns": {
            "date": "Effective_Date", "account": "GL_Account_Number", "description": "JE_Line_Description",
            "amount": "Amount", "debit_or_credit": "Amount_Credit_Debit_Indicator",
        },
        "date_format": "YYYY-MM-DD",
        "decimal_mark": ".",
    }  # fmt: skip
    assert (reading.missing, reading.doubts) == ([], [])


@pytest.mark.parametrize(("month_first", "order"), [(True, "MM/DD/YYYY"), (False, "DD/MM/YYYY")])
def test_an_order_of_dates_that_could_be_either_is_said(month_first: bool, order: str) -> None:
    rows = [["03/04/2026", "1520", "Sand", "5.00", "D"]]
    reading = read_sample(PLAIN, rows, "USD", month_first=month_first, comma=False)
    assert reading.layout["date_format"] == order
    assert any("MM/DD/YYYY" in doubt and "DD/MM/YYYY" in doubt for doubt in reading.doubts)


def test_a_day_after_the_twelfth_settles_the_order() -> None:
    rows = [["03/04/2026", "1520", "Sand", "5.00", "D"], ["25/04/2026", "1520", "Sand", "5.00", "D"]]
    reading = read_sample(PLAIN, rows, "USD", month_first=True, comma=False)
    assert reading.layout["date_format"] == "DD/MM/YYYY"
    assert not any("MM/DD" in doubt for doubt in reading.doubts)


def test_dates_of_two_kinds_are_a_doubt_and_no_guess() -> None:
    rows = [["2026-03-04", "1520", "Sand", "5.00", "D"], ["March 5", "1520", "Sand", "5.00", "D"]]
    reading = read_sample(PLAIN, rows, "USD", month_first=True, comma=False)
    assert "date_format" not in reading.layout
    assert any("March 5" in doubt for doubt in reading.doubts)


def test_a_comma_before_the_cents_is_seen() -> None:
    rows = [["2026-03-04", "1520", "Sand", "1.234,50", "D"]]
    assert read_sample(PLAIN, rows, "EUR", month_first=False, comma=False).layout["decimal_mark"] == ","


def test_signed_amounts_are_a_doubt_and_missing_columns_are_named() -> None:
    reading = read_sample(["Date", "Amount"], [["2026-03-04", "5.00"]], "USD", month_first=True, comma=False)
    assert reading.missing == ["account", "description"]
    assert any("debit" in doubt for doubt in reading.doubts)
    none = read_sample(["Date", "Account", "Memo", "Debit"], [], "USD", month_first=True, comma=False)
    assert none.missing == ["amount"]


def test_the_header_is_the_row_that_names_most() -> None:
    assert (
        header_place(
            [["Brindle Hollow"], ["Account", "Detail"], ["Date", "Account", "Memo"], ["1", "2", "3"]]
        )
        == 2
    )
    assert header_place([["Brindle Hollow"], ["5.00", "6.00"]]) is None
