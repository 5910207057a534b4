"""Budget against actual."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.variance import Comparison

MONEY = st.integers(-(10**14), 10**14)


@given(MONEY, MONEY)
def test_remaining_and_variance_are_opposites(budget: int, actual: int) -> None:
    compared = Comparison(budget, actual)
    assert compared.remaining_minor == -compared.variance_minor == budget - actual


def test_percent_is_of_the_budget_and_absent_without_one() -> None:
    assert Comparison(800, 1000).percent == Decimal("125.0")
    assert Comparison(3, 1).percent == Decimal("33.3")
    assert Comparison(0, 500).percent is None


@given(MONEY, MONEY, MONEY, MONEY)
def test_adding_comparisons_adds_their_parts(a: int, b: int, c: int, d: int) -> None:
    assert Comparison(a, b) + Comparison(c, d) == Comparison(a + c, b + d)
