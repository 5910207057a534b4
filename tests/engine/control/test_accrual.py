"""Accruals at month ends."""

from datetime import date
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.control.accrual import (
    LineHistory,
    invoiced_not_posted,
    received_not_invoiced,
    retainage_held,
)
from swardcost_api.engine.control.matching import Billed, Ordered, Tolerances, value_of
from swardcost_api.engine.control.months import last_day, months_between

MONTHS = ["2026-08", "2026-09", "2026-10"]
AT_40 = Ordered(Decimal(100), Decimal("40.00"))


def bill(quantity: str, price: str = "40.00") -> Billed:
    return Billed(Decimal(quantity), Decimal(price), value_of(Decimal(quantity), Decimal(price), "USD"))


def test_months_run_over_the_year_and_end_where_they_should() -> None:
    assert months_between("2026-11", "2027-02") == ["2026-11", "2026-12", "2027-01", "2027-02"]
    assert months_between("2026-11", "2026-10") == []
    assert last_day("2028-02") == date(2028, 2, 29)


def test_goods_are_accrued_from_their_ticket_to_their_invoice() -> None:
    history = LineHistory(
        [(date(2026, 8, 3), AT_40)],
        [(date(2026, 8, 31), Decimal(20)), (date(2026, 9, 1), Decimal(10)), (date(2026, 9, 9), Decimal(-4))],
        [(date(2026, 9, 30), bill("20")), (date(2026, 10, 1), bill("6"))],
    )
    assert received_not_invoiced(history, MONTHS, "USD") == {"2026-08": 80000, "2026-09": 24000, "2026-10": 0}


def test_goods_not_billed_count_at_the_order_of_that_day_whatever_was_billed_for_others() -> None:
    dearer = Ordered(Decimal(100), Decimal("45.00"))
    history = LineHistory(
        [(date(2026, 8, 3), AT_40), (date(2026, 9, 15), dearer)],
        [(date(2026, 8, 5), Decimal(20))],
        [(date(2026, 8, 20), bill("10", "99.00"))],
    )
    assert received_not_invoiced(history, MONTHS, "USD") == {
        "2026-08": 40000, "2026-09": 45000, "2026-10": 45000
    }  # fmt: skip


def test_nothing_is_accrued_before_the_order() -> None:
    history = LineHistory([(date(2026, 9, 1), AT_40)], [(date(2026, 8, 5), Decimal(20))], [])
    assert received_not_invoiced(history, MONTHS, "USD")["2026-08"] == 0


def test_an_invoice_is_accrued_until_the_month_of_its_posting() -> None:
    entries = [
        (date(2026, 8, 31), "2026-10", 90000),
        (date(2026, 9, 1), None, -500),
        (date(2026, 9, 1), "2026-09", 7),
    ]
    assert invoiced_not_posted(entries, MONTHS) == {"2026-08": 90000, "2026-09": 89500, "2026-10": -500}


def test_retainage_is_held_until_it_is_released() -> None:
    entries = [(date(2026, 8, 31), 10000), (date(2026, 10, 2), -4000)]
    assert retainage_held(entries, MONTHS) == {"2026-08": 10000, "2026-09": 10000, "2026-10": 6000}


DAYS = st.dates(date(2026, 8, 3), date(2026, 10, 31))
TONS = st.decimals("0.01", 60, places=2)


@given(st.lists(st.tuples(DAYS, TONS), max_size=5), st.lists(st.tuples(DAYS, TONS), max_size=4))
@settings(max_examples=40)
def test_a_month_end_is_the_match_of_its_last_day(
    receipts: list[tuple[date, Decimal]], invoices: list[tuple[date, Decimal]]
) -> None:
    billings = [(day, bill(str(tons))) for day, tons in invoices]
    history = LineHistory([(date(2026, 8, 3), AT_40)], receipts, billings)
    for month, amount in received_not_invoiced(history, MONTHS, "USD").items():
        until = last_day(month)
        came = sum(tons for day, tons in receipts if day <= until)
        known = sum(tons for day, tons in invoices if day <= until)
        assert amount == max(came - known, 0) * 4000
        match = history.match_on(until, Tolerances(), "USD")
        assert match is not None
        assert match.received_not_billed_minor == amount
