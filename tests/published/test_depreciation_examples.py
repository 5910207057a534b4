"""Straight-line depreciation against worked examples that are published."""

from datetime import date
from decimal import Decimal

import pytest
from swardcost_api.engine.capital.depreciation import straight_line


def test_a_patent_that_is_written_off_in_equal_amounts() -> None:
    """IRS Publication 946, chapter 1, "Straight Line Method", example: a patent of $5,100 is bought in April with 17
    years left and no salvage value. $300 a year; the first year is nine months, $225 (from memory of the
    publication)."""
    years = straight_line(5_100_00, 0, date(2026, 4, 1), 17)
    assert (years[2026], years[2027], years[2042], years[2043]) == (225_00, 300_00, 300_00, 75_00)
    assert sum(years.values()) == 5_100_00


def test_a_printing_press_of_an_accounting_text() -> None:
    """OpenStax, Principles of Accounting volume 1, section 11.3: a printing press of $58,000 with a salvage value of
    $10,000 and a useful life of five years is depreciated by $9,600 a year (from memory of the text)."""
    years = straight_line(58_000_00, 10_000_00, date(2026, 1, 1), 5)
    assert years == dict.fromkeys(range(2026, 2031), 9_600_00)


@pytest.mark.parametrize(
    ("life", "percents"),
    [
        (5, ["10", "20", "20", "20", "20", "10"]),
        (10, ["5", *["10"] * 9, "5"]),
        (4, ["12.5", *["25"] * 3, "12.5"]),
    ],
)
def test_straight_line_by_the_half_year_convention(life: int, percents: list[str]) -> None:
    """IRS Publication 946, appendix A, table A-8, straight-line method, half-year convention: percent of the cost by
    year for recovery periods of 4, 5 and 10 years (from memory of the publication)."""
    for month in (1, 6, 12):
        years = straight_line(100_000_00, 0, date(2026, month, 20), life, "half_year")
        assert [Decimal(one) / 100_000 for one in years.values()] == [Decimal(one) for one in percents]
        assert list(years) == list(range(2026, 2026 + life + 1))
