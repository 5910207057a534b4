"""Rows of accounting exports: dates, amounts and the canonical form."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.ledger_rows import (
    BadRowError,
    HeaderError,
    LedgerRow,
    amount_reader,
    day_reader,
    row_reader,
)
from swardcost_model.ledger_profiles import ProfileFields
from swardcost_model.values import CURRENCY_DIGITS

COLUMNS = {"date": "Day", "account": "Account", "description": "Text", "amount": "Amount"}
HEADER = ["Day", "Account", "Text", "Amount"]


def profile(**more: Any) -> ProfileFields:
    return ProfileFields.model_validate({"name": "Ledger", "columns": COLUMNS} | more)


def read(cells: list[str], header: list[str] = HEADER, currency: str = "USD", **more: Any) -> LedgerRow:
    return row_reader(profile(**more), header, currency)(cells)


@pytest.mark.parametrize(
    ("text", "minor"),
    [
        ("1234.50", 123450), ("1234.5", 123450), ("1234", 123400), (".5", 50), ("0012.00", 1200), ("12.5000", 1250),
        ("1,234.50", 123450), ("1 234.50", 123450), ("1\u00a0234.50", 123450), ("1'234'567.00", 123456700),
        ("-3.00", -300), ("3.00-", -300), ("(3.00)", -300), ("−3", -300), ("+3", 300), ("-$3.00", -300), ("$-3", -300),
        ("($1,000.00)", -100000), ("USD 5", 500), ("5 USD", 500), (" 7 ", 700), ("0", 0), ("-0.00", 0),
    ],
)  # fmt: skip
def test_amounts_are_read_exactly(text: str, minor: int) -> None:
    assert amount_reader(".", "USD")(text) == minor


@pytest.mark.parametrize(
    "text",
    ["", "-", ".", "1.", "1,23", "12,34.00", "1,234,56", "1,234 567", "1.234,50", "1.005", "NaN", "Infinity", "1e5",
     "1_000", "--1", "-1-", "(-1)", "(1", "1)", "+-1", "٣", "EUR 5", "£5", "1 2", "9" * 11, "1" * 5000],
)  # fmt: skip
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="an amount"):
        amount_reader(".", "USD")(text)


def test_decimal_commas_and_currencies_without_cents() -> None:
    assert amount_reader(",", "EUR")("1.234,5") == 123450
    assert amount_reader(",", "EUR")("€ 1 234,50") == 123450
    assert amount_reader(".", "JPY")("1,234") == 1234
    assert amount_reader(".", "JPY")("1234.00") == 1234
    assert amount_reader(".", "KWD")("1.234") == 1234
    with pytest.raises(ValueError, match="at most 0 decimal places"):
        amount_reader(".", "JPY")("1234.5")
    with pytest.raises(ValueError, match="such as 1234,50"):
        amount_reader(",", "EUR")("1234.50")


@given(
    minor=st.integers(-(10**12) + 1, 10**12 - 1), currency=st.sampled_from(sorted(CURRENCY_DIGITS)),
    mark=st.sampled_from([".", ","]), grouped=st.booleans(), negative=st.sampled_from(["-{}", "{}-", "({})"]),
)  # fmt: skip
def test_any_written_amount_is_read_back(
    minor: int, currency: str, mark: Any, grouped: bool, negative: str
) -> None:
    digits = CURRENCY_DIGITS[currency]
    text = f"{Decimal(abs(minor)).scaleb(-digits):{',' if grouped else ''}.{digits}f}"
    if mark == ",":
        text = text.translate({ord(","): ".", ord("."): ","})
    assert amount_reader(mark, currency)(negative.format(text) if minor < 0 else text) == minor


@pytest.mark.parametrize(
    ("date_format", "text"),
    [
        ("YYYY-MM-DD", "2026-03-09"), ("YYYY-MM-DD", "2026-3-9"), ("YYYY/MM/DD", "2026/03/09"),
        ("YYYYMMDD", "20260309"),
        ("YYYY.MM.DD", "2026.03.09"), ("MM/DD/YYYY", "3/9/2026"), ("MM-DD-YYYY", "03-09-2026"),
        ("DD/MM/YYYY", "09/03/2026"), ("DD-MM-YYYY", "9-3-2026"), ("DD.MM.YYYY", " 09.03.2026 "),
    ],
)  # fmt: skip
def test_dates_are_read_in_the_format_of_the_profile(date_format: Any, text: str) -> None:
    assert day_reader(date_format)(text) == "2026-03-09"


@pytest.mark.parametrize("text", ["", "2026-13-01", "2026-02-29", "26-03-09", "1899-12-31", "3000-01-01", "2026/03/09",
                                  "2026-03-09 00:00", "２０２６-03-09"])  # fmt: skip
def test_what_is_no_date_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="written YYYY-MM-DD"):
        day_reader("YYYY-MM-DD")(text)


def test_control_characters_become_blanks_and_blanks_around_are_dropped() -> None:
    row = read(["2026-03-09", " 1520\t10 ", "Sand,\r\n3 loads\x1f\x07 ", "1"])
    assert (row.account, row.description) == ("1520 10", "Sand, 3 loads")


def test_all_faults_of_a_row_are_told_at_once() -> None:
    with pytest.raises(BadRowError) as refused:
        read(["9.3.2026", "", "x" * 2001, "lots"])
    assert [fault.column for fault in refused.value.faults] == ["Day", "Account", "Text", "Amount"]
    with pytest.raises(BadRowError) as refused:
        read(["2026-03-09", "1520"])
    assert [(one.column, one.got) for one in refused.value.faults] == [(None, "2 cells")]


def test_columns_are_found_whatever_their_letter_case_and_must_be_there_once() -> None:
    assert read(["5", "x", "2026-03-09", "1520"], ["AMOUNT ", "text", "day", "account"]).amount_minor == 500
    with pytest.raises(HeaderError) as missing:
        read([], ["Day", "Account", "day"])
    assert missing.value.columns == ["Day", "Text", "Amount"]


def test_amounts_get_their_sign_from_the_convention_or_the_columns() -> None:
    cells = ["2026-03-09", "1520", "Sand", "5.00"]
    assert read(cells, sign="credits_positive").amount_minor == -500
    sides = COLUMNS | {"debit_or_credit": "Side"}
    header = [*HEADER, "Side"]
    assert [read([*cells, side], header, columns=sides).amount_minor for side in ("D", "cr", "Credit ")] == [
        500,
        -500,
        -500,
    ]
    with pytest.raises(BadRowError, match="bad row"):
        read([*cells, "X"], header, columns=sides)
    two = {k: v for k, v in COLUMNS.items() if k != "amount"} | {"debit": "Amount", "credit": "Side"}
    assert read([*cells, ""], header, columns=two).amount_minor == 500
    assert read([*cells[:3], "0.00", "(5.00)"], header, columns=two).amount_minor == 500


def test_the_fields_of_the_audit_data_standard_can_be_mapped() -> None:
    # Field names: AICPA Audit Data Standards, General Ledger Standard, July 2015.
    columns = {
        "date": "Effective_Date", "account": "GL_Account_Number", "description": "JE_Line_Description",
        "amount": "Amount",
        "debit_or_credit": "Amount_Credit_Debit_Indicator", "currency": "Amount_Currency", "journal_id": "Journal_ID",
        "journal_line": "Journal_ID_Line_Number",
    }  # fmt: skip
    header = ["Journal_ID", "Journal_ID_Line_Number", "JE_Line_Description", "Effective_Date", "Fiscal_Year", "Period",
              "GL_Account_Number", "Amount", "Amount_Credit_Debit_Indicator", "Amount_Currency"]  # fmt: skip
    cells = ["JE-7", "2", "Sand", "2026-03-09", "2026", "3", "1520-10", "924.00", "C", "USD"]
    row = read(cells, header, columns=columns)
    assert (row.amount_minor, row.journal_id, row.journal_line) == (-92400, "JE-7", "2")


_CELLS = st.tuples(
    st.sampled_from(["2026-03-09", "2026-03-10"]), st.sampled_from(["1520", "15"]), st.text("a b|,\x1f", max_size=4),
    st.sampled_from(["1", "1.00", "10"]),
)  # fmt: skip


@given(one=_CELLS, other=_CELLS)
def test_rows_have_one_fingerprint_exactly_when_they_say_the_same(
    one: tuple[str, ...], other: tuple[str, ...]
) -> None:
    first, second = read(list(one)), read(list(other))
    assert (first.fingerprint == second.fingerprint) == (first[1:] == second[1:])
    assert len(first.fingerprint) == 32
