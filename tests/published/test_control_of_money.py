"""Earned value, forecasts and variances of published examples; the source stands beside each check."""

from decimal import Decimal
from fractions import Fraction

import pytest
from swardcost_api.engine.control.earned_value import EarnedValue, earned
from swardcost_api.engine.control.explanation import LineFacts, explain
from swardcost_api.engine.control.forecast import forecast
from swardcost_api.engine.control.rounding import share_done


def test_tutorial_of_units_made_gives_its_indices() -> None:
    # Published tutorial (read): 400 units at 0.02; 120 planned by now, 80 done, 3.00 spent.
    budget = 800
    planned = earned(budget, Fraction(120, 400))
    value = EarnedValue(planned, earned(budget, share_done(Decimal(80), Decimal(400))), 300, budget)
    assert (value.planned_minor, value.earned_minor) == (240, 160)
    assert (value.schedule_variance_minor, value.cost_variance_minor) == (-80, -140)
    assert (value.schedule_index, value.cost_index) == (Decimal("0.667"), Decimal("0.533"))
    assert value.index_to_complete == Decimal("1.280")


def test_tutorial_of_an_own_figure_gives_its_estimate_at_completion() -> None:
    # Published tutorial (read): budget 10,000.00, spent 11,000.00, 1,000.00 to complete, all of it planned by now.
    before = EarnedValue(1_000_000, 0, 1_100_000, 1_000_000)
    found = forecast(before, "own_figure", own_to_complete_minor=100_000)
    assert found is not None
    assert found.at_completion_minor == 1_200_000
    assert found.variance_minor(1_000_000) == -200_000
    assert found.percent_spent(1_100_000) == Decimal("91.667")
    # Complete by cost spent: 11/12 of the budget is earned.
    value = EarnedValue(1_000_000, earned(1_000_000, Fraction(11, 12)), 1_100_000, 1_000_000)
    assert value.earned_minor == 916_667
    assert value.schedule_variance_minor == -83_333
    assert value.schedule_index == Decimal("0.917")  # printed there as 0.9167


@pytest.mark.parametrize(
    ("standard", "actual", "price", "quantity"),
    [
        # Published accounting exercises (read): price 36,640 F and usage 10,800 F; price 180 F and usage 138 U.
        (("185000", "6.00"), ("183200", "5.80"), -36_640, -10_800),
        (("430", "6.90"), ("450", "6.50"), -180, 138),
    ],
)
def test_price_and_usage_of_published_exercises(
    standard: tuple[str, str], actual: tuple[str, str], price: int, quantity: int
) -> None:
    budget, cost = (int(Decimal(q) * Decimal(p) * 100) for q, p in (standard, actual))
    facts = LineFacts(budget, budget, budget, cost, Decimal(standard[0]), Fraction(1), Decimal(actual[0]))
    found = {cause.reason: cause.amount_minor for cause in explain(facts, 2)}
    assert found == {"price": price * 100, "quantity": quantity * 100}
