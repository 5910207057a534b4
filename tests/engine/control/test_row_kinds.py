"""Which rows of an export are postings, and what their running balances say."""

from collections.abc import Sequence
from typing import Any

import pytest
from swardcost_api.engine.control.ledger_rows import BadRowError, HeaderError, amount_reader, row_reader
from swardcost_api.engine.control.row_kinds import balance_reader, opening_reader, row_sorting
from swardcost_model.ledger_profiles import MappedColumns, ProfileFields, RowTest

HEADER = ["Account", "Date", "Text", "Debit", "Credit", "Balance"]
COLUMNS = MappedColumns(
    date="Date", account="Account", description="Text", debit="Debit", credit="Credit", balance="Balance"
)
PRINTED = ProfileFields(
    name="Printed",
    columns=COLUMNS,
    fill_down=["account"],
    opening_balances=[RowTest(column="Text", begins_with=["Opening balance"])],
    skip_rows=[RowTest(column="account", begins_with=["TOTAL"]), RowTest(column="Date", blank=True)],
)
ROWS: Sequence[tuple[str, list[str]]] = [
    ("skipped", ["1520", "", "", "", "", ""]),
    ("opening_balance", ["", "", "Opening balance", "", "", "(1,000.00)"]),
    ("posting", ["", "2026-03-02", "Sand", "924.00", "", "-76.00"]),
    ("skipped", ["Total 1520", "", "", "924.00", "", ""]),
    ("posting", ["", "2026-03-03", "Sand", "24.00", "", ""]),
    ("skipped", []),
]


def test_headings_hand_their_account_down_and_subtotals_do_not() -> None:
    sorting = row_sorting(PRINTED, HEADER)
    assert sorting is not None
    rows = [list(cells) for _kind, cells in ROWS]
    assert [sorting.sort(cells) for cells in rows] == [kind for kind, _cells in ROWS]
    assert [cells[0] for cells in rows[:-1]] == ["1520", "1520", "1520", "Total 1520", "1520"]
    assert row_reader(PRINTED, HEADER, "USD")(rows[2]).account == "1520"
    assert opening_reader(PRINTED, HEADER, "USD")(rows[1]) == ("1520", -100_000)
    balance = balance_reader(PRINTED, HEADER, "USD")
    assert [balance(cells) for cells in rows] == [None, -100_000, -7_600, None, None, None]


def test_a_profile_without_tests_sorts_nothing() -> None:
    assert row_sorting(ProfileFields(name="Plain", columns=COLUMNS), HEADER) is None


def test_an_opening_balance_that_states_none_is_at_fault() -> None:
    read = opening_reader(PRINTED, HEADER, "USD")
    with pytest.raises(BadRowError) as refused:
        read(["1520", "", "Opening balance"])
    assert refused.value.faults[0].column == "Debit"
    with pytest.raises(BadRowError) as refused:
        read(["", "", "Opening balance", "", "", "5.00"])
    assert refused.value.faults[0].column == "Account"


def test_tests_on_a_column_that_is_not_there_are_refused() -> None:
    with pytest.raises(HeaderError) as refused:
        row_sorting(PRINTED, ["Date", "Text", "Debit", "Credit", "Balance", "Code"])
    assert refused.value.columns == ["Account"]


@pytest.mark.parametrize(
    ("mark", "text", "minor"),
    [
        ("any", "1'234.50", 123_450),
        (",", "1,234.50", 123_450),
        (",", "1 234.50", None),
        ("'", "1’234.50", 123_450),
        (" ", "1 234.50", 123_450),
        (" ", "1,234.50", None),
        ("none", "1,234.50", None),
        ("none", "1234.50", 123_450),
    ],
)
def test_thousands_are_grouped_as_the_profile_says(mark: Any, text: str, minor: int | None) -> None:
    read = amount_reader(".", "USD", mark)
    if minor is not None:
        assert read(text) == minor
        return
    with pytest.raises(ValueError, match="an amount of USD"):
        read(text)


@pytest.mark.parametrize(
    "wrong",
    [
        {"thousands_mark": "."},
        {"fill_down": ["vendor"]},
        {"fill_down": ["date", "date"]},
        {"skip_rows": [{"column": "Text"}]},
        {"skip_rows": [{"column": "Text", "blank": True, "begins_with": ["Total"]}]},
    ],
)
def test_profiles_that_contradict_themselves_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="validation error"):
        ProfileFields.model_validate({"name": "Odd", "columns": COLUMNS, **wrong})
