"""Growth and loans redone by decimals and by numpy_financial; what must always hold of a schedule."""

from decimal import ROUND_HALF_UP, Decimal, localcontext

import numpy_financial as npf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.capital.growth import grown
from swardcost_api.engine.capital.loans import Loan, Method

percents = st.decimals(-20, 30, places=3)


@given(cost=st.integers(0, 10**11), percent=percents, years=st.integers(-30, 40))
def test_growth_is_the_power_redone_with_many_digits(cost: int, percent: Decimal, years: int) -> None:
    with localcontext() as wide:
        wide.prec = 80
        exact = Decimal(cost) * (1 + percent / 100) ** years
        assert grown(cost, percent, years) == int(exact.quantize(Decimal(1), ROUND_HALF_UP))


@given(cost=st.integers(0, 10**11), percent=st.decimals(0, 30, places=3), years=st.integers(0, 39))
def test_a_later_year_is_never_cheaper_where_prices_rise(cost: int, percent: Decimal, years: int) -> None:
    assert grown(cost, percent, years) <= grown(cost, percent, years + 1)


def test_what_cannot_be_meant_is_refused() -> None:
    for cost, percent, years in ((-1, "1", 1), (1, "101", 1), (1, "-51", 1), (1, "1", 101), (1, "NaN", 1)):
        with pytest.raises(ValueError, match="expected"):
            grown(cost, Decimal(percent), years)


loans = st.builds(
    Loan, st.integers(1, 10**11), st.decimals(0, 25, places=3), st.integers(1, 40), st.sampled_from([1, 2, 4, 12]),
    st.sampled_from(["level_payment", "level_principal", "interest_only"]),
)  # fmt: skip


@given(loan=loans)
def test_a_schedule_pays_the_principal_and_nothing_is_owed_at_its_end(loan: Loan) -> None:
    schedule = loan.schedule()
    assert len(schedule) == loan.years * loan.payments_a_year
    assert sum(one.principal_minor for one in schedule) == loan.principal_minor
    assert schedule[-1].balance_minor == 0
    balance = loan.principal_minor
    for one in schedule:
        exact = Decimal(balance) * loan.annual_percent / 100 / loan.payments_a_year
        assert one.interest_minor == int(exact.quantize(Decimal(1), ROUND_HALF_UP))
        assert one.principal_minor >= 0
        balance -= one.principal_minor
        assert one.balance_minor == balance
    years = loan.by_year()
    assert len(years) == loan.years
    assert sum(one.amount_minor for one in years) == sum(one.amount_minor for one in schedule)
    assert years[-1].balance_minor == 0


@pytest.mark.parametrize(("percent", "years", "periods"), [("5.5", 15, 12), ("4", 10, 1), ("7.25", 20, 4)])
def test_level_payments_are_those_of_numpy_financial(percent: str, years: int, periods: int) -> None:
    principal = 85_000_000
    loan = Loan(principal, Decimal(percent), years, periods)
    rate = float(percent) / 100 / periods
    assert loan.level_minor == pytest.approx(float(-npf.pmt(rate, years * periods, principal)), abs=0.51)
    for number in (1, 7, years * periods // 2):
        interest = float(-npf.ipmt(rate, number, years * periods, principal))
        assert loan.schedule()[number - 1].interest_minor == pytest.approx(interest, abs=2)


def test_a_yearly_cost_of_a_textbook() -> None:
    """1,000 over 10 years at 7 %: 142.38 a year (factor 0.1424; engineering economy textbook, ch. 6)."""
    assert Loan(100_000, Decimal(7), 10, 1).level_minor == 14_238


def test_a_loan_without_interest_is_split_evenly_and_the_last_payment_takes_the_rest() -> None:
    schedule = Loan(1_000, Decimal(0), 1, 12).schedule()
    assert [one.amount_minor for one in schedule] == [83] * 11 + [87]
    only: Method = "interest_only"
    last = Loan(100_000, Decimal(6), 2, 1, only).schedule()
    assert [one.amount_minor for one in last] == [6_000, 106_000]


def test_loans_that_cannot_be_meant_are_refused() -> None:
    for stated in ((0, "5", 10, 12), (1, "-1", 10, 12), (1, "5", 41, 12), (1, "5", 10, 3)):
        with pytest.raises(ValueError, match="expected"):
            Loan(stated[0], Decimal(stated[1]), stated[2], stated[3])
